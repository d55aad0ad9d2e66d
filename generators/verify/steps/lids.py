"""What the step of a reservoir says of the room over its lid, felt out anew point by point."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from generators.figures import format_short
from generators.space.pieces import Array, Box, Hull, Piece, Rod
from generators.units import UnitSystem
from generators.verify.pdf.content import plain
from generators.verify.pdf.kit.lengths import meant_mm
from generators.verify.steps.text import says

STEP_MM, SHARES, TURNS = 0.5, (0.0, 0.5, 0.97), 24
"""How finely the room is felt out: up, by shares of its radius, and round."""
SAME_MM = 1.0
"""What stands in the room between two points is felt that much later at most."""
_FREE = re.compile(r"Overitslid(?P<only>only)?(?P<number>[0-9./]+)(?P<unit>mm|in)arefree")
SEE = "see for yourself before it is bolted down"


@dataclass(frozen=True, kw_only=True)
class LidRoom:
    """One reservoir by its title, with the pieces of its body and those of all else; mm."""

    title: str
    room_mm: float
    own: tuple[Piece, ...]
    others: tuple[Piece, ...]
    units: UnitSystem = "metric"

    def felt_mm(self) -> float | None:
        """How high over its top nothing is met, at most the room wanted; None where it has no round body."""
        rod = next((piece for piece in self.own if isinstance(piece, Rod)), None)
        if rod is None:
            return None
        axis = np.array(rod.axis) * (1.0 if rod.axis[2] >= 0 else -1.0)
        ends = sorted((rod.start, rod.end), key=lambda end: end[2])
        top = np.array(ends[1])
        if axis[2] ** 2 < 0.5:
            top = (np.array(rod.start) + np.array(rod.end)) / 2
            top = top + np.array([0.0, 0.0, rod.radius_mm / np.sqrt(1 - axis[2] ** 2)])
            axis = np.array([0.0, 0.0, 1.0])
        side = np.cross(axis, [1.0, 0.0, 0.0] if abs(axis[0]) < 0.7 else [0.0, 1.0, 0.0])
        side /= np.linalg.norm(side)
        other = np.cross(axis, side)
        turns = np.linspace(0, 2 * np.pi, TURNS, endpoint=False)
        disc = [s * rod.radius_mm * (np.cos(t) * side + np.sin(t) * other) for s in SHARES for t in turns]
        heights = np.arange(STEP_MM / 2, self.room_mm, STEP_MM)
        points = top + np.repeat(heights, len(disc))[:, None] * axis + np.tile(disc, (len(heights), 1))
        inside = np.zeros(len(points), dtype=bool)
        low, high = points.min(axis=0), points.max(axis=0)
        for piece in self.others:
            if bool(np.all(piece.box[0] <= high) and np.all(piece.box[1] >= low)):
                inside |= _inside(piece, points)
        return float(np.repeat(heights, len(disc))[inside].min(initial=self.room_mm))


def _inside(piece: Piece, points: Array) -> Array:
    if isinstance(piece, Box):
        local = (points - piece.pose[:3, 3]) @ piece.pose[:3, :3]
        return np.asarray((np.abs(local) <= np.array(piece.half_mm)).all(axis=1))
    if isinstance(piece, Rod):
        start, axis = np.array(piece.start), np.array(piece.axis)
        long = float(np.linalg.norm(np.array(piece.end) - start))
        along = (points - start) @ axis
        clipped = np.clip(along, 0.0, long) if piece.round_ends else along
        off = np.linalg.norm(points - start - clipped[:, None] * axis, axis=1)
        ends = np.ones(len(points), dtype=bool) if piece.round_ends else (along >= 0) & (along <= long)
        return np.asarray((off <= piece.radius_mm) & ends)
    assert isinstance(piece, Hull)
    corners, _faces = piece.solid
    return np.asarray(
        (points @ piece.normals.T <= (corners @ piece.normals.T).max(axis=0) + 1e-9).all(axis=1)
    )


def lid_problems(steps: Sequence[str], lids: Sequence[LidRoom]) -> Iterator[str]:
    """What is missing or wrong in the steps, texts without blanks, that fit the reservoirs."""
    for lid in lids:
        felt = lid.felt_mm()
        if felt is None:
            continue
        own = [step for step in steps if step.startswith(plain(f"Fit the {lid.title} "))]
        found = [match for step in own for match in _FREE.finditer(step)]
        if not found or not any(says(step, SEE) for step in own):
            yield f"does not say in its step what is free over the lid of the {lid.title}"
        wanted = format_short(felt, lid.units, 1)
        for match in found:
            right = any(abs(mm - felt) <= SAME_MM for mm in meant_mm(match["number"], match["unit"]))
            if not right or bool(match["only"]) == (felt >= lid.room_mm):
                yield f"says {match[0]!r} of the {lid.title}; {wanted} is right"
