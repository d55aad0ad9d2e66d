"""The opposite hand of a plan: every flange, bend, opening and word seen in a mirror.

The root flange is mirrored in its own line u = 0, so the part's origin stays where the kind says.
A child's frame starts at the other end of its bend, so there u becomes ``bend length - u``. The upper
side stays the upper side: a bend that goes up still does.
"""

from __future__ import annotations

import math
from dataclasses import replace

from generators.geometry.contours import Placement, transformed
from generators.model.pedal_place import PedalPlace
from generators.model.plan import Bend, Flange, PartPlan
from generators.model.words import other_hand
from generators.sheetmetal.folding import bend_length


def mirrored(plan: PartPlan) -> PartPlan:
    """The opposite hand of a plan. The opposite hand of that is the plan again."""
    spans = {b.child: bend_length(b) for b in plan.bends}
    return replace(
        plan,
        flanges=tuple(_flange(f, spans.get(f.name, 0.0)) for f in plan.flanges),
        bends=tuple(_bend(b, spans.get(b.parent, 0.0)) for b in plan.bends),
        notes=tuple(other_hand(note) for note in plan.notes),
        welds=tuple((other_hand(edge), other_hand(onto)) for edge, onto in plan.welds),
        mirrored=not plan.mirrored,
        pedal=None if plan.pedal is None else _pedal(plan.pedal),
    )


def _pedal(place: PedalPlace) -> PedalPlace:
    """The driver's right stays his right: only what lies across the root is seen in the mirror."""
    (cx, cy, cz), (rx, ry, rz), (ux, uy, uz) = place.centre, place.right, place.up
    return replace(place, centre=(-cx, cy, cz), right=(rx, -ry, -rz), up=(-ux, uy, uz))


def _flange(flange: Flange, span: float) -> Flange:
    """A flange hung on a bend of ``span`` mm; the root has 0."""
    return replace(
        flange,
        name=other_hand(flange.name),
        contour=transformed(flange.contour, Placement(du=span, mirror=True)),
        holes=tuple(
            replace(
                h,
                name=other_hand(h.name),
                purpose=other_hand(h.purpose),
                u_mm=span - h.u_mm,
                fitting=replace(h.fitting, label=other_hand(h.fitting.label)),
            )
            for h in flange.holes
        ),
        slots=tuple(
            replace(
                s,
                name=other_hand(s.name),
                purpose=other_hand(s.purpose),
                u_mm=span - s.u_mm,
                angle_rad=math.remainder(-s.angle_rad, math.pi),
                fitting=replace(s.fitting, label=other_hand(s.fitting.label)),
            )
            for s in flange.slots
        ),
        pegs=tuple(
            replace(p, name=other_hand(p.name), purpose=other_hand(p.purpose), u_mm=span - p.u_mm)
            for p in flange.pegs
        ),
    )


def _bend(bend: Bend, span: float) -> Bend:
    """A bend of a parent hung on a bend of ``span`` mm, its ends exchanged to keep its sense."""
    return replace(
        bend,
        name=other_hand(bend.name),
        parent=other_hand(bend.parent),
        child=other_hand(bend.child),
        start=(span - bend.end[0], bend.end[1]),
        end=(span - bend.start[0], bend.start[1]),
    )
