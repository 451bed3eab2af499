"""A parcel served to the home network: read-only, at an address that nobody guesses, for an hour.

Every address but those below the token answers alike, with 404: who does not know the token learns
nothing, not even whether a file is there. Files are served from memory, so that no address can lead
to another file of the machine. Another Host than this machine's is refused, so that no page of the
web can reach it through a name of its own.
"""

from __future__ import annotations

import asyncio
import secrets
import socket
from collections.abc import Callable
from html import escape
from typing import TYPE_CHECKING

from pix2block.ground.errors import BadInput
from pix2block.ground.swap import ON_WINDOWS
from pix2block.options.send import USUAL_PORT
from pix2block.pages.shipped import style_sheet
from pix2block.sending.folder import Parcel

if TYPE_CHECKING:
    from starlette.applications import Starlette
    from starlette.requests import Request
    from starlette.responses import Response

HOUR = 3600.0  # seconds until it stops by itself
MOST_CONNECTIONS = 256
_IDLE = 5  # seconds until a connection without a request is closed
_HEADERS = {
    "Cache-Control": "no-store",
    "Referrer-Policy": "no-referrer",
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
}
_LOOKS_EVERY = 0.2  # seconds, whether it is to stop
_SOMEWHERE = ("192.0.2.1", 9)  # an address for documentation: nothing is sent to it


def new_token() -> str:
    """A word of 128 random bits."""
    return secrets.token_urlsafe(16)


def home_address() -> str:
    """This machine's address in its network.

    Raises BadInput where it is in none.
    """
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as found:
        try:
            found.connect(_SOMEWHERE)
            address = str(found.getsockname()[0])
        except OSError:
            address = "127.0.0.1"
    if address.startswith("127."):
        raise BadInput("this machine is in no network that a phone could share: use the zip file")
    return address


def bound_to(address: str, port: int | None) -> socket.socket:
    """A socket there: at the port that is asked for, else at the usual one, else at a free one.

    Raises BadInput where the port that is asked for is taken.
    """
    last: OSError | None = None
    for number in (port,) if port else (USUAL_PORT, 0):
        listening = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
        if not ON_WINDOWS:  # there it would let two programs share a port
            listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            listening.bind((address, number))
        except OSError as error:
            listening.close()
            last = error
            continue
        return listening
    raise BadInput(
        f"port {port} of {address} cannot be had ({last}): leave it out, or give another"
    )


def application(parcel: Parcel, token: str, address: str) -> Starlette:
    """What answers: a page of links at the token's address, and the files below it."""
    from starlette.applications import Starlette
    from starlette.middleware import Middleware
    from starlette.middleware.trustedhost import TrustedHostMiddleware
    from starlette.responses import HTMLResponse, PlainTextResponse, Response
    from starlette.routing import Route

    def known(request: Request) -> bool:
        given = request.path_params["token"]
        return secrets.compare_digest(given.encode(), token.encode())

    async def links(request: Request) -> Response:
        if not known(request):
            return await nothing(request)
        return HTMLResponse(_links(parcel, token), headers=_HEADERS)

    async def file(request: Request) -> Response:
        name = request.path_params["name"]
        if not known(request) or name not in parcel.contents:
            return await nothing(request)
        kind = parcel.kind_of(name)
        return Response(parcel.contents[name], media_type=kind, headers=_HEADERS)

    async def nothing(_: Request, _error: Exception | None = None) -> Response:
        return PlainTextResponse("Nothing is here.\n", 404, headers=_HEADERS)

    app = Starlette(
        routes=[
            Route("/{token}/", links, methods=["GET"]),
            Route("/{token}/{name}", file, methods=["GET"]),
        ],
        middleware=[Middleware(TrustedHostMiddleware, allowed_hosts=[address])],
        exception_handlers={404: nothing, 405: nothing},
    )
    app.router.redirect_slashes = False
    return app


def _links(parcel: Parcel, token: str) -> str:
    items = "".join(
        f'<li><a href="/{token}/{name}">{escape(parcel.words_for(name))}</a> '
        f'<a href="/{token}/{name}" download="{name}">keep it on this phone</a></li>'
        for name in parcel.contents
    )
    title = escape(parcel.name.replace("_", " "))
    note = (
        "A page that is kept on the phone works without this machine, keeps how far you are, and "
        "may hold the screen awake; opened from here it keeps that for this address alone: take "
        "its code along."
    )
    return (
        '<!DOCTYPE html>\n<html lang="en-GB"><head><meta charset="utf-8"/>'
        '<meta name="viewport" content="width=device-width, initial-scale=1"/>'
        f"<title>{title}</title><style>\n{style_sheet('sending', title)}</style></head>"
        f"<body><main><h1>{title}</h1><ul>{items}</ul><p>{note}</p></main></body></html>\n"
    )


def serve(
    app: Starlette,
    listening: socket.socket,
    seconds: float,
    stopped: Callable[[], bool] = lambda: False,
) -> None:
    """Answers until it is interrupted, `stopped` says so, or so much time has passed."""
    import uvicorn

    config = uvicorn.Config(
        app,
        log_level="critical",
        access_log=False,
        server_header=False,
        limit_concurrency=MOST_CONNECTIONS,
        timeout_keep_alive=_IDLE,
        timeout_graceful_shutdown=1,
        lifespan="off",
    )
    server = uvicorn.Server(config)

    async def for_a_while() -> None:
        async def stop() -> None:
            end = asyncio.get_running_loop().time() + seconds
            while not stopped() and (left := end - asyncio.get_running_loop().time()) > 0:
                await asyncio.sleep(min(left, _LOOKS_EVERY))
            server.should_exit = True

        stopping = asyncio.ensure_future(stop())
        await server.serve(sockets=[listening])
        stopping.cancel()

    asyncio.run(for_a_while())
