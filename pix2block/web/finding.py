"""Every word that opens, with the names that it is looked for by: its own, a maker's everyday ones,
and the option's."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from pix2block.options.table import MEND
from pix2block.study.study import Study
from pix2block.web.paragraph import paragraph_of
from pix2block.web.rest import ELSEWHERE, MENDS, SPECS, help_of, option_word
from pix2block.web.slip_nouns import Word
from pix2block.web.wanted import Wanted

# Everyday names, from memory; those of the trade are common practice.
EVERYDAY: Mapping[str, str] = {
    "title": "name, rename, call",
    "kind": "blanket, scarf, cushion, throw, afghan, shape, stripes, shawl, triangle",
    "size": "how large, width, height, dimensions, measurements, cm, inches, bigger, smaller",
    "blocks": "squares, stitches across, resolution, detail, grid, columns, rows, width, height",
    "look": "photo, drawing, logo, flat, cartoon, type of picture",
    "picture": "image, photo, another picture, replace",
    "crop": "cut out, zoom, frame the picture, part, trim",
    "backdrop": "background, behind, plain background, remove the background",
    "subject": "cut out the subject, main thing, foreground, what it is of",
    "yarns": "colours, colors, palette, how many colours, wool, skeins",
    "hand": "left-handed, right-handed, handedness",
    "corner": "where to start, begin, direction",
    "block": "stitch, double crochet, half double, treble",
    "habit": "carry, cut, colour changes, ends, carry yarn",
    "calm": "fewer tails, fewer ends, less weaving in, simplify, smooth, tidy",
    "tails": "ends, weave in, fringe, finishing",
    "terms": "uk, us, british, american",
    "turn": "colour change at the edge",
    "pace": "time, hours, how long, speed, evenings, end date, when is it done",
    "most_hanging": "bobbins, hanging at once, tangles",
    "hook": "needle, mm, hook size",
    "weight": "thickness, worsted, dk, aran, bulky, yarn class",
    "gauge": "tension, test square",
    "swatch": "tension, gauge, test square",
    "shelf": "stash, my yarn, list of yarns, inventory",
    "within_shelf": "only what I have, enough yarn",
    "stock": "enough yarn, skeins, buy, shopping",
    "border": "edging, edge, frame",
    "page": "paper, print, a4, letter",
    "done": "made so far, progress, worked rows",
    "left": "remaining yarn, what is left",
    "rip_back": "frog, undo rows, unravel",
    "journal": "history, changes, undo",
    "lock": "must use, keep this colour",
    "ban": "without a colour, leave out, exclude",
    "spot": "keep a colour, eye, pick a colour",
    "mind": "faces, important, matters",
    "distance": "from afar, seen from, preview",
    "reserve": "spare yarn, safety, extra",
    "without": "leave out files, no pdf",
    "credit": "copyright, author, designer",
    "rest": "settings, options, preferences, everything else, advanced",
    f"{MEND}:text": "letters, words, write, name on it, monogram, lettering",
    f"{MEND}:frame": "border of blocks, margin, edge",
    f"{MEND}:mirror": "flip, reverse",
    f"{MEND}:fill": "bucket, patch",
    f"{MEND}:exchange": "replace a colour, another yarn, swap yarns",
    f"{MEND}:shield": "protect, lock blocks",
}


def words_json(study: Study, wanted: Wanted) -> list[dict[str, Any]]:
    """Every word for a page: {"word", "text", "what", "names", "said"}, those that the paragraph
    says first."""
    parts = [part for sentence in paragraph_of(study, wanted) for part in sentence]
    found = {part.name: _told(part, said=True) for part in parts if isinstance(part, Word)}
    for name, spec in SPECS.items():
        if name not in found and name not in ELSEWHERE:
            word = option_word(name, study, wanted)
            text = f"{name.replace('_', ' ')}: {word.text}"
            found[name] = _told(Word(name, text, what=help_of(spec)), said=False)
    for verb, spec in MENDS.items():
        word = Word(f"{MEND}:{verb}", verb.replace("_", " "), what=help_of(spec))
        found.setdefault(word.name, _told(word, said=False))
    return list(found.values())


def _told(word: Word, said: bool) -> dict[str, Any]:
    own = word.name.removeprefix(f"{MEND}:")
    names = [own, own.replace("_", " "), own.replace("_", "-")]
    everyday = EVERYDAY.get(word.name, "")
    return {
        "word": word.name,
        "text": word.text,
        "what": word.what,
        "names": [*dict.fromkeys(names), *(name for name in everyday.split(", ") if name)],
        "said": said,
    }
