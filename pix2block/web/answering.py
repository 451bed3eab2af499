"""How the worktable answers a request: what it says, and what becomes of errors."""

from __future__ import annotations

import json
from collections.abc import Callable
from typing import TYPE_CHECKING, Any

from pix2block.ground.advice import Ask
from pix2block.ground.errors import BadInput, Pix2blockError
from pix2block.web.guard import MOST_BODY

if TYPE_CHECKING:
    from starlette.requests import Request
    from starlette.responses import Response

PICTURE = "application/octet-stream"


def answering(of: Callable[[], Any], answer: Callable[..., Any]) -> Callable[..., Any]:
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
        asked = Asked(request, body)
        try:
            made = await run_in_threadpool(lambda: answer(of(), asked))
        except Pix2blockError as error:
            return JSONResponse({"faults": error.lines(Ask.__str__)}, 422)
        return made if isinstance(made, Response) else JSONResponse(made)

    return endpoint


class Asked:
    """What a request says: parts of its path, and its body."""

    def __init__(self, request: Request, body: Any) -> None:
        self.path, self.body = request.path_params, body
        self.query = dict(request.query_params)

    def value(self, key: str) -> Any:
        """What the body holds for a key, None where it holds nothing."""
        return self.body.get(key) if isinstance(self.body, dict) else None

    def text(self, key: str, most: int = 2000) -> str:
        """A text of the body. Raises BadInput where there is none."""
        value = self.value(key)
        if not isinstance(value, str) or len(value) > most:
            raise BadInput(f"{key}: write a text of at most {most} characters")
        return value
