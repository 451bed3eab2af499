"""The house keeps its floors: a file imports only from files before it."""

from __future__ import annotations

import ast
import subprocess
from functools import cache
from pathlib import Path

import conftest
import pytest

PACKAGE = Path(__file__).parent.parent / "pix2block"

# From the ground up; the doors stand at the end.
ORDER = """
ground.frozen ground.advice ground.errors ground.toml ground.nouns ground.forms ground.units
ground.quantities
ground.progress ground.delimited ground.swap ground.files ground.settings
color.spaces color.notation color.difference color.vision color.deficiency color.names
color.yarn_color
craft.diagonal craft.runs craft.stitches craft.row_stitches craft.plan craft.strands craft.tails
craft.border
yarn.weights yarn.guess yarn.yarn yarn.fibres yarn.mixed yarn.palette_file yarn.columns yarn.shelf
yarn.swatch yarn.swatch_file yarn.photographed
picture.profile picture.heif picture.memory picture.picture picture.blocks picture.faces
picture.shares picture.artwork picture.strokes picture.symmetry picture.lettering
chart.terms chart.title chart.source chart.mend chart.done chart.chart chart.made
chart.yarn_order chart.chart_file chart.reading chart.drawn chart.xlsx chart.grid
proof.parts proof.definitions proof.lines proof.told proof.reader proof.rows proof.fabric
proof.bobbins proof.hook proof.compare
amounts.under_way amounts.measures amounts.border amounts.endings amounts.bobbins
amounts.yarn_use amounts.money amounts.ways amounts.run_out amounts.rip_back
design.k_median design.refine design.attention design.share_out design.stock design.palette
design.tone design.tones design.masks design.features design.kept_features design.limits
design.subject design.parts
design.edges design.outlines design.sides design.specks design.legible design.eye
design.likeness design.flat_art design.view design.cutting design.backdrop
design.areas design.hues design.area_words design.remedies
design.stand_in design.within_shelf
calming.state calming.kernel
calming.links calming.guards calming.edges calming.setting_up calming.task calming.search
calming.calm calming.charts calming.curve
pattern.pattern pattern.bands pattern.words pattern.document pattern.credit pattern.winding
pattern.row_units pattern.stripe_table pattern.yarn_words
pattern.front pattern.abbreviations pattern.care pattern.howto pattern.writing
pattern.text
drawing.style drawing.marks drawing.shapes drawing.symbols drawing.svg_blocks drawing.svg
drawing.web_fonts drawing.typesetter drawing.apart drawing.pdf_picture drawing.png drawing.views
drawing.glyphs
pages.yarn_key pages.chart_parts pages.chart_pages pages.chart_sheet pages.held
pages.strip_lines pages.row_strip pages.block_symbols pages.howto_drawings pages.paper
pages.preview pages.pattern_pictures pages.shelf_sheet pages.subject_sheet pages.shipped
pages.hookside_data pages.hookside
pages.web_rows pages.web_entries pages.web_page pages.pdf_rows pages.pdf_stripes
pages.pdf
pages.calm_sheet
mending.places mending.made mending.asked mending.journal mending.yarn_verbs mending.block_verbs
mending.shapes mending.grids mending.alphabet mending.lettering mending.placing
mending.calming_verbs mending.verbs mending.words mending.apply
mending.back
options.progress_file
options.rules options.picture_rules options.yarn_rules options.goal_rules options.asking
options.table options.swatch options.mends options.goals options.maker
options.send options.opening
study.output study.editions study.worked study.ways study.remade study.study
reports.tables reports.lines_sheet reports.workbook reports.shopping reports.forecast
reports.summary reports.ways_words
reports.words
recipes.supplies recipes.grids recipes.as_asked recipes.subject_map recipes.looking
recipes.tones recipes.backdrop recipes.yarns
recipes.from_picture recipes.rest recipes.from_file recipes.keeping recipes.by_hand
recipes.mended
recipes.replay recipes.again recipes.making recipes.outputs recipes.swatch
stripes.yarn_ends stripes.edges stripes.plan stripes.toml_file stripes.plan_file stripes.steps
stripes.laying stripes.spans stripes.plan_check stripes.piece stripes.fill stripes.made
stripes.connect stripes.words stripes.sheet stripes.connect_sheet stripes.striped stripes.recipe
trial.neighbours trial.trial trial.swaps trial.tried trial.views trial.words trial.figures
trial.sheet trial.picture trial.subject trial.recipe
comparing.compared comparing.page comparing.sheets comparing.recipe
colorways.roles colorways.colorway colorways.sheet colorways.recipe
estimate.piece estimate.goals estimate.grid estimate.search estimate.answer estimate.said
estimate.other_ways estimate.words estimate.table estimate.page estimate.recipe
sending.folder sending.server
web.words web.light web.cropped web.seen web.rows web.changes web.stripe
web.jobs web.wanted web.again web.choices
web.slip_nouns web.plan web.letters web.rest web.kinds web.evenings
web.paragraph web.log web.states
web.slip_sizes web.slip_picture web.slip_yarns web.advice web.palettes
web.slips web.shelf_photo web.pasted web.chosen
web.session web.pending web.shown web.since web.plan_away
web.subject web.aside
web.phone web.making web.finding web.instead web.table web.guard web.answering
web.address web.files_away web.picture_requests web.requests web.server
command.say command.ending command.help command.program command.progress command.trial command.mend
command.send command.compare command.recolor command.estimate command.worktable command.cli
"""
FLOORS = ORDER.split()
KNOWN = {f"pix2block.{module}" for module in FLOORS} | {"pix2block"}


