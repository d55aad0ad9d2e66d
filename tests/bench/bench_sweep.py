"""A sweep on all cores beside the same rows solved one after the other, in the same process.

``python tests/bench/bench_sweep.py [ROWS]`` prints how many times as many rows a sweep gets from the machine's cores as
plain solves from one: by the clock, which another's work on the machine spoils, and of processor time, which it does not.
The second is what the cores give when nothing else runs: cores × processor seconds of plain solves / those of the sweep,
scheduler, start of the workers and all. It asserts nothing.
"""

from __future__ import annotations

import os
import resource
import sys
import tempfile
import time
from pathlib import Path
from typing import Any

from generators.jobs.sweep.one import bundle_of, solved
from generators.jobs.sweep.run import all_rows
from generators.parts import KINDS
from generators.reading import read_job

ROOT = Path(__file__).parents[2]
KEY = "part[clutch_hanger].parameters.pivot_up"


def spent() -> float:
    """Processor seconds of this process and of its children that have ended."""
    own, children = resource.getrusage(resource.RUSAGE_SELF), resource.getrusage(resource.RUSAGE_CHILDREN)
    return own.ru_utime + own.ru_stime + children.ru_utime + children.ru_stime


def timed(call: object) -> tuple[float, float]:
    """Seconds by the clock and of the processors."""
    clock, processors = time.perf_counter(), spent()
    call()  # type: ignore[operator]
    return time.perf_counter() - clock, spent() - processors


def main() -> None:
    """Solve the van's rows both ways; plain solves stop after a part of them, which is scaled up."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 1000
    spec = ROOT / "specs" / "wrenfield_van.toml"
    bundle = bundle_of(read_job(spec, {kind.name: kind.parameters for kind in KINDS}))
    rows = [{KEY: f"{60 + 30 * k / count:.4f} mm"} for k in range(count)]
    some = rows[:: max(1, count // 200)]
    solved(bundle, rows[0])  # what is loaded once is loaded
    plain = [seconds * count / len(some) for seconds in timed(lambda: [solved(bundle, row) for row in some])]
    answers: list[dict[str, Any]] = []
    with tempfile.TemporaryDirectory() as folder:
        kept = Path(folder) / "rows"
        swept = timed(lambda: answers.extend(all_rows(bundle, rows, kept, progress=lambda *_: None)))
    cores = os.cpu_count() or 1
    if faults := [row["fault"] for row in answers if row["fault"]]:
        # of a tree that was changed meanwhile workers solve nothing
        print(f"NOT MEASURED: {len(faults)} of {count} rows have a fault, like: {faults[0]}")
    print(f"{count} rows on {cores} cores; plain {plain[1]:.1f} s of processor, swept {swept[1]:.1f} s")
    print(f"by the clock: {plain[0] / swept[0]:.2f} times as fast")
    print(f"of processor time: {cores * plain[1] / swept[1]:.2f} times as fast when nothing else runs")


if __name__ == "__main__":
    main()
