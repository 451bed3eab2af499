"""One chart in several colourways: roles, what is told apart, and the sheet."""

from __future__ import annotations

import csv
import json
from pathlib import Path

import numpy as np
import pytest
from makers import chart_of

from pix2block.chart.made import made_up_to
from pix2block.chart.reading import read_chart, write_chart
from pix2block.colorways.colorway import Colorways, colorway_of, materials
from pix2block.colorways.roles import cast, in_yarns, roles_of
from pix2block.command.cli import run
from pix2block.ground.errors import BadInput
from pix2block.yarn.yarn import Yarn

ROLES = ("Ground", "Ring", "Cap")
CHART = chart_of("000000 011110 010010 022220 000000")  # Moss, Chalk, Moss 2: three roles


def yarns(*names: str) -> list[Yarn]:
    colors = ("#102030", "#f0e0d0", "#a04020", "#508060")
    return [Yarn(name, color) for name, color in zip(names, colors, strict=False)]


@pytest.mark.parametrize(
    ("shelf", "taken"),
    [
        (("A", "B", "C"), "A B C"),
        (("Ring", "B", "Ground"), "Ground Ring B"),
        (("cap", "Ring red", "B", "Ground"), "Ground Ring red cap"),
        (("Ringed", "Ring one", "Ring", "B"), "Ringed Ring Ring one"),
    ],
)
def test_a_role_goes_by_name_then_by_order(shelf: tuple[str, ...], taken: str) -> None:
    assert " ".join(yarn.name for yarn in cast(ROLES, yarns(*shelf))) == taken


def test_a_shelf_of_too_few_is_refused() -> None:
    with pytest.raises(BadInput, match=r"2 yarns for 3 roles \(Ground, Ring, Cap\)"):
        cast(ROLES, yarns("A", "B"))


def test_blocks_and_strands_stay_and_yarns_change() -> None:
    assert roles_of(CHART) == ("Moss", "Chalk", "Moss 2")
    swapped = in_yarns(made_up_to(CHART, 3), yarns("Chalk", "Moss", "Tar"))
    assert (swapped.blocks == CHART.blocks).all()
    assert [yarn.name for yarn in swapped.yarns] == ["Chalk", "Moss", "Tar"]
    assert swapped.done is None
    first = colorway_of("As charted", in_yarns(CHART, CHART.yarns[:3]))
    other = colorway_of("Other", swapped, first)
    assert other.amounts.plan.tails == CHART.plan.tails
    assert [of.blocks for of in other.amounts.yarns] == CHART.blocks_by_yarn[:3].tolist()


def judged(*colors: str) -> list[str]:
    """What is said of the chart in these colours; as charted its roles are told apart."""
    own = [Yarn("Ground", "#101010"), Yarn("Ring", "#f0f0f0"), Yarn("Cap", "#808080")]
    first = colorway_of("As charted", in_yarns(CHART, own))
    other = [Yarn(f"Y{i}", color) for i, color in enumerate(colors)]
    second = colorway_of("Other", in_yarns(CHART, other), first)
    return Colorways("Piece", ROLES, (first, second)).said_of(second)


def test_what_touches_is_judged_in_grey_and_for_other_eyes() -> None:
    (said,) = judged("#101010", "#f0f0f0", "#909090")
    assert said.startswith("Roles that touch are told apart, in grey and by other eyes too")
    assert judged("#808080", "#f0f0f0", "#828282")[0] == (
        "Ground and Cap, which touch, are hardly told apart"
    )
    red, green = "#b04a3a", "#757a35"  # of one lightness, alike without green cones
    (said,) = (s for s in judged(red, "#f8f8f8", green) if "hardly" in s)
    assert said.startswith("Ground and Cap, which touch, are hardly told apart without green cones")
    assert "Light and dark change places, most of all between Ground and Ring" in judged(
        "#f0f0f0", "#101010", "#808080"
    )


def test_materials_stand_in_columns() -> None:
    own = CHART.yarns[:3]
    first = colorway_of("As charted", in_yarns(CHART, own))
    other = colorway_of("Other", in_yarns(CHART, yarns("A", "B", "C")), first)
    table = materials(Colorways("Piece", roles_of(CHART), (first, other)))
    assert [len(row) for row in table] == [2, 2, 2]
    assert table[0][0].startswith("Moss: ")
    assert table[0][0].endswith("1 skein")
    assert table[2][1].startswith("C: ")


def test_the_command(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    kept = tmp_path / "piece" / "chart.json"
    kept.parent.mkdir()
    kept.write_bytes(write_chart(CHART))
    shelves = []
    for name, lines in (("dusk", "A,#102030 B,#f0e0d0 C,#a04020"), ("few", "A,#102030 B,#f0e0d0")):
        path = tmp_path / f"{name}.csv"
        path.write_text("name,color\n" + "\n".join(lines.split()), encoding="utf-8")
        shelves.append(str(path))
    out = tmp_path / "out"
    words = ["recolor", str(kept), shelves[0], shelves[0], "--out", str(out)]
    assert run([*words, "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert told["roles"] == ["Moss", "Chalk", "Moss 2"]
    assert [one["name"] for one in told["colorways"]] == ["As charted", "Dusk", "Dusk 2"]
    assert {path.name for path in out.iterdir()} == {
        *("colorways.pdf", "colorways.csv", "chart_dusk.json", "chart_dusk_2.json")
    }
    assert (out / "colorways.pdf").read_bytes().startswith(b"%PDF")
    chart = read_chart((out / "chart_dusk.json").read_bytes(), "c")[0]
    assert np.array_equal(chart.blocks, CHART.blocks)
    with (out / "colorways.csv").open(encoding="utf-8", newline="") as file:
        lines_told = list(csv.DictReader(file))
    assert [line["yarn"] for line in lines_told[3:6]] == ["A", "B", "C"]
    before = {path.name: path.read_bytes() for path in out.iterdir()}
    assert run(words) == 0
    assert before == {path.name: path.read_bytes() for path in out.iterdir()}
    capsys.readouterr()
    assert run(["recolor", str(kept), shelves[1], "--out", str(tmp_path / "no")]) == 2
    assert "few.csv: 2 yarns for 3 roles" in capsys.readouterr().err
    assert not (tmp_path / "no").exists()
