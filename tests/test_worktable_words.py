"""What the words of the worktable's paragraph do to a piece."""

from __future__ import annotations

import json
import shutil
from collections.abc import Iterator
from dataclasses import replace
from datetime import date, timedelta
from itertools import pairwise
from math import ceil
from pathlib import Path

import numpy as np
import pytest
from PIL import Image
from playwright.sync_api import Page
from worktables import Asking, served, soft_picture

from pix2block.amounts.money import all_hours
from pix2block.command.cli import run
from pix2block.ground.errors import BadInput
from pix2block.options.asking import specs_of
from pix2block.options.mends import MendOptions
from pix2block.options.table import Options, specs
from pix2block.stripes.recipe import stripe_plan
from pix2block.web.advice import advice_of
from pix2block.web.evenings import hours_left
from pix2block.web.files_away import file_list
from pix2block.web.instead import instead_of
from pix2block.web.jobs import Jobs
from pix2block.web.making import STRIPES_SAMPLE, stripes_asked
from pix2block.web.palettes import judged
from pix2block.web.paragraph import paragraph_of
from pix2block.web.pasted import pasted_shelf
from pix2block.web.plan_away import plan_files
from pix2block.web.rest import ELSEWHERE, SPECS, said_of
from pix2block.web.session import Session
from pix2block.web.shelf_photo import keep_shelf, read_photo
from pix2block.web.slip_nouns import Word
from pix2block.web.slip_picture import backdrop_slip, said_of_backdrop
from pix2block.web.slip_yarns import shelf_json
from pix2block.web.slips import slip_of
from pix2block.web.states import hours_kept, kept_by_hand
from pix2block.web.table import Table
from pix2block.web.wanted import bring, print_of
from pix2block.yarn.shelf import read_shelf

pytestmark = pytest.mark.usefixtures("few_files")

ASKED = {"width": "12", "colors": "3"}


@pytest.fixture(scope="module")
def picture(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return soft_picture(tmp_path_factory.mktemp("picture") / "soft hills.png")


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory, picture: Path) -> Path:
    """The folder of a piece that was made from a picture at the worktable, for tests to copy."""
    table = Table(root=tmp_path_factory.mktemp("made"))
    job = Jobs().begin("", lambda _: None)
    return table.make(picture.name, picture.read_bytes(), ASKED, job).folder


@pytest.fixture
def laid(tmp_path: Path, made: Path) -> Session:
    """That piece, in a folder of the test's own."""
    return Session(shutil.copytree(made, tmp_path / "output" / made.name))


def charted(picture: Path, out: Path, *words: str) -> dict[str, bytes]:
    """The files that `pix2block chart` makes."""
    assert run(["chart", str(picture), *words, "--out", str(out)]) == 0
    return {path.name: path.read_bytes() for path in out.iterdir() if path.is_file()}


@pytest.mark.every_file
def test_made_again_from_the_picture_as_the_command_line_makes_it(
    laid: Session, picture: Path, tmp_path: Path
) -> None:
    laid.choose("without", "pdf")
    laid.choose("width", "15")
    laid.choose("subject", "none")
    laid.choose("habit", "carry")
    words = ["--width", "15", "--colors", "3", "--subject", "none", "--habit", "carry"]
    own = charted(picture, tmp_path / "own", *words, "--without", "pdf")
    made = laid.files()
    assert made.keys() == own.keys()
    for name, data in made.items():
        assert data == own[name], name
    again = Session(laid.folder)  # as after a stopped program
    assert again.chart.width == 15
    again.take_back()
    again.take_back()
    again.take_back()
    assert (again.chart.width, again.chart.habit.name) == (12, "pickup")


