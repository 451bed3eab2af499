"""The options of a mend beside a report's: what is done to a chart. Several may be given, of a kind
too; they are done in the order given."""

from __future__ import annotations

from pix2block.ground.frozen import dataclass
from pix2block.options.asking import Asked, option
from pix2block.options.rules import Flag, Words
from pix2block.options.table import MEND

OF_YARNS, OF_BLOCKS, OF_WORDS = "yarns", "blocks", "lettering"
OF_SHAPE, JOURNAL = "shape", "journal"
_PAIR = Words('"A=B"')
_PAINT = Words('"PLACE=YARN"')


@dataclass(frozen=True, kw_only=True, repr=False)
class MendOptions(Asked):
    """What is asked of a chart; None where nothing is."""

    # fmt: off
    exchange: tuple[str, ...] | None = option(OF_YARNS, _PAIR, (MEND,),
        "A's blocks become B's; add \" in PLACE\" to limit it", many=True)
    swap: tuple[str, ...] | None = option(OF_YARNS, _PAIR, (MEND,),
        "A's blocks become B's and B's become A's; so too", many=True)
    recolor: tuple[str, ...] | None = option(OF_YARNS, Words('"A=#rrggbb"'), (MEND,),
        "another colour of a yarn", many=True)
    rename: tuple[str, ...] | None = option(OF_YARNS, _PAIR, (MEND,),
        "another name of a yarn, wherever it stands", many=True)
    add: tuple[str, ...] | None = option(OF_YARNS, Words('"NAME #rrggbb"'), (MEND,),
        "one more yarn, for later mends", many=True)
    drop: tuple[str, ...] | None = option(OF_YARNS, Words("YARN"), (MEND,),
        "each of its blocks becomes the nearest yarn in use", many=True)
    paint: tuple[str, ...] | None = option(OF_BLOCKS, _PAINT, (MEND,),
        "these blocks get a yarn", many=True)
    fill: tuple[str, ...] | None = option(OF_BLOCKS, _PAINT, (MEND,),
        "the patch of one yarn that holds this block gets another", many=True)
    patch: tuple[str, ...] | None = option(OF_BLOCKS, Words("PLACE"), (MEND,),
        "the patch a block lay in before the last mend, in its yarn now", many=True)
    insert: tuple[str, ...] | None = option(OF_BLOCKS, Words('"FILE@PLACE"'), (MEND,),
        "another chart, or a grid, with its top left block there", many=True)
    shield: tuple[str, ...] | None = option(OF_BLOCKS, Words("PLACE"), (MEND,),
        "calming leaves these blocks as they are", many=True)
    calm: tuple[str, ...] | None = option(OF_BLOCKS, Words("PERCENT"), (MEND,),
        "last: fewer tails where the call touched, for so much more colour error there", many=True)
    text: tuple[str, ...] | None = option(OF_WORDS, Words('"WORDS"'), (MEND,),
        "words in the block alphabet; the next three belong to it", many=True)
    at: tuple[str, ...] | None = option(OF_WORDS, Words("PLACE"), (MEND,),
        'the top left block of the first capital, or "centre, line 20"', many=True)
    height: tuple[str, ...] | None = option(OF_WORDS, Words("5|7|9"), (MEND,),
        "blocks of a capital; accents above, tails below", many=True)
    in_: tuple[str, ...] | None = option(OF_WORDS, Words("YARN"), (MEND,),
        "the yarn of the letters", many=True)
    mirror: bool | None = option(OF_SHAPE, Flag(), (MEND,),
        "left and right change")
    rotate: tuple[str, ...] | None = option(OF_SHAPE, Words("left|right|half"), (MEND,),
        "left: a quarter turn against the clock", many=True)
    cut: tuple[str, ...] | None = option(OF_SHAPE, Words("X,Y,W,H"), (MEND,),
        "what stays; X, Y: blocks left away on the left and at the top", many=True)
    frame: tuple[str, ...] | None = option(OF_SHAPE, Words('"N YARN"'), (MEND,),
        "so many blocks more on each side", many=True)
    extend: tuple[str, ...] | None = option(OF_SHAPE, Words('"top 3 YARN"'), (MEND,),
        "so many blocks more on one side", many=True)
    repeat: tuple[str, ...] | None = option(OF_SHAPE, Words("3x1"), (MEND,),
        "the piece so many times across and down", many=True)
    undo: str | None = option(JOURNAL, Words("N"), (MEND,),
        "take back the last N mends, or line:N alone")
    list: bool | None = option(JOURNAL, Flag(), (MEND,),
        "print the mends so far, a numbered line each")
    dry_run: bool | None = option(JOURNAL, Flag(), (MEND,),
        "print the differences as JSON, and write nothing")
    # fmt: on


ALONE = ("undo", "list", "dry_run")  # the others are mends
OF_TEXT = ("at", "height", "in_")  # each belongs to the text before it
