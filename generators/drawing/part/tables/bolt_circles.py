"""Holes that lie evenly on a circle: said beside their places, since that is how they are marked out."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from generators.drawing.paper.dimensions import number
from generators.drawing.part.tables.datums import Datums
from generators.drawing.part.tables.openings import Opening
from generators.model.plan import Hole

LEAST = 3
SQUARE = 4
"""Four holes are as likely a rectangle's corners: they are a bolt circle about another hole only."""
SAME_MM = 1e-6
MIDDLE = "the middle of the blank"


@dataclass(frozen=True, slots=True, kw_only=True)
class BoltCircle:
    """Where it is on the blank, its diameter, and how the drawing says so."""

    u_mm: float
    v_mm: float
    diameter_mm: float
    words: str


def bolt_circles(openings: Sequence[Opening], datums: Datums) -> Iterator[BoltCircle]:
    """Every bolt circle among holes of one size and one purpose."""
    groups: dict[tuple[float, str], list[Opening]] = {}
    for o in openings:
        if isinstance(o.item, Hole):
            groups.setdefault((round(o.item.diameter_mm, 6), o.item.purpose), []).append(o)
    for group in groups.values():
        count = len(group)
        if count < LEAST:
            continue
        u, v = (sum(getattr(o.item, key) for o in group) / count for key in ("u_mm", "v_mm"))
        polar = sorted(
            (math.atan2(o.item.v_mm - v, o.item.u_mm - u), math.hypot(o.item.u_mm - u, o.item.v_mm - v))
            for o in group
        )
        radius = polar[0][1]
        gaps = [(b[0] - a[0]) % (2 * math.pi) for a, b in zip(polar, [*polar[1:], polar[0]], strict=True)]
        even = all(abs(g - 2 * math.pi / count) * radius < SAME_MM for g in gaps)
        if radius < SAME_MM or not even or any(abs(r - radius) > SAME_MM for _, r in polar):
            continue
        middle = next((o for o in openings if math.hypot(o.item.u_mm - u, o.item.v_mm - v) < SAME_MM), None)
        named = (
            datums.u_words == datums.v_words == MIDDLE
            and math.hypot(u - datums.u_mm, v - datums.v_mm) < SAME_MM
        )
        if count == SQUARE and middle is None and not named:
            continue
        about = (
            f"hole {middle.number.rstrip('*')}"
            if middle
            else MIDDLE
            if named
            else f"X {number(u - datums.u_mm)}, Y {number(v - datums.v_mm)}"
        )
        numbers = ", ".join(o.number.rstrip("*") for o in group)
        yield BoltCircle(
            u_mm=u,
            v_mm=v,
            diameter_mm=2 * radius,
            words=f"(Holes {numbers}: on Ø{number(2 * radius)} PCD about {about}, "
            f"every {number(360 / count)}°.)",
        )
