"""A bend as one of its two flanges sees it."""

from __future__ import annotations

import math
from dataclasses import dataclass

from generators.checks.measure import Point
from generators.geometry.contours import Placement
from generators.model.contour import Vertex
from generators.model.plan import Bend, Flange, PartPlan
from generators.sheetmetal.folding import bend_length

ON_EDGE_MM = 1e-6


@dataclass(frozen=True, slots=True, kw_only=True)
class FlangeBend:
    """A bend seen from one of its two flanges: the tangent line in that flange's frame, walked
    counter-clockwise, so that the flange lies to its left."""

    bend: Bend
    start: Point
    end: Point

    @property
    def along(self) -> Point:
        """Unit direction of the tangent line."""
        length = math.dist(self.start, self.end)
        return (self.end[0] - self.start[0]) / length, (self.end[1] - self.start[1]) / length

    def stands_on(self, a: Vertex, b: Vertex) -> bool:
        """True when the tangent line is this straight side of the outline."""
        return (
            a.bulge == 0
            and math.dist(self.start, (a.u, a.v)) < ON_EDGE_MM
            and math.dist(self.end, (b.u, b.v)) < ON_EDGE_MM
        )

    @property
    def inward(self) -> Point:
        """Unit normal into the flange."""
        eu, ev = self.along
        return -ev, eu

    @property
    def onto(self) -> Placement:
        """The move of the flange's frame that lays the tangent line from the origin along u, the flange at
        v > 0."""
        angle = -math.atan2(self.along[1], self.along[0])
        u, v = Placement(angle=angle).apply(*self.start)
        return Placement(-u, -v, angle)


def flange_bends(plan: PartPlan, flange: Flange) -> list[FlangeBend]:
    """The bends a flange hangs on and those it carries."""
    out = []
    for bend in plan.bends:
        if bend.parent == flange.name:
            out.append(FlangeBend(bend=bend, start=bend.start, end=bend.end))
        if bend.child == flange.name:
            out.append(FlangeBend(bend=bend, start=(0.0, 0.0), end=(bend_length(bend), 0.0)))
    return out
