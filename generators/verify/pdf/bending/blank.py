"""What readers of setup sheets measure on the flat blank."""

from __future__ import annotations

import math
from collections.abc import Iterator

from generators.geometry.contours import arc_of, segments
from generators.sheetmetal.folding import FlatBend, FlatPattern

INCH_MM = 25.4
STOP_MM, SHARP_RAD = 0.02, math.radians(120)

Point = tuple[float, float]


def shown(name: str) -> str:
    """A flange or bend as sheets write it."""
    return name.replace("_", " ")


def in_mm(text: str, unit: str) -> float:
    """A printed length in mm, ``12.5 mm`` or ``1 15/32 in``."""
    total = 0.0
    for word in text.split():
        over, _, under = word.partition("/")
        total += float(over) / float(under) if under else float(over)
    return total * (INCH_MM if unit == "in" else 1.0)


def along(bend: FlatBend, side: tuple[tuple[float, float], tuple[float, float]]) -> float | None:
    """How far a side along the bend is from its middle line, mm, with a sign; None for one not along it."""
    (au, av), (bu, bv) = bend.middle
    long = math.hypot(bu - au, bv - av)
    eu, ev = (bu - au) / long, (bv - av) / long
    one, two = ((p[0] - au) * ev - (p[1] - av) * eu for p in side)
    return (one + two) / 2 if abs(one - two) < STOP_MM else None


def edge_at(this: FlatBend, flat: FlatPattern, rear: float, distance_mm: float) -> bool:
    """True where the blank has a straight side along a bend so far from its middle line.

    ``rear`` is the sign of the side that lies behind it: an edge as far away on the other leg is none.
    """
    return edge_mm(this, flat, rear, distance_mm) > 0


def edge_mm(this: FlatBend, flat: FlatPattern, rear: float, distance_mm: float) -> float:
    """How long the longest of such sides is; 0 where there is none."""
    sides = [((a.u, a.v), (b.u, b.v)) for a, b in segments(flat.contour) if a.bulge == 0]
    there = [
        math.dist(*side)
        for side in sides
        if (off := along(this, side)) is not None and abs(rear * off - distance_mm) < STOP_MM
    ]
    return max(there, default=0.0)


def rear_side(this: FlatBend, rear: str) -> float:
    """The sign of the side of a bend's middle line on which that flange lies, by its printed name."""
    child = along(this, this.far) or 0.0
    return math.copysign(1.0, child) * (1.0 if rear == shown(this.bend.child) else -1.0)


def corners_seen(flat: FlatPattern) -> Iterator[tuple[Point, Point]]:
    """Where each corner of the blank is seen, and the point it is given by: sharp, or an arc's middle."""
    sides = list(segments(flat.contour))
    for (before, _), (a, b) in zip([sides[-1], *sides], sides, strict=False):
        if not a.bulge:
            if not before.bulge:
                yield (a.u, a.v), (a.u, a.v)
            continue
        arc = arc_of(a, b)
        half, middle = arc.sweep / 2, arc.start + arc.sweep / 2
        seen = arc.cu + arc.radius * math.cos(middle), arc.cv + arc.radius * math.sin(middle)
        far = arc.radius / math.cos(half) if abs(arc.sweep) <= SHARP_RAD else 0.0
        yield seen, (arc.cu + far * math.cos(middle), arc.cv + far * math.sin(middle))