def test_mends_are_done_again(laid: Session, picture: Path, tmp_path: Path) -> None:
    laid.choose("without", "pdf")
    yarn = laid.chart.yarns[2].name
    laid.mend([("paint", f"column 2, line 2={yarn}")])
    laid.settle()
    own = tmp_path / "own"
    charted(picture, own, "--width", "12", "--colors", "3", "--without", "pdf")
    paint = f"column 2, line 2={yarn}"
    assert run(["mend", str(own / "chart.json"), "--paint", paint, "--without", "pdf"]) == 0
    laid.choose("corner", "top-left")
    laid.settle()
    words = ["--width", "12", "--colors", "3", "--corner", "top-left", "--without", "pdf"]
    charted(picture, own, *words)
    assert (laid.folder / "chart.json").read_bytes() == (own / "chart.json").read_bytes()
    assert len(laid.chart.mends) == 1


def test_a_plain_backdrop_names_its_yarn(laid: Session) -> None:
    laid.choose("subject", "30,30,70,30,70,70,30,70")
    laid.choose("backdrop", "plain")
    study, wanted = laid.state.study, laid.state.wanted
    name = f"plain {study.chart.yarns[int(study.chart.blocks[0, 0])].name}"
    assert next(one.words for one in backdrop_slip(study, wanted).places if one.now) == name
    assert [said_of_backdrop(value, study) for value in ("plain", "keep")] == [name, ""]


def test_what_became_of_mends_is_said_where_the_piece_is_made_anew(laid: Session) -> None:
    yarn = laid.chart.yarns[2].name
    laid.mend([("paint", f"column 2, line 2={yarn}")])
    laid.mend([("paint", f"column 12, line 2={yarn}")])
    states = [laid.state]
    for word, value in (("calm", "0"), ("width", "8"), ("title", "Hills")):
        laid.choose(word, value)
        states.append(laid.state)
    laid.mend([("mirror", "")])  # which needs no yarn
    before = laid.state
    laid.choose("crop", "10,10,80,80")
    assert "same columns and lines, where the picture may" in kept_by_hand(before, laid.state)
    said = [kept_by_hand(before, after) for before, after in pairwise(states)]
    assert said[0] == "Made anew, with your 2 mends by hand done again."
    assert "none of your 2 mends by hand done again. Not done again: paint" in said[1]
    assert "column 12: the chart has 8 columns" in said[1]
    assert said[2] == ""


def test_what_is_chosen_in_one_opening_is_one_change(laid: Session) -> None:
    for colors in ("2", "4", "5"):
        laid.choose("colors", colors, opening="yarns 1")
    assert len(laid.chart.yarns) == 5
    assert laid.back_words == "how many, now five yarns"
    laid.take_back()
    assert laid.again_words == "five yarns"
    assert len(laid.chart.yarns) == 3


def test_a_piece_without_its_picture_says_so(folder: Path) -> None:
    session = Session(folder)
    with pytest.raises(BadInput, match="needs the picture"):
        session.choose("width", "20")
    with pytest.raises(BadInput, match="this piece has none"):
        session.choose("calm", "5")
    session.choose("reserve", "20")
    assert session.chart.reserve == 20
    session.choose("hook", "5.5")
    assert session.chart.hook_mm == 5.5
    assert Session(folder).chart.hook_mm == 5.5


@pytest.mark.parametrize(
    "name", ["../../etc/hosts", "/etc/hosts", "..", "asked.json/..", "none.csv"]
)
def test_no_option_names_a_path(laid: Session, name: str) -> None:
    for option in ("shelf", "swatch", "subject", "maker"):
        with pytest.raises(BadInput):
            laid.choose(option, name)


def test_every_option_and_mend_has_a_word(laid: Session) -> None:
    state = laid.state
    seen: set[str] = set()
    words = {
        part.name
        for sentence in paragraph_of(state.study, state.wanted)
        for part in sentence
        if isinstance(part, Word)
    }
    while words - seen:
        word = (words - seen).pop()
        seen.add(word)
        slip = slip_of(word, state.study, state.wanted)
        words |= {field.name for field in slip.fields if field.name in SPECS}
        words |= {place.word for place in slip.places if place.word}
        words |= {part.name for line in slip.beside for part in line if isinstance(part, Word)}
    options = {spec.name for of in ("chart", "stripe", "report") for spec in specs(of)}
    mends = {f"mend:{spec.name}" for spec in specs_of(MendOptions)}
    assert (options | mends) - seen - ELSEWHERE.keys() == set()
    assert {*ELSEWHERE.values()} <= seen


