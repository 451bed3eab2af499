"""What is behind the subject: cut from it, then plain or quiet."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from PIL import Image, ImageDraw
from small import SAMPLES, small_sample

import pix2block
from pix2block.calming.charts import calmed_for
from pix2block.chart.reading import read_chart, write_chart
from pix2block.color.spaces import Bytes, rgb_array, to_hex
from pix2block.design.backdrop import (
    Proposed,
    in_few,
    own_candidates,
    propose,
    rim_of,
    smallest_step,
)
from pix2block.design.cutting import cut_out
from pix2block.design.limits import full_of, parts_of, still_of
from pix2block.design.palette import Palette
from pix2block.design.subject import SubjectMap
from pix2block.design.view import View, Viewing
from pix2block.drawing.shapes import Shape
from pix2block.ground.settings import HABITS
from pix2block.options.picture_rules import BackdropRule
from pix2block.options.table import Options
from pix2block.pages.subject_sheet import subject_sheet
from pix2block.picture.blocks import Frame
from pix2block.recipes.backdrop import Behind, behind_subject, subject_blocks
from pix2block.recipes.looking import Matters
from pix2block.trial.recipe import try_palettes
from pix2block.yarn.shelf import Shelf
from pix2block.yarn.yarn import Yarn

FUR, COAT = (206, 120, 60), (70, 60, 110)


def animal() -> tuple[Bytes, np.ndarray]:
    """(40, 40, 3) blocks of something round with a dark foot, before a blotched hedge; and where it
    is."""
    rng = np.random.default_rng(3)
    hedge = np.array([96, 132, 88]) + rng.integers(-25, 26, (10, 10, 3))
    image = Image.fromarray(hedge.astype(np.uint8)).resize((40, 40), Image.Resampling.NEAREST)
    where = Image.new("L", (40, 40), 0)
    for pen, (one, other) in (
        (ImageDraw.Draw(image), (FUR, COAT)),
        (ImageDraw.Draw(where), (1, 1)),
    ):
        pen.ellipse([11, 6, 28, 26], one)
        pen.rectangle([14, 24, 26, 34], other)
    return np.asarray(image), np.asarray(where) > 0


@pytest.fixture
def picture(tmp_path: Path) -> Path:
    Image.fromarray(animal()[0].repeat(5, axis=0).repeat(5, axis=1)).save(tmp_path / "animal.png")
    return tmp_path / "animal.png"


BOX = (22.0, 10.0, 56.0, 80.0)


MADE: dict[object, pix2block.Study] = {}


def made(picture: Path, backdrop: str, **more: object) -> pix2block.Study:
    """A chart of the animal; the same only once."""
    key = (backdrop, *sorted(more.items()))
    if key not in MADE:
        MADE[key] = charted(picture, backdrop, **more)
    return MADE[key]


def charted(picture: Path, backdrop: str, **more: object) -> pix2block.Study:
    asked = Options(width=40, colors=5, look="photo", subject=BOX, without=("pdf", "proof"))
    options = replace(asked, backdrop=BackdropRule().read(backdrop), **more)  # type: ignore[arg-type]
    return pix2block.chart_picture(picture, options)


def test_a_box_is_cut_to_the_outline() -> None:
    means, where = animal()
    share = np.zeros(where.shape)
    share[4:36, 9:31] = 0.6
    inside = cut_out(means, share)
    both = (inside & where).sum() / (inside | where).sum()
    assert both > 0.95  # the box alone: 0.6
    assert not inside[share == 0].any()


def test_a_plain_backdrop_is_one_yarn_and_the_subject_is_not_in_it(picture: Path) -> None:
    study = made(picture, "plain")
    _, where = animal()
    assert study.subject is not None
    inside = study.subject.inside
    chart = study.chart
    (yarn,) = np.unique(chart.blocks[~inside]).tolist()
    assert (inside & where).sum() / (inside | where).sum() > 0.95
    steps = smallest_step(chart.yarn_rgb, chart.blocks, inside)
    assert steps.min() >= 10
    (told,) = [line for line in study.decisions if "The backdrop is one yarn" in line]
    assert chart.yarns[yarn].color in told
    assert study.plan.tails < made(picture, "keep").plan.tails / 2
    assert not any("same yarn" in line or "hedge" in line for line in study.notes)
    assert not study.lost  # what was behind is not missed


def test_a_plain_backdrop_in_a_yarn_that_is_named(picture: Path) -> None:
    own = made(picture, "plain:navy")
    assert own.subject is not None
    inside = own.subject.inside
    behind = own.chart.yarn_rgb[own.chart.blocks[~inside]]
    assert (behind == behind[0]).all()
    assert behind[0][2] > behind[0][0]
    shelf = str(SAMPLES / "shelf_24.csv")
    of_shelf = made(picture, "plain:fog", shelf=shelf).chart
    names = {of_shelf.yarns[number].name for number in np.unique(of_shelf.blocks[~inside]).tolist()}
    assert names == {"Fog"}
    with pytest.raises(pix2block.BadInput, match="Fogg"):
        made(picture, "plain:Fogg", shelf=shelf)


def test_the_outline_is_drawn_on_the_picture_itself(picture: Path) -> None:
    """A wrong cut is seen only where what was cut away is."""
    plain, keep = (made(picture, words) for words in ("plain", "keep"))
    assert plain.view is not None
    assert keep.view is not None
    assert plain.subject is not None
    assert (plain.view.means != keep.view.means).any()
    shown = subject_sheet(plain.chart.title, keep.view.means, plain.subject)
    squares = [
        [item for item in sheet.items if isinstance(item, Shape)]
        for sheet in (plain.subject_sheet, shown)
    ]
    assert squares[0] == squares[1]


def test_the_proposed_yarn_is_never_the_rims_own() -> None:
    means, where = animal()
    candidates = rgb_array(["#ce783c", "#463c6e", "#60844a", "#f2efe6"])
    assert propose(means, where, candidates).number in (2, 3)
    best = propose(means, where, own_candidates(means, where))
    assert best.contrast > 20
    assert rim_of(where).sum() < where.sum()


def test_a_quiet_backdrop_has_few_yarns_and_large_pieces(picture: Path) -> None:
    from scipy.ndimage import label

    study = made(picture, "quiet:2", calm=0)
    keep = made(picture, "keep", calm=0)
    assert study.subject is not None
    behind = ~study.subject.inside
    yarns = np.unique(study.chart.blocks[behind]).tolist()
    assert len(yarns) <= 2
    sizes = [
        size
        for yarn in yarns
        for size in np.bincount(label((study.chart.blocks == yarn) & behind)[0].ravel())[1:]
    ]
    assert min(sizes) >= 6
    assert study.plan.tails < 0.7 * keep.plan.tails


def test_a_quiet_backdrop_keeps_off_the_subjects_yarns() -> None:
    """What is behind is nearest to the coat's own yarn, and takes the other one."""
    colors = rgb_array(["#7a3030", "#86403a", "#a8655c"])
    inside = np.zeros((20, 20), dtype=bool)
    inside[5:20, 6:14] = True
    blocks = np.where(inside, 0, 1)
    matched = np.where(inside[..., None], colors[0], np.array([124, 56, 54], dtype=np.uint8))
    yarns = tuple(Yarn(f"Yarn {i}", to_hex(color)) for i, color in enumerate(colors))
    quiet = in_few(Palette(yarns, blocks, matched), inside, 1)
    assert smallest_step(colors, blocks, inside).max() < 10
    assert smallest_step(colors, quiet.blocks, inside).min() > 10
    assert (quiet.blocks[inside] == blocks[inside]).all()


