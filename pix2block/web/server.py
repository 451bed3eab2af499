"""The worktable's server: which request is answered by what, on this machine alone."""

from __future__ import annotations

import threading
from collections.abc import Callable
from contextlib import suppress
from typing import TYPE_CHECKING, Any

from pix2block.web import address, picture_requests, requests
from pix2block.web.answering import answering
from pix2block.web.aside import all_beside
from pix2block.web.files_away import file_list, piece_file, shipped, zipped
from pix2block.web.guard import Guard
from pix2block.web.making import warm
from pix2block.web.table import ASKED, Table

if TYPE_CHECKING:
    from starlette.applications import Starlette


MAKE = ("name", "shelf", *ASKED)
FIRST = ("size", "yarns", "hand", "shelf")
STRIPES = ("kind", *FIRST)
CHOOSE = ("word", "value", "opening", "since")
PHOTO = ("file", "paper", "skeins", "keep")
SEEN = ("eyes", "pixels", "aside", "of")  # of: the page's own, so that a browser asks anew


def worktable(table: Table, token: str, port: int) -> Starlette:
    """The application. token: what a request must know; port: it is served at."""
    from starlette.applications import Starlette
    from starlette.middleware import Middleware
    from starlette.routing import Route

    def of_piece(path: str, answer: Callable[..., Any], method: str = "GET", *keys: str) -> Route:
        return route(path, lambda: table.piece, answer, method, keys)

    def of_table(path: str, answer: Callable[..., Any], method: str = "GET", *keys: str) -> Route:
        return route(path, lambda: table, answer, method, keys)

    def route(path: str, of: Callable[[], Any], answer: Any, method: str, keys: Any) -> Route:
        known = keys if path.startswith(("/api/", "/seen/")) else None
        return Route(path, answering(of, answer, table.jobs, known), methods=[method])

    return Starlette(
        routes=[
            of_table("/", lambda _, __: shipped("index.html")),
            of_table("/static/{name}", lambda _, asked: shipped(asked.path["name"])),
            of_table("/api/pieces", requests.pieces),
            of_table("/api/lay", requests.lay, "POST", "name"),
            of_table("/api/make", requests.make, "POST", *MAKE),
            of_table("/api/sample", requests.sample, "POST", "stripes", *FIRST),
            of_table("/api/stripes", requests.stripes, "POST", *STRIPES),
            of_table("/api/yarns", requests.yarns, "POST", "name"),
            of_table("/api/news", requests.news),
            of_table("/api/phone", lambda of, _: of.send(), "POST"),
            of_table("/api/hookside", lambda of, _: of.lay_beside(), "POST"),
            of_table("/api/phone/stop", requests.stop_sending, "POST"),
            of_table("/api/jobs/{number:int}", requests.job, "GET", "after"),
            of_table("/api/jobs/{number:int}/stop", requests.stop_job, "POST", "take"),
            of_piece("/api/piece", requests.piece, "GET", "since"),
            of_piece("/api/words", requests.words),
            of_piece("/api/slip/{word}", requests.slip),
            of_piece("/api/fill", requests.fill, "POST", "word", "choices"),
            of_piece("/api/advice", requests.advice, "POST"),
            of_piece("/api/shelf", requests.shelf),
            of_piece("/api/photo", requests.photo, "POST", *PHOTO),
            of_piece("/api/bring", requests.bring, "POST", "name"),
            of_piece("/api/row/{number:int}", requests.row, "GET", "narrow"),
            of_piece("/api/strand/{row:int}/{run:int}", requests.strand),
            of_piece("/api/aside", lambda of, _: all_beside(of)),
            of_piece("/api/aside", requests.lay_by, "POST"),
            of_piece("/api/aside/{number:int}", requests.go_on, "POST", "since"),
            of_piece("/api/costs", requests.costs, "POST", "every"),
            of_piece("/api/crop", picture_requests.crop),
            of_piece("/api/subject", picture_requests.subject),
            of_piece("/api/subject", picture_requests.brushed, "POST", "blocks"),
            of_piece("/api/without", requests.without, "POST", "group", "alone", "since"),
            of_piece("/seen/{what}.png", picture_requests.seen, "GET", *SEEN),
            of_piece("/api/mend", requests.mend, "POST", "mends", "since"),
            of_piece("/api/choose", requests.choose, "POST", *CHOOSE),
            of_piece("/api/back", requests.back, "POST", "since"),
            of_piece("/api/again", requests.again, "POST", "since"),
            of_piece("/api/settle", requests.settle, "POST"),
            of_piece("/files", lambda of, _: file_list(of)),
            of_piece("/files.zip", lambda of, _: zipped(of)),
            of_piece("/files/{name}", lambda of, asked: piece_file(of, asked.path["name"])),
        ],
        middleware=[Middleware(Guard, token=token, port=port)],
    )


def serve(table: Table, opened: Callable[[str], None]) -> None:
    """Serve the worktable on this machine until interrupted; then every file is written. opened:
    called with the address once it is answered."""
    import uvicorn

    place = table.root if table.session is None else table.session.folder
    listening, token = address.listen(place)
    port = listening.getsockname()[1]
    table.kept = lambda place: address.keep(place, port, token)
    for known in {table.root, place}:
        table.kept(known)
    config = uvicorn.Config(
        worktable(table, token, port), log_level="critical", access_log=False, lifespan="off"
    )
    server = uvicorn.Server(config)
    if table.session is None:
        threading.Thread(target=warm, daemon=True).start()
    table.make_ready()
    opened(f"http://127.0.0.1:{port}/{token}")
    try:
        with suppress(KeyboardInterrupt):  # how it is stopped
            server.run(sockets=[listening])
    finally:
        listening.close()
        table.jobs.stop()
        table.phone.stop()
        table.beside.stop()
        table.settle()
