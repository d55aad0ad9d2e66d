"""What the user placed and which way it can be moved, for rules that find it in something else."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from generators.model.changes import Change, Proposal, Shift, Step
from generators.space.body import Body
from generators.space.parting import way_out
from generators.space.pieces import Array

SPARE_MM = 1.0
FARTHEST_MM = 150.0
"""Moved farther than this a design is another: nothing is proposed."""

BEST = 3

_ACROSS = 1
"""The vehicle's y, about which hung pedals turn."""
_ALONG = 1 - 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """One direction a thing can be moved in: in words, as a unit direction in the vehicle, as values of the
    spec by how far, mm."""

    words: str
    along: tuple[float, float, float]
    steps: Callable[[float], tuple[Step, ...]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Movable:
    """A thing of the spec that the user placed; with a ``bracket`` goes all that is fitted to it."""

    label: str
    ways: tuple[Way, ...]
    bracket: bool = False


def in_plane(label: str, thing: str, right: Sequence[float], up: Sequence[float]) -> Movable:
    """A thing, as a ``Shift`` names it, that moves along its panel: ``right`` and ``up`` are u and v."""

    def way(words: str, u: float, v: float) -> Way:
        x, y, z = (u * a + v * b for a, b in zip(right, up, strict=True))
        return Way(
            words=words, along=(x, y, z), steps=lambda far: (Shift(thing=thing, u=u * far, v=v * far),)
        )

    return Movable(
        label=label,
        bracket=thing.startswith("part:"),
        ways=(way("to the left", -1, 0), way("to the right", 1, 0), way("up", 0, 1), way("down", 0, -1)),
    )


def in_space(label: str, path: str) -> Movable:
    """A thing that stands free in the vehicle; ``path`` is its place, a list of three."""

    def way(words: str, axis: int, sign: float) -> Way:
        x, y, z = (sign * (k == axis) for k in range(3))
        return Way(
            words=words,
            along=(x, y, z),
            steps=lambda far: (Change(path=f"{path}[{axis}]", by=sign * far),),
        )

    pairs = (("rearward", "forward"), ("to the right", "to the left"), ("up", "down"))
    return Movable(
        label=label,
        ways=tuple(way(words[k], axis, 1.0 - 2 * k) for axis, words in enumerate(pairs) for k in (0, 1)),
    )


def moved_aside(
    moving: Sequence[Body], met: Sequence[Body], clear_mm: float, things: Sequence[tuple[Movable, bool]]
) -> tuple[Proposal, ...]:
    """Things moved along the axis about which a pedal turns, until what moves and what it meets are apart by
    ``clear_mm`` along it, whatever the turn; the shortest first.

    Such an axis is one of the vehicle's here: along it nothing that turns about it goes further. With a thing
    stands whether it carries what moves, or else what is met.
    """
    low, high = _extent(moving)
    there_low, there_high = _extent(met)
    found: list[tuple[float, Proposal]] = []
    for thing, carries in things:
        for way in thing.ways:
            goes = way.along[_ACROSS] if carries else -way.along[_ACROSS]
            if abs(goes) < _ALONG:
                continue
            far = (there_high - low if goes > 0 else high - there_low) + clear_mm
            if 0 < far <= FARTHEST_MM:
                words = f"move {thing.label} {{by}} {way.words}"
                whole = float(math.ceil(far + SPARE_MM))
                found.append((whole, Proposal(words=words, steps=way.steps(whole))))
    return tuple(p for _, p in sorted(found, key=lambda f: f[0])[:BEST])


def _extent(bodies: Sequence[Body]) -> tuple[float, float]:
    boxes = [body.box for body in bodies]
    return min(float(b[0][_ACROSS]) for b in boxes), max(float(b[1][_ACROSS]) for b in boxes)


def _out_of_all(pairs: Sequence[tuple[Body, Body]], along: Array) -> float:
    """How far along a way the first of every pair is out of the second, mm; infinite where one is not."""
    far = 0.0 if pairs else math.inf
    for one, two in pairs:
        far = max(far, way_out(one, two, along, FARTHEST_MM))
        if far > FARTHEST_MM:
            # of hundreds of pairs most never get the whole way: the others need not be asked
            return math.inf
    return far


def moved_out(
    pairs: Sequence[tuple[Body, Body]], things: Sequence[tuple[Movable, bool]]
) -> tuple[Proposal, ...]:
    """Things moved, each the shortest ways that take the first of every pair out of the second; what moves
    alone first, then the shortest.

    With a thing stands whether it is the first's, or else the second's.
    """
    found: list[tuple[bool, float, Proposal]] = []
    for thing, first in things:
        for way in thing.ways:
            along: Array = np.array(way.along) if first else -np.array(way.along)
            far = _out_of_all(pairs, along)
            if far <= FARTHEST_MM:
                whole = float(math.ceil(far + SPARE_MM))
                words = f"move {thing.label} {{by}} {way.words}"
                found.append((thing.bracket, whole, Proposal(words=words, steps=way.steps(whole))))
    return tuple(p for _, _, p in sorted(found, key=lambda f: f[:2])[:BEST])
