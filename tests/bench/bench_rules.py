"""Time of the panel rules against the number of holes: ``python tests/bench/bench_rules.py``.

Holes stand on a jittered grid with M6 nuts, each with a handful of neighbours, some too close; a
tenth of them belong to parts, and obstacles grow with the panel. Near-linear means that the time
per hole of the last row is about that of the row before.
"""

from __future__ import annotations

import random
import time

from generators.checks.panel.panel import check_panel
from generators.geometry.contours import rectangle
from generators.model.limits import Limits
from generators.model.plan import Footprint, KeepOut, PanelHole, PanelLayout

PITCH_MM = 24.0
SIZES = (10, 100, 1_000, 10_000)
ROUNDS = 3


def bench_layout(count: int) -> PanelLayout:
    """A square panel of ``count`` holes, the same for every run."""
    dice = random.Random(count)
    side = max(2, round(count**0.5))
    holes = tuple(
        PanelHole(
            number=str(n + 1),
            name=f"hole_{n + 1}",
            u_mm=(n % side + 1) * PITCH_MM + dice.uniform(-3, 3),
            v_mm=(n // side + 1) * PITCH_MM + dice.uniform(-3, 3),
            final_dia_mm=6.6,
            pilot_dia_mm=3.0,
            purpose="bench",
            tool="twist drill",
            drill_face="cab",
            status="drill",
            owners=(f"part_{n // 10}" if n % 100 < 10 else "panel",),
            kind="bolt",
            nut_face="cab",
            nut_circle_mm=11.55,
            spanner_circle_mm=22.0,
            reach_cab_mm=15.0,
            reach_engine_mm=15.0,
        )
        for n in range(count)
    )
    span = (side + 2) * PITCH_MM
    obstacles = tuple(
        KeepOut(
            name=f"box_{k}",
            face="engine",
            contour=rectangle(
                u := dice.uniform(0, span - 40), v := dice.uniform(0, span - 40), u + 40, v + 40
            ),
            gap_mm=dice.uniform(0, 40),
            depth_mm=50.0,
            reason="box",
        )
        for k in range(max(1, min(200, count // 50)))
    )
    parts = tuple(
        Footprint(
            part=f"part_{k * 10}",
            face="cab",
            contour=rectangle(
                u := dice.uniform(0, span - 60), v := dice.uniform(0, span - 60), u + 60, v + 60
            ),
        )
        for k in range(max(1, min(100, count // 100)))
    )
    return PanelLayout(
        panel="bench",
        title="bench",
        material="steel",
        thickness_mm=1.2,
        contour=rectangle(0, 0, span, (count // side + 3) * PITCH_MM, 20),
        holes=holes,
        keepouts=obstacles,
        footprints=parts,
        folds=(),
        datums=(),
    )


def main() -> None:
    """Print one row per size."""
    limits = Limits()
    check_panel(bench_layout(10), limits)
    print(f"{'holes':>7} {'findings':>9} {'best s':>9} {'us/hole':>9} {'ratio':>6}")
    before = 0.0
    for count in SIZES:
        layout = bench_layout(count)
        best = float("inf")
        found = 0
        for _ in range(ROUNDS):
            start = time.perf_counter()
            found = len(check_panel(layout, limits))
            best = min(best, time.perf_counter() - start)
        each = best / count * 1e6
        print(f"{count:>7} {found:>9} {best:>9.4f} {each:>9.1f} {each / before if before else 1:>6.2f}")
        before = each


if __name__ == "__main__":
    main()
