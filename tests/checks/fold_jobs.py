"""Folded plans to try rules on: legs that lean on each other, a joggle, openings off their flange."""

from __future__ import annotations

import math
from dataclasses import replace

from small_jobs import STEEL, notched, part, part_hole

from generators.geometry.contours import polygon, rectangle
from generators.model.plan import Bend, Flange, Hole, PartPlan, Slot
from generators.model.words import BendDirection


def _bend(
    name: str, parent: str, child: str, start, end, degrees: float, direction: BendDirection = "up"
) -> Bend:
    return Bend(
        name=name,
        parent=parent,
        child=child,
        start=start,
        end=end,
        angle_rad=math.radians(degrees),
        inside_radius_mm=3.0,
        direction=direction,
        k_factor=0.43,
        k_source="shop test bend",
    )


def _plan(flanges: tuple[Flange, ...], bends: tuple[Bend, ...]) -> PartPlan:
    return PartPlan(
        name="p", kind="t", title="t", material=STEEL, thickness_mm=3.0, flanges=flanges, bends=bends
    )


def leaning(leg: float, degrees: float = 135.0) -> PartPlan:
    """A web 60 wide with two equal legs that lean toward each other."""
    legs = tuple(Flange(name=n, contour=rectangle(0, 0, 80, leg)) for n in ("right", "left"))
    web = Flange(name="web", contour=rectangle(0, 0, 60, 80))
    bends = (
        _bend("right", "web", "right", (60, 0), (60, 80), degrees),
        _bend("left", "web", "left", (0, 80), (0, 0), degrees),
    )
    return _plan((web, *legs), bends)


def zed(flat: float, second: BendDirection = "down", degrees: float = 45.0) -> PartPlan:
    """Two bends of one angle with ``flat`` between their tangent lines."""
    flanges = (
        Flange(name="foot", contour=rectangle(0, 0, 60, 40)),
        Flange(name="web", contour=rectangle(0, 0, 60, flat)),
        Flange(name="head", contour=rectangle(0, 0, 60, 40)),
    )
    bends = (
        _bend("one", "foot", "web", (60, 40), (0, 40), degrees),
        _bend("two", "web", "head", (60, flat), (0, flat), degrees, second),
    )
    return _plan(flanges, bends)


def reliefed(*holes: Hole, slots: tuple[Slot, ...] = ()) -> PartPlan:
    """A flange bent off the middle of an edge, with a notch of 10 × 4.8 beside each end of the bend."""
    plan = notched(4.8)
    base = plan.flanges[0]
    return replace(plan, flanges=(replace(base, holes=holes, slots=slots), *plan.flanges[1:]))


def holed(plan: PartPlan, flange: str, *holes: Hole) -> PartPlan:
    """The plan with other holes in one flange."""
    flanges = tuple(replace(f, holes=holes) if f.name == flange else f for f in plan.flanges)
    return replace(plan, flanges=flanges)


def hooked(inward: float) -> PartPlan:
    """Base and riser in a row, and a wing off the riser's side whose arm comes down beside the base; its
    hook reaches ``inward`` back from the wing's tangent line, toward the base."""
    wing = polygon(
        [(0, 0), (40, 0), (40, 10), (60, 10), (60, -inward), (90, -inward), (90, 60), (0, 60)],
    )
    return _plan(
        (
            Flange(name="base", contour=rectangle(0, 0, 60, 50)),
            Flange(name="riser", contour=rectangle(0, 0, 60, 40)),
            Flange(name="wing", contour=wing),
        ),
        (
            _bend("one", "base", "riser", (60, 50), (0, 50), 90),
            _bend("two", "riser", "wing", (60, 0), (60, 40), 90),
        ),
    )


FOLD_CASES = {
    "folded-clash": (lambda: part(leaning(60.0)), lambda: part(leaning(20.0))),
    "joggle-tool": (lambda: part(zed(8.0)), lambda: part(zed(20.0))),
}

__all__ = ["FOLD_CASES", "holed", "hooked", "leaning", "part_hole", "reliefed", "zed"]
