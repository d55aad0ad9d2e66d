"""One step seen from an end of the machine: sheet as laid in, part as it comes out, tools, stop.

From the right end, the gauge on the right; from the left, the other way round, where less of what was bent
before stands between the eye and the bend.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import shapely
from shapely.geometry import LinearRing, LineString, Polygon

from generators.bending.folder.swing import Swing
from generators.bending.folder.tools import beam_outline, bed_outline, finger_outline, leaf_outline
from generators.bending.legs import Laid, PartShape
from generators.bending.setting import Machines
from generators.bending.shadow import Shadow, shadows
from generators.bending.steps import AnyStep, FoldStep, Step
from generators.bending.stroke import Stroke
from generators.bending.tools import (
    die_outline,
    dies_of,
    punch_outline,
    punches_of,
    ram_outline,
    table_outline,
)
from generators.drawing.bending.naming import named
from generators.drawing.paper.pen import BLACK, GREY, LIGHT, MEDIUM, THIN, WHITE, Pen
from generators.model.plan import PartPlan
from generators.model.spec.tools.folder import Folder
from generators.model.spec.tools.press import Brake, Die, Punch
from generators.sheetmetal.folding import bend_allowance

Point = tuple[float, float]
Box = tuple[float, float, float, float]
ARC_STEPS = 12
DASH, DOTS = (1.6, 0.9), (0.25, 0.75)
TOOL = 0.93
ROUND_MM = 4.0
"""Air round the part in the picture, mm of it."""

HIDES_MM2, BEYOND_MM = 1.0, 0.1
"""By so much less must be in the way from the left end for a step to be seen from there."""

LEAST_SEEN_MM = 45.0
"""At least so much is seen above and below the top of the die."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SideView:
    """What is drawn of a step: y to the right on paper, z up from the sheet's lower face, mm.

    Seen from the right end y goes to the gauge, as in the machine's frame; from the left end away from it.

    ``laid`` is the part as it is laid in, ``finger`` the stop, None by eye. The part at the end, the farthest
    first: ``behind`` what stands beyond the far end of the tools, ``bent`` its legs and what is over the
    bend, ``before`` what stands between the eye and the tools. ``standing`` and ``moving`` are outlines of
    the machine, the rearmost first. ``names`` are the two legs' flanges with a place beyond their ends,
    ``tools`` what else is named, by its outline.
    """

    laid: tuple[tuple[Point, ...], ...]
    behind: tuple[tuple[Point, ...], ...]
    bent: tuple[tuple[Point, ...], ...]
    before: tuple[tuple[Point, ...], ...]
    standing: tuple[tuple[Point, ...], ...]
    moving: tuple[tuple[Point, ...], ...]
    finger: tuple[Point, ...] | None
    names: tuple[tuple[str, Point], ...]
    tools: tuple[tuple[str, tuple[Point, ...]], ...] = ()

    def turned(self) -> SideView:
        """The same seen from the other end of the machine."""

        def rings(every: tuple[tuple[Point, ...], ...]) -> tuple[tuple[Point, ...], ...]:
            return tuple(tuple((-y, z) for y, z in ring) for ring in every)

        return SideView(
            laid=rings(self.laid),
            behind=rings(self.behind),
            bent=rings(self.bent),
            before=rings(self.before),
            standing=rings(self.standing),
            moving=rings(self.moving),
            finger=None if self.finger is None else rings((self.finger,))[0],
            names=tuple((name, (-y, z)) for name, (y, z) in self.names),
            tools=tuple((name, rings((ring,))[0]) for name, ring in self.tools),
        )

    @property
    def hidden(self) -> Iterator[tuple[Point, ...]]:
        """Lines of the tools' outlines that flanges before them hide, and nothing else of the tools."""
        cover = shapely.union_all([Polygon(ring).buffer(0) for ring in self.before])
        for ring in (*self.standing, *self.moving):
            lines = shapely.line_merge(LinearRing(ring).intersection(cover))
            for line in getattr(lines, "geoms", [lines]):
                if isinstance(line, LineString) and not line.is_empty:
                    yield tuple((float(y), float(z)) for y, z in line.coords)

    @property
    def box(self) -> tuple[float, float, float, float]:
        """What must be seen: the part at the end, the die's mouth, the stop."""
        part = (*self.behind, *self.bent, *self.before)
        points = [p for ring in part for p in ring] + [p for _, p in self.names]
        ys, zs = [p[0] for p in points], [p[1] for p in points]
        if self.finger is not None:
            # a little of it behind its face, on the side it comes from
            face = min((p[0] for p in self.finger), key=abs)
            ys += [face + math.copysign(12.0, face)]
        ys += [-LEAST_SEEN_MM, LEAST_SEEN_MM]
        zs += [-LEAST_SEEN_MM, LEAST_SEEN_MM]
        return min(ys) - ROUND_MM, min(zs) - ROUND_MM, max(ys) + ROUND_MM, max(zs) + ROUND_MM

    def draw(
        self, pen: Pen, x: float, y: float, width: float, height: float, seen: Box | None = None
    ) -> float:
        """Draw into that box of the page, ``seen`` of the machine or all that must be; returns the scale."""
        y0, z0, y1, z1 = seen or self.box
        scale = min(width / (y1 - y0), height / (z1 - z0))
        left, low = x + width / 2 - scale * (y0 + y1) / 2, y + height / 2 - scale * (z0 + z1) / 2

        def page(ring: tuple[Point, ...]) -> list[Point]:
            return [(left + scale * p[0], low + scale * p[1]) for p in ring]

        with pen.clipped(x, y, width, height):
            pen.stroke(MEDIUM)
            for ring in self.behind:
                pen.polygon(page(ring), fill=LIGHT)
            pen.stroke(THIN)
            for ring in self.standing:
                pen.polygon(page(ring), fill=TOOL)
            if self.finger is not None:
                pen.polygon(page(self.finger), fill=LIGHT)
            pen.stroke(THIN, GREY, DASH)
            for ring in self.laid:
                pen.polygon(page(ring))
            pen.stroke(THIN)
            for ring in self.moving:
                pen.polygon(page(ring), fill=TOOL)
            pen.stroke(MEDIUM)
            for ring in (*self.bent, *self.before):
                pen.polygon(page(ring), fill=LIGHT)
            # a cheek before the tools would hide them: their edges are seen through it, and only there
            pen.stroke(THIN, GREY, DOTS)
            for line in self.hidden:
                pen.polygon(page(line), closed=False)
        flanges = [(name, page((place,))[0]) for name, place in self.names]
        tools = [(name, page(ring)) for name, ring in self.tools]
        within = (x + 0.5, y + 0.5, x + width - 0.5, y + height - 0.5)
        pen.stroke(THIN)
        metal = [page(ring) for ring in (*self.bent, *self.before)]
        for one in named(flanges, tools, metal, within, [page(ring) for ring in self.behind]):
            x0, y0, x1, y1 = one.box
            if not one.on_tool:
                pen.rect(x0, y0, x1 - x0, y1 - y0, fill=WHITE, edge=False)
            if one.lead is not None:
                pen.line(*one.lead[0], *one.lead[1])
            pen.text(*one.at, one.text, one.size_mm, grey=BLACK)
        return scale


