"""The pattern's files: the chart's own edition and the others."""

from __future__ import annotations

import io
from pathlib import Path

import pytest
from makers import YARNS, chart_of, end_early
from pypdf import PdfReader

from pix2block.amounts.yarn_use import amounts_of
from pix2block.chart.chart import Chart
from pix2block.command.cli import run
from pix2block.drawing.glyphs import missing
from pix2block.drawing.typesetter import CannotSet
from pix2block.ground.settings import HANDS, TERMS
from pix2block.options.table import Options
from pix2block.pattern.credit import Credit
from pix2block.recipes.from_file import check_chart
from pix2block.recipes.outputs import files_of
from pix2block.study.editions import Edition, check_pattern, editions_of, for_hand, printable
from pix2block.study.study import Study
from pix2block.yarn.yarn import Yarn

QUICK = Options(without=("pdf",))


def example(**settings: object) -> Chart:
    return chart_of("0110 1001 0011", **settings)


def own_of(chart: Chart, options: Options) -> Edition:
    return Study(chart, options=options).own


def test_all_editions_are_each_hand_in_each_countrys_terms() -> None:
    options = Options(editions="all", without=("pdf",))
    study = Study(example(terms="uk"), options=options)
    assert [*study.editions] == ["", *(f"{h}-{t}" for h in HANDS for t in TERMS)]
    for name, edition in study.editions.items():
        chart = edition.amounts.chart
        hand, terms = name.split("-") if name else ("right", "uk")
        assert (chart.hand, chart.terms) == (hand, terms)
        assert f"{hand} hand" in edition.text
        assert f"{terms.upper()} terms" in edition.text
        corner = "bottom right" if hand == "right" else "bottom left"
        assert f"start corner {corner}" in edition.text
        assert (chart.blocks == study.chart.blocks).all()
        assert check_pattern(edition.amounts, edition.text).holds
    assert study.editions["right-uk"] is study.own
    files = {name for name in files_of(study) if name.startswith("pattern")}
    named = ("pattern", *(f"pattern.{name}" for name in study.editions if name))
    assert files == {f"{name}.{ending}" for name in named for ending in ("txt", "html")}


@pytest.mark.parametrize("last_row", [6, 4])
def test_any_edition_can_be_checked_against_the_chart(last_row: int, tmp_path: Path) -> None:
    """Also where the piece ends early and so keeps its corner; a slip in it is still found."""
    blocks = end_early(chart_of("0123 1230 2013").blocks, last_row, "bottom-right")
    chart = Chart("Test piece", blocks, YARNS, last_row)
    place = tmp_path / "pattern.txt"
    for edition in editions_of(amounts_of(chart), Options(editions="all")).values():
        place.write_text(edition.text, encoding="utf-8")
        proof = check_chart(chart, place)
        assert proof.holds, proof.faults
        other = "left" if edition.amounts.chart.hand == "right" else "right"
        told = edition.text.replace(f"{edition.amounts.chart.hand} hand", f"{other} hand")
        place.write_text(told, encoding="utf-8")
        assert not check_chart(chart, place).holds
    place.write_text(edition.text.replace("bottom", "top", 1), encoding="utf-8")
    assert not check_chart(chart, place).holds


def test_one_edition_unless_more_are_asked_for() -> None:
    assert [*editions_of(amounts_of(example()), QUICK)] == [""]


def test_the_other_hand_starts_at_the_mirrored_corner() -> None:
    chart = example(start_corner="top-right")
    left = for_hand(chart, "left")
    assert (left.start_corner, left.hand) == ("top-left", "left")
    assert (left.blocks == chart.blocks).all()
    assert for_hand(chart, "right") is chart
    early = chart_of("000 00. 0..", last_row=3, start_corner="top-left")
    assert for_hand(early, "left").start_corner == "top-left"


def test_stripes_keep_their_corner_in_the_other_hand() -> None:
    """From the mirrored one every row would run across all of them."""
    stripes = chart_of("3210 2103 1032", start_corner="bottom-right", last_row=6)
    left = for_hand(stripes, "left")
    assert (left.start_corner, left.hand) == ("bottom-right", "left")
    assert left.plan.strands == stripes.plan.strands
    assert len(left.runs) == left.last_row
    one = chart_of("00 00", start_corner="bottom-right")
    assert for_hand(one, "left").start_corner == "bottom-left"