def test_a_drawn_outline_is_taken_as_it_is(picture: Path) -> None:
    corners = (25.0, 10.0, 75.0, 10.0, 75.0, 90.0, 25.0, 90.0)
    study = made(picture, "plain", subject=corners)
    assert study.subject is not None
    assert study.subject.inside[4:36, 10:30].all()
    assert study.subject.inside.sum() == 32 * 20


def test_flat_art_gets_a_backdrop_in_a_color_of_its_own() -> None:
    ring = (2.0, 2.0, 96.0, 96.0)
    options = Options(width=40, colors=4, subject=ring, backdrop=BackdropRule().read("plain"))
    study = pix2block.chart_picture(small_sample("club_badge.png"), options)
    assert study.subject is not None
    drawn = {"#1f3a50", "#f5ecd8", "#e0a23c", "#3f8c8c"}
    assert {yarn.color for yarn in study.chart.yarns} <= drawn
    assert len(np.unique(study.chart.blocks[~study.subject.inside])) == 1


def test_another_backdrop_starts_from_the_picture_again(picture: Path) -> None:
    plain, keep = made(picture, "plain"), made(picture, "keep")
    assert plain.view is not None
    again = pix2block.chart_picture(
        plain.view, Options(width=40, colors=5, look="photo", subject=BOX, without=("pdf", "proof"))
    )
    assert (again.chart.blocks == keep.chart.blocks).all()