@cache
def imports_of(path: Path) -> frozenset[str]:
    """Modules of the package that a file imports, wherever in the file."""
    found = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}: relative import"
            base = node.module or ""
            names = {f"{base}.{alias.name}" for alias in node.names}
            found |= {base, *names}
        elif isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
    return frozenset(found & KNOWN)


def modules() -> dict[str, Path]:
    paths = [p for p in PACKAGE.rglob("*.py") if p.name not in ("__init__.py", "__main__.py")]
    return {".".join(p.relative_to(PACKAGE).with_suffix("").parts): p for p in paths}


def test_every_file_has_its_place() -> None:
    assert sorted(modules()) == sorted(FLOORS)


def test_imports_go_one_way() -> None:
    for module, path in modules().items():
        before = {f"pix2block.{m}" for m in FLOORS[: FLOORS.index(module)]}
        allowed = before | ({"pix2block"} if module == "command.cli" else set())
        wrong = imports_of(path) - allowed
        assert not wrong, f"{module} may not import {sorted(wrong)}"


def test_packages_hold_no_code() -> None:
    for path in PACKAGE.rglob("__init__.py"):
        if path.parent != PACKAGE:
            body = ast.parse(path.read_text(encoding="utf-8")).body
            assert len(body) == 1, path


def test_files_are_read_in_a_sitting() -> None:
    for path in modules().values():
        assert len(path.read_text(encoding="utf-8").splitlines()) <= 320, path


def test_the_slow_tests_are_tests() -> None:
    here = Path(__file__).parent
    for file, names in conftest.SLOW.items():
        text = (here / f"{file}.py").read_text(encoding="utf-8")
        missing = [name for name in names.split() if f"def {name}(" not in text]
        assert not missing, file


def test_nothing_else_lies_at_the_top() -> None:
    """What a stranger sees first is short; whatever the user makes goes below output/."""
    seen = subprocess.run(
        ["git", "ls-files"], cwd=PACKAGE.parent, capture_output=True, text=True, check=False
    )
    if seen.returncode or not seen.stdout:
        pytest.skip("no checkout: git knows no files here")
    at_top = {name.partition("/")[0] for name in seen.stdout.splitlines()}
    fixed = {"README.md", "DEVELOPERS.md", "pyproject.toml"}
    fixed |= {"pix2block", "tests", "sample_images", "output"}
    assert {name for name in at_top if not name.startswith(".")} == fixed


# Rooms that must not know others, wherever they stand in the order.
NEVER = (
    ("proof", ("craft", "pattern", "amounts", "yarn", "color")),
    ("pages", ("options", "recipes", "study", "stripes", "trial", "command")),
    ("drawing", ("pattern", "amounts", "options", "recipes", "study")),
    ("reports", ("recipes", "command")),
    ("stripes", ("trial", "command")),
    ("trial", ("stripes", "command")),
    ("pattern", ("pages", "drawing", "options")),
)


def test_some_rooms_never_know_others() -> None:
    for module, path in modules().items():
        room = module.partition(".")[0]
        for of, others in NEVER:
            if room == of:
                known = {name.split(".")[1] for name in imports_of(path) if "." in name}
                assert not known & set(others), f"{module} may not know {known & set(others)}"
