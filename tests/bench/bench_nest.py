"""How nesting grows: ``python tests/bench/bench_nest.py``.

Run on demand; prints, asserts nothing. Boxes and wedges drawn at random, to 200 blanks: time against that of
the first row, sheets taken and the fewest by area, and how much of what is used the outlines fill.
"""

from __future__ import annotations

import sys
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "nesting"))
from plates import drawn, nested, shop

from generators.drawing.nest.words import fewest

COUNTS = (10, 25, 50, 100, 200)


def main() -> None:
    """Print a row for each number of blanks."""
    print(f"{'blanks':>6} {'time':>8} {'sheets':>7} {'fewest':>7} {'filled':>7}")
    first = 0.0
    for count in COUNTS:
        begun = time.process_time()
        made = nested(drawn(1, 10, count), shop())
        took = time.process_time() - begun
        first = first or took
        ((_, sheets, least),) = fewest(made)
        filled = sum(map(made.outlines_mm2, made.sheets)) / sum(s.used_mm2 for s in made.sheets)
        print(f"{count:>6} {took / first:>7.1f}x {sheets:>7} {least:>7} {filled:>7.0%}")


if __name__ == "__main__":
    main()
