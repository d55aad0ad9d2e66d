"""A step on the press brake: the part laid in and bent, punch, die, ram, table, a finger of the gauge."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from shapely.geometry import Polygon

from generators.bending.legs import Laid, PartShape
from generators.bending.setting import Machines
from generators.bending.shadow import Shadow, shadows
from generators.bending.steps import Step
from generators.bending.stroke import Stroke
from generators.bending.tools import (
    die_outline,
    dies_of,
    punch_outline,
    punches_of,
    ram_outline,
    table_outline,
)
from generators.drawing.bending.views.depth import from_the_left, layers
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
from generators.model.spec.tools.press import Brake, Die, Punch


def tools_of(step: Step, machines: Machines, thickness_mm: float) -> tuple[Punch, Die]:
    """Punch and die of a step. Raises ``KeyError`` when the brake has none of that name."""
    brake, opening_mm = machines.brake, machines.opening_mm
    punch = next((p for p in punches_of(brake) if p.name == step.punch), None)
    die = next((d for d in dies_of(brake, opening_mm, thickness_mm) if d.name == step.die), None)
    if punch is None or die is None:
        raise KeyError(step.punch if punch is None else step.die)
    return punch, die


def on_brake(plan: PartPlan, step: Step, machines: Machines, share: float) -> SideView:
    """The picture where a ``share`` of the bend is made. Raises ``KeyError`` for tools the brake has not."""
    brake = machines.brake
    punch, die = tools_of(step, machines, plan.thickness_mm)
    bend = next(b for b in plan.bends if b.name == step.bend)
    laid = PartShape(plan=plan).laid(bend, frozenset(step.done), step.child_rear)
    t, r = plan.thickness_mm, bend.inside_radius_mm
    stroke = Stroke(
        angle_rad=step.pressed_rad, radius_mm=r, thickness_mm=t, neutral_mm=r + bend.k_factor * t, die=die
    )
    h = share * stroke.half
    axis, tip_z = stroke.axis_z(h), stroke.tip_z(h)
    left = from_the_left(plan, step)
    # at rest nothing has turned: the axis stands over the middle by the radius
    flat = (*_legs(laid, stroke, 0.0, r + t), *_off(shadows(laid), stroke, 0.0, r + t))
    seen = layers(laid, right=not left)
    own = (_arc(stroke, h, axis), *_legs(laid, stroke, h, axis))
    other = bend.parent if laid.rear_flange == bend.child else bend.child
    names = []
    for flange, leg, rear in ((laid.rear_flange, laid.rear, True), (other, laid.front, False)):
        far = leg.flat.bounds[3] if rear else leg.flat.bounds[1]
        spot = Polygon([(far, t / 2 - 0.1), (far, t / 2 + 0.1), (far * 1.001, t / 2)])
        at = stroke.moved(spot, rear, h, axis).centroid
        names.append((flange.replace("_", " "), (float(at.x), float(at.y) + ROUND_MM)))
    over, below = ring_of(punch_outline(punch, step.turned), tip_z), ring_of(die_outline(die))
    ram = ring_of(ram_outline(brake, punch.height_mm), tip_z)
    view = SideView(
        laid=flat,
        behind=tuple(_off(seen.behind, stroke, h, axis)),
        bent=(*_off(seen.over, stroke, h, axis), *own),
        before=tuple(_off(seen.before, stroke, h, axis)),
        standing=(ring_of(table_outline(brake, die.height_mm)), below),
        moving=(ram, over),
        finger=_finger(step, brake),
        names=tuple(names),
        tools=(("punch", over), ("die", below), *called("gauge", _finger(step, brake))),
    )
    return view.turned() if left else view


def _finger(step: Step, brake: Brake) -> tuple[Point, ...] | None:
    if step.stop.on == "line":
        return None
    gauge, y = brake.gauge, step.stop.distance_mm
    low = -gauge.below_mm if step.stop.below else 0.0
    return finger_ring(y, low, gauge.finger_length_mm, gauge.finger_height_mm)


def _legs(laid: Laid, stroke: Stroke, h: float, axis: float) -> Iterator[tuple[Point, ...]]:
    """Both legs at ``h``: flat metal from its tangent line on."""
    near, t = h * stroke.neutral_mm, stroke.thickness_mm
    for leg, rear in ((laid.rear, True), (laid.front, False)):
        far = leg.flat.bounds[3] if rear else -leg.flat.bounds[1]
        side = 1.0 if rear else -1.0
        plate = Polygon([(side * near, 0.0), (side * far, 0.0), (side * far, t), (side * near, t)])
        yield ring_of(stroke.moved(plate, rear, h, axis))


def _off(seen: Sequence[Shadow], stroke: Stroke, h: float, axis: float) -> Iterator[tuple[Point, ...]]:
    """What stands off them, at ``h``."""
    for shadow in seen:
        whole = joined(getattr(shadow.shape, "geoms", [shadow.shape]))
        moved = stroke.moved(whole, shadow.rear, h, axis)
        for part in getattr(moved, "geoms", [moved]):
            yield ring_of(part)


def _arc(stroke: Stroke, h: float, axis: float) -> tuple[Point, ...]:
    """The bend itself, between its tangent lines."""
    r, t = stroke.radius_mm, stroke.thickness_mm
    turns = [-h + 2 * h * i / ARC_STEPS for i in range(ARC_STEPS + 1)]
    out = [((r + t) * math.sin(a), axis - (r + t) * math.cos(a)) for a in turns]
    inside = [(r * math.sin(a), axis - r * math.cos(a)) for a in reversed(turns)]
    return tuple(out + inside)
