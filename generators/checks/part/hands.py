"""The rule on opposite hands that are none: a part that is the same seen in a mirror."""

from __future__ import annotations

import math
from collections.abc import Iterator

from shapely.affinity import rotate, scale
from shapely.geometry import LineString, MultiLineString, Point, Polygon
from shapely.geometry.base import BaseGeometry

from generators.checks.rule import Rule, finding
from generators.geometry.contours import polyline
from generators.model.findings import Finding, Severity
from generators.model.plan import Hole, PartPlan, Slot
from generators.sheetmetal.folding import flat_pattern
from generators.sheetmetal.marking.etching import etching

SAME_MM = 0.01
"""What no shop tells apart. Ours."""

SAME_HAND = Rule(
    code="same-hand",
    title="The opposite hand is the same part",
    meaning=(
        "The part is ordered as the opposite hand of another, and its blank is symmetrical, with the same "
        "bends either way, its openings finished alike, nothing etched: both hands are one part. Two "
        "names for it make two drawings and two bags."
    ),
    formula="blank, finished openings, letters and bends mirrored and turned onto themselves, within 0.01 mm",
    source="plane geometry; 0.01 mm ours",
    trust="C",
    mend="One part with twice the `quantity`; leave `mirror` or `opposite` out.",
)

WORKED = ("tapped", "insert", "rivet")
"""Fittings that are work on the part itself: another one, or none, makes another part."""

RULES = (SAME_HAND,)
Thing = tuple[str, BaseGeometry]


def check_hands(plan: PartPlan) -> Iterator[Finding]:
    """A note on a mirrored part that is symmetrical. Raises as ``flat_pattern``."""
    if plan.mirrored and not plan.printed and symmetrical(plan):
        yield finding(
            SAME_HAND,
            Severity.NOTE,
            f"part:{plan.name}",
            found="mirrored, it is the part it was",
            wanted="a part that has two hands",
            advice="order one part in twice the quantity",
        )


def symmetrical(plan: PartPlan) -> bool:
    """True where the blank, mirrored and turned by quarters, lies on itself with its openings and bends."""
    things = list(_things(plan))
    u0, v0, u1, v1 = things[0][1].bounds
    middle = ((u0 + u1) / 2, (v0 + v1) / 2)
    for quarter in range(4):
        seen = [
            (what, rotate(scale(shape, -1.0, 1.0, origin=middle), 90.0 * quarter, origin=middle))
            for what, shape in things
        ]
        if all(any(_same(thing, other) for other in things) for thing in seen):
            return True
    return False


def _things(plan: PartPlan) -> Iterator[Thing]:
    """The outline, letters, then every opening and bend with what sets it apart from others.

    An opening is apart by what it is in the end: a hole that is tapped, countersunk or bored is no plain one
    of the diameter it is cut to.
    """
    flat = flat_pattern(plan)
    yield "blank", Polygon(polyline(flat.contour, 0.001))
    if (letters := etching(plan, flat)) is not None:
        yield f"etched {letters.text}", MultiLineString([list(s) for s in letters.strokes])
    for h, made in zip(flat.holes, (h for f in plan.flanges for h in f.holes), strict=True):
        kind = made.fitting.label if made.fitting.kind in WORKED else ""
        end = f"{made.diameter_mm:.3f} {_off(made)} {kind} {made.finish}"
        yield f"hole {h.diameter_mm:.3f} {_off(h)}, {end}", Point(h.u_mm, h.v_mm)
    for s in flat.slots:
        du, dv = (f(s.angle_rad) * s.travel_mm / 2 for f in (math.cos, math.sin))
        ends = [(s.u_mm - du, s.v_mm - dv), (s.u_mm + du, s.v_mm + dv)]
        yield f"slot {s.width_mm:.3f} {_off(s)}", LineString(ends)
    for b in flat.bends:
        bend = b.bend
        what = f"{bend.direction} {bend.angle_rad:.6f} {bend.inside_radius_mm:.3f}"
        yield what, LineString(b.middle)


def _off(item: Hole | Slot) -> str:
    tolerance = item.tolerance
    return "" if tolerance is None else f"{tolerance.lower_mm:+.3f}/{tolerance.upper_mm:+.3f}"


def _same(one: Thing, other: Thing) -> bool:
    return one[0] == other[0] and one[1].hausdorff_distance(other[1]) < SAME_MM
