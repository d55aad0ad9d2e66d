"""A step on the folder: the part under the fingers and up with the leaf, bed, beam and stop."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from generators.bending.folder.swing import Swing
from generators.bending.folder.tools import beam_outline, bed_outline, finger_outline, leaf_outline
from generators.bending.legs import PartShape
from generators.bending.shadow import Shadow, shadows
from generators.bending.steps import FoldStep
from generators.drawing.bending.views.depth import layers
from generators.drawing.bending.views.picture import (
    ARC_STEPS,
    ROUND_MM,
    Point,
    SideView,
    called,
    finger_ring,
    ring_of,
)
from generators.geometry.joined import joined
from generators.model.plan import PartPlan
from generators.model.spec.tools.folder import Folder
from generators.sheetmetal.folding import bend_allowance


def on_folder(plan: PartPlan, step: FoldStep, folder: Folder, share: float) -> SideView:
    """The picture where a ``share`` of the bend is made; y = 0 where the bend begins under the nose."""
    bend = next(b for b in plan.bends if b.name == step.bend)
    laid = PartShape(plan=plan).laid(bend, frozenset(step.done), step.child_rear)
    t, r = plan.thickness_mm, bend.inside_radius_mm
    swing = Swing(
        angle_rad=step.pressed_rad,
        radius_mm=r,
        thickness_mm=t,
        neutral_mm=r + bend.k_factor * t,
        start_mm=bend_allowance(bend, t) / 2,
    )
    angle = share * swing.angle_rad
    rear, front = laid.rear.flat.bounds[3] - swing.start_mm, swing.start_mm - laid.front.flat.bounds[1]
    under = ((0.0, 0.0), (rear, 0.0), (rear, t), (0.0, t))

    def pieces(seen: Sequence[Shadow], share_rad: float) -> Iterator[tuple[Point, ...]]:
        for shadow in seen:
            whole = swing.laid(joined(getattr(shadow.shape, "geoms", [shadow.shape])))
            moved = whole if shadow.rear else swing.moved(whole, share_rad)
            yield from (ring_of(part) for part in getattr(moved, "geoms", [moved]))

    seen = layers(laid, right=True)
    flat = ((0.0, 0.0), (-front, 0.0), (-front, t), (0.0, t))
    leg = swing.leg(front, 0.0, angle)
    end = swing.leg(front, -ROUND_MM, angle).exterior.coords
    fingers, beam = ring_of(finger_outline(folder, t)), ring_of(beam_outline(folder, t))
    leaf = ring_of(swing.moved(leaf_outline(folder), angle, slides=False))
    bed, stop = ring_of(bed_outline(folder)), step.stop
    back, at = folder.stop, stop.distance_mm - folder.nose_radius_mm
    other = bend.parent if laid.rear_flange == bend.child else bend.child
    touches = None if stop.on == "line" else finger_ring(at, 0.0, back.depth_mm, back.height_mm)
    return SideView(
        laid=(under, flat, *pieces(shadows(laid), 0.0)),
        behind=tuple(pieces(seen.behind, angle)),
        bent=(*pieces(seen.over, angle), _wrapped(swing, angle), under, ring_of(leg)),
        before=tuple(pieces(seen.before, angle)),
        standing=(bed,),
        moving=(beam, fingers, leaf),
        finger=touches,
        names=(
            (laid.rear_flange.replace("_", " "), (rear, t + ROUND_MM)),
            (other.replace("_", " "), (end[1][0], end[1][1] + ROUND_MM)),
        ),
        tools=(
            ("fingers", fingers),
            ("beam", beam),
            ("leaf", leaf),
            ("bed", bed),
            *called("stop", touches),
        ),
    )


def _wrapped(swing: Swing, angle: float) -> tuple[Point, ...]:
    """The bend itself, from where it begins under the nose."""
    r, t = swing.radius_mm, swing.thickness_mm
    turns = [angle * i / ARC_STEPS for i in range(ARC_STEPS + 1)]
    out = [(-(r + t) * math.sin(a), r + t - (r + t) * math.cos(a)) for a in turns]
    inside = [(-r * math.sin(a), r + t - r * math.cos(a)) for a in reversed(turns)]
    return tuple(out + inside)
