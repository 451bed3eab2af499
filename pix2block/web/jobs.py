"""Long work at the worktable: one thing at a time, counted, and stopped when it is not wanted.

A request that may take longer than a blink begins a job and answers it:

    def choose(session, asked):
        word, value = asked.text("word"), asked.text("value")
        return asked.jobs.begin(word, lambda job: piece_json(session.choose(word, value, job)))

What is done within 0.15 s is answered like any other request. For the rest the answer is 202 with
the job's number; `ask` in static/api.js follows it and resolves to what the work gives, or throws
what it raised, so that a caller in the page sees no difference. What is counted stands at the word
that the job is about (static/jobs.js).

The work is called with its job, on a thread of its own:

- `job` is a `Progress`: hand it on as `progress=`; it is where the work stops and gives way;
- `job.counting("yarns tried")` says what is counted: "11 of 18 yarns tried, some 9 seconds more";
- `job.give(part)` hands the page a part at once: a choice that is ready, a stage of a piece. In
  the page: `ask(path, body, (part) => …)`;
- `job.so_far("Thrift, 14 tails more", take)` names the best so far. "Stop, and take it" calls
  `take`, whose answer is then the job's;
- `job.heed()` between steps that count nothing; searches of the package end by themselves where
  the job is stopped (`heeding` in ground/progress);
- `job.instead`, set before the work can fail, gives what would do: {"words", "word", "value"}.

Lanes, the most urgent first: KEEP changes the piece, LOOK fills what is open, FILES writes the
folder, AHEAD makes ready while nothing else is asked. A newer job ends the one before it in its
lane; while a lane is busy those behind it wait where they next count. So no job may count, give or
heed while it holds a lock that another job needs: work first, then take `session.lock` and change
(`Session.change` does).
"""

from __future__ import annotations

import math
import threading
import time
import traceback
from collections.abc import Callable
from typing import Any, Literal

from pix2block.ground.advice import Ask
from pix2block.ground.errors import BadInput, Pix2blockError
from pix2block.ground.progress import heeding

Lane = Literal["keep", "look", "files", "ahead"]
KEEP: Lane = "keep"
LOOK: Lane = "look"
FILES: Lane = "files"
AHEAD: Lane = "ahead"
_LANES = (KEEP, LOOK, FILES, AHEAD)
_REMEMBERED = 50  # jobs that the page may still ask for
_TELLING = 0.5  # seconds of counting after which what is left can be told


class Stopped(Exception):
    """The work is not wanted any more."""


class Job:
    """A piece of work: a `Progress` that its work is called with. about: the word that it stands
    at; lane: how urgent it is."""

    def __init__(self, jobs: Jobs, number: int, about: str, lane: Lane) -> None:
        self.number, self.about, self.lane = number, about, lane
        self.over = threading.Event()
        self.stopped = False
        self.result: Any = None
        self.error: BaseException | None = None
        self.instead: Callable[[], list[dict[str, str]]] = list
        self._jobs = jobs
        self._parts: list[Any] = []
        self._words, self._done, self._of = "", 0, 0
        self._began = time.monotonic()
        self._best: tuple[str, Callable[[], Any]] | None = None

    def __call__(self, done: int, of: int) -> None:
        """So many steps are done, of so many. Raises Stopped where no more is wanted."""
        self._done, self._of = done, of
        self.heed()

    def heed(self) -> None:
        """Give way to what is more urgent. Raises Stopped where no more is wanted."""
        self._jobs.give_way(self)
        self.end_if_stopped()

    def end_if_stopped(self) -> None:
        """Raises Stopped where no more is wanted; gives way to nothing, so that it may be asked
        while a lock is held. Loops of the package that count nothing ask it (`heed` of
        ground/progress)."""
        if self.stopped:
            raise Stopped

    def counting(self, words: str) -> None:
        """What is counted from here on: "yarns tried"."""
        self._words, self._done, self._of, self._began = words, 0, 0, time.monotonic()
        self.heed()

    def give(self, part: Any) -> None:
        """A part of what is asked, for the page at once; as JSON has it."""
        self.heed()
        self._parts.append(part)

    def so_far(self, words: str, take: Callable[[], Any]) -> None:
        """The best until now, in words, and what takes it."""
        self._best = (words, take)

    def stop(self, take: bool = False) -> None:
        """End it where it next counts; take: the best so far is what it gives then."""
        best = self._best
        if take and best is not None:
            self.result = best[1]()
        self.stopped = True
        self._jobs.wake()

    @property
    def parts(self) -> int:
        """How many parts were given."""
        return len(self._parts)

    def told(self, after: int = 0) -> dict[str, Any]:
        """How far it is, for the page. after: parts that the page has."""
        state = "working"
        parts = self._parts[after:]
        if self.over.is_set():
            state = "failed" if self.error else "stopped" if self.stopped else "done"
            parts = self._parts[after:]  # what came before it was over
        told: dict[str, Any] = {
            "job": self.number,
            "about": self.about,
            "lane": self.lane,
            "state": state,
            "said": self._said(),
            "done": self._done,
            "of": self._of,
            "best": self._best[0] if self._best else "",
            "parts": parts,
        }
        if state in ("done", "stopped"):
            told["result"] = self.result
        if self.error:
            told.update(told_fault(self.error), instead=self.instead())
            told["about"] = told["about"] or self.about
        return told

    def _said(self) -> str:
        if not self._of or not self._words:
            return self._words
        counted = f"{self._done} of {self._of} {self._words}"
        seconds = time.monotonic() - self._began
        if not self._done or seconds < _TELLING:
            return counted
        left = math.ceil(seconds / self._done * (self._of - self._done))
        return counted if left < 1 else f"{counted}, some {_seconds(left)} more"


