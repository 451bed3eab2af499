"""Draw the sample pictures of the Lantern Boathouse, a small rowing and ferry club.

The pictures are drawn from scratch and saved beside this script; every run gives the same
pixels. Run it as ``python sample_images/draw_samples.py``.
"""

from __future__ import annotations

from drawn.badge import draw_badge
from drawn.boathouse import draw_boathouse
from drawn.cat import draw_tallow
from drawn.fog import draw_fog
from drawn.lantern import draw_lantern
from drawn.tools import HERE
from PIL import Image

AT_THE_WORKTABLE = HERE.parent / "pix2block/web/static/tallow_cat.jpg"  # the first start's sample


def main() -> None:
    tallow = draw_tallow()
    tallow.save(HERE / "tallow_cat.jpg", quality=92, optimize=True)
    small = tallow.resize((tallow.width * 3 // 4, tallow.height * 3 // 4), Image.Resampling.LANCZOS)
    small.save(AT_THE_WORKTABLE, quality=85, optimize=True)
    draw_badge().save(HERE / "club_badge.png", optimize=True)
    draw_boathouse().save(HERE / "boathouse_lines.png", optimize=True)
    draw_lantern().save(HERE / "lantern_cutout.png", optimize=True)
    draw_fog().save(HERE / "fog_morning.png", optimize=True)


if __name__ == "__main__":
    main()
