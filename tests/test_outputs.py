"""The table of files: the same bytes through every door, and only what is asked for."""

from __future__ import annotations

import ast
import hashlib
import threading
from collections.abc import Callable
from dataclasses import fields
from pathlib import Path
from shutil import copy
from typing import Any

import pytest
from makers import chart_of
from page_tables import EVERY
from small import small_sample

import pix2block
from pix2block.command.cli import run
from pix2block.drawing.svg import svg
from pix2block.ground.errors import BadInput
from pix2block.ground.settings import EXTRAS
from pix2block.options.table import Options
from pix2block.pages.chart_sheet import chart_sheet
from pix2block.recipes import making
from pix2block.recipes.outputs import OUTPUTS, files_of, save
from pix2block.reports.words import lost_lines
from pix2block.study.output import Output, make_files
from pix2block.study.study import Study

SAMPLES = Path(__file__).parent.parent / "sample_images"
BADGE, SHELF = str(SAMPLES / "club_badge.png"), str(SAMPLES / "shelf_24.csv")
MAKER, SCARF = str(SAMPLES / "maker.toml"), "scarf.toml"
PLAN = """title = "Ferry scarf"
width = 6
length = 20
shelf = "shelf_12.csv"
[[part]]
order = ["Chalk", "Slate", "Deep Channel"]
rows = 2
"""


def contents(folder: Path) -> dict[str, str]:
    return {p.name: hashlib.sha256(p.read_bytes()).hexdigest() for p in folder.iterdir()}


def badge() -> Study:
    of = Options(width=9, colors=3, shelf=SHELF, maker=MAKER, distance=3.0, calm=2.0, curve=True)
    return pix2block.chart_picture(BADGE, of)


def reported() -> Study:
    kept = pix2block.chart_picture(BADGE, Options(width=9, colors=3, shelf=SHELF))
    save(kept, "kept", only=["chart.json"])
    of = Options(done=pix2block.Done(9), shelf=SHELF, page="phone", editions="all", compare="ways")
    return pix2block.open_chart("kept/chart.json", of)


def trial() -> Any:
    of = [Options(width=9, colors=n) for n in (3, 4)]
    return pix2block.try_palettes(BADGE, [SHELF], of)


DOORS: dict[str, tuple[Callable[[], Any], str]] = {
    "chart": (
        badge,
        f"chart {BADGE} --width 9 --colors 3 --shelf {SHELF} --maker {MAKER} --distance 3m "
        "--calm 2 --curve",
    ),
    "report": (
        reported,
        f"report kept/chart.json --done 9 --shelf {SHELF} --page phone --editions all "
        "--compare ways",
    ),
    "stripe": (
        lambda: pix2block.stripe_plan(SCARF, Options(connect=("Deep Channel", "Chalk"))),
        f"stripe {SCARF} --connect DEEP Chalk",
    ),
    "plans": (
        lambda: pix2block.stripe_side_by_side([SCARF, SCARF]),
        f"stripe {SCARF} {SCARF}",
    ),
    "trial": (trial, f"trial {BADGE} {SHELF} --width 9 --colors 3,4"),
}


