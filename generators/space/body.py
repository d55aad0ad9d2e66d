"""A body: forms under one name, what it is, what it may touch, and what a hose keeps off it as."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from generators.model.words import BodyKind, KeptOff
from generators.space.pieces import Array, Hull, Piece, Point3
from generators.space.plates import Form, pieces_of


@dataclass(frozen=True, kw_only=True)
class Body:
    """Something that stands or moves, vehicle frame, mm.

    ``name`` is unique in the job, ``title`` is what a sheet calls it, ``owner`` the part, panel, component,
    clamp, hose or pedal of the spec it belongs to. Two bodies that have a word in common in ``joined`` are
    fixed to each other and may touch: a part and the panel it is bolted to, a bolt and all it goes through.
    ``kept`` is what it is to a hose that passes.
    """

    name: str
    title: str
    what: BodyKind
    owner: str
    forms: tuple[Form, ...]
    joined: frozenset[str] = field(default_factory=frozenset)
    kept: KeptOff = "fixed"

    @cached_property
    def pieces(self) -> tuple[Piece, ...]:
        """The convex pieces it is measured by."""
        return pieces_of(self.forms)

    @cached_property
    def hulls(self) -> tuple[NDArray[np.intp], Array, NDArray[np.intp], list[int]]:
        """Which pieces are hulls, all their points with where each begins, and the other pieces."""
        hulls = [(k, piece.points) for k, piece in enumerate(self.pieces) if isinstance(piece, Hull)]
        points = [corners for _, corners in hulls]
        starts = np.cumsum([0, *(len(p) for p in points[:-1])])
        rest = [k for k, piece in enumerate(self.pieces) if not isinstance(piece, Hull)]
        stacked = np.vstack(points) if points else np.empty((0, 3))
        return np.array([k for k, _ in hulls], dtype=np.intp), stacked, starts, rest

    @cached_property
    def boxes(self) -> tuple[Array, Array]:
        """Extent of each piece along the vehicle's axes, (pieces, 3), lowest and highest: a body is measured
        in many spaces."""
        low, high = np.empty((2, len(self.pieces), 3))
        hulls, stacked, starts, rest = self.hulls
        if len(hulls):
            low[hulls] = np.minimum.reduceat(stacked, starts)
            high[hulls] = np.maximum.reduceat(stacked, starts)
        for number in rest:
            low[number], high[number] = self.pieces[number].box
        low.flags.writeable = high.flags.writeable = False
        return low, high

    @property
    def box(self) -> tuple[Array, Array]:
        """Extent along the vehicle's axes."""
        low, high = self.boxes
        return np.min(low, axis=0), np.max(high, axis=0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Gap:
    """The least distance between two bodies; negative where they are in each other. mm.

    ``at`` and ``to`` are the nearest points of the first and of the second; where they are in each other,
    both are about the middle of what the two deepest pieces share.
    """

    first: str
    second: str
    gap_mm: float
    at: Point3
    to: Point3


def named(bodies: Sequence[Body]) -> dict[str, Body]:
    """Bodies by name. Raises ``ValueError`` for a name given twice."""
    out: dict[str, Body] = {}
    for body in bodies:
        if body.name in out:
            raise ValueError(f"two bodies named {body.name}")
        out[body.name] = body
    return out
