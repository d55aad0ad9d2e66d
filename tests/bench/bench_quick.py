"""The quick answer of ``check`` against the solver: ``python tests/bench/bench_quick.py KIND FIRST LAST``."""

from __future__ import annotations

import sys
import tempfile
from pathlib import Path


def main() -> int:
    """Print counts and extremes over the seeds of a kind."""
    sys.path[:0] = [str(Path(__file__).parents[1]), str(Path(__file__).parents[2])]
    from strength.quick_against_solver import compare

    kind, first, last = sys.argv[1], int(sys.argv[2]), int(sys.argv[3])
    with tempfile.TemporaryDirectory() as folder:
        print(compare(kind, range(first, last), Path(folder)))
    return 0


if __name__ == "__main__":
    sys.exit(main())
