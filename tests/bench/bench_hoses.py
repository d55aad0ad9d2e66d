"""Time of routing and checking hoses against their number: ``python tests/bench/bench_hoses.py``.

Hoses run about half a metre to a metre and a half through two clamps, between boxes, bars, prisms and
swept pedals strewn over the same room, past a panel; all are measured against each other too. Ten times
the hoses among ten times the obstacles are a hundred times the pairs; the ratio printed is against the
row of 20 and 40. Detours are left out in the first table (route and check), and searched for in the second.
The third is curves alone, ends near each other and far, and the fourth hoses hung by their slack.
"""

from __future__ import annotations

import time

import numpy as np

from generators.model.hose_path import (
    Box3,
    ClearanceLimits,
    Cylinder3,
    HoseRun,
    Limb,
    Obstacle3,
    Panel3,
    Port3,
    Prism3,
    Sweep3,
    Waypoint,
)
from generators.model.words import ObstacleKind
from generators.routing.around.apart import hose_gaps
from generators.routing.around.clearance import clearances
from generators.routing.around.detour import route, surroundings
from generators.routing.lengths import hose_length
from generators.routing.paths.chains import shortest_lengths, shortest_paths
from generators.routing.sag import hang

SIZES = ((20, 40), (200, 400))
DETOURS = ((10, 40), (20, 80))
ROUNDS = 3
ROOM = np.array([1200.0, 700.0, 500.0])
LIMITS = ClearanceLimits(fixed_mm=6, moving_mm=15, hot_mm=50, steering_mm=15, face_mm=3, edge_mm=8)


def bench_hose(dice: np.random.Generator, number: int) -> HoseRun:
    """A hose that leaves and arrives within 60° of its way, through two clamps along it."""
    start, end = dice.uniform(-ROOM, ROOM), dice.uniform(-ROOM, ROOM)
    while not 500 < np.linalg.norm(end - start) < 1500:
        end = dice.uniform(-ROOM, ROOM)
    ahead = (end - start) / np.linalg.norm(end - start)

    def about() -> tuple[float, float, float]:
        lean = ahead + dice.uniform(-0.7, 0.7, 3)
        x, y, z = lean / np.linalg.norm(lean)
        return float(x), float(y), float(z)

    def held(share: float) -> Waypoint:
        x, y, z = start + share * (end - start) + dice.uniform(-60, 60, 3)
        return Waypoint(name=f"c{share}", kind="clamp", position=(x, y, z), axis=about(), straight_mm=6)

    back = about()
    return HoseRun(
        name=f"hose {number}",
        start=Port3(
            name="a",
            position=(float(start[0]), float(start[1]), float(start[2])),
            direction=about(),
            straight_mm=25,
        ),
        end=Port3(
            name="b",
            position=(float(end[0]), float(end[1]), float(end[2])),
            direction=(-back[0], -back[1], -back[2]),
            straight_mm=25,
        ),
        via=(held(0.35), held(0.7)),
        bend_radius_mm=75,
        outside_dia_mm=12,
    )


