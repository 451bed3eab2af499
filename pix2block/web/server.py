"""The worktable's server: it answers its page on this machine, and calls what the command line
calls."""

from __future__ import annotations

import io
import json
import secrets
import socket
import zipfile
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING, Any

from pix2block.drawing.web_fonts import WEB_FONTS
from pix2block.ground.advice import Ask
from pix2block.ground.errors import BadInput, Pix2blockError
from pix2block.web.guard import MOST_BODY, Guard
from pix2block.web.session import Session
from pix2block.web.shown import choices_json, piece_json, row_json
from pix2block.web.table import Table

if TYPE_CHECKING:
    from starlette.applications import Starlette
    from starlette.requests import Request
    from starlette.responses import Response

PICTURE = "application/octet-stream"
_LONGEST_WORD = 200  # of an option, or a file's name
STATIC = Path(__file__).parent / "static"
_KINDS = {
    ".html": "text/html; charset=utf-8",
    ".js": "text/javascript; charset=utf-8",
    ".css": "text/css; charset=utf-8",
    ".woff2": "font/woff2",
    ".json": "application/json",
    ".csv": "text/csv; charset=utf-8",
    ".txt": "text/plain; charset=utf-8",
    ".png": "image/png",
    ".svg": "image/svg+xml",
    ".pdf": "application/pdf",
    ".xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
}
_SHIPPED = {path.name: path for path in (*STATIC.iterdir(), *WEB_FONTS.iterdir())}
# A file of the piece is shown, never run as a page of the worktable's.
_APART = {
    "content-security-policy": "sandbox allow-scripts; default-src 'self' data: 'unsafe-inline'"
}


def worktable(table: Table, token: str, port: int) -> Starlette:
    """The application. token: what a request must know; port: it is served at."""
    from starlette.applications import Starlette
    from starlette.middleware import Middleware
    from starlette.routing import Route

    def route(path: str, answer: Callable[..., Any], method: str = "GET") -> Route:
        return Route(path, _answering(lambda: table.piece, answer), methods=[method])

    def of_table(path: str, answer: Callable[..., Any], method: str = "GET") -> Route:
        return Route(path, _answering(lambda: table, answer), methods=[method])

    return Starlette(
        routes=[
            of_table("/", lambda _, __: _file("index.html", "text/html; charset=utf-8")),
            of_table("/static/{name}", _shipped),
            of_table("/api/pieces", _pieces),
            of_table("/api/lay", _lay, "POST"),
            of_table("/api/make", _make, "POST"),
            of_table("/api/phone", lambda of, _: of.send(), "POST"),
            of_table("/api/hookside", lambda of, _: of.lay_beside(), "POST"),
            of_table("/api/phone/stop", _stop_sending, "POST"),
            route("/api/piece", lambda of, _: piece_json(of)),
            route("/api/choices/{word}", _choices),
            route("/api/row/{number:int}", _row),
            route("/api/mend", _mend, "POST"),
            route("/api/choose", _choose, "POST"),
            route("/api/back", _back, "POST"),
            route("/api/settle", _settle, "POST"),
            route("/files", lambda of, _: _file_list(of)),
            route("/files.zip", lambda of, _: _zip(of)),
            route("/files/{name}", _piece_file),
        ],
        middleware=[Middleware(Guard, token=token, port=port)],
    )


def _answering(of: Callable[[], Any], answer: Callable[..., Any]) -> Callable[..., Any]:
    """An endpoint: what `answer` gives of the table or its piece, as JSON where it is none of
    Starlette's responses. Errors for the maker are one shape: {"faults": [line, …]}."""
    from starlette.concurrency import run_in_threadpool
    from starlette.responses import JSONResponse, Response

    async def endpoint(request: Request) -> Response:
        body: Any = None
        if request.method == "POST":
            data = bytearray()
            async for part in request.stream():
                data += part
                if len(data) > MOST_BODY:
                    return JSONResponse({"faults": ["too much at once"]}, 413)
            if request.headers.get("content-type") == PICTURE:
                body = bytes(data)
            else:
                try:
                    body = json.loads(bytes(data) or b"{}")
                except (ValueError, RecursionError):
                    return JSONResponse({"faults": ["no JSON"]}, 400)
        asked = _Asked(request, body)
        try:
            made = await run_in_threadpool(lambda: answer(of(), asked))
        except Pix2blockError as error:
            return JSONResponse({"faults": error.lines(Ask.__str__)}, 422)
        return made if isinstance(made, Response) else JSONResponse(made)

    return endpoint


class _Asked:
    """What a request says: parts of its path, and its body."""

    def __init__(self, request: Request, body: Any) -> None:
        self.path, self.body = request.path_params, body
        self.query = dict(request.query_params)

    def text(self, key: str, most: int = 2000) -> str:
        """A text of the body. Raises BadInput where there is none."""
        value = self.body.get(key) if isinstance(self.body, dict) else None
        if not isinstance(value, str) or len(value) > most:
            raise BadInput(f"{key}: write a text of at most {most} characters")
        return value


