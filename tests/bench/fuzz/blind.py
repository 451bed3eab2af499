"""The same inputs at a door, steered by nothing: a third of the time each, for a longer run.

With PYTHONPATH=tests/bench/fuzz:tests:. set:

    nice -n 19 python tests/bench/fuzz/blind.py DOOR [COUNT [SECONDS [FOLDER [FIRST]]]]
"""

from __future__ import annotations

import sys
import warnings
from pathlib import Path

import seeds
from doors import DOORS, changed, into, prepare
from tally import Tally


def main() -> None:
    door, *more = sys.argv[1:]
    count, seconds, folder, first = [*more, *("100000", "3600", "finds", "0")[len(more) :]]
    warnings.simplefilter("ignore")
    place = seeds.own_place()
    prepare(place)
    tally = Tally(door, into, int(count), float(seconds), Path(folder), place)
    good, number = DOORS[door].seeds(), int(first)
    while True:  # the tally ends it
        number += 1
        data = changed(door, good[number % len(good)], number)
        if number % 3 == 0:
            data = changed(door, data, number + 1)
        tally.one(data)


if __name__ == "__main__":
    main()
