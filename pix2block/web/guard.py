"""Who may ask: this machine's browser alone, with the token of the address that was opened.

A page of another origin, a name that is made to lead here (DNS rebinding) and a form posted from
elsewhere get nothing.
"""

from __future__ import annotations

import secrets
from http.cookies import CookieError, SimpleCookie
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from starlette.types import ASGIApp, Receive, Scope, Send

COOKIE = "worktable"
MOST_BODY = 64_000_000  # bytes
MOST_ADDRESS = 4_000  # characters: no number in it has more digits than Python reads
_DIGITS = 12  # of a body's length
POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:; "
    "font-src 'self'; connect-src 'self'; base-uri 'none'; form-action 'none'; "
    "frame-ancestors 'none'"
)
_HEADERS = {
    "content-security-policy": POLICY,
    "x-content-type-options": "nosniff",
    "referrer-policy": "no-referrer",
    "cross-origin-resource-policy": "same-origin",
    "cross-origin-opener-policy": "same-origin",
    "cache-control": "no-store",
}


class Guard:
    """Lets through what may ask, and tells the browser what the page may do."""

    def __init__(self, app: ASGIApp, token: str, port: int) -> None:
        self.app, self.token = app, token
        self.cookie = f"{COOKIE}-{port}"  # cookies of a machine know no ports
        self.hosts = {f"127.0.0.1:{port}", f"localhost:{port}"}

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        from starlette.datastructures import Headers
        from starlette.responses import PlainTextResponse, RedirectResponse

        headers = Headers(scope=scope)
        if len(scope["raw_path"]) + len(scope["query_string"]) > MOST_ADDRESS:
            words = "This address is too long."
            await PlainTextResponse(words, 414, headers=_HEADERS)(scope, receive, send)
            return
        refused = self._refusal(scope["method"], headers)
        if refused:
            await PlainTextResponse(refused, 403, headers=_HEADERS)(scope, receive, send)
            return
        if scope["path"] == f"/{self.token}" and scope["method"] == "GET":
            answer = RedirectResponse("/", 303, headers=_HEADERS)
            answer.set_cookie(self.cookie, self.token, httponly=True, samesite="strict", path="/")
            await answer(scope, receive, send)
            return
        if not self._known(headers.get("cookie", "")):
            words = "Open the address that pix2block open printed: it holds the key."
            await PlainTextResponse(words, 403, headers=_HEADERS)(scope, receive, send)
            return
        length = headers.get("content-length", "0")
        if not length.isdecimal() or len(length) > _DIGITS or int(length) > MOST_BODY:
            words = f"over {MOST_BODY // 10**6} MB: make it smaller first"
            await PlainTextResponse(words, 413, headers=_HEADERS)(scope, receive, send)
            return

        async def told(message: object) -> None:
            if isinstance(message, dict) and message["type"] == "http.response.start":
                own = {name for name, _ in message["headers"]}
                message["headers"] = [
                    *message["headers"],
                    *(
                        (name.encode(), value.encode())
                        for name, value in _HEADERS.items()
                        if name.encode() not in own
                    ),
                ]
            await send(message)  # type: ignore[arg-type]

        await self.app(scope, receive, told)

    def _refusal(self, method: str, headers: object) -> str:
        """Why a request is refused, "" where it is not."""
        get = headers.get  # type: ignore[attr-defined]
        if get("host", "") not in self.hosts:
            return "This is no address of the worktable."
        origin = get("origin")
        if origin is not None and origin not in {f"http://{host}" for host in self.hosts}:
            return "The worktable answers its own page alone."
        if method != "GET" and origin is None:
            return "The worktable answers its own page alone."
        if get("sec-fetch-site", "same-origin") not in ("same-origin", "none"):
            return "The worktable answers its own page alone."
        return ""

    def _known(self, cookies: str) -> bool:
        try:
            held = SimpleCookie(cookies).get(self.cookie)
        except CookieError:
            return False
        return held is not None and secrets.compare_digest(held.value, self.token)