def tools_of(step: Step, machines: Machines, thickness_mm: float) -> tuple[Punch, Die]:
    """Punch and die of a step. Raises ``KeyError`` when the brake has none of that name."""
    brake, opening_mm = machines.brake, machines.opening_mm
    punch = next((p for p in punches_of(brake) if p.name == step.punch), None)
    die = next((d for d in dies_of(brake, opening_mm, thickness_mm) if d.name == step.die), None)
    if punch is None or die is None:
        raise KeyError(step.punch if punch is None else step.die)
    return punch, die


def side_view(plan: PartPlan, step: AnyStep, machines: Machines, share: float = 1.0) -> SideView:
    """The picture of one step, at its end or where a ``share`` of the bend is made.

    Raises ``KeyError`` for tools the brake has not.
    """
    if isinstance(step, FoldStep):
        return _on_folder(plan, step, machines.folder, share)
    return _on_brake(plan, step, machines, share)


def from_the_left(plan: PartPlan, step: Step) -> bool:
    """True where more stands beyond the right end of the bend than beyond the left, seen along it."""
    bend = next(b for b in plan.bends if b.name == step.bend)
    laid = PartShape(plan=plan).laid(bend, frozenset(step.done), step.child_rear)
    hidden = {
        right: sum(_area(s) for s in shadows(laid) if _before(s, laid, right=right))
        for right in (True, False)
    }
    return hidden[False] < hidden[True] - HIDES_MM2


