"""The files that a worktable gives: its page's own, and the piece's."""

from __future__ import annotations

import io
import zipfile
from pathlib import Path
from typing import TYPE_CHECKING, Any

from pix2block.drawing.web_fonts import WEB_FONTS
from pix2block.web.plan_away import plan_files
from pix2block.web.session import Session

if TYPE_CHECKING:
    from starlette.responses import Response

    from pix2block.study.output import Output
    from pix2block.study.study import Study

STATIC = Path(__file__).parent / "static"
_KINDS = {
    ".html": "text/html; charset=utf-8",
    ".js": "text/javascript; charset=utf-8",
    ".css": "text/css; charset=utf-8",
    ".woff2": "font/woff2",
    ".jpg": "image/jpeg",
    ".json": "application/json",
    ".toml": "text/plain; charset=utf-8",
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


def shipped(name: str) -> Response:
    """A file of the page's own, by its name alone."""
    from starlette.responses import PlainTextResponse, Response

    path = _SHIPPED.get(name)
    if path is None:
        return PlainTextResponse("there is no such file", 404)
    return Response(path.read_bytes(), media_type=_KINDS[path.suffix])


_TO_USE = (  # by a maker; they come first
    *("pattern.pdf", "pattern.html", "hookside.html", "preview.png", "shopping.txt"),
    "chart.json",
)


def file_list(session: Session) -> Any:
    """The names of the piece's files, each with what it is for, and whether it is written; and
    what became of files that another program wrote."""
    from pix2block.recipes.outputs import outputs_of

    state, written = session.state, session.written
    study = session.again.whole(state.study, state.wanted) if state.wanted.plan else state.study
    return {
        "folder": session.folder.name.encode(errors="replace").decode(),
        "notes": session.log.notes,
        "files": [
            _line(row.name, row.purpose, row.name in written)
            for row in sorted(outputs_of(study), key=_order)
            if row.name in written or (row.is_asked(study.options) and row.can(study))
        ]
        + [_line(name, file.purpose, True) for name, file in plan_files(session).items()],
    }


def _order(row: Output[Study]) -> int:
    return _TO_USE.index(row.name) if row.name in _TO_USE else len(_TO_USE)


def _line(name: str, purpose: str, written: bool) -> dict[str, Any]:
    return {"name": name, "purpose": purpose, "written": written, "first": name in _TO_USE}


def piece_file(session: Session, name: str) -> Response:
    """A file of the piece as it stands."""
    from starlette.responses import Response

    plan = plan_files(session).get(name)
    data = plan.data if plan else session.files([name])[name]
    kind = _KINDS.get(Path(name).suffix, "application/octet-stream")
    return Response(data, media_type=kind, headers=_APART)


def zipped(session: Session) -> Response:
    """Every file of the piece, with the bytes of the command line; the same archive each time."""
    from starlette.responses import Response

    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        plan = {name: file.data for name, file in plan_files(session).items()}
        for name, data in sorted({**session.files(), **plan}.items()):
            archive.writestr(zipfile.ZipInfo(name, (1980, 1, 1, 0, 0, 0)), data)
    named = f'attachment; filename="{session.folder.name.encode("ascii", "replace").decode()}.zip"'
    headers = {"content-disposition": named.replace("\r", "").replace("\n", "")}
    return Response(out.getvalue(), media_type="application/zip", headers=headers)
