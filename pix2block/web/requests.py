"""What the page asks of a worktable and of the piece on it, request by request."""

from __future__ import annotations

from typing import Any

from pix2block.ground.errors import BadInput, Pix2blockError
from pix2block.web.advice import advice_json
from pix2block.web.answering import PICTURE, Asked
from pix2block.web.aside import all_beside, go_on_with, lay_aside
from pix2block.web.changes import cost_words_of
from pix2block.web.files_away import STATIC, file_list
from pix2block.web.finding import words_json
from pix2block.web.instead import instead_of
from pix2block.web.jobs import AHEAD, FILES, LOOK, Job, told_fault
from pix2block.web.making import STRIPES_SAMPLE, stripes_asked
from pix2block.web.palettes import WORD, judged
from pix2block.web.pasted import NAME as PASTED
from pix2block.web.pasted import pasted_shelf
from pix2block.web.plan import data_of
from pix2block.web.plan_away import keep_plan
from pix2block.web.rows import row_json, strand_json
from pix2block.web.session import Session
from pix2block.web.shelf_photo import keep_shelf, photo_json, read_photo
from pix2block.web.shown import choice_json
from pix2block.web.since import told_since
from pix2block.web.slip_nouns import slip_json
from pix2block.web.slip_picture import said_of_backdrop
from pix2block.web.slip_yarns import shelf_json
from pix2block.web.slips import slip_of
from pix2block.web.states import hours_kept, kept_by_hand
from pix2block.web.table import Table
from pix2block.web.wanted import Value
from pix2block.web.wanted import bring as bring_file

_MOST_VALUES, _MOST_CHOICES = 300, 24
_LONGEST_VALUE = 20_000  # a subject's outline
_LONGEST_WORD = 200  # of an option, or a file's name
_OF_FILES = ("insert",)  # the page names no path of this machine


def pieces(table: Table, _: Asked) -> Any:
    return {"pieces": table.pieces_told(), "open": table.session is not None}


def lay(table: Table, asked: Asked) -> Any:
    laid = told_since(table.lay(asked.text("name")), "")
    table.make_ready()
    return laid


def make(table: Table, asked: Asked) -> Any:
    if not isinstance(asked.body, bytes):
        raise BadInput(f"send a picture's bytes, as {PICTURE}")
    data, words = asked.body, {n: value[:_LONGEST_WORD] for n, value in asked.query.items()}
    name = words.pop("name", "picture")

    return _made(table, asked, name, data, words)


def sample(table: Table, asked: Asked) -> Any:
    name = STRIPES_SAMPLE.name if asked.value("stripes") is True else "tallow_cat.jpg"
    words = {word: asked.text(word) for word in ("size", "yarns", "hand", "shelf")}
    return _made(table, asked, name, (STATIC / name).read_bytes(), words)


def stripes(table: Table, asked: Asked) -> Any:
    """A piece without a picture: stripes, as the first sentence asks for them."""
    words = {name: asked.text(name) for name in ("kind", "size", "yarns", "hand", "shelf")}
    plan = stripes_asked(words, table.shelf if words["shelf"] else None)
    words = {name: words[name] for name in ("hand", "shelf")}
    return _made(table, asked, f"{data_of(plan)['title']}.toml".lower(), plan.encode(), words)


def _made(table: Table, asked: Asked, name: str, data: bytes, words: dict[str, str]) -> Job:
    def work(job: Job) -> Any:
        made = told_since(table.make(name, data, words, job), "")
        table.make_ready()
        return made

    return asked.jobs.begin("picture", work)


def yarns(table: Table, asked: Asked) -> Any:
    if not isinstance(asked.body, bytes):
        raise BadInput(f"send a file's bytes, as {PICTURE}")
    return table.bring_yarns(asked.query.get("name", "")[:_LONGEST_WORD], asked.body)


def news(table: Table, _: Asked) -> Any:
    """Whether the page is of the piece as it stands, and what is being worked on."""
    laid = table.session
    going = [job.told(job.parts) for job in table.jobs.now()]
    return {"version": laid.version if laid else 0, "jobs": going}


def job(table: Table, asked: Asked) -> Any:
    after = asked.query.get("after", "")
    return table.jobs.job(asked.path["number"]).told(int(after) if after.isdecimal() else 0)


def stop_job(table: Table, asked: Asked) -> Any:
    job = table.jobs.job(asked.path["number"])
    job.stop(take=asked.value("take") is True)
    return job.told()


def stop_sending(table: Table, _: Asked) -> Any:
    table.phone.stop()
    return {}


def piece(session: Session, asked: Asked) -> Any:
    """The piece as it stands; what the page has of it since a version is left out."""
    return told_since(session, asked.query.get("since", ""))


def words(session: Session, _: Asked) -> Any:
    state = session.state
    return words_json(state.study, state.wanted)


def slip(session: Session, asked: Asked) -> Any:
    state = session.state
    return slip_json(slip_of(asked.path["word"], state.study, state.wanted))


def shelf(session: Session, _: Asked) -> Any:
    return shelf_json(session.study, session.state.wanted)


def photo(session: Session, asked: Asked) -> Any:
    """The yarns of a photo; kept as a shelf where that is asked."""
    name = asked.text("file", _LONGEST_WORD)
    yarns = read_photo(session.folder, name, asked.value("paper"), asked.value("skeins"))
    kept = keep_shelf(session.folder, name, yarns) if asked.value("keep") is True else ""
    return {"yarns": photo_json(yarns), "shelf": kept}


