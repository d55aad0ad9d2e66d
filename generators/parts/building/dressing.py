"""What is done to a plan after its kind made it: lightening holes, rounded corners, the other hand.

In this order, and the mirror last: places are given for the hand the kind draws, and the opposite
hand is the mirror image of the whole finished plan.
"""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

from generators.errors import GeometryFault
from generators.geometry.corners import convex_corners, round_corners
from generators.model.limits import Limits
from generators.model.plan import Bend, Flange, PartPlan
from generators.model.spec.job import PartSpec
from generators.parts.building.lightening import bend_lines, lightening_holes
from generators.parts.building.mirror import mirrored
from generators.parts.building.openings import require_inside
from generators.sheetmetal.marking.letters import GLYPHS

ON_CORNER_MM = 1e-6


def dress(plan: PartPlan, spec: PartSpec[object], limits: Limits) -> PartPlan:
    """The plan with all the spec adds to it.

    Raises ``GeometryFault`` whose ``parameter`` begins with a dot: a key of the part itself.
    """
    _etchable(plan, spec.etch)
    plan = _lightened(plan, spec, limits)
    plan = _filleted(plan, spec)
    return mirrored(plan) if spec.mirror else plan


def _etchable(plan: PartPlan, text: str) -> None:
    """Raises ``GeometryFault`` for letters there are none of, and on a part that is printed."""
    missing = "".join(dict.fromkeys(c for c in text if c not in GLYPHS))
    if missing or text != text.strip():
        raise GeometryFault(f"no single-stroke letter for {missing or 'a blank at the end'!r}", ".etch")
    if text and plan.printed:
        raise GeometryFault("letters etched on a printed part", ".etch")


def as_followed(spec: PartSpec[Any]) -> PartSpec[Any]:
    """A part whose shape follows its panel, in a mirrored job: its own places are mirrored in the spec.

    Its plan then is that of the mirrored panel, and needs no mirror after it.
    """

    def flat(point: tuple[float, float] | None) -> tuple[float, float] | None:
        return None if point is None else (-point[0] + 0.0, point[1])

    return replace(
        spec,
        mirror=False,
        # walked the other way, so that rows go on to the left of the last as they did
        lightening=tuple(
            replace(x, from_=flat(x.to), to=flat(x.from_)) if x.to else replace(x, from_=flat(x.from_))
            for x in spec.lightening
        ),
        pattern=tuple(
            replace(x, at=(-x.at[0] + 0.0, x.at[1]), rotate_rad=-x.rotate_rad, flip=not x.flip)
            for x in spec.pattern
        ),
    )


def _known(plan: PartPlan, name: str, key: str) -> Flange:
    try:
        return plan.flange(name)
    except KeyError:
        known = ", ".join(f.name for f in plan.flanges)
        raise GeometryFault(f"no flange {name!r}; this part has {known}", key) from None


def _with(plan: PartPlan, flange: Flange) -> PartPlan:
    return replace(plan, flanges=tuple(flange if f.name == flange.name else f for f in plan.flanges))


def _lightened(plan: PartPlan, spec: PartSpec[object], limits: Limits) -> PartPlan:
    first = 1
    for i, want in enumerate(spec.lightening):
        here = f".lightening[{i}]"
        flange = _known(plan, want.flange, f"{here}.flange")
        try:
            holes = lightening_holes(want, flange, plan.bends, limits, plan.thickness_mm, first)
        except GeometryFault as fault:
            raise GeometryFault(str(fault), f"{here}.{fault.parameter}") from fault
        first += len(holes)
        plan = _with(plan, replace(flange, holes=(*flange.holes, *holes)))
    return plan


def _filleted(plan: PartPlan, spec: PartSpec[object]) -> PartPlan:
    radii = {f.name: (spec.edge_fillet_mm, ".edge_fillet") for f in plan.flanges}
    for i, own in enumerate(spec.fillet):
        key = f".fillet[{i}]"
        _known(plan, own.flange, f"{key}.flange")
        if any(own.flange == other.flange for other in spec.fillet[:i]):
            raise GeometryFault(f"a second radius for flange {own.flange!r}", f"{key}.flange")
        radii[own.flange] = own.radius_mm, f"{key}.radius"
    rounded: set[str] = set()
    for flange in plan.flanges:
        radius, key = radii[flange.name]
        if radius:
            new = _rounded(flange, plan.bends, radius, key)
            rounded |= set() if new == flange else {key}
            plan = _with(plan, new)
            try:
                require_inside(plan)
            except GeometryFault as fault:
                raise GeometryFault(f"with corners of {radius:g} mm {fault}", key) from fault
    for radius, key in dict.fromkeys(radii.values()):
        if radius and key not in rounded:
            where = "this part" if key == ".edge_fillet" else "that flange"
            raise GeometryFault(
                f"a radius of {radius:g} mm changes nothing: {where} has no free outer corner that is sharp",
                key,
            )
    return plan


def _rounded(flange: Flange, bends: tuple[Bend, ...], radius: float, key: str) -> Flange:
    ends = [end for line in bend_lines(flange.name, bends) for end in line]
    corners = {
        i
        for i in convex_corners(flange.contour)
        if not any(
            math.dist((flange.contour.vertices[i].u, flange.contour.vertices[i].v), e) < ON_CORNER_MM
            for e in ends
        )
    }
    try:
        return replace(flange, contour=round_corners(flange.contour, corners, radius))
    except GeometryFault as fault:
        hint = "" if key != ".edge_fillet" else "; [[part.fillet]] gives one flange its own radius"
        raise GeometryFault(f"flange {flange.name!r}: {fault}{hint}", key) from fault
