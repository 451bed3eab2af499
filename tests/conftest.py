"""Settings of the tests: what Hypothesis tries is the same on every run and leaves no files."""

from __future__ import annotations

from hypothesis import settings

settings.register_profile(
    "pix2block", deadline=None, max_examples=50, derandomize=True, database=None
)
settings.load_profile("pix2block")
