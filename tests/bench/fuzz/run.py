"""Foreign bytes at a door, steered by which lines of the package they reach (atheris, libFuzzer).

Counts inputs, and tells what is a find: an error that is none for the maker, over 10 s, over 1 GB.
Each find of its own kind is kept in a file below FOLDER. One process, quietly, with
PYTHONPATH=tests/bench/fuzz:tests:. set:

    nice -n 19 python tests/bench/fuzz/run.py DOOR [COUNT [SECONDS [FOLDER [SEED]]]]
"""

from __future__ import annotations

import sys
import warnings
from pathlib import Path

import atheris
from tally import Tally

with atheris.instrument_imports(include=["pix2block", "PIL", "openpyxl"]):
    import seeds
    from doors import DOORS, changed, into, prepare


def main() -> None:
    door, *more = sys.argv[1:]
    count = int(more[0]) if more else 100_000
    seconds = float(more[1]) if len(more) > 1 else 3600.0
    folder = Path(more[2]) if len(more) > 2 else Path("finds")
    chance = more[3] if len(more) > 3 else "1"
    warnings.simplefilter("ignore")
    place = seeds.own_place()
    prepare(place)
    corpus = place / "corpus"
    corpus.mkdir()
    for number, data in enumerate(DOORS[door].seeds()):
        (corpus / str(number)).write_bytes(data)
    tally = Tally(door, into, count, seconds, folder, place)
    flags = [
        "-max_len=65536",
        "-rss_limit_mb=3000",
        "-timeout=0",  # the tally has its own
        "-verbosity=0",
        f"-seed={chance}",
    ]
    flags += [f"-artifact_prefix={place}/", "-report_slow_units=1000"]

    good = DOORS[door].seeds()

    def mutated(data: bytes, most: int, seed: int) -> bytes:
        """Every other one is a good input, changed once: what is refused at once teaches little."""
        return changed(door, data if seed % 2 else good[seed // 2 % len(good)], seed)[:most]

    atheris.Setup([sys.argv[0], *flags, str(corpus)], tally.one, custom_mutator=mutated)
    atheris.Fuzz()


if __name__ == "__main__":
    main()
