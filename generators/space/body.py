"""A body: forms under one name, what it is, what it may touch, and what a hose keeps off it as."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np

from generators.model.words import BodyKind, KeptOff
from generators.space.pieces import Array, Piece, Point3
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

    @property
    def box(self) -> tuple[Array, Array]:
        """Extent along the vehicle's axes."""
        boxes = [piece.box for piece in self.pieces]
        return np.min([b[0] for b in boxes], axis=0), np.max([b[1] for b in boxes], axis=0)


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
