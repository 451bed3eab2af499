"""Which options go with a trial: all that make a chart, but what is about one shelf or one file."""

from __future__ import annotations

TRIAL = "trial"

_SIZE_AND_COLORS = ("width", "height", "size", "weight", "crop", "colors")
_CHOOSING = ("mind", "spot", "aim", "tone", "look", "strokes", "background", "seed")
_MAKING = ("hand", "corner", "block", "turn", "calm", "habit", "reach", "rest", "edge", "tail")
_OTHER = ("most_hanging", "pace", "out", "title", "distance")
IN_TRIALS = (*_SIZE_AND_COLORS, *_CHOOSING, *_MAKING, *_OTHER)
SEVERAL = ("width", "height", "colors")  # several may be given to a trial, commas between