@pytest.mark.parametrize("job", DOORS)
def test_the_same_bytes_through_every_door(
    job: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    Path(SCARF).write_text(PLAN, encoding="utf-8")
    copy(SAMPLES / "shelf_12.csv", tmp_path)
    make, words = DOORS[job]
    paths = save(make(), "from_python").paths
    command = [w if w != "DEEP" else "Deep Channel" for w in words.split()]
    assert run([*command, "--out", "from_words"]) == 0
    written = contents(tmp_path / "from_python")
    assert written == contents(tmp_path / "from_words")
    assert sorted(written) == sorted(path.name for path in paths)


def test_a_row_is_a_file_that_is_told_of() -> None:
    names = [row.name for row in EVERY]
    assert len(set(names)) == len(names)
    assert {row.without for row in EVERY} - {None} == set(EXTRAS) - {"proof"}
    known = {field.name for field in fields(Options)}
    assert {row.option for row in EVERY} - {""} <= known


def test_what_is_left_out_or_not_asked_for_is_not_made() -> None:
    chart = chart_of("011 100")
    usual = {row.name for row in OUTPUTS if not row.option} - {
        *("shelf.png", "subject.png"),  # of a shelf, of a photo
        *("forecast.txt", "chart_with_stand_in.json"),  # where rows are made
    }
    assert set(files_of(chart)) == usual
    less = Study(chart, options=Options(without=("pdf", "preview", "proof")))
    assert set(files_of(less)) == usual - {"pattern.pdf", "preview.png"}
    ways = Study(chart, options=Options(compare="ways", without=("pdf", "preview", "proof")))
    assert set(files_of(ways)) - set(files_of(less)) == {"ways.csv"}


def test_one_file_costs_no_other(monkeypatch: pytest.MonkeyPatch) -> None:
    """A single file is made without the pattern, its proof, or a search."""

    def refuse(*_: Any, **__: Any) -> None:
        raise AssertionError("not asked for")

    for name in ("editions_of", "better_ways", "lost_in_yarns", "compare_ways"):
        monkeypatch.setattr(f"pix2block.study.study.{name}", refuse)
    monkeypatch.setattr("pix2block.design.remedies.one_more_yarn", refuse)
    study = Study(chart_of("011 100"))
    files = files_of(study, only=["yarn.csv", "chart.svg"])
    assert [*files] == ["yarn.csv", "chart.svg"]
    assert files["yarn.csv"].startswith(b"yarn,color,")
    with pytest.raises(BadInput, match=r'unknown file "yarns.csv": did you mean "yarn.csv"'):
        files_of(study, only=["yarns.csv"])


def test_what_is_named_is_made_though_it_was_not_asked_for() -> None:
    study = Study(chart_of("011 100"), options=Options(without=("preview",)))
    assert [*files_of(study, only=["ways.csv", "preview.png"])] == ["ways.csv", "preview.png"]
    with pytest.raises(BadInput, match=r"calm\.png"):
        files_of(study, only=["calm.png"])


def test_floats_are_drawn_on_the_held_chart_where_asked() -> None:
    for draw, floats in ((None, False), ("floats", True)):
        study = Study(chart_of("011 100"), options=Options(draw=draw))  # type: ignore[arg-type]
        drawn = svg(chart_sheet(study.amounts, held=True, floats=floats)).encode()
        assert files_of(study, only=["held.svg"])["held.svg"] == drawn


def test_a_sheet_to_look_at_is_half_as_large_again(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(making, "png", lambda _, scale: b"%g" % scale)
    assert making.shelf(Study(chart_of("01"), spare=())) == b"1.5"


def test_nothing_is_worked_out_twice(monkeypatch: pytest.MonkeyPatch) -> None:
    """Files and words of one piece: one document, one numbering of bobbins, one look at what is
    lost, one search for each remedy."""
    count: dict[str, int] = {}

    def counted(place: str) -> None:
        module, name = place.rsplit(".", 1)
        real = getattr(__import__(module, fromlist=[name]), name)

        def call(*given: Any, **more: Any) -> Any:
            count[name] = count.get(name, 0) + 1
            return real(*given, **more)

        monkeypatch.setattr(place, call)

    study = pix2block.chart_picture(BADGE, Options(width=16, colors=3, look="photo"))
    counted("pix2block.study.editions.write_document")
    counted("pix2block.study.editions.write_rows")
    counted("pix2block.craft.plan.number_bobbins")
    counted("pix2block.study.study.amounts_of")
    counted("pix2block.study.study.chart_sheet")
    counted("pix2block.study.study.lost_in_yarns")
    counted("pix2block.study.study.calming_tails")
    counted("pix2block.study.editions.prove")
    counted("pix2block.design.remedies.one_more_yarn")
    files_of(study)
    pix2block.study_lines(study)
    pix2block.note_lines(study)
    pix2block.summary(study)
    remedies = count.pop("one_more_yarn", 0)
    assert remedies == len(study.remedies)
    assert set(count.values()) == {1}, count


def test_words_and_tables_search_for_nothing() -> None:
    """What is told or drawn takes what was worked out: no module of words calls a search."""
    searches = {
        *("plan_strands", "amounts_of", "better_ways", "compare_ways", "tails_before_calming"),
        *("lost_features", "find_features", "one_more_yarn", "bring_back", "find_stand_ins"),
        *("forecast", "with_seen", "climbs_of", "gradient_path", "rank_connections", "prove"),
        *("gentlest_order", "boldest_order", "helping_swaps", "dropped_yarns", "find_tails"),
        *("number_bobbins", "costs_of", "best_matching"),
    }
    package = Path(pix2block.__file__).parent
    words = [*package.glob("reports/*.py"), *package.glob("pages/*.py"), *package.glob("drawing/*")]
    words += [*package.glob("pattern/*.py")]
    words += [package / "stripes" / f"{name}.py" for name in ("words", "sheet", "connect_sheet")]
    words += [package / "trial" / f"{name}.py" for name in ("words", "figures", "sheet", "picture")]
    for path in (path for path in words if path.suffix == ".py"):
        called = {
            node.func.id
            for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
            if isinstance(node, ast.Call) and isinstance(node.func, ast.Name)
        }
        assert not called & searches, path


def test_a_swatch_and_a_check_through_every_door(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    of = pix2block.SwatchOptions(
        file="python.toml",
        yarn="Chalk",
        blocks=(9, 9),
        measured=(25, 24.6),
        grams=28.5,
        label=(200, 100),
    )
    measured, path = pix2block.keep_swatch(of)
    words = "--yarn Chalk --blocks 9x9 --measured 25x24.6cm --grams 28.5g --label 200m/100g"
    assert run(["swatch", "--file", "words.toml", *words.split()]) == 0
    assert path.read_bytes() == Path("words.toml").read_bytes()
    told = "\n".join(pix2block.swatch_lines(measured, Path("words.toml")))
    assert told.splitlines()[0] in capsys.readouterr().out
    chart = chart_of("011 100")
    save(chart, ".", only=["chart.json", "pattern.txt"])
    text = Path("pattern.txt").read_text(encoding="utf-8")
    Path("pattern.txt").write_text(text.replace("Row 2, wrong", "Row 2, right"), encoding="utf-8")
    assert run(["check", "chart.json"]) == 0
    assert pix2block.proof_line(pix2block.check_chart(chart)) in capsys.readouterr().out
    assert run(["check", "chart.json", "--pattern", "pattern.txt"]) == 1
    for line in pix2block.fault_lines(pix2block.check_chart(chart, "pattern.txt")):
        assert line in capsys.readouterr().err


def test_half_way_the_shelf_brings_back_what_is_lost(tmp_path: Path) -> None:
    """With a shelf at hand, its yarns are offered, not a colour that is nowhere to be had."""
    few = Options(width=40, colors=5, calm=0.0, without=("proof",), aim="area", subject="none")
    kept = pix2block.chart_picture(small_sample("tallow_cat.jpg"), few)
    save(kept, tmp_path, only=["chart.json"])
    of = Options(done=pix2block.Done(5), shelf=SHELF)
    study = pix2block.open_chart(tmp_path / "chart.json", of)
    assert study.spare
    lines = [line for line in lost_lines(study) if "would need" in line]
    assert lines
    for line in lines:
        assert any(yarn.name in line for yarn in study.spare), line
        assert "#" not in line


def test_only_files_that_are_there_are_pointed_at(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    Path("grid.csv").write_text("#112233,#aabbcc\n", encoding="utf-8")
    for words, pattern in ([], "pattern.pdf or pattern.html"), (["--without", "pdf"], ""):
        assert run(["report", "grid.csv", "--out", "out", *words]) == 0
        out = capsys.readouterr().out
        assert f"{pattern or 'at, pattern.html'} to work from" in out


def test_nouns_are_short_to_look_at() -> None:
    study = badge()
    nouns = [study, study.chart, study.amounts, study.plan, study.tails, study.chart.runs]
    nouns += [study.own, study.document, study.options, study.chart.yarns[0], *study.lost]
    for noun in nouns:
        assert len(repr(noun)) <= 200, repr(noun)
        assert "\n" not in repr(noun)
    assert repr(study.chart) == "Chart('Club badge', 9 x 9 blocks, 3 yarns)"
    assert repr(Options(width=60, colors=8)) == "Options(width=60, colors=8)"


def test_what_is_begun_beside_other_files_is_the_same() -> None:
    study = Study(chart_of("0110 1001 0011"))
    (row,) = (row for row in OUTPUTS if row.begin)
    assert row.name == "pattern.pdf"
    assert row.begin is not None
    assert row.begin(study)() == row.make(study) == files_of(study)["pattern.pdf"]


def test_files_come_in_the_table_s_order_and_a_begun_one_is_waited_for() -> None:
    done: list[str] = []

    def slow() -> bytes:
        with_others.wait(10)
        done.append("slow")
        return b"slow"

    def quick(_: object) -> bytes:
        done.append("quick")
        with_others.set()
        return b"quick"

    with_others = threading.Event()
    table = [
        Output[object]("slow", "", lambda _: slow(), begin=lambda _: slow),
        Output[object]("quick", "", quick),
    ]
    before = threading.active_count()
    assert list(make_files(None, table, Options())) == ["slow", "quick"]
    assert done == ["quick", "slow"]
    assert threading.active_count() == before

    done.clear()
    assert list(make_files(None, table, Options(), beside=False)) == ["slow", "quick"]
    assert done == ["quick", "slow"]

    def broken(_: object) -> bytes:
        raise BadInput("no such thing")

    table[1] = Output("broken", "", broken)
    with_others.set()
    with pytest.raises(BadInput, match="no such thing"):
        make_files(None, table, Options())
    assert threading.active_count() == before
