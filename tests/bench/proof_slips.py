"""Random slips in pattern texts: how many of those that change the meaning the proof catches.

Run: PYTHONPATH=tests python tests/bench/proof_slips.py [SLIPS [SEED]]
"""

from __future__ import annotations

import sys

from makers import varied_charts
from mutations import try_slips


def main() -> None:
    count, seed = (int(word) for word in (*sys.argv[1:], *("500", "1")[len(sys.argv) - 1 :]))
    tally = try_slips(varied_charts(), count, seed)
    print(f"{tally.caught} of {tally.counted} caught, {tally.same} left the meaning as it was")
    for missed in tally.missed:
        print(f"  missed: {missed}")


if __name__ == "__main__":
    main()
