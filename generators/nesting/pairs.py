"""A blank alone, or two of it head to tail, as one box to lay.

Turning a blank by half a turn keeps its grain. Two blanks that taper then fit into each other: the second is
moved in beside or over the first until the gap is all that is left between them, found by halving.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from shapely import affinity
from shapely.geometry import Polygon

from generators.geometry.contours import Placement, bounds, polyline, transformed
from generators.model.spec.tools.rates import RackSheet
from generators.nesting.nest import Blank, Box

CHORD_MM = 0.005
"""How far a straight piece may leave an arc of the outline; counted twice into the gap."""

STEPS = 24
WORTH = 0.98
"""A pair, or an oblique turn, is taken from this share of the plain box on."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Group:
    """One or two blanks that lie together; ``turns`` are the ways the group may lie on the sheet, rad."""

    blank: Blank
    places: tuple[Placement, ...]
    turns: tuple[float, ...]

    def box(self, turn_rad: float) -> Box:
        """The box round the group as turned, about its origin."""
        boxes = [_box(self.blank, place, turn_rad) for place in self.places]
        return (
            min(b[0] for b in boxes),
            min(b[1] for b in boxes),
            max(b[2] for b in boxes),
            max(b[3] for b in boxes),
        )


def _box(blank: Blank, place: Placement, turn_rad: float) -> Box:
    du, dv = Placement(0.0, 0.0, turn_rad).apply(place.du, place.dv)
    return bounds(transformed(blank.cut.contour, Placement(du, dv, place.angle + turn_rad)))


def turns_of(blank: Blank, rack: RackSheet) -> tuple[float, ...]:
    """How a blank may be turned on a sheet: by its grain one way (half turns apart), else two or four."""
    quarter = math.pi / 2
    if blank.plan.grain == "any":
        oblique = _oblique(blank)
        return (0.0, quarter) if oblique is None else (oblique, oblique + quarter)
    along_length = rack.grain == "length"
    return (0.0,) if (blank.plan.grain == "along_u") == along_length else (quarter,)


def _oblique(blank: Blank) -> float | None:
    """The turn in which the box round a blank is least, where that is worth it."""
    shape = Polygon(polyline(blank.cut.contour, CHORD_MM))
    least = shape.minimum_rotated_rectangle
    u0, v0, u1, v1 = shape.bounds
    if not isinstance(least, Polygon) or least.area > WORTH * (u1 - u0) * (v1 - v0):
        return None
    (ax, ay), (bx, by) = list(least.exterior.coords)[:2]
    return -math.atan2(by - ay, bx - ax)


def groups_of(blank: Blank, rack: RackSheet, gap_mm: float, *, paired: bool) -> Iterator[Group]:
    """The blanks of one part as groups: pairs where ``paired`` and worth it, the rest alone."""
    turns = turns_of(blank, rack)
    count = blank.count
    if paired and count > 1:
        pair = _pair(blank, gap_mm)
        if pair is not None:
            for _ in range(count // 2):
                yield Group(blank=blank, places=pair, turns=_of_pair(blank, turns))
            count %= 2
    for _ in range(count):
        yield Group(blank=blank, places=(Placement(),), turns=turns)


def _of_pair(blank: Blank, turns: tuple[float, ...]) -> tuple[float, ...]:
    """A pair lies square to the sheet where the grain is free: its box was made so."""
    return (0.0, math.pi / 2) if blank.plan.grain == "any" else turns


def _pair(blank: Blank, gap_mm: float) -> tuple[Placement, ...] | None:
    """The blank and its half turn, closest along u or along v; None where the pair saves nothing."""
    u0, v0, u1, v1 = bounds(blank.cut.contour)
    shape = Polygon(polyline(blank.cut.contour, CHORD_MM))
    other = affinity.rotate(shape, 180, origin=(0, 0))
    back = Placement(u0 + u1, v0 + v1, math.pi)  # in the same box
    other = affinity.translate(other, u0 + u1, v0 + v1)
    apart = gap_mm + 2 * CHORD_MM
    wide, high = u1 - u0 + gap_mm, v1 - v0 + gap_mm
    best: tuple[float, tuple[Placement, ...]] | None = None
    for du, dv, full in ((1.0, 0.0, wide), (0.0, 1.0, high)):
        low, far = 0.0, full
        for _ in range(STEPS):
            middle = (low + far) / 2
            near = shape.distance(affinity.translate(other, du * middle, dv * middle)) < apart
            # clear at one shift does not mean clear at every larger one: walk only from outside in
            low, far = (middle, far) if near else (low, middle)
        if not _clear(shape, other, du * far, dv * far, apart):
            continue
        size = (wide + du * far) * (high + dv * far)
        places = (Placement(), Placement(back.du + du * far, back.dv + dv * far, math.pi))
        if best is None or size < best[0]:
            best = size, places
    if best is None or best[0] > WORTH * 2 * wide * high:
        return None
    return best[1]


def _clear(shape: Polygon, other: Polygon, du: float, dv: float, apart: float) -> bool:
    return bool(shape.distance(affinity.translate(other, du, dv)) >= apart)
