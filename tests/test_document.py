"""The pattern as a document, and as plain text."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
from hypothesis import given
from makers import chart_of, charts

from pix2block.amounts.money import costs_of
from pix2block.amounts.yarn_use import amounts_of
from pix2block.chart.chart import Border, Chart
from pix2block.craft.stitches import BLOCKS
from pix2block.ground.settings import HABITS, Habit
from pix2block.pages.howto_drawings import howto_drawings
from pix2block.pattern.credit import Credit
from pix2block.pattern.document import Document, Topic
from pix2block.pattern.pattern import write_rows
from pix2block.pattern.text import document_text, pattern_text
from pix2block.pattern.words import row_lines
from pix2block.pattern.writing import write_document
from pix2block.recipes.from_file import check_chart
from pix2block.reports.shopping import shopping_text

EXACT = re.compile(
    r"(Piece|Corner|Grow|Travel|Block|Join|Full|Stop|Turn): |Rows? \d"
    r"|  (Yarn|Odd|Even|With [^:]+|\d+ times): |  (Corner|Grow|Travel)\b|  sl st into|  ss into"
)


@given(charts())
def test_prose_is_narrow_and_only_rows_begin_as_rows(chart: Chart) -> None:
    for line in pattern_text(amounts_of(chart)).splitlines():
        if line.startswith("Row"):
            assert re.match(r"Rows? \d+(,| to \d+,) ", line)
        if not EXACT.match(line):
            assert len(line) <= 78, line


def test_credit_lines_never_look_like_rows() -> None:
    credit = Credit(designer="Row House", copyright="Row 1, right side", notes=("Row 2 is fun.",))
    text = document_text(write_document(amounts_of(chart_of("01 10")), credit))
    assert "Row 1, right side" in text
    assert len(re.findall(r"^Row ", text, re.M)) == 3


@given(charts())
def test_every_row_has_its_own_lines_when_asked(chart: Chart) -> None:
    amounts = amounts_of(chart)
    entries = list(write_document(amounts, every_row=True).row_entries())
    rows = write_rows(chart, amounts.plan)
    assert [entry.rows for entry in entries] == [(row,) for row in rows]
    for entry, row in zip(entries, rows, strict=True):
        first, *more = row_lines(chart, [row])
        assert entry.first_line == first == f"{entry.head} {entry.runs}"
        assert list(entry.more_lines) == [line.strip() for line in more]


def test_gathered_rows_are_one_entry() -> None:
    amounts = amounts_of(chart_of("\n".join(["1" * 4] * 30)))
    gathered = list(write_document(amounts).row_entries())
    assert max(len(entry.rows) for entry in gathered) > 10
    assert len(list(write_document(amounts, every_row=True).row_entries())) == 33


def topics(document: Document) -> dict[str, Topic]:
    return {
        part.heading: part
        for section in document.sections
        for part in section.parts
        if isinstance(part, Topic)
    }


def document_of(text: str, **settings: object) -> Document:
    return write_document(amounts_of(chart_of(text, **settings)))


def test_only_what_the_piece_needs_is_explained() -> None:
    one = topics(document_of("1"))
    assert set(one) == {"The first block", "Putting it down", "Tails, and loops cut later"}
    plain = topics(document_of("11 11"))
    assert "Climbing the edge (Travel)" in plain
    assert not any("colour" in heading for heading in plain)
    carried = topics(document_of("0000 0001 0000 0100", habit=Habit("own", 4, 3, 1)))
    assert "Carrying yarn behind" in carried
    assert "Carrying yarn behind" not in topics(document_of("01 10", habit=HABITS["cut"]))


@pytest.mark.parametrize("hand", ["right", "left"])
@pytest.mark.parametrize("block", ["dc", "hdc"])
@pytest.mark.parametrize("terms", ["us", "uk"])
def test_topics_speak_for_the_hand_and_the_terms(hand: str, block: str, terms: str) -> None:
    found = topics(document_of("0110 1001 0011", hand=hand, block=block, terms=terms))
    chart = chart_of("0", hand=hand, block=block, terms=terms)
    first = " ".join(found["The first block"].texts)
    ways = ("right to left", "left to right")
    assert ways[hand == "left"] in first
    assert ways[hand == "right"] not in first
    made = BLOCKS[chart.block]
    assert f"Chain {made.chain_first}." in first
    every = " ".join(text for topic in found.values() for text in topic.texts)
    assert ("sl st" in every) == (terms == "us")
    assert (" ss " in every) == (terms == "uk")
    assert ("yarn round hook" in every) == (terms == "uk")
    assert f"ch-{made.chain} space" in every


def test_every_picture_that_is_named_is_drawn() -> None:
    found = topics(document_of("0000 0001 0000 0100", habit=Habit("own", 4, 3, 1)))
    named = {topic.picture for topic in found.values() if topic.picture}
    assert named <= set(howto_drawings("right", "dc", "us"))
    assert {"first block", "grow", "join", "travel", "stop", "change", "float"} == named


def test_colour_at_the_turn_tells_both_ways_and_which_is_used() -> None:
    heading = "A colour that changes at the turn"
    for turn, other in (("late", "early"), ("early", "late")):
        texts = topics(document_of("0 1 1 0".replace(" ", "\n"), turn=turn))[heading].texts
        assert f"this pattern changes {turn}" in texts[0]
        assert f"The other way is {other}" in texts[1]


def test_blocking_states_the_size_and_the_diagonal() -> None:
    """A 3-4-5 rectangle: blocks of a size that makes it 30 by 40 cm."""
    chart = chart_of("\n".join(["0" * 3] * 4))
    amounts = amounts_of(chart)
    amounts = replace(amounts, measures=replace(amounts.measures, block_cm=10.0))
    text = " ".join(document_text(write_document(amounts)).split())
    assert "Pin it to 30 × 40 cm (12 × 16 in) with both diagonals equal: 50 cm (20 in)" in text
    triangle = amounts_of(chart_of("000 00. 0..", last_row=3, start_corner="top-left"))
    text = " ".join(document_text(write_document(triangle)).split())
    assert "both diagonals" not in text
    assert "the two edges at the start corner 6 cm (2 in) each" in text


def test_a_border_is_blocked_with_the_piece() -> None:
    chart = chart_of("000 000 000")
    plain = " ".join(pattern_text(amounts_of(chart)).split())
    assert "Work it before blocking" in plain
    amounts = amounts_of(replace(chart, border=Border(2, "sc", 1)))
    assert amounts.border
    side = amounts.finished_size_cm[0] + amounts.border.added_cm
    text = " ".join(pattern_text(amounts).split())
    assert f"Pin it to {side:.0f} \u00d7 {side:.0f} cm" in text
    assert ", border included, with both diagonals equal" in text
    assert "Block after the border is worked" in text
    assert text.index("BORDER -") < text.index("FINISHING -")


def test_blocking_goes_by_fibre() -> None:
    chart = chart_of("01 10")
    named = tuple(
        replace(yarn, fibre=fibre)
        for yarn, fibre in zip(chart.yarns, ("Acrylic", "wool, superwash", None, None), strict=True)
    )
    text = " ".join(pattern_text(amounts_of(replace(chart, yarns=named))).split())
    assert "Blocking, acrylic: mist or wet it, cool; no iron and no steam" in text
    assert "Blocking, wool, superwash: wet it in cool water" in text
    assert "Fibres that are washed differently are mixed (synthetic: " in text
    plain = " ".join(pattern_text(amounts_of(chart)).split())
    assert "Blocking, fibre not named: wet, steam or mist it, only as the yarn's label" in plain


def test_pattern_and_shopping_list_agree_on_fibres() -> None:
    chart = chart_of("01 10")
    for fibres, mixed in (
        (("angora", "wool-acrylic blend"), False),
        (("lambswool", "75% merino, 25% nylon"), False),
        (("wool", "superwash wool"), True),
        (("cotton", "flax"), False),
        (("cotton", "acrylic"), True),
    ):
        yarns = [replace(y, fibre=f) for y, f in zip(chart.yarns, fibres, strict=False)]
        amounts = amounts_of(replace(chart, yarns=(*yarns, *chart.yarns[len(yarns) :])))
        for text in (pattern_text(amounts), shopping_text(amounts, costs_of(amounts))):
            flat = " ".join(text.split())
            assert ("Fibres that are washed differently are mixed (" in flat) == mixed, fibres
            assert "Fibres are mixed" not in flat
    blend = replace(chart, yarns=tuple(replace(y, fibre="wool-acrylic blend") for y in chart.yarns))
    text = " ".join(pattern_text(amounts_of(blend)).split())
    assert "cool water without rubbing and press it in a towel; no iron and no steam" in text


def test_a_yarns_note_reaches_materials_and_shopping_list() -> None:
    chart = chart_of("01 10")
    note = "washes at 40,\nfrom the fair"
    yarns = (replace(chart.yarns[0], note=note), *chart.yarns[1:])
    amounts = amounts_of(replace(chart, yarns=yarns))
    text = " ".join(pattern_text(amounts).split())
    assert text.count("note: washes at 40, from the fair") == 1
    assert "  note     washes at 40, from the fair\n" in shopping_text(amounts, costs_of(amounts))
    plain = amounts_of(chart)
    assert "note" not in shopping_text(plain, costs_of(plain))


def test_a_note_is_never_read_as_a_row() -> None:
    chart = chart_of("01 10")
    for note in ("Row 1, right side, 1 block: 1 Tar. " * 9, "Piece: nothing\nRow 2", "= " * 50):
        yarns = tuple(replace(yarn, note=note) for yarn in chart.yarns)
        noted = replace(chart, yarns=yarns)
        assert check_chart(noted).holds


def test_abbreviations_are_those_used() -> None:
    text = pattern_text(amounts_of(chart_of("01 10", block="hdc")))
    (line,) = re.findall(r"US terms: (.*)\n", text)
    assert line.startswith("ch = chain; sl st = slip stitch; hdc = half double crochet; sc =")
    assert " dc =" not in text


def test_the_words_of_yarn_lines_are_explained_where_they_occur() -> None:
    cut = pattern_text(amounts_of(chart_of("01 10", habit=HABITS["cut"])))
    assert "only: a short length" in cut
    assert "behind: carry" not in cut