def _pieces(table: Table, _: _Asked) -> Any:
    return {"pieces": table.pieces(), "open": table.session is not None}


def _lay(table: Table, asked: _Asked) -> Any:
    return piece_json(table.lay(asked.text("name")))


def _make(table: Table, asked: _Asked) -> Any:
    if not isinstance(asked.body, bytes):
        raise BadInput(f"send a picture's bytes, as {PICTURE}")
    words = {name: value[:_LONGEST_WORD] for name, value in asked.query.items()}
    return piece_json(table.make(words.pop("name", "picture"), asked.body, words))


def _stop_sending(table: Table, _: _Asked) -> Any:
    table.phone.stop()
    return {}


def _choices(session: Session, asked: _Asked) -> Any:
    return choices_json(session.chart, asked.path["word"])


def _row(session: Session, asked: _Asked) -> Any:
    row = row_json(session.study, asked.path["number"])
    if row is None:
        raise BadInput(f"no row {asked.path['number']}: the piece has {session.chart.last_row}")
    return row


def _mend(session: Session, asked: _Asked) -> Any:
    given = asked.body.get("mends") if isinstance(asked.body, dict) else None
    if not isinstance(given, list) or not given:
        raise BadInput('no mends: send {"mends": [[name, value], …]}')
    mends = []
    for one in given:
        if not isinstance(one, list) or len(one) != 2 or not all(isinstance(t, str) for t in one):
            raise BadInput("a mend is a name and a value, both texts")
        if one[0] in _OF_FILES:
            raise BadInput(f"{one[0]} names a file: do that on the command line")
        mends.append((one[0], one[1]))
    session.mend(mends)
    return piece_json(session)


_OF_FILES = ("insert",)  # the page names no path of this machine


def _choose(session: Session, asked: _Asked) -> Any:
    session.choose(asked.text("word"), asked.text("value"))
    return piece_json(session)


def _back(session: Session, _: _Asked) -> Any:
    session.take_back()
    return piece_json(session)


def _settle(session: Session, _: _Asked) -> Any:
    session.settle()
    return {"folder": session.folder.name.encode(errors="replace").decode()}


def _shipped(_: Table, asked: _Asked) -> Response:
    path = _SHIPPED.get(asked.path["name"])
    if path is None:
        return _missing()
    return _file(path.name, _KINDS[path.suffix])


def _file(name: str, kind: str) -> Response:
    from starlette.responses import Response

    return Response(_SHIPPED[name].read_bytes(), media_type=kind)


def _missing() -> Response:
    from starlette.responses import PlainTextResponse

    return PlainTextResponse("there is no such file", 404)


def _file_list(session: Session) -> Any:
    from pix2block.recipes.outputs import OUTPUTS

    study = session.study
    of_study = (*OUTPUTS, *study.more_outputs)
    return [
        {"name": row.name, "purpose": row.purpose}
        for row in of_study
        if row.is_asked(study.options) and row.can(study)
    ]


def _piece_file(session: Session, asked: _Asked) -> Response:
    from starlette.responses import Response

    name = asked.path["name"]
    data = session.files([name])[name]
    kind = _KINDS.get(Path(name).suffix, "application/octet-stream")
    return Response(data, media_type=kind, headers=_APART)


def _zip(session: Session) -> Response:
    """Every file of the piece, with the bytes of the command line; the same archive each time."""
    from starlette.responses import Response

    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, data in sorted(session.files().items()):
            archive.writestr(zipfile.ZipInfo(name, (1980, 1, 1, 0, 0, 0)), data)
    named = f'attachment; filename="{session.folder.name.encode("ascii", "replace").decode()}.zip"'
    headers = {"content-disposition": named.replace("\r", "").replace("\n", "")}
    return Response(out.getvalue(), media_type="application/zip", headers=headers)


def serve(table: Table, opened: Callable[[str], None]) -> None:
    """Serve the worktable on this machine until interrupted; then every file is written. opened:
    called with the address once it is answered."""
    import uvicorn

    token = secrets.token_urlsafe(24)
    listening = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    listening.bind(("127.0.0.1", 0))
    listening.listen(128)  # so that a browser that is opened at once waits for its answer
    port = listening.getsockname()[1]
    config = uvicorn.Config(
        worktable(table, token, port), log_level="critical", access_log=False, lifespan="off"
    )
    server = uvicorn.Server(config)
    opened(f"http://127.0.0.1:{port}/{token}")
    try:
        with suppress(KeyboardInterrupt):  # how it is stopped
            server.run(sockets=[listening])
    finally:
        listening.close()
        table.phone.stop()
        table.beside.stop()
        table.settle()