@pytest.fixture
def asking(laid: Session) -> Iterator[Asking]:
    yield from served(Table(laid, laid.folder.parent))


def test_choices_are_given_one_by_one_as_they_would_be(asking: Asking) -> None:
    slip = asking.json("/api/slip/yarns")
    assert [place["words"] for place in slip["places"]] == ["two", "three", "four"]
    asked = {"word": "yarns", "choices": [["colors", "2"], ["colors", "0"], ["colors", "4"]]}
    status, data, _ = asking.ask("/api/fill", asked)
    told = json.loads(data)
    while status == 202 and told["state"] == "working":
        told = json.loads(asking.ask(f"/api/jobs/{told['job']}")[1])
    parts = told["parts"]
    assert [len(part.get("yarns", ())) for part in parts] == [2, 0, 4]
    assert "tails" in parts[0]["cost"]
    assert "colors" in parts[1]["faults"][0]
    before = asking.json("/api/piece")
    assert len(before["yarns"]) == 3
    after = asking.json("/api/choose", {"word": "colors", "value": "4"})
    assert after["blocks"] == parts[2]["blocks"]
    assert asking.json("/api/back", {})["blocks"] == before["blocks"]


def test_a_yarn_says_what_may_become_of_it(tmp_path: Path, picture: Path) -> None:
    table = Table(root=tmp_path / "output")
    shelf = b"name,color,metres,skeins\nFog,#cfd2d1,200,1\nTar,#1f1d1e,190,3\nMoss,#65743a,200,2\n"
    table.bring_yarns("mine.csv", shelf)
    asked = {"width": "12", "colors": "2", "shelf": "yes"}
    session = table.make(
        picture.name, picture.read_bytes(), asked, Jobs().begin("", lambda _: None)
    )
    spare = [yarn["name"] for yarn in shelf_json(session.study, session.state.wanted)["spare"]]
    assert len(spare) == 1
    slip = slip_of(f"yarn:{spare[0]}", session.study, session.state.wanted)
    every = {place.words: place for place in slip.places}
    more = every[f"{spare[0]} as one more"]
    session.choose(more.word, more.value)
    assert spare[0] in [yarn.name for yarn in session.chart.yarns]
    assert len(session.chart.yarns) == 3
    session.take_back()
    instead = next(place for words, place in every.items() if "in place of" in words)
    session.choose(instead.word, instead.value)
    out = str(instead.value).split("=")[0]
    used = zip(session.chart.yarns, session.chart.used, strict=True)
    names = [yarn.name for yarn, is_used in used if is_used]
    assert spare[0] in names
    assert out not in names
    session.take_back()
    session.choose("ban", (out,))
    assert out not in [yarn.name for yarn in session.chart.yarns]


def test_a_shelf_from_a_photo(laid: Session, tmp_path: Path) -> None:
    photo = Image.new("RGB", (200, 100), (230, 200, 150))
    for i, color in enumerate(("#804030", "#304858", "#c0b060")):
        photo.paste(color, (20 + 60 * i, 30, 60 + 60 * i, 80))
    photo.save(tmp_path / "skeins.png")
    name = bring(laid.folder, "skeins.png", (tmp_path / "skeins.png").read_bytes())
    skeins = [{"name": f"Skein {i}", "at": [0.2 + 0.3 * i, 0.55]} for i in range(3)]
    yarns = read_photo(laid.folder, name, [[0.5, 0.1]], skeins)
    shelf = keep_shelf(laid.folder, name, yarns)
    laid.choose("shelf", shelf)
    assert {yarn.name for yarn in laid.chart.yarns} <= {"Skein 0", "Skein 1", "Skein 2"}
    assert (laid.folder / "worktable" / "skeins.csv").is_file()
    with pytest.raises(BadInput):
        read_photo(laid.folder, "../chart.json", [[0.5, 0.1]], skeins)


