"""The table of files: the same bytes through every door, and only what is asked for."""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from dataclasses import fields
from pathlib import Path
from typing import Any

import pytest
from makers import chart_of
from readme_table import EVERY

import pix2block
from pix2block.command.cli import run
from pix2block.ground.errors import BadInput
from pix2block.ground.settings import EXTRAS
from pix2block.options.table import Options
from pix2block.recipes.outputs import OUTPUTS, files_of, save
from pix2block.study.study import Study

SAMPLES = Path(__file__).parent.parent / "sample_images"
BADGE, SHELF = str(SAMPLES / "club_badge.png"), str(SAMPLES / "shelf_24.csv")
MAKER, SCARF = str(SAMPLES / "maker.toml"), str(SAMPLES / "ferry_scarf.toml")


def contents(folder: Path) -> dict[str, str]:
    return {p.name: hashlib.sha256(p.read_bytes()).hexdigest() for p in folder.iterdir()}


def badge() -> Study:
    of = Options(width=14, colors=3, shelf=SHELF, maker=MAKER, distance=3.0, calm=2.0, curve=True)
    return pix2block.chart_picture(BADGE, of)


def reported() -> Study:
    kept = pix2block.chart_picture(BADGE, Options(width=14, colors=3, shelf=SHELF))
    save(kept, "kept", only=["chart.json"])
    of = Options(done=pix2block.Done(9), shelf=SHELF, page="phone", editions="all", compare="ways")
    return pix2block.open_chart("kept/chart.json", of)


def trial() -> Any:
    of = [Options(width=12, colors=n) for n in (3, 4)]
    return pix2block.try_palettes(BADGE, [SHELF], of)


DOORS: dict[str, tuple[Callable[[], Any], str]] = {
    "chart": (
        badge,
        f"chart {BADGE} --width 14 --colors 3 --shelf {SHELF} --maker {MAKER} --distance 3m "
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
    "trial": (trial, f"trial {BADGE} {SHELF} --width 12 --colors 3,4"),
}


@pytest.mark.parametrize("job", DOORS)
def test_the_same_bytes_through_every_door(
    job: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    make, words = DOORS[job]
    paths = save(make(), "from_python")
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
    usual = {row.name for row in OUTPUTS if not row.option}
    assert set(files_of(chart)) == usual
    less = Study(chart, options=Options(without=("pdf", "preview", "proof")))
    assert set(files_of(less)) == usual - {"pattern.pdf", "preview.png"}
    ways = Study(chart, options=Options(compare="ways", without=("pdf", "preview", "proof")))
    assert set(files_of(ways)) - set(files_of(less)) == {"ways.csv"}


def test_one_file_costs_no_other(monkeypatch: pytest.MonkeyPatch) -> None:
    """A single file is made without the pattern, its proof, or a search."""

    def refuse(*_: Any, **__: Any) -> None:
        raise AssertionError("not asked for")

    for name in ("editions_of", "better_ways", "lost_features", "one_more_yarn", "compare_ways"):
        monkeypatch.setattr(f"pix2block.study.study.{name}", refuse)
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


def test_nothing_is_worked_out_twice(monkeypatch: pytest.MonkeyPatch) -> None:
    """Files and words of one piece: one document, one numbering of bobbins, one look at tails, one
    search for each remedy."""
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
    counted("pix2block.craft.strands.number_bobbins")
    counted("pix2block.amounts.yarn_use.find_tails")
    counted("pix2block.study.study.amounts_of")
    counted("pix2block.study.study.chart_sheet")
    counted("pix2block.study.study.lost_features")
    counted("pix2block.study.study.tails_before_calming")
    counted("pix2block.study.editions.prove")
    counted("pix2block.study.study.one_more_yarn")
    files_of(study)
    pix2block.study_lines(study)
    pix2block.note_lines(study)
    pix2block.summary(study)
    remedies = count.pop("one_more_yarn", 0)
    assert remedies == len(study.remedies)
    assert set(count.values()) == {1}, count