@pytest.mark.parametrize(
    ("asked", "match"),
    [
        ({"subject": "none"}, "needs to know what the picture is of"),
        ({"subject": (0.0, 0.0, 100.0, 100.0, 100.0, 0.0)}, None),
    ],
)
def test_without_a_subject_there_is_no_backdrop(
    picture: Path, asked: dict[str, object], match: str | None
) -> None:
    if match is None:
        made(picture, "plain", **asked)
        return
    with pytest.raises(pix2block.BadInput, match=match):
        made(picture, "plain", **asked)


@pytest.mark.parametrize("words", ["", "plain:", "quiet:0", "quiet:x", "loud", "keep:2"])
def test_words_that_are_no_backdrop(words: str, picture: Path) -> None:
    with pytest.raises(pix2block.BadInput, match="keep, quiet"):
        made(picture, words)


def test_a_plain_backdrop_stays_when_calmed_for_another_corner(picture: Path) -> None:
    """The chart keeps what calming is to leave, whoever reads it from its file."""
    study = made(picture, "plain")
    chart, _ = read_chart(write_chart(study.chart), "chart.json")
    assert study.subject is not None
    inside = study.subject.inside
    (yarn,) = np.unique(chart.blocks[~inside]).tolist()
    assert still_of(chart)[~inside].all()
    assert not still_of(chart).all()
    assert full_of(chart) == (yarn,)
    assert parts_of(chart)
    other = calmed_for(chart, "top-left", HABITS["carry"])
    assert other is not None
    assert (other.blocks[~inside] == yarn).all()
    mended = replace(chart.source, means=255 - chart.source.means) if chart.source else None
    assert not still_of(replace(chart, source=mended)).any()  # another picture's


def test_on_trial_each_palette_is_judged_against_its_own_backdrop(picture: Path) -> None:
    """Both yarns for the backdrop are far apart, and neither is an error in its own chart."""
    shelves = []
    for name, backdrop in (("snow", "#F4F4F0"), ("night", "#10142A")):
        shelf = picture.with_name(f"{name}.csv")
        colors = {"Fur": "#ce783c", "Coat": "#463c6e", "Ground": backdrop}
        lines = "".join(f"{yarn},{color}\n" for yarn, color in colors.items())
        shelf.write_text(f"name,color\n{lines}", encoding="utf-8")
        shelves.append(str(shelf))
    asked = Options(
        width=40, look="photo", subject=BOX, backdrop=BackdropRule().read("plain:Ground"), calm=0
    )
    tried = try_palettes(picture, shelves, [asked]).tried
    assert max(one.near for one in tried) < 3
    assert all(not one.lost for one in tried)


# The stage by itself, on a red patch in a meadow

MEADOW, RED = (96, 132, 88), (200, 40, 40)


def patch(look: str = "photo", told: bool = True) -> tuple[View, Matters]:
    """(8, 8) blocks, the middle ones red, and what matters in them: the patch."""
    share = np.zeros((8, 8))
    share[2:6, 2:6] = 1
    means = np.where(share[..., None] > 0, RED, MEADOW).astype(np.uint8)
    frame = Frame(0.0, 0.0, 10.0, 8, 8)
    viewing = Viewing(8, 8, (0.0, 0.0, 100.0, 100.0), "auto", "keep")
    view = View(None, viewing, look, frame, means, means)  # type: ignore[arg-type]
    ones = np.ones((8, 8))
    spots = np.zeros((0, 3), dtype=np.uint8)
    return view, Matters(means, ones, (), spots, ones, subject=SubjectMap(share, 0.5, told))


DRAWN = (25.0, 25.0, 75.0, 25.0, 75.0, 75.0)  # three corners: taken as it is
WOOL = Shelf((Yarn("Snow", "#f4f4f0"), Yarn("Rust", "#c03028"), Yarn("Reed", "#6a8050")))
NONE = Shelf(())


