"""A real browser for tests: one for all of them, a fresh profile for each page."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from functools import cache
from pathlib import Path
from typing import Any

from playwright.sync_api import Browser, Page, sync_playwright
from programs import needed


@cache
def the_browser() -> Browser:
    """The machine's own Chromium; it ends with the process."""
    program = needed("chromium", "chromium-browser", "google-chrome")
    arguments = ["--no-sandbox", "--disable-gpu"]
    return sync_playwright().start().chromium.launch(executable_path=program, args=arguments)


@contextmanager
def opened(path: Path, wide: int = 400, high: int = 800, **settings: Any) -> Iterator[Page]:
    """A page from a file, offline, in a profile of its own. Errors of its script fail the test;
    settings: those of a browser context."""
    view = {"width": wide, "height": high}
    context = the_browser().new_context(viewport=view, offline=True, **settings)  # type: ignore[arg-type]
    errors: list[str] = []
    try:
        page = context.new_page()
        page.on("pageerror", lambda error: errors.append(str(error)))
        page.goto(path.as_uri())
        yield page
        assert not errors
    finally:
        context.close()
