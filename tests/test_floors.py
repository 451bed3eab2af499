"""The house keeps its floors: a file imports only from files before it."""

from __future__ import annotations

import ast
from pathlib import Path

PACKAGE = Path(__file__).parent.parent / "pix2block"

# From the ground up; the doors stand at the end.
ORDER = """
ground.errors ground.units ground.quantities ground.files ground.settings
color.spaces color.notation color.difference color.vision color.deficiency color.names color.mixture
craft.diagonal craft.runs craft.stitches craft.row_stitches craft.strands craft.bobbins craft.tails
craft.border
yarn.weights yarn.yarn yarn.dialects yarn.shelf yarn.mixed yarn.swatch yarn.swatch_file
picture.profile picture.picture picture.blocks picture.faces
picture.artwork picture.strokes picture.lettering
chart.terms chart.chart chart.chart_file chart.reading chart.grid
proof.faults proof.parts proof.definitions proof.reader proof.fabric proof.bobbins proof.hook
proof.compare
amounts.under_way amounts.measures amounts.border amounts.joins amounts.endings amounts.yarn_use
amounts.bobbins amounts.money amounts.ways amounts.run_out amounts.yarn_ends amounts.stripe_edges
design.k_median design.refine design.attention design.stock design.palette design.tone
design.color_error design.seen design.features design.remedies design.stand_in
design.neighbours design.trial design.swaps design.tried
design.plan design.toml_places design.plan_file design.steps design.stripes design.plan_check
design.piece design.fill design.connect
calming.compiled calming.state calming.matching calming.kernel calming.proposals
calming.links calming.guards calming.setting_up calming.calm calming.charts
pattern.pattern pattern.words pattern.document pattern.credit pattern.winding pattern.yarn_words
pattern.front pattern.abbreviations pattern.care pattern.howto pattern.row_entries pattern.writing
pattern.text
pages.style pages.marks pages.drawing pages.svg pages.png pages.views pages.floats
pages.yarn_key pages.chart_parts pages.chart_pages pages.chart_sheet pages.held pages.strip_lines
pages.row_strip pages.block_symbols pages.howto_drawings pages.glyphs pages.paper
pages.pattern_pictures pages.web_page pages.pdf pages.tables pages.shopping pages.forecast
pages.calm_sheet pages.summary
pages.stripe_words pages.stripes_sheet pages.connect_sheet pages.preview pages.trial_words
pages.trial_views pages.trial_figures pages.trial_sheet pages.trial_picture
rules yarn_rules trial_options asking options swatch_options grouped maker supplies within_shelf
looking choosing
making striping trying editions api swatching progress trial_command cli
"""
FLOORS = ORDER.split()


def imports_of(path: Path) -> set[str]:
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
    known = {f"pix2block.{module}" for module in FLOORS} | {"pix2block"}
    return {name for name in found if name in known}


def modules() -> dict[str, Path]:
    paths = [p for p in PACKAGE.rglob("*.py") if p.name not in ("__init__.py", "__main__.py")]
    return {".".join(p.relative_to(PACKAGE).with_suffix("").parts): p for p in paths}


def test_every_file_has_its_place() -> None:
    assert sorted(modules()) == sorted(FLOORS)


def test_imports_go_one_way() -> None:
    for module, path in modules().items():
        before = {f"pix2block.{m}" for m in FLOORS[: FLOORS.index(module)]}
        allowed = before | ({"pix2block"} if module == "cli" else set())
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
