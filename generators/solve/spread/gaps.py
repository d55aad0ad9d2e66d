"""Gaps of the solved scene that may close: what is fitted, against the vehicle and what else is fitted."""

from __future__ import annotations

import math
from collections.abc import Container, Iterator, Mapping, Sequence
from dataclasses import replace

import numpy as np

from generators.checks.space.clash import looked_at
from generators.measure.chance.kit import Column
from generators.solve.bodies.scene import Scene
from generators.solve.spread.columns import Sparse, Wanted
from generators.solve.spread.moves import Motion, Moves
from generators.space.body import Body, Gap
from generators.space.distance import Space
from generators.space.pieces import moved

WITHIN_MM = 40.0
TOUCH_MM = 0.05
SIGMAS = 6.0
"""A gap of more than so many deviations cannot close: about one in a thousand million (normal, one side)."""

_LEFT_OUT = frozenset({"hose", "room", "rod"})


def _bodies(scene: Scene) -> dict[str, Body]:
    """What stands, and pedals at the end of their way, by name."""
    standing = [b for b in scene.bodies if b.what not in _LEFT_OUT]
    pedals = [
        replace(m.body, forms=tuple(moved(p, m.motion.pose(m.motion.end_rad)) for p in m.body.pieces))
        for m in scene.movers
        if m.body.what not in _LEFT_OUT
    ]
    return {b.name: b for b in [*standing, *pedals]}


def _gaps(bodies: Mapping[str, Body], within_mm: float) -> Iterator[Gap]:
    """Gaps between things that are not of one another."""
    for gap in Space(list(bodies.values())).gaps(within_mm):
        one, two = bodies[gap.first], bodies[gap.second]
        if _whose(one) != _whose(two) and not one.joined & two.joined and looked_at(one.what, two.what):
            yield gap


def touching(scene: Scene) -> frozenset[frozenset[str]]:
    """Names of bodies that touch by plan, two and two."""
    near = _gaps(_bodies(scene), TOUCH_MM)
    return frozenset(frozenset((gap.first, gap.second)) for gap in near if gap.gap_mm < TOUCH_MM)


def gap_gauges(
    moves: Moves, columns: Sequence[Column], by_plan: Container[frozenset[str]] | None = None
) -> Iterator[Wanted]:
    """The gaps that may close, nearest first. Raises nothing.

    Things that touch do so by plan; where ``by_plan`` says which may, others that do fail.
    """
    bodies = _bodies(moves.prepared.scene)
    hung = {p.name: p.hanger for p in moves.prepared.file.job.pedal}
    best: dict[frozenset[str], tuple[Gap, Sparse]] = {}
    met: dict[frozenset[str], Gap] = {}
    for gap in _gaps(bodies, WITHIN_MM):
        one, two = bodies[gap.first], bodies[gap.second]
        key = frozenset((_whose(one), _whose(two)))
        if gap.gap_mm < TOUCH_MM:
            if by_plan is not None and frozenset((gap.first, gap.second)) not in by_plan:
                met.setdefault(key, gap)
            continue
        if key in best and best[key][0].gap_mm <= gap.gap_mm:
            continue
        motions = [_motion(moves, body, hung) for body in (one, two)]
        if motions[0] is None or motions[1] is None:
            continue
        at, to = np.array(gap.at), np.array(gap.to)
        way = (to - at) / np.linalg.norm(to - at)
        apart = motions[1](to).plus(motions[0](at), -1.0)
        best[key] = gap, Sparse().plus(apart, way[None, :])
    # nothing says which way out is the shortest, so what meets does not follow the columns
    yield from (_wanted(moves, bodies, gap, -TOUCH_MM, Sparse()) for gap in met.values())
    for gap, off in sorted((best[k] for k in best if k not in met), key=lambda each: each[0].gap_mm):
        # columns that a motion asked for first are at the end of the list by now
        spread = math.hypot(*(float(v[0]) * columns[c].sigma for c, v in off.items()))
        if spread > 0 and gap.gap_mm < SIGMAS * spread:
            yield _wanted(moves, bodies, gap, gap.gap_mm, off)


def _wanted(moves: Moves, bodies: Mapping[str, Body], gap: Gap, rest_mm: float, off: Sparse) -> Wanted:
    one, two = bodies[gap.first], bodies[gap.second]
    return Wanted(
        key=" ".join(sorted((_whose(one), _whose(two)))),
        name=f"{one.title} clears {two.title}",
        kind="gap",
        task=_task(moves, one, two),
        title=f"{one.title} and {two.title}",
        rest_mm=rest_mm,
        off=off,
    )


def _whose(body: Body) -> str:
    return f"{'part' if body.what == 'bolt' else body.name.partition(':')[0]}:{body.owner}"


def _motion(moves: Moves, body: Body, hung: dict[str, str]) -> Motion | None:
    if body.name.startswith("pedal:") or body.what in ("pedal", "pad"):
        hanger = hung.get(body.owner, "")
        return moves.part(hanger) if hanger in moves.parts else None
    return moves.body(body.name)


def _task(moves: Moves, one: Body, two: Body) -> str:
    """The later step of the two that puts something there."""
    order = moves.prepared.lines.order
    keys = []
    for body in (one, two):
        table = "part" if body.what == "bolt" else body.name.partition(":")[0]
        key = f"{'pedal' if body.what in ('pedal', 'pad') else table}:{body.owner}"
        if table == "bolt" or body.owner in moves.panels:
            key = f"drill:{body.owner}"
        place = order.place(key)
        if place is not None:
            keys.append((place, key))
    return max(keys)[1] if keys else order.tasks[-1].key