PLAN = """title = "Wharf scarf"
width = 4
length = 12

[[yarn]]
name = "Chalk"
color = "#f3efe6"

[[yarn]]
name = "Slate"
color = "#6a7278"

[[part]]
order = ["Chalk", "Slate"]
rows = 2
"""


def test_a_stripe_plan_is_changed_by_its_words(tmp_path: Path) -> None:
    (tmp_path / "wharf.toml").write_text(PLAN)
    table = Table(root=tmp_path / "output")
    job = Jobs().begin("", lambda _: None)
    session = table.make("wharf.toml", PLAN.encode(), {}, job)
    said = "".join(
        part if isinstance(part, str) else part.text
        for part in paragraph_of(session.study, session.state.wanted)[0]
    )
    assert "in stripes of two rows: Chalk, Slate, to the end." in said
    session.choose("without", "pdf")
    session.choose("part-1-rows", "1, 2")
    session.choose("blocks", "5x14")
    session.choose("hand", "left")
    changed = PLAN.replace("rows = 2", "rows = [1, 2]").replace("width = 4", "width = 5")
    (tmp_path / "wharf.toml").write_text(changed.replace("length = 12", "length = 14"))
    words = ["--hand", "left", "--without", "pdf", "--out", str(tmp_path / "own")]
    assert run(["stripe", str(tmp_path / "wharf.toml"), *words]) == 0
    made = session.files()
    for path in (tmp_path / "own").iterdir():
        assert made.pop(path.name) == path.read_bytes(), path.name
    assert made == {}
    session.settle()
    names = {one["name"] for one in file_list(Session(session.folder))["files"]}
    assert {"stripes.csv", "wharf.toml"} <= names
    own = tmp_path / "changed.toml"
    (plan,) = plan_files(session).values()
    assert plan.purpose.endswith("pix2block stripe wharf.toml --without pdf --hand left")
    own.write_bytes(plan.data)
    assert print_of(stripe_plan(own, Options(hand="left")).chart) == print_of(session.chart)
    again = Session(session.folder)
    again.mend([("paint", "rows 1 to 2=Slate")])
    (plan,) = plan_files(again).values()
    own.write_bytes(plan.data)
    by_stripes = stripe_plan(own, Options(hand="left")).chart
    assert (by_stripes.blocks == again.chart.blocks).all()
    assert b"[3, 1, 2" in plan.data
    again.choose("part-1-order", "Slate, Chalk")
    assert len(again.chart.mends) == 1
    assert again.chart.width == 5
    with pytest.raises(BadInput, match="has 1 part"):
        again.choose("part-9-rows", "2")
    with pytest.raises(BadInput, match="a stripe plan has none"):
        again.choose("colors", "2")
    with pytest.raises(BadInput, match="unknown file"):  # it is in stripes as planned no more
        again.files(["stripes.csv"])


def test_a_piece_becomes_stripes_of_its_yarns_and_a_shawl(laid: Session, tmp_path: Path) -> None:
    laid.mend([("paint", f"column 2, line 2={laid.chart.yarns[2].name}")])
    before = laid.chart
    places = slip_of("kind", laid.study, laid.state.wanted).places
    assert [one.value for one in places if one.word == "kind"] == [None, "stripes", "shawl"]
    laid.choose("without", "pdf")
    laid.choose("kind", "stripes")
    assert (laid.chart.width, laid.chart.height) == (before.width, before.height)
    assert {yarn.name for yarn in laid.chart.yarns} == {yarn.name for yarn in before.yarns}
    words = laid.state.wanted
    (tmp_path / words.picture).write_text(words.plan)
    out = tmp_path / "own"
    asked = ["stripe", str(tmp_path / words.picture), "--without", "pdf", "--out", str(out)]
    assert run(asked) == 0
    made = laid.files()
    assert {path.name: path.read_bytes() for path in out.iterdir()} == made
    laid.choose("kind", "shawl")
    assert laid.chart.is_triangle
    laid.choose("length", "9", opening="length 1")
    assert laid.chart.last_row == 9
    laid.choose("length", "40 cm", opening="length 1")
    said = "".join(map(str, paragraph_of(laid.study, laid.state.wanted)[0]))
    assert "cm from tip to tip" in said.replace("\u00a0", " ")
    assert laid.chart.last_row == round(40 / laid.study.amounts.measures.block_cm / 2**0.5)
    again = Session(laid.folder)
    assert again.chart.is_triangle
    for _ in range(4):
        again.take_back()
    assert print_of(again.chart) == print_of(before)
    assert "chart.json" in again.files(["chart.json"])
    again.choose("calm", "0")
    assert (again.chart.width, len(again.chart.mends)) == (before.width, 1)