def bench_obstacle(dice: np.random.Generator, number: int) -> Obstacle3:
    """One of four forms and four kinds, turned anyhow."""
    kinds: tuple[ObstacleKind, ...] = ("fixed", "moving", "fixed", "hot")
    kind = kinds[number // 4 % 4]
    x, y, z = (float(c) for c in dice.uniform(-ROOM, ROOM))
    turn, _ = np.linalg.qr(dice.normal(size=(3, 3)))
    u, v = ((float(a), float(b), float(c)) for a, b, c in turn[:2])
    i, j, k = (float(c) for c in dice.uniform(-120, 120, 3))
    there = (x + i, y + j, z + k)
    name = f"body {number}"
    match number % 4:
        case 0:
            half = (float(dice.uniform(10, 60)), float(dice.uniform(10, 60)), float(dice.uniform(10, 60)))
            return Box3(name=name, centre=(x, y, z), u=u, v=v, half_mm=half, kind=kind)
        case 1:
            return Cylinder3(name=name, start=(x, y, z), end=there, radius_mm=25, kind=kind)
        case 2:
            outline = ((0.0, 0.0), (80.0, 0.0), (80.0, 30.0), (30.0, 80.0), (0.0, 80.0))
            return Prism3(
                name=name, origin=(x, y, z), u=u, v=v, outline=outline, low_mm=0, high_mm=40, kind=kind
            )
        case _:
            limbs = (Limb(start=(x, y, z), end=there, radius_mm=8),)
            return Sweep3(name=name, pivot=(x, y, z), axis=u, turn_rad=0.5, limbs=limbs, kind=kind)


def bench_panel() -> Panel3:
    """A firewall across the room."""
    outline = ((-700.0, -500.0), (700.0, -500.0), (700.0, 400.0), (0.0, 500.0), (-700.0, 400.0))
    return Panel3(
        name="wall", origin=(0, 0, 0), u=(0, 1, 0), v=(0, 0, 1), low_mm=-1.2, high_mm=0, outline=outline
    )


def bench_case(hoses: int, bodies: int) -> tuple[list[HoseRun], list[Obstacle3]]:
    """The same for every run."""
    dice = np.random.default_rng(hoses)
    return [bench_hose(dice, n) for n in range(hoses)], [bench_obstacle(dice, n) for n in range(bodies)]


def bench_leg(dice: np.random.Generator, span_mm: float) -> HoseRun:
    """A hose with nothing between its ports, which lie and look anyhow."""

    def anyhow() -> tuple[float, float, float]:
        x, y, z = dice.normal(size=3)
        size = float(np.sqrt(x * x + y * y + z * z))
        return float(x) / size, float(y) / size, float(z) / size

    x, y, z = (float(c) for c in dice.uniform(-span_mm, span_mm, 3))
    return HoseRun(
        name="leg",
        start=Port3(name="a", position=(0.0, 0.0, 0.0), direction=anyhow()),
        end=Port3(name="b", position=(x, y, z), direction=anyhow()),
        bend_radius_mm=75,
        outside_dia_mm=12,
    )


def curves_and_sag() -> None:
    """Print the third and the fourth table."""
    dice = np.random.default_rng(3)
    print("\ncurves alone")
    for words, span in (("near", 150.0), ("far", 900.0)):
        runs = [bench_leg(dice, span) for _ in range(2000)]
        begin = time.perf_counter()
        shortest_lengths(runs)
        print(f"{words:>6} {(time.perf_counter() - begin) / len(runs) * 1e6:>9.0f} µs each")
    runs = bench_case(20, 4)[0]
    routed = [(run, path) for run, path in zip(runs, shortest_paths(runs), strict=True) if path is not None]
    begin = time.perf_counter()
    hung = [hang(path, run, hose_length(path, run, 5.0)) for run, path in routed]
    spans = sum(len(sag.spans) for sag in hung if sag is not None)
    print(f"hung by 5 % of slack: {(time.perf_counter() - begin) / spans * 1e3:.1f} ms a stretch")


def main() -> None:
    """Print a row per size, then the detours."""
    panel = bench_panel()
    shortest_paths(bench_case(2, 4)[0])
    print("route and check")
    print(
        f"{'hoses':>6} {'bodies':>7} {'found':>6} {'route s':>9} {'check s':>9} {'total s':>9} {'ratio':>6}"
    )
    first = 0.0
    for hoses, bodies in SIZES:
        runs, obstacles = bench_case(hoses, bodies)
        best = (float("inf"), 0.0, 0.0, 0)
        for _ in range(ROUNDS):
            begin = time.perf_counter()
            paths = [path for path in shortest_paths(runs) if path is not None]
            routed = time.perf_counter()
            found = len(clearances(paths, obstacles, [panel], LIMITS))
            found += len(hose_gaps(paths, LIMITS.fixed_mm))
            done = time.perf_counter()
            best = min(best, (done - begin, routed - begin, done - routed, found))
        total, route_s, check_s, found = best
        first = first or total
        print(
            f"{hoses:>6} {bodies:>7} {found:>6} {route_s:>9.3f} {check_s:>9.3f} {total:>9.3f} {total / first:>6.1f}"
        )
    print("\nwith detours")
    print(f"{'hoses':>6} {'bodies':>7} {'clear':>6} {'detours':>8} {'none':>5} {'total s':>9} {'s/hose':>7}")
    for hoses, bodies in DETOURS:
        runs, obstacles = bench_case(hoses, bodies)
        begin = time.perf_counter()
        answers = route(runs, surroundings(obstacles, [], LIMITS))
        total = time.perf_counter() - begin
        clear = sum(a.clear for a in answers)
        detours = sum(a.clear and a.detour for a in answers)
        none = hoses - clear
        print(f"{hoses:>6} {bodies:>7} {clear:>6} {detours:>8} {none:>5} {total:>9.2f} {total / hoses:>7.2f}")
    curves_and_sag()


if __name__ == "__main__":
    main()