def advice(session: Session, asked: Asked) -> Any:
    """What matters now, once nothing else is asked."""

    def work(job: Job) -> Any:
        job.heed()
        state, version = session.state, session.version
        return {"version": version, "sentences": advice_json(state.study, state.wanted)}

    return asked.jobs.begin("", work, AHEAD)


def fill(session: Session, asked: Asked) -> Any:
    """Work out choices of a word, one after the other; each is given as soon as it is there."""
    given = asked.value("choices")
    if not isinstance(given, list) or len(given) > _MOST_CHOICES:
        raise BadInput(
            f'no choices: send {{"choices": [[word, value], …]}}, at most {_MOST_CHOICES}'
        )
    choices = [_choice(one) for one in given]

    def work(job: Job) -> Any:
        states = []
        for i, (word, value) in enumerate(choices):
            try:
                states.append((i, session.tried_on(word, value, job)))
                made = choice_json(session, states[-1][1])
                if word == "backdrop":
                    made["said"] = said_of_backdrop(value, states[-1][1].study)
            except Pix2blockError as error:
                made = told_fault(error)
            job.give({"choice": i, **made})
        if about == WORD:
            said = judged([state.study for _, state in states])
            for (i, state), words in zip(states, said, strict=True):
                job.give({"choice": i, **choice_json(session, state), "said": words})
        return {}

    about = asked.text("word")
    return asked.jobs.begin(about, work, LOOK)


def _choice(one: Any) -> tuple[str, Value | None]:
    """A word and its value. Raises BadInput for what is none."""
    if not isinstance(one, list) or len(one) != 2 or not isinstance(one[0], str):
        raise BadInput("a choice is a word and a value")
    return one[0], _value_of(one[1])


def bring(session: Session, asked: Asked) -> Any:
    """A file for this piece: its picture, a shelf."""
    if not isinstance(asked.body, bytes):
        raise BadInput(f"send a file's bytes, as {PICTURE}")
    name = asked.query.get("name", "file")[:_LONGEST_WORD]
    data = pasted_shelf(asked.body) if name == PASTED else asked.body
    return {"name": bring_file(session.folder, name, data)}


def row(session: Session, asked: Asked) -> Any:
    return row_json(session.study, asked.path["number"], bool(asked.query.get("narrow")))


def lay_by(session: Session, _: Asked) -> Any:
    lay_aside(session)
    return all_beside(session)


def go_on(session: Session, asked: Asked) -> Any:
    go_on_with(session, asked.path["number"])
    return piece(session, asked)


def strand(session: Session, asked: Asked) -> Any:
    return strand_json(session.study, asked.path["row"], asked.path["run"])


def without(session: Session, asked: Asked) -> Any:
    group, alone = asked.value("group"), asked.value("alone")
    if not isinstance(group, int) or not isinstance(alone, bool):
        raise BadInput('say which: {"group": number, "alone": true or false}')

    def work(job: Job) -> Any:
        job.counting("later changes done again")
        session.take_out(group, alone, job)
        return piece(session, asked)

    return asked.jobs.begin("", work)


def mend(session: Session, asked: Asked) -> Any:
    session.mend(_mends(asked.value("mends")))
    return piece(session, asked)


def costs(session: Session, asked: Asked) -> Any:
    """What each of several groups of mends would cost; none is done."""
    every = asked.value("every")
    if not isinstance(every, list) or len(every) > _MOST_VALUES:
        raise BadInput('no mends: send {"every": [[[name, value], …], …]}')
    return cost_words_of(session.chart, [_mends(one) for one in every])


def _mends(given: Any) -> list[tuple[str, str]]:
    """Mends as a page sends them. Raises BadInput."""
    if not isinstance(given, list) or not given:
        raise BadInput('no mends: send {"mends": [[name, value], …]}')
    mends = []
    for one in given:
        if not isinstance(one, list) or len(one) != 2 or not all(isinstance(t, str) for t in one):
            raise BadInput("a mend is a name and a value, both texts")
        if one[0] in _OF_FILES:
            raise BadInput(f"{one[0]} names a file: do that on the command line")
        mends.append((one[0], one[1]))
    return mends


def choose(session: Session, asked: Asked) -> Any:
    word, value, opening = asked.text("word"), _value(asked), asked.value("opening")

    def work(job: Job) -> Any:
        job.instead = lambda: instead_of(session.chart, word, value)
        before = session.state
        session.choose(word, value, opening if isinstance(opening, str) else "", job)
        told = [hours_kept(word, value), kept_by_hand(before, session.state)]
        return {**piece(session, asked), "told": " ".join(filter(None, told))}

    return asked.jobs.begin(word, work)


def _value(asked: Asked) -> Value | None:
    """What is chosen. Raises BadInput."""
    return _value_of(asked.value("value"))


def _value_of(value: Any) -> Value | None:
    """A text, a list of texts, or null for what holds where nothing is asked. Raises BadInput."""
    if value is None:
        return None
    if isinstance(value, list):
        texts = [one for one in value if isinstance(one, str) and len(one) < _LONGEST_WORD]
        if len(texts) == len(value) < _MOST_VALUES:
            return tuple(texts)
    if not isinstance(value, str) or len(value) > _LONGEST_VALUE:
        raise BadInput(f"value: write a text of at most {_LONGEST_VALUE} characters")
    return value


def back(session: Session, asked: Asked) -> Any:
    session.take_back()
    return piece(session, asked)


def again(session: Session, asked: Asked) -> Any:
    session.put_again()
    return piece(session, asked)


def settle(session: Session, asked: Asked) -> Any:
    def work(_: Job) -> Any:
        session.settle()
        keep_plan(session)
        return file_list(session)

    return asked.jobs.begin("files", work, FILES)
