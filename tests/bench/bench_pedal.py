"""Time of the ranking against a bare closed form: ``python tests/bench/bench_pedal.py``.

The bare form is what numpy needs at least for the same 10,000 combinations: travel and effort of a
lossless pedal at one point, no linkage, no hoses, no load curve. The ratio says what exact geometry, the
losses and the whole load curve cost.
"""

from __future__ import annotations

import math
import time
from collections.abc import Callable

import numpy as np

from generators.hydraulics.linkage import PedalFrame
from generators.hydraulics.ranking import rank
from generators.model.spec.hydraulics import Clutch, Fluid, Line, Master, Pedal, Slave

ROUNDS = 5
MASTERS = np.linspace(14.0, 26.0, 25)
SLAVES = np.linspace(17.0, 30.0, 20)
RATIOS = np.linspace(3.5, 7.0, 20)

FRAME = PedalFrame(
    pivot=(95.0, 0.0, 62.0),
    out=(1.0, 0.0, 0.0),
    up=(0.0, 0.0, 1.0),
    seat=(-8.0, 0.0, 0.0),
    axis=(-1.0, 0.0, 0.0),
)
CLUTCH = Clutch(fork_ratio=1.6, free_play_mm=1.5, release_travel_mm=7.5, over_travel_mm=10.5, load_n=1500.0)
PEDAL = Pedal(
    name="bench",
    kind="clutch",
    hanger="hanger",
    pin=(14.0, -60.0),
    pad=(60.0, -330.0),
    travel_mm=170.0,
    master=Master(bore_mm=19.05, stroke_mm=35.56),
    slave=Slave(bore_mm=22.225, stroke_mm=31.75),
    clutch=CLUTCH,
    line=(Line(kind="hose", length_mm=450.0, bore_mm=3.175, expansion="low"),),
    fluid=Fluid(air_mm3=200.0),
    bracket_flex_mm_per_n=0.3e-3,
)


def bare() -> tuple[np.ndarray, np.ndarray]:
    """Lossless travel and effort of every combination."""
    ratio, master, slave = np.meshgrid(RATIOS, MASTERS, SLAVES, indexing="ij")
    gear = (slave / master) ** 2
    bearing = CLUTCH.free_play_mm + CLUTCH.release_travel_mm + CLUTCH.release_margin_mm
    return bearing * CLUTCH.fork_ratio * gear * ratio, 1500.0 / (CLUTCH.fork_ratio * gear * ratio)


def full() -> int:
    """The ranking of the same combinations."""
    ranking = rank(
        PEDAL, FRAME, masters_mm=MASTERS.tolist(), slaves_mm=SLAVES.tolist(), ratios=RATIOS.tolist()
    )
    return len(ranking.travel_mm)


def best_of(work: Callable[[], object]) -> float:
    """Seconds of the quickest round."""
    best = math.inf
    for _ in range(ROUNDS):
        start = time.perf_counter()
        work()
        best = min(best, time.perf_counter() - start)
    return best


def main() -> None:
    """Print one line."""
    count = full()
    ranked, least = best_of(full), best_of(bare)
    print(
        f"{count} combinations: ranked {ranked * 1e3:.1f} ms, bare numpy {least * 1e3:.2f} ms, "
        f"ratio {ranked / least:.0f}"
    )


if __name__ == "__main__":
    main()
