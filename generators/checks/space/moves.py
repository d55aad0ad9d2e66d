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
            far = max((way_out(one, two, along, FARTHEST_MM) for one, two in pairs), default=math.inf)
            if far <= FARTHEST_MM:
                whole = float(math.ceil(far + SPARE_MM))
                words = f"move {thing.label} {{by}} {way.words}"
                found.append((thing.bracket, whole, Proposal(words=words, steps=way.steps(whole))))
    return tuple(p for _, _, p in sorted(found, key=lambda f: f[:2])[:BEST])
