"""How the worktable answers a request: what it says, and what becomes of errors."""

from __future__ import annotations

import json
from collections.abc import Callable, Collection
from typing import TYPE_CHECKING, Any

from pix2block.ground.errors import BadInput, Pix2blockError, refuse, unknown
from pix2block.ground.progress import heeding
from pix2block.web.guard import MOST_BODY
from pix2block.web.jobs import Job, Jobs, told_fault

if TYPE_CHECKING:
    from starlette.requests import Request
    from starlette.responses import Response

PICTURE = "application/octet-stream"
_BLINK = 0.15  # seconds in which work is answered as if it were none


def answering(
    of: Callable[[], Any],
    answer: Callable[..., Any],
    jobs: Jobs,
    keys: Collection[str] | None = None,
) -> Callable[..., Any]:
    """An endpoint: what `answer` gives of the table or its piece, as JSON where it is none of
    Starlette's responses; a job that is not over at once is 202 with how far it is. Errors for the
    maker are one shape: {"faults": [line, …], "about": option}. keys: of the body, or behind the
    path's question mark; a request with others is refused. None: whatever comes."""
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
        asked = Asked(request, body, jobs)
        try:
            asked.refuse_others(keys)
            made = await run_in_threadpool(_made, lambda: answer(of(), asked))
        except Pix2blockError as error:
            return JSONResponse(told_fault(error), 422)
        if isinstance(made, Job):
            return JSONResponse(made.told(), 422 if made.error else 202)
        return made if isinstance(made, Response) else JSONResponse(made)

    return endpoint


def _made(of: Callable[[], Any]) -> Any:
    """An answer; what a job gives, where it is over at once and gave it in one piece."""
    with heeding(lambda: None):  # so that a PDF is set in a process of its own
        answer = of()
    if not isinstance(answer, Job) or not answer.over.wait(_BLINK):
        return answer
    told = answer.told()
    return answer if told["parts"] or told["state"] != "done" else answer.result


class Asked:
    """What a request says: parts of its path, and its body. jobs: where long work begins."""

    def __init__(self, request: Request, body: Any, jobs: Jobs) -> None:
        self.path, self.body, self.jobs = request.path_params, body, jobs
        self.query = dict(request.query_params)

    def refuse_others(self, keys: Collection[str] | None) -> None:
        """Raises BadInput with every key that is none of these."""
        given = [*self.query, *(self.body if isinstance(self.body, dict) else ())]
        if keys is not None:
            refuse([BadInput(unknown("key", key, keys)) for key in given if key not in keys])

    def value(self, key: str) -> Any:
        """What the body holds for a key, None where it holds nothing."""
        return self.body.get(key) if isinstance(self.body, dict) else None

    def text(self, key: str, most: int = 2000) -> str:
        """A text of the body. Raises BadInput where there is none."""
        value = self.value(key)
        if not isinstance(value, str) or len(value) > most:
            raise BadInput(f"{key}: write a text of at most {most} characters")
        return value
