"""Which flanges of a folded part lie on its panel: the root, and those with their lower side in its plane."""

from __future__ import annotations

import math
from dataclasses import replace

from generators.geometry.contours import Placement, transformed
from generators.model.plan import Flange, PartPlan
from generators.sheetmetal.folding import folded_frames

SAME_DIRECTION = 1e-9
SAME_PLANE_MM = 1e-6


def lying(plan: PartPlan) -> tuple[tuple[Flange, Placement], ...]:
    """The flanges that lie on the panel, the root first, each with its place in the root's frame.

    Raises ``GeometryFault`` as ``folded_frames`` does.
    """
    out = [(plan.flanges[0], Placement())]
    frames = folded_frames(plan) if len(plan.flanges) > 1 else {}
    for flange in plan.flanges[1:]:
        frame = frames[flange.name]
        if frame[2, 2] > 1 - SAME_DIRECTION and abs(frame[2, 3]) < SAME_PLANE_MM:
            turn = math.atan2(frame[1, 0], frame[0, 0])
            out.append((flange, Placement(float(frame[0, 3]), float(frame[1, 3]), turn)))
    return tuple(out)


def moved(flange: Flange, place: Placement) -> Flange:
    """A flange with outline and openings in the root's frame; pegs stay behind."""
    if place == Placement():
        return replace(flange, pegs=())
    holes, slots = [], []
    for h in flange.holes:
        u, v = place.apply(h.u_mm, h.v_mm)
        holes.append(replace(h, u_mm=u, v_mm=v))
    for s in flange.slots:
        u, v = place.apply(s.u_mm, s.v_mm)
        slots.append(replace(s, u_mm=u, v_mm=v, angle_rad=s.angle_rad + place.angle))
    return replace(
        flange, contour=transformed(flange.contour, place), holes=tuple(holes), slots=tuple(slots), pegs=()
    )


def on_panel(plan: PartPlan) -> Flange:
    """The root with the openings of all that lies beside it on the panel, in the root's frame."""
    root, *others = lying(plan)
    seen = [moved(flange, place) for flange, place in others]
    return replace(
        root[0],
        holes=(*root[0].holes, *(h for f in seen for h in f.holes)),
        slots=(*root[0].slots, *(s for f in seen for s in f.slots)),
    )