def behind(words: str, shelf: Shelf = NONE, read_as: str = "photo", **more: object) -> Behind:
    asked = Options(backdrop=BackdropRule().read(words), subject=DRAWN)
    return behind_subject(*patch(read_as), shelf, replace(asked, **more))  # type: ignore[arg-type]


def test_a_backdrop_of_a_shelf_is_locked_and_one_of_ones_own_is_a_spot() -> None:
    own, bought = behind("plain:#203040"), behind("plain:snow", WOOL)
    assert (own.plain, own.few, own.options.lock) == ("#203040", 0, None)
    assert own.matters.spots.tolist() == [[0x20, 0x30, 0x40]]
    assert (bought.plain, bought.options.lock) == ("#f4f4f0", ("Snow",))
    assert len(bought.matters.spots) == 0
    assert own.inside is not None
    assert (own.view.means[~own.inside] == (0x20, 0x30, 0x40)).all()
    assert (own.view.means[own.inside] == RED).all()
    both = behind("plain:snow", WOOL, lock=("Rust",))
    assert both.options.lock == ("Rust", "Snow")


def test_a_backdrops_yarn_is_proposed_from_what_is_allowed() -> None:
    assert behind("plain", WOOL).plain == "#6a8050"  # the meadow's own
    assert behind("plain", WOOL, ban=("reed",)).plain == "#f4f4f0"
    assert behind("plain", read_as="flat").plain == "#608458"
    with pytest.raises(pix2block.BadInput, match='unknown yarn "Reed"'):
        behind("plain:Reed", WOOL, ban=("Reed",))
    with pytest.raises(pix2block.BadInput, match="look tones takes its yarns from light and dark"):
        behind("plain", look="tones")


def test_how_clear_a_backdrop_is_of_the_outline_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    for contrast, told in ((10.0, "by 10 or more"), (9.9, "a difference of 10"), (31, "by 31 or")):
        proposed = Proposed(0, contrast)
        monkeypatch.setattr("pix2block.recipes.backdrop.propose", lambda *_, one=proposed: one)
        assert told in behind("plain", WOOL).matters.decisions[-1]


def test_a_quiet_backdrop_keeps_the_subject_and_has_so_many_yarns() -> None:
    quiet = behind("quiet:3")
    assert (quiet.few, quiet.plain) == (3, "")
    assert quiet.matters.subject is not None
    assert quiet.matters.subject.share.tolist() == patch()[1].subject.inside.tolist()  # type: ignore[union-attr]
    assert "drawn in 3 yarns" in quiet.matters.decisions[-1]


def test_what_was_found_clearly_can_be_cut_out_too(monkeypatch: pytest.MonkeyPatch) -> None:
    """What is cut is what was drawn as a box, or found; a photo's box counts half of its own."""
    monkeypatch.setattr("pix2block.recipes.backdrop.cut_out", lambda _, share: share)
    view, matters = patch(told=False)
    assert matters.subject is not None
    whole = matters.subject.share
    assert (subject_blocks(view, matters.subject, Options()) == whole).all()
    told = SubjectMap(whole, told=True)
    view.__dict__["subject"] = SubjectMap(np.full((8, 8), 0.6))
    box = Options(subject=(25.0, 25.0, 50.0, 50.0))
    assert subject_blocks(view, told, box) == pytest.approx(0.8 * whole)
    assert (subject_blocks(replace(view, look="flat"), told, box) == whole).all()
    assert (subject_blocks(view, told, Options(subject=DRAWN)) == told.inside).all()
    monkeypatch.undo()
    quiet = behind_subject(view, matters, NONE, Options(backdrop=BackdropRule().read("quiet:2")))
    assert quiet.few == 2


@pytest.mark.parametrize("share", [0.0, 1.0])
def test_all_or_nothing_is_no_backdrop(share: float) -> None:
    view, matters = patch()
    matters = replace(matters, subject=SubjectMap(np.full((8, 8), share), told=True))
    asked = Options(backdrop=BackdropRule().read("quiet:2"), subject=DRAWN)
    with pytest.raises(pix2block.BadInput, match="leaves nothing before a backdrop, or nothing"):
        behind_subject(view, matters, NONE, asked)