def _area(shadow: Shadow) -> float:
    return float(shapely.union_all(getattr(shadow.shape, "geoms", [shadow.shape])).area)


def _before(shadow: Shadow, laid: Laid, *, right: bool) -> bool:
    """True for what is nearer to that end of the machine than the bend's own end."""
    return shadow.high_x > laid.length + BEYOND_MM if right else shadow.low_x < -BEYOND_MM


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Layers:
    """What stands off the sheet: beyond the far end of the bend, over it, beyond its near end."""

    behind: tuple[Shadow, ...]
    over: tuple[Shadow, ...]
    before: tuple[Shadow, ...]


def _layers(laid: Laid, *, right: bool) -> _Layers:
    """Every flange by itself, the farthest from that end of the machine first.

    Tools are as long as the bend at least, and no flange is where they are: one that stands over the bend
    and past an end of it meets their outline, seen along the bend, only past that end. One past both ends
    is cut at the far one.
    """
    behind: list[Shadow] = []
    over: list[Shadow] = []
    before: list[Shadow] = []
    far = shadows(laid, high=0.0) if right else shadows(laid, low=laid.length)
    near = shadows(laid, low=0.0) if right else shadows(laid, high=laid.length)
    for shadow in shadows(laid):
        ahead, beyond = _before(shadow, laid, right=right), _before(shadow, laid, right=not right)
        if ahead and beyond:
            this = (shadow.flange, shadow.rear)
            behind += [s for s in far if (s.flange, s.rear) == this]
            before += [s for s in near if (s.flange, s.rear) == this]
        else:
            (before if ahead else behind if beyond else over).append(shadow)
    for layer in (behind, over, before):
        layer.sort(key=lambda s: s.high_x if right else -s.low_x)
    return _Layers(behind=tuple(behind), over=tuple(over), before=tuple(before))


def _on_brake(plan: PartPlan, step: Step, machines: Machines, share: float) -> SideView:
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
    seen = _layers(laid, right=not left)
    own = (_arc(stroke, h, axis), *_legs(laid, stroke, h, axis))
    other = bend.parent if laid.rear_flange == bend.child else bend.child
    names = []
    for flange, leg, rear in ((laid.rear_flange, laid.rear, True), (other, laid.front, False)):
        far = leg.flat.bounds[3] if rear else leg.flat.bounds[1]
        spot = Polygon([(far, t / 2 - 0.1), (far, t / 2 + 0.1), (far * 1.001, t / 2)])
        at = stroke.moved(spot, rear, h, axis).centroid
        names.append((flange.replace("_", " "), (float(at.x), float(at.y) + ROUND_MM)))
    over, below = _ring(punch_outline(punch, step.turned), tip_z), _ring(die_outline(die))
    ram = _ring(ram_outline(brake, punch.height_mm), tip_z)
    view = SideView(
        laid=flat,
        behind=tuple(_off(seen.behind, stroke, h, axis)),
        bent=(*_off(seen.over, stroke, h, axis), *own),
        before=tuple(_off(seen.before, stroke, h, axis)),
        standing=(_ring(table_outline(brake, die.height_mm)), below),
        moving=(ram, over),
        finger=_finger(step, brake),
        names=tuple(names),
        tools=(("punch", over), ("die", below), *_called("gauge", _finger(step, brake))),
    )
    return view.turned() if left else view