def test_stripes_begin_without_a_picture(tmp_path: Path) -> None:
    """In the yarns of a list, as far as they go where they do not reach; else in the sample's."""
    own = ("mine.csv", b"name,color,metres,skeins\nFog,#cfd2d1,20,1\nTar,#1f1d1e,20,1\n")
    every = (("scarf", "6 by 9 blocks", None), ("shawl", "", own), ("lap blanket", "9 in", own))
    table = Table(root=tmp_path / "output")
    for kind, size, shelf in every:
        table.shelf = shelf
        plan = stripes_asked({"kind": kind, "size": size, "yarns": "two"}, shelf)
        words = {"shelf": "yes"} if shelf else {}
        job = Jobs().begin("", lambda _: None)
        chart = table.make("stripes.toml", plan.encode(), words, job).chart
        names = {yarn.name for yarn in chart.yarns}
        assert names == ({"Fog", "Tar"} if shelf else {"Chalk", "Slate"})
        assert chart.is_triangle == (kind == "shawl")
        assert shelf or (chart.width, chart.height) == (6, 9)
    with pytest.raises(BadInput, match="no kind"):
        stripes_asked({"kind": "hat"}, None)


def test_the_striped_sample_is_the_plan_that_the_command_line_has() -> None:
    shipped = stripe_plan(STRIPES_SAMPLE).chart
    plan = STRIPES_SAMPLE.parents[3] / "sample_images" / "ferry_scarf.toml"
    assert (shipped.blocks == stripe_plan(plan).chart.blocks).all()


