"""Gaps of the solved scene that may close: what is fitted, against the vehicle and what else is fitted."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np

from generators.checks.space.clash import looked_at
from generators.measure.chance.kit import Column
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


def gap_gauges(moves: Moves, columns: Sequence[Column]) -> Iterator[Wanted]:
    """The gaps that may close, nearest first. Raises nothing."""
    scene = moves.prepared.scene
    standing = [b for b in scene.bodies if b.what not in _LEFT_OUT]
    pedals = [
        replace(m.body, forms=tuple(moved(p, m.motion.pose(m.motion.end_rad)) for p in m.body.pieces))
        for m in scene.movers
        if m.body.what not in _LEFT_OUT
    ]
    hung = {p.name: p.hanger for p in moves.prepared.file.job.pedal}
    bodies = {b.name: b for b in [*standing, *pedals]}
    best: dict[frozenset[str], tuple[Gap, Sparse]] = {}
    for gap in Space(list(bodies.values())).gaps(WITHIN_MM):
        one, two = bodies[gap.first], bodies[gap.second]
        key = frozenset((_whose(one), _whose(two)))
        if len(key) < 2 or one.joined & two.joined or not looked_at(one.what, two.what):
            continue
        if gap.gap_mm < TOUCH_MM or (key in best and best[key][0].gap_mm <= gap.gap_mm):
            continue
        motions = [_motion(moves, body, hung) for body in (one, two)]
        if motions[0] is None or motions[1] is None:
            continue
        at, to = np.array(gap.at), np.array(gap.to)
        way = (to - at) / np.linalg.norm(to - at)
        apart = motions[1](to).plus(motions[0](at), -1.0)
        best[key] = gap, Sparse().plus(apart, way[None, :])
    for gap, off in sorted(best.values(), key=lambda each: each[0].gap_mm):
        # columns that a motion asked for first are at the end of the list by now
        spread = math.hypot(*(float(v[0]) * columns[c].sigma for c, v in off.items()))
        if spread > 0 and gap.gap_mm < SIGMAS * spread:
            one, two = bodies[gap.first], bodies[gap.second]
            yield Wanted(
                name=f"{one.title} clears {two.title}",
                kind="gap",
                task=_task(moves, one, two),
                title=f"{one.title} and {two.title}",
                rest_mm=gap.gap_mm,
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
