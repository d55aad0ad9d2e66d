"""What trying mends costs over `check --no-mends`: ``python tests/bench/bench_mends.py``.

The demos, which have nothing to mend, and the demo with one flaw at a time. A ratio is the time with mends over
that of the findings alone, of the same run; beside it how many findings there are, how many have a change that
holds, and how many times the job was solved again.
"""

from __future__ import annotations

import shutil
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

TESTS = Path(__file__).parents[1]
for folder in (TESTS, TESTS / "solve", TESTS / "space"):
    sys.path.insert(0, str(folder))

from flawed import FLAWS, SPECS  # noqa: E402

from generators.model.findings import Severity  # noqa: E402
from generators.solve.job import Prepared, prepare  # noqa: E402
from generators.solve.mends import tries  # noqa: E402

DEMOS = ("wrenfield_van", "tarn_special", "dray_tractor")
ROUNDS = 3


def timed(work: Callable[[], Prepared]) -> tuple[float, Prepared]:
    """The best time of some rounds, s, and the result."""
    best, result = float("inf"), None
    for _ in range(ROUNDS):
        start = time.perf_counter()
        result = work()
        best = min(best, time.perf_counter() - start)
    assert result is not None
    return best, result


def row(name: str, spec: Path) -> float:
    """One line of the table; returns the ratio."""
    prepare(spec)
    alone, job = timed(lambda: prepare(spec))
    solved = 0
    again = tries.prepare

    def counted(*arguments: object, **more: object) -> Prepared:
        nonlocal solved
        solved += 1
        return again(*arguments, **more)  # type: ignore[arg-type]

    tries.prepare = counted
    try:
        more, mended = timed(lambda: tries.with_mends(job, lambda finding: True))
    finally:
        tries.prepare = again
    serious = [f for f in mended.findings if f.severity is not Severity.NOTE]
    holds = sum(1 for f in serious if f.mend is not None and f.mend.holds)
    ratio = (alone + more) / alone
    print(f"{name:<36} {len(serious):>8} {holds:>6} {solved // ROUNDS:>6} {ratio:>6.1f}")
    return ratio


def main() -> None:
    """Print one row per design."""
    print(f"{'design':<36} {'findings':>8} {'mended':>6} {'solved':>6} {'ratio':>6}")
    for demo in DEMOS:
        row(demo, SPECS / f"{demo}.toml")
    ratios = []
    with tempfile.TemporaryDirectory() as folder:
        shutil.copy(SPECS / "shop.toml", folder)
        spec = Path(folder) / "job.toml"
        for name, flaw in FLAWS.items():
            spec.write_text(flaw.text, encoding="utf-8")
            ratios.append(row(name, spec))
    print(
        f"{'with a flaw: median, largest':<52} {sorted(ratios)[len(ratios) // 2]:>6.1f} {max(ratios):>6.1f}"
    )


if __name__ == "__main__":
    main()