def test_evenings_tell_the_day_on_which_it_is_done(
    laid: Session, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("pix2block.web.evenings.today", lambda: date(2027, 3, 1))

    def said(session: Session) -> str:
        sentences = paragraph_of(session.study, session.state.wanted)
        parts = (part for sentence in sentences for part in sentence)
        return "".join(p if isinstance(p, str) else p.text for p in parts).replace("\u00a0", " ")

    assert "it is done about" not in said(laid)
    fields = [one.name for one in slip_of("pace", laid.study, laid.state.wanted).fields]
    assert fields == ["evenings", "first_day", "pace"]
    hours = all_hours(laid.study.amounts)
    laid.choose("evenings", "30 min, 2 a week")
    evenings = ceil(2 * hours)
    days = ceil(evenings * 7 / 2) - 1
    done = date(2027, 3, 1) + timedelta(days=days)
    assert f"from today on, it is done about {done.day} {done:%B} 2027" in said(laid)
    laid.choose("first_day", "2027-03-05")
    again = Session(laid.folder)
    assert "from 5 March 2027 on" in said(again)
    with pytest.raises(BadInput):
        again.choose("evenings", "now and then")
    again.choose("done", "10")
    assert hours_left(again.study) < 0.7 * hours
    again.settle()
    assert "5 March" in said(Session(again.folder))


def test_what_is_lost_is_said_with_its_cure(tmp_path: Path) -> None:
    y, x = np.mgrid[0:60, 0:75]
    light = np.stack([90 + x, 110 + y, 140 + 0 * x], axis=2).astype(np.uint8)
    light[24:36, 30:45] = (230, 30, 40)
    Image.fromarray(light).save(tmp_path / "spot.png")
    table = Table(root=tmp_path / "output")
    job = Jobs().begin("", lambda _: None)
    words = {"width": "25", "colors": "1"}
    session = table.make("spot.png", (tmp_path / "spot.png").read_bytes(), words, job)
    sentences = advice_of(session.study, session.state.wanted)
    assert 1 <= len(sentences) <= 2
    cure = next(part for part in sentences[0] if isinstance(part, Word))
    now, place = slip_of(cure.name, session.study, session.state.wanted).places
    assert now.now
    session.choose(place.word, place.value)
    assert len(session.chart.yarns) == 2
    assert all(cure not in sentence for sentence in advice_of(session.study, session.state.wanted))


@pytest.mark.parametrize(
    "text",
    [
        "Chalk #efe8dd, Deep Moss #5a6b3c, Rust off white",
        "Chalk #efe8dd\r\nDeep Moss #5a6b3c;\nRust off white\n",
        "Chalk, #efe8dd\nDeep Moss: #5A6B3C\nRust\toff white",
    ],
)
def test_yarns_are_pasted_as_names_and_colours(text: str) -> None:
    shelf = read_shelf(pasted_shelf(text.encode()).decode(), "it")
    assert [yarn.name for yarn in shelf.yarns] == ["Chalk", "Deep Moss", "Rust"]
    assert [yarn.color for yarn in shelf.yarns][:2] == ["#efe8dd", "#5a6b3c"]


def test_what_was_pasted_is_your_list(laid: Session) -> None:
    headed = b"name;color\nFog;#cfd2d1\nTar;#1f1d1e\n"
    assert pasted_shelf(headed) == headed
    for text, words in (
        (b"Chalk #efe8dd, Moss", '^your list: "Moss": write each yarn as'),
        (b"name,metres\nChalk,20\n", "^your list: no column color"),
    ):
        with pytest.raises(BadInput, match=words):
            pasted_shelf(text)
    laid.choose("shelf", bring(laid.folder, "pasted.csv", headed))
    assert laid.back_words == "your list of yarns"


def test_hours_of_weaving_in_are_kept_to(laid: Session) -> None:
    calmed = laid.study.amounts.weave_in_hours
    laid.choose("calm", "0")
    assert laid.study.amounts.weave_in_hours > calmed
    laid.choose("hours", f"{calmed + 0.001:.3f}")
    assert laid.study.amounts.weave_in_hours <= calmed + 0.001
    assert float(str(laid.state.wanted.words["calm"])) > 0
    with pytest.raises(BadInput, match="even the fewest tails"):
        laid.choose("hours", "0.01")
    assert hours_kept("hours", "90 min") == "At most 1.5 h of weaving in, as asked."
    ways = instead_of(laid.chart, "hours", "0.01")
    assert [slip_of(one["word"], laid.study, laid.state.wanted).word for one in ways] == [
        *("habit", "ending", "yarns"),
    ]
    assert all("value" not in one for one in ways)
    assert instead_of(laid.chart, "hours", "soon") == []
    beside = slip_of("ending", laid.study, laid.state.wanted).beside[0]
    assert "calm" in [part.name for part in beside if isinstance(part, Word)]


def test_palettes_are_tried_and_judged(laid: Session) -> None:
    bring(laid.folder, "mine.csv", b"name,color\nFog,#cfd2d1\nTar,#1f1d1e\nMoss,#65743a\n")
    places = slip_of("palettes", laid.study, laid.state.wanted).places
    assert [place.now for place in places].count(True) == 1
    assert ":3" in [place.value for place in places]
    states = [laid.tried_on("palettes", value) for value in ("mine.csv:2", ":4")]
    said = judged([state.study for state in states])
    assert sorted(words.split()[0] for words in said) == ["first", "second"]
    laid.choose("palettes", "mine.csv:2")
    assert {yarn.name for yarn in laid.chart.yarns} <= {"Fog", "Tar", "Moss"}
    assert laid.state.wanted.words["colors"] == "2"
    with pytest.raises(BadInput):
        laid.choose("palettes", "/etc/hosts:2")


def test_what_was_tried_before_another_word_was_chosen_is_tried_anew(laid: Session) -> None:
    assert len(laid.tried_on("calm", "0").study.chart.yarns) == 3
    laid.choose("colors", "2", opening="yarns 1")
    assert len(laid.tried_on("calm", "0").study.chart.yarns) == 2
    laid.choose("mend:mirror", "", opening="mirror 1")
    tried = laid.tried_on("mend:mirror", "").study.chart
    assert (tried.blocks == laid.chart.blocks[:, ::-1]).all()


def test_a_brought_grid_is_placed_and_no_path_is_read(laid: Session) -> None:
    names = [yarn.name for yarn in laid.chart.yarns]
    bring(laid.folder, "patch.csv", f"{names[0]},{names[1]}\n{names[1]},{names[0]}\n".encode())
    laid.choose("mend:insert", "patch.csv@column 1, line 1")
    assert [names[i] for i in laid.chart.blocks[0, :2]] == names[:2]
    for word, value in (("mend:insert", "/etc/hosts@column 1, line 1"), ("done", "/tmp/x.json")):
        with pytest.raises(BadInput, match="brought to this piece"):
            laid.choose(word, value)


def test_a_choice_is_tried_on_kept_and_as_it_was(page: Page, table: Asking) -> None:
    before = table.json("/api/piece")
    page.click("[data-word='mend:frame']")
    for i in (2, 3):
        page.wait_for_selector(f".choice:nth-child({i}) canvas:not(.waiting)")
    seen = "import('/static/page.js').then(({ piece }) => [piece.state.width, piece.foreign, "
    seen += "Boolean(piece.foreign && piece.serverPicture('tiles', 24))])"
    assert page.evaluate(seen) == [6, False, False]
    page.focus(".choice[aria-checked=true]")
    page.keyboard.press("ArrowRight")
    assert page.evaluate(seen) == [8, True, False]  # the server has no tiles of what is tried
    assert page.inner_text(".sentence [data-word=blocks]").startswith("8")
    page.keyboard.press("Escape")
    assert page.evaluate(seen) == [6, False, False]
    assert table.json("/api/piece") == before
    page.evaluate(
        """() => { const choice = document.querySelector('.choice:nth-child(3)');
          choice.dispatchEvent(new PointerEvent('pointerenter')); }"""  # the page moves under it
    )
    assert page.evaluate(seen) == [6, False, False]
    page.hover(".choice:nth-child(3)")
    assert page.evaluate(seen) == [12, True, False]
    page.mouse.move(1, 1)
    assert page.evaluate(seen) == [6, False, False]
    page.focus(".choice[aria-checked=true]")
    long = "import('/static/page.js').then(({ piece, page: { state } }) => { piece.showForeign({"
    long += "...state, width: 2, height: 30, blocks: btoa('\\0'.repeat(60)) });"
    page.evaluate(long + " return new Promise(requestAnimationFrame); })")
    assert page.evaluate("() => document.body.classList.contains('lying')") is False  # it stays
    page.keyboard.press("ArrowRight")
    page.route("**/api/fill*", lambda _: None)  # no choice is worked out anew
    page.keyboard.press("Enter")
    page.wait_for_selector("text=As it was")
    assert table.json("/api/piece")["width"] == 8
    assert page.inner_text(".choice:nth-child(3) .cost") == "…"  # it was told from before
    page.unroute("**/api/fill*")
    page.click("text=As it was")
    page.wait_for_function(
        "() => document.querySelector('[data-word=blocks]').textContent[0] == '6'"
    )
    assert table.json("/api/piece")["blocks"] == before["blocks"]
    assert page.locator(".slip").count() == 1


def test_a_picture_that_is_brought_again(laid: Session, picture: Path) -> None:
    bring(laid.folder, "mine.csv", b"name,color,metres\nFog,#cfd2d1,200\nTar,#1f1d1e,190\n")
    laid.choose("shelf", "mine.csv")
    laid.settle()
    before = laid.chart
    shutil.rmtree(laid.folder / "worktable")
    alone = Session(laid.folder)
    asks = slip_of("width", alone.study, alone.state.wanted)
    assert "needs the picture" in asks.help
    assert asks.fields[0].name == "picture"
    alone.choose("picture", bring(laid.folder, picture.name, picture.read_bytes()))
    assert (alone.chart.blocks == before.blocks).all()
    alone.choose("calm", "0")
    alone.choose("width", "14")
    assert alone.chart.width == 14
    assert {yarn.name for yarn in alone.chart.yarns} == {"Fog", "Tar"}  # hers still


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ("30x24", {"size": "30x24cm"}),
        ("30 × 24 cm", {"size": "30 × 24 cm"}),
        ("14 blocks", {"width": "14"}),
        ("0.3 m", {"size": "30.0x"}),
        ("12 in wide", {"size": "30.5x"}),
    ],
)
def test_the_size_reads_what_the_first_start_reads(
    laid: Session, typed: str, words: dict[str, str]
) -> None:
    laid.choose("size", typed)
    for name, value in words.items():
        assert str(laid.state.wanted.words[name]).startswith(value)
    assert {"size", "width", "height"} & laid.state.wanted.words.keys() == words.keys()


