"""The papers a pattern is set on."""

from __future__ import annotations

from pix2block.ground.frozen import dataclass
from pix2block.ground.settings import Page
from pix2block.pages.chart_pages import Room

MM_PER_POINT = 25.4 / 72
_HEAD_ACROSS_MM = 34.0  # of a page on its side, whose words have room


@dataclass(frozen=True)
class Paper:
    """A page. text_pt: running text; small_pt: the smallest type; head_mm: what a heading and a
    caption above a figure take; narrow: all in one column."""

    width_mm: float
    height_mm: float
    margin_mm: float
    text_pt: float
    small_pt: float
    head_mm: float
    smallest_block_mm: float
    narrow: bool = False

    @property
    def inside_mm(self) -> float:
        """Width between the margins."""
        return self.width_mm - 2 * self.margin_mm

    @property
    def room(self) -> Room:
        """What a figure has, below a heading and a line of words."""
        height = self.height_mm - 2 * self.margin_mm - self.head_mm
        number = self.small_pt * MM_PER_POINT
        across = self.height_mm - 2 * self.margin_mm
        down = self.width_mm - 2 * self.margin_mm - min(self.head_mm, _HEAD_ACROSS_MM)
        return Room(
            *(self.inside_mm, height, self.smallest_block_mm, number), on_its_side=(across, down)
        )


# A phone's page is as wide as its screen: type of 12 pt on 90 mm is 17 px on 360.
PAPERS: dict[Page, Paper] = {
    "a4": Paper(210, 297, 15, 10, 9, 34, 2.5),
    "letter": Paper(215.9, 279.4, 15, 10, 9, 34, 2.5),
    "phone": Paper(90, 180, 6, 12, 12, 52, 2.5, narrow=True),
}
