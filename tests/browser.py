"""A real browser for tests: one for all, and pages that keep nothing of one another."""

from __future__ import annotations

import json
from collections.abc import Iterator
from contextlib import contextmanager
from functools import cache
from pathlib import Path
from typing import Any

from playwright.sync_api import Browser, Error, Page, sync_playwright
from programs import needed


@cache
def the_browser() -> Browser:
    """The machine's own Chromium; it ends with the process."""
    program = needed("chromium", "chromium-browser", "google-chrome")
    arguments = ["--no-sandbox", "--disable-gpu"]
    return sync_playwright().start().chromium.launch(executable_path=program, args=arguments)


class _Kept:
    """A page that stays, in a profile of its own: one that is made anew takes twice the time."""

    def __init__(self, settings: dict[str, Any]) -> None:
        self.context = the_browser().new_context(**settings)
        self.page = self.context.new_page()
        self.tools = self.context.new_cdp_session(self.page)
        self.light = settings.get("color_scheme", "light")
        self.errors: list[str] = []  # of scripts
        self.told: list[str] = []  # as errors, by the browser too
        self.page.on("pageerror", lambda error: self.errors.append(str(error)))
        self.page.on("console", lambda m: self.told.append(m.text) if m.type == "error" else None)

    def empty(self, rest: str) -> None:
        """As a page that nobody has used, at an address of rest."""
        for page in self.context.pages:
            if page != self.page:
                page.close()
        self.page.unroute_all()
        assert any(self._left_for(rest) for _ in range(9))
        self.page.emulate_media(media="null", color_scheme=self.light)
        self.errors.clear()
        self.told.clear()

    def _left_for(self, rest: str) -> bool:
        """Whether the page is there: not where it was still going back from what was closed."""
        try:
            self.page.goto(rest)
        except Error as error:
            if "ERR_ABORTED" not in error.message:
                raise
        return self.page.url == rest


@cache
def _kept(settings: str) -> _Kept:
    return _Kept(json.loads(settings))


@contextmanager
def fresh_page(
    origin: str, wide: int, high: int, rest: str = "about:blank", **settings: Any
) -> Iterator[tuple[Page, list[str], list[str]]]:
    """A page for one origin, with nothing that an earlier one kept; errors of its scripts, and what
    is told as an error.

    rest: where the page is left in the end; within the site, so that its process goes on. settings:
    those of a browser context. What has the same ones has the same page and profile; what listens
    to it, or was exposed to it, is the test's own to take away. Pages that it opened are closed in
    the end.
    """
    kept = _kept(json.dumps(settings, sort_keys=True))
    kept.page.set_viewport_size({"width": wide, "height": high})
    kept.context.clear_cookies()
    kept.tools.send("Storage.clearDataForOrigin", {"origin": origin, "storageTypes": "all"})
    try:
        yield kept.page, kept.errors, kept.told
    finally:
        kept.empty(rest)


@contextmanager
def opened(path: Path, wide: int = 400, high: int = 800, **settings: Any) -> Iterator[Page]:
    """A page from a file, offline, with nothing kept. Errors of its script fail the test;
    settings: those of a browser context."""
    with fresh_page("file://", wide, high, offline=True, **settings) as (page, errors, _):
        page.goto(path.as_uri())
        yield page
        assert not errors
