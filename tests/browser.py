"""A real browser for tests: one for all of them, and pages that keep nothing of one another."""

from __future__ import annotations

import json
from collections.abc import Iterator
from contextlib import contextmanager
from functools import cache
from pathlib import Path
from typing import Any

from playwright.sync_api import Browser, BrowserContext, Page, sync_playwright
from programs import needed


@cache
def the_browser() -> Browser:
    """The machine's own Chromium; it ends with the process."""
    program = needed("chromium", "chromium-browser", "google-chrome")
    arguments = ["--no-sandbox", "--disable-gpu"]
    return sync_playwright().start().chromium.launch(executable_path=program, args=arguments)


@cache
def _profile(settings: str) -> BrowserContext:
    """Made once, with an empty page that stays: without one, each page would take twice the time
    of the processor."""
    context = the_browser().new_context(**json.loads(settings))
    context.new_page()
    return context


@contextmanager
def fresh_page(origin: str, wide: int, high: int, **settings: Any) -> Iterator[Page]:
    """A page for one origin, with nothing that an earlier page kept.

    settings: those of a browser context. Pages with the same ones share a profile, which is
    emptied before; the page and those that it opened are closed in the end.
    """
    context = _profile(json.dumps(settings, sort_keys=True))
    others = context.pages
    page = context.new_page()
    try:
        page.set_viewport_size({"width": wide, "height": high})
        context.clear_cookies()
        wish = {"origin": origin, "storageTypes": "all"}
        context.new_cdp_session(page).send("Storage.clearDataForOrigin", wish)
        yield page
    finally:
        for left in context.pages:
            if left not in others:
                left.close()


@contextmanager
def opened(path: Path, wide: int = 400, high: int = 800, **settings: Any) -> Iterator[Page]:
    """A page from a file, offline, with nothing kept. Errors of its script fail the test;
    settings: those of a browser context."""
    errors: list[str] = []
    with fresh_page("file://", wide, high, offline=True, **settings) as page:
        page.on("pageerror", lambda error: errors.append(str(error)))
        page.goto(path.as_uri())
        yield page
        assert not errors
