"""The house keeps its floors: a file imports only from files before it."""

from __future__ import annotations

import ast
from pathlib import Path

PACKAGE = Path(__file__).parent.parent / "pix2block"

# From the ground up; the doors stand at the end.
ORDER = """
ground.errors ground.units ground.files ground.settings
color.spaces color.notation color.difference color.vision color.deficiency color.names
craft.diagonal craft.runs craft.stitches craft.row_stitches craft.strands craft.bobbins craft.tails
yarn.weights yarn.yarn yarn.shelf
picture.profile picture.picture picture.blocks picture.faces
picture.artwork picture.strokes picture.lettering
chart.terms chart.chart chart.chart_file chart.reading chart.grid
proof.faults proof.parts proof.definitions proof.reader proof.fabric proof.bobbins proof.hook
proof.compare
amounts.measures amounts.joins amounts.endings amounts.yarn_use amounts.bobbins amounts.ways
design.k_median design.refine design.attention design.palette design.tone design.color_error
design.seen design.features design.remedies
design.neighbours design.trial design.swaps design.tried
calming.compiled calming.state calming.matching calming.kernel calming.proposals
calming.links calming.guards calming.setting_up calming.calm calming.charts
pattern.pattern pattern.words pattern.document pattern.credit pattern.winding pattern.front
pattern.abbreviations pattern.care pattern.howto pattern.row_entries pattern.writing pattern.text
pages.style pages.marks pages.drawing pages.svg pages.png pages.views pages.floats
pages.yarn_key pages.chart_parts pages.chart_pages pages.chart_sheet pages.held pages.strip_lines
pages.row_strip pages.block_symbols pages.howto_drawings pages.glyphs pages.paper
pages.pattern_pictures pages.web_page pages.pdf pages.tables pages.calm_sheet pages.summary
pages.preview pages.trial_words pages.trial_views pages.trial_figures pages.trial_sheet
pages.trial_picture
rules trial_options options looking making trying editions api trial_command cli
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