def _on_folder(plan: PartPlan, step: FoldStep, folder: Folder, share: float) -> SideView:
    """The frame is the folder's: y = 0 where the bend begins under the nose."""
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
            whole = swing.laid(shapely.union_all(getattr(shadow.shape, "geoms", [shadow.shape])))
            moved = whole if shadow.rear else swing.moved(whole, share_rad)
            yield from (_ring(part) for part in getattr(moved, "geoms", [moved]))

    seen = _layers(laid, right=True)
    flat = ((0.0, 0.0), (-front, 0.0), (-front, t), (0.0, t))
    leg = swing.leg(front, 0.0, angle)
    end = swing.leg(front, -ROUND_MM, angle).exterior.coords
    fingers, beam = _ring(finger_outline(folder, t)), _ring(beam_outline(folder, t))
    leaf = _ring(swing.moved(leaf_outline(folder), angle, slides=False))
    bed, stop = _ring(bed_outline(folder)), step.stop
    back, at = folder.stop, stop.distance_mm - folder.nose_radius_mm
    other = bend.parent if laid.rear_flange == bend.child else bend.child
    touches = (
        None
        if stop.on == "line"
        else (
            (at, 0.0),
            (at + back.depth_mm, 0.0),
            (at + back.depth_mm, back.height_mm),
            (at, back.height_mm),
        )
    )
    return SideView(
        laid=(under, flat, *pieces(shadows(laid), 0.0)),
        behind=tuple(pieces(seen.behind, angle)),
        bent=(*pieces(seen.over, angle), _wrapped(swing, angle), under, _ring(leg)),
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
            *_called("stop", touches),
        ),
    )


def _called(name: str, ring: tuple[Point, ...] | None) -> tuple[tuple[str, tuple[Point, ...]], ...]:
    """A stop by its name, where there is one."""
    return () if ring is None else ((name, ring),)


def _wrapped(swing: Swing, angle: float) -> tuple[Point, ...]:
    """The bend itself, from where it begins under the nose."""
    r, t = swing.radius_mm, swing.thickness_mm
    turns = [angle * i / ARC_STEPS for i in range(ARC_STEPS + 1)]
    out = [(-(r + t) * math.sin(a), r + t - (r + t) * math.cos(a)) for a in turns]
    inside = [(-r * math.sin(a), r + t - r * math.cos(a)) for a in reversed(turns)]
    return tuple(out + inside)


def _finger(step: Step, brake: Brake) -> tuple[Point, ...] | None:
    if step.stop.on == "line":
        return None
    gauge, y = brake.gauge, step.stop.distance_mm
    low = -gauge.below_mm if step.stop.below else 0.0
    high = low + gauge.finger_height_mm
    return (y, low), (y + gauge.finger_length_mm, low), (y + gauge.finger_length_mm, high), (y, high)


def _legs(laid: Laid, stroke: Stroke, h: float, axis: float) -> Iterator[tuple[Point, ...]]:
    """Both legs at ``h``: flat metal from its tangent line on."""
    near, t = h * stroke.neutral_mm, stroke.thickness_mm
    for leg, rear in ((laid.rear, True), (laid.front, False)):
        far = leg.flat.bounds[3] if rear else -leg.flat.bounds[1]
        side = 1.0 if rear else -1.0
        plate = Polygon([(side * near, 0.0), (side * far, 0.0), (side * far, t), (side * near, t)])
        yield _ring(stroke.moved(plate, rear, h, axis))


def _off(seen: Sequence[Shadow], stroke: Stroke, h: float, axis: float) -> Iterator[tuple[Point, ...]]:
    """What stands off them, at ``h``."""
    for shadow in seen:
        whole = shapely.union_all(getattr(shadow.shape, "geoms", [shadow.shape]))
        moved = stroke.moved(whole, shadow.rear, h, axis)
        for part in getattr(moved, "geoms", [moved]):
            yield _ring(part)


def _arc(stroke: Stroke, h: float, axis: float) -> tuple[Point, ...]:
    """The bend itself, between its tangent lines."""
    r, t = stroke.radius_mm, stroke.thickness_mm
    turns = [-h + 2 * h * i / ARC_STEPS for i in range(ARC_STEPS + 1)]
    out = [((r + t) * math.sin(a), axis - (r + t) * math.cos(a)) for a in turns]
    inside = [(r * math.sin(a), axis - r * math.cos(a)) for a in reversed(turns)]
    return tuple(out + inside)


def _ring(shape: object, up: float = 0.0) -> tuple[Point, ...]:
    if not isinstance(shape, Polygon):
        raise TypeError(f"{type(shape).__name__} is no outline")
    return tuple((float(y), float(z) + up) for y, z in list(shape.exterior.coords)[:-1])