@pytest.mark.usefixtures("unset_pages")
def test_files_of_a_report() -> None:
    files = files_of(Study(example(), options=Options(editions="all")))
    for name in ("", ".right-us", ".left-uk"):
        for ending in ("txt", "html", "pdf"):
            assert files[f"pattern{name}.{ending}"]
    assert files["pattern.right-us.pdf"] == files["pattern.pdf"]
    files = files_of(Study(example(), options=QUICK))
    assert "pattern.pdf" not in files
    assert "pattern.html" in files


def test_paper_and_every_row_reach_the_files() -> None:
    chart = chart_of("\n".join(["1" * 3] * 12))
    options = Options(page="phone", every_row=True)
    edition = own_of(chart, options)
    (page, *_) = PdfReader(io.BytesIO(edition.pdf)).pages
    assert float(page.mediabox.width) == pytest.approx(90 / 25.4 * 72, abs=0.1)
    assert edition.text.count("\nRow ") == 14
    assert edition.html.count('<li id="row-') == 14
    edition = own_of(chart, QUICK)
    assert edition.text.count("\nRow ") < 14


NAMES = (Yarn("\u82d4 Moss", "#5c6b3c"), Yarn("Yarn 1 moss", "#f1ede2"))


def unusual() -> Chart:
    chart = chart_of("01 10")
    return Chart("\u706f Lantern", chart.blocks, NAMES, chart.last_row)


def test_names_that_the_font_lacks_are_told_otherwise() -> None:
    credit = Credit(designer="\u706f", notes=("Made by \u706f for all.", "\u706f"))
    amounts, shown, told = printable(amounts_of(unusual()), credit)
    names = [yarn.name for yarn in amounts.chart.yarns]
    assert names[0].startswith("Yarn 1 ")
    assert names[1] == "Yarn 1 moss"
    assert len(set(names)) == 2
    assert amounts.chart.title == "Lantern"
    assert (shown.designer, shown.notes) == (None, ("Made by \u2026 for all.",))
    assert not any(missing(text) for text in (*names, amounts.chart.title, *shown.notes))
    assert len(told) == 3
    assert '"\u82d4"' in told[0]
    assert printable(amounts_of(example()), Credit())[2] == ()


def test_a_note_says_so_and_only_the_pdf_is_changed() -> None:
    edition = own_of(unusual(), Options())
    assert "\u82d4 Moss" in edition.text
    assert "\u82d4 Moss" in edition.html
    words = PdfReader(io.BytesIO(edition.pdf)).pages[0].extract_text()
    assert "Yarn 1 " in words
    assert len(edition.notes) == 2
    assert "letters system" in edition.notes[0]


def test_system_letters_are_tried_when_asked_for(monkeypatch: pytest.MonkeyPatch) -> None:
    asked = []

    def fake(
        _document: object, _pictures: object, _paper: object, system_fonts: bool, _holds: object
    ) -> bytes:
        asked.append(system_fonts)
        if system_fonts and len(asked) > 1:
            raise CannotSet("no font")
        return b"%PDF"

    monkeypatch.setattr("pix2block.study.editions.set_pdf", fake)
    options = Options(letters="system")
    edition = own_of(unusual(), options)
    assert (edition.notes, edition.pdf, asked) == ((), b"%PDF", [True])
    edition = own_of(unusual(), options)
    assert (edition.pdf, asked) == (b"%PDF", [True, True, False])
    assert "no font of this machine has them all" in edition.notes[0]


def test_a_credit_reaches_every_file(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    credit = tmp_path / "credit.toml"
    credit.write_text('designer = "Lantern Boathouse"\nnotes = "For the ferry Dunlin."\n')
    edition = own_of(example(), Options(credit=str(credit)))
    for text in (edition.text, edition.html):
        assert "Designed by Lantern Boathouse" in text
        assert "For the ferry Dunlin." in text
    words = PdfReader(io.BytesIO(edition.pdf)).pages[0].extract_text()
    assert "Designed by Lantern Boathouse" in words
    grid = tmp_path / "grid.csv"
    grid.write_text("#112233,#aabbcc\n")
    credit.write_text('designr = "x"\n')
    out = tmp_path / "out"
    assert run(["report", str(grid), "--credit", str(credit), "--out", str(out)]) == 2
    said = capsys.readouterr().err
    assert said.count("\n") == 1
    assert 'did you mean "designer"?' in said
    assert not out.exists()
