"""Time of installs: per 1,000 on the shipped jobs, and how it grows with holes and with hoses.

``python tests/bench/bench_spread.py`` prints seconds of the processor, so that a busy machine counts no slower, and
ratios of the same run; it asserts nothing. ``OPENBLAS_NUM_THREADS=1`` keeps sums on one of them.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np

from generators.measure.chance.draws import block
from generators.measure.chance.kit import BoltedOn, Column, Gauge, Group, Kit
from generators.measure.chance.run import installs, tally
from generators.measure.fitting.fit import Joint, laid_room
from generators.model.spec.forms.spread import Spread, SpreadInput
from generators.solve.job import prepare
from generators.solve.spread.build import kit_of, kit_there

SPECS = Path(__file__).parents[2] / "specs"
ALL = Spread(
    input=(
        SpreadInput(of="existing", off_mm=1.5),
        SpreadInput(of="panel_angle", turn_rad=0.008),
        SpreadInput(of="obstacle", off_mm=4.0),
        SpreadInput(of="component", off_mm=4.0),
        SpreadInput(of="paper", off_mm=0.4),
        SpreadInput(of="drill", off_mm=0.4),
        SpreadInput(of="print_scale", share=0.003),
        SpreadInput(of="cut", off_mm=0.1),
        SpreadInput(of="bend_angle", turn_rad=0.01),
        SpreadInput(of="hose_length", off_mm=2.0),
    )
)


def seconds(work: Callable[[], object]) -> float:
    """The least of five, of the processor."""
    times = []
    for _ in range(5):
        start = time.process_time()
        work()
        times.append(time.process_time() - start)
    return min(times)


def per_thousand(kit: Kit) -> float:
    """Seconds of a block."""
    return seconds(lambda: tally(installs(kit, block(kit.columns, 1, 0))))


def grown(holes: int, hoses: int) -> Kit:
    """A kit of one part on so many bolts, so tight that a third does not pass at once, and so many hoses.

    More holes of one clearance pass less often, and what does not pass at once takes longer: the clearance is
    such that as many are laid again with care whatever the number of holes.
    """
    turn = np.linspace(0.0, 2 * np.pi, holes, endpoint=False)
    at = [(float(60 * np.cos(a)), float(60 * np.sin(a))) for a in turn]

    def on(clearance_mm: float) -> tuple[Joint, ...]:
        hole = 8.0 + clearance_mm
        return tuple(
            Joint(
                name=str(k), kind="bolt", part=p, part_dia_mm=hole, panel=p, panel_dia_mm=hole, shank_mm=8.0
            )
            for k, p in enumerate(at)
        )

    shifts = 0.4 * np.random.default_rng(1).normal(size=(1000, holes, 2))
    over = -laid_room(on(0.0), np.array(at) + shifts, np.zeros((1000, holes)))
    joints = on(float(np.quantile(over, 2 / 3)))
    count = 2 * holes + 6 * hoses
    columns = tuple(
        Column(group=0, thing=str(k), axis="u", shape="normal", scale=0.4, unit="mm") for k in range(count)
    )
    off = np.zeros((2 * holes, count))
    off[: 2 * holes, : 2 * holes] = np.eye(2 * holes)
    rng = np.random.default_rng(1)
    gauges = tuple(
        Gauge(
            name=str(k),
            kind="reach",
            task="t",
            title="t",
            rest_mm=3.0,
            rows=rng.normal(size=(1, count)),
            hose=str(k),
        )
        for k in range(hoses)
    )
    part = BoltedOn(part="p", task="t", title="p", joints=joints, off=off, clear=np.zeros((holes, count)))
    groups = (Group(name="g_1", of="cut", words="w", source="s"),)
    return Kit(groups=groups, columns=columns, bolted=(part,), gauges=gauges, tasks=(("t", "t"),))


def main() -> None:
    """Print it all."""
    for name in ("ferrow_bus", "wrenfield_van", "tarn_special", "dray_tractor"):
        prepared = prepare(SPECS / f"{name}.toml")
        build = seconds(lambda prepared=prepared: kit_of(prepared, ALL))  # type: ignore[misc]
        kit = kit_of(prepared, ALL)
        early = [key for key, _ in kit.tasks if key.startswith("through:")]
        put = tuple((key, key.replace("through:", "part:")) for key in early)
        took, paper = per_thousand(kit), per_thousand(kit_of(prepared, ALL, put))
        print(
            f"{name}: {len(kit.columns)} inputs, kit {build:.2f} s, {took * 1000:.0f} ms per 1,000 installs, "
            f"{paper * 1000:.0f} ms with all holes by paper"
        )
    bus = prepare(SPECS / "ferrow_bus.toml")
    by_plan = seconds(lambda: kit_of(bus, ALL))
    there = seconds(lambda: kit_there(bus, ALL, {("component", "slave", "x"): -20.0}))
    print(f"the kit solved again on a vehicle, as fits does: {there / by_plan:.1f} times the kit by plan")
    first = per_thousand(grown(4, 3))
    for holes in (4, 8, 16, 32):
        print(f"{holes} holes: {per_thousand(grown(holes, 3)) / first:.1f} times 4 holes")
    for hoses in (3, 6, 12, 24):
        print(f"{hoses} hoses: {per_thousand(grown(4, hoses)) / first:.1f} times 3 hoses")
    print(replace(ALL, input=ALL.input[:1]).input[0].of, "alone:", end=" ")
    print(
        f"{per_thousand(kit_of(prepare(SPECS / 'ferrow_bus.toml'), replace(ALL, input=ALL.input[:1]))) * 1000:.0f} ms"
    )


if __name__ == "__main__":
    main()