def test_what_was_not_asked_is_said_as_the_piece_has_it(laid: Session) -> None:
    assert said_of("height", laid.state.study, laid.state.wanted) == str(laid.chart.height)
    bare = replace(laid.state.wanted, words={})
    assert said_of("width", laid.state.study, bare) == str(laid.chart.width) == "12"


def test_more_yarns_hang_than_there_are_colours(laid: Session) -> None:
    assert "several of one" not in str(paragraph_of(laid.state.study, laid.state.wanted))
    for column in range(1, 12, 2):
        laid.mend([("paint", f"column {column}={laid.chart.yarns[0].name}")])
        laid.mend([("paint", f"column {column + 1}={laid.chart.yarns[1].name}")])
    said = paragraph_of(laid.state.study, laid.state.wanted)
    assert any(part == " hang at once, several of one colour." for line in said for part in line)


def test_a_border_leaves_the_blocks_as_they_are(laid: Session) -> None:
    """Also where a size was asked, that counts a border in."""
    laid.choose("size", "30x24")
    before = laid.chart
    yarn = before.yarns[0].name
    laid.choose("border", f"2 sc {yarn}")
    assert laid.chart.border is not None
    assert [one.name for one in laid.chart.yarns] == [one.name for one in before.yarns]
    assert (laid.chart.blocks == before.blocks).all()
    laid.choose("border", "none")
    assert laid.chart.border is None
    assert (laid.chart.blocks == before.blocks).all()


def test_letters_are_written_in_a_yarn_that_reads_there_and_taken_away(laid: Session) -> None:
    """The farthest in lightness from what lies at their place, which is not the same everywhere."""
    light = laid.chart.yarn_rgb.astype(int).sum(axis=1)
    darkest, *_, lightest = [laid.chart.yarns[i].name for i in np.argsort(light)]
    laid.mend([("paint", f"columns 1 to 6, lines 1 to 8={lightest}")])
    laid.mend([("paint", f"columns 7 to 12, lines 1 to 8={darkest}")])
    under = laid.chart.blocks
    laid.choose("mend:text", "I at column 3, line 2 height 5 in ")
    assert laid.chart.mends[-1].value.endswith(f"in {darkest}")
    laid.choose("mend:text", "L at column 8, line 2 height 5 in ")
    assert laid.chart.mends[-1].value.endswith(f"in {lightest}")
    _, first, second = slip_of("mend:text", laid.study, laid.state.wanted).places
    assert (first.words, second.words) == ("without “I”", "without “L”")
    laid.choose(first.word, first.value)
    assert laid.back_words == "without “I”"
    laid.choose(second.word, second.value)
    assert (laid.chart.blocks == under).all()
    assert len(laid.chart.mends) == 2