def _seconds(left: int) -> str:
    if left >= 90:
        return f"{round(left / 60)} minutes"
    return f"{left} second{'' if left == 1 else 's'}"


class Jobs:
    """What is being worked on: one job a lane, one lane at a time."""

    def __init__(self) -> None:
        self._turn = threading.Condition()
        self._lanes: dict[Lane, Job] = {}
        self._known: dict[int, Job] = {}
        self._last = 0

    def begin(self, about: str, work: Callable[[Job], Any], lane: Lane = KEEP) -> Job:
        """Begin work about a word; what its lane did before is not wanted any more."""
        with self._turn:
            before = self._lanes.get(lane)
            self._last += 1
            job = Job(self, self._last, about, lane)
            self._lanes[lane] = self._known[job.number] = job
            for number in [n for n in self._known if n <= self._last - _REMEMBERED]:
                del self._known[number]
        if before:
            before.stop()
        threading.Thread(target=self._run, args=(job, before, work), daemon=True).start()
        return job

    def job(self, number: int) -> Job:
        """A job by its number. Raises BadInput for one that there is not."""
        job = self._known.get(number)
        if job is None:
            raise BadInput("this work is not known any more: ask for it again")
        return job

    def now(self) -> list[Job]:
        """Those that are not over."""
        with self._turn:
            return [job for job in self._lanes.values() if not job.over.is_set()]

    def stop(self, seconds: float = 5.0) -> None:
        """End all of them, and wait for that so long at most."""
        going = self.now()
        for job in going:
            job.stop()
        for job in going:
            job.over.wait(seconds)

    def give_way(self, job: Job) -> None:
        """Wait while a more urgent lane is busy."""
        with self._turn:
            self._turn.wait_for(lambda: job.stopped or not self._urgent(job.lane))

    def wake(self) -> None:
        """What waits looks again whether it may go on."""
        with self._turn:
            self._turn.notify_all()

    def _urgent(self, lane: Lane) -> bool:
        before = (self._lanes.get(one) for one in _LANES[: _LANES.index(lane)])
        return any(job is not None and not job.over.is_set() for job in before)

    def _run(self, job: Job, before: Job | None, work: Callable[[Job], Any]) -> None:
        try:
            if before is not None:
                before.over.wait()
            job.heed()
            with heeding(job.end_if_stopped):
                job.result = work(job)
            job.stopped = False  # it was done before it could be stopped
        except Stopped:
            pass
        except Pix2blockError as error:
            job.error = _without_frames(error)
        except BaseException as error:
            traceback.print_exc()
            job.error = _without_frames(error)
        finally:
            job.over.set()
            self.wake()


def _without_frames(error: BaseException) -> BaseException:
    """An error that keeps nothing of the work in memory, as a picture that was half decoded."""
    error.__context__ = None
    return error.with_traceback(None)


def told_fault(error: BaseException) -> dict[str, Any]:
    """An error for the page: {"faults": [line, …], "about": the option that it is about}."""
    if isinstance(error, Pix2blockError):
        return {"faults": error.lines(Ask.__str__), "about": error.about}
    return {"faults": [f"this could not be finished ({type(error).__name__})"], "about": None}
