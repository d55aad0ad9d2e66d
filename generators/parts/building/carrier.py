"""A folded channel on ears: masters on its web, the pedal's shaft in its cheeks, bolted by the ears.

Seen from the side, ``out`` runs from the web's front face toward the driver, ``near`` from the cylinders'
axis toward the plane the ears lie in: up where they hang under a beam, down where they stand on a floor.
``across`` is to the driver's left under a beam and to his right on a floor, so that across, forward and away
from that plane make the root's frame, as ``u``, ``v`` and ``w``. The root is the ear at the lower ``across``.
Ears at the rear alone lie in the plane of across and near instead.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from generators.errors import GeometryFault
from generators.geometry.contours import polygon, segments
from generators.geometry.hull import hull_round
from generators.model.contour import Contour, Vertex
from generators.model.pedal_place import PedalPlace
from generators.model.plan import Bend, Flange, Hole
from generators.parts.building.bends import Point, bend_at
from generators.parts.building.carrier_sizes import RearEars, Sizes
from generators.parts.building.openings import bolt_hole, bore
from generators.sheetmetal.die import least_flat

SQUARE = math.pi / 2
CONCAVE = -math.tan(math.pi / 8)
"""Bulge of a quarter turn to the right."""

SAME_MM = 1e-6

Map = Callable[[float, float], Point]
"""A place of a cheek, out and near, in that flange's own frame."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Folded:
    """What the builder makes: flanges, bends, and where the pedal hangs."""

    flanges: tuple[Flange, ...]
    bends: tuple[Bend, ...]
    pedal: PedalPlace


def _from_the_rear(s: Sizes, high: float) -> Map:
    """Places of a cheek bent off an ear at the rear, from out and near."""

    def at(out: float, near: float) -> Point:
        return high - near, s.tail - out

    return at


def _from_the_top(s: Sizes) -> Map:
    """The same of a cheek bent off an ear at the top."""

    def at(out: float, near: float) -> Point:
        return out - s.neck, s.crown - near

    return at


def _from_the_web(s: Sizes) -> Map:
    """The same of the cheek bent off the web."""

    def at(out: float, near: float) -> Point:
        return s.shoulder - near, out - s.back

    return at


def carrier(s: Sizes, *, sides: tuple[str, str], ear: str) -> Folded:
    """Flanges and bends of a channel on ears.

    ``sides`` name the cheeks at the lower and the higher ``across``, ``ear`` the ears in the mounting plane.
    Raises ``GeometryFault`` naming the parameter that cannot be.
    """
    s.require_room()
    one, two = (f"{side}_cheek" for side in sides)
    tops, tails = ([f"{side}_{name}" for side in sides] for name in (ear, "rear"))
    alone = s.rear if s.rear is not None and s.rear.alone else None
    if alone is not None:
        root = _root(s, tails[0], (alone.low, alone.high), _rear_bolts(alone, 0))
        first = _from_the_rear(s, alone.high)
    else:
        # forward is against out
        bolts = [(name, (across, -out)) for name, (across, out) in _mounts(s, 0)]
        root = _root(s, tops[0], (-s.ear_end, -s.neck), bolts)
        first = _from_the_top(s)
    second = _from_the_web(s)
    flanges = [root, _cheek(s, one, sides[0], first), _web(s), _cheek(s, two, sides[1], second)]
    span, flat = s.shoulder - s.foot, s.inside - 2 * s.r
    edge = _edge(root.contour, *_far_side(root.contour))
    bends = [
        bend_at(s.rule, root.name, one, *edge, SQUARE),
        bend_at(
            s.rule, one, "web", *_line(flanges[1], first, (s.back, s.foot), (s.back, s.shoulder)), SQUARE,
            direction="down",
        ),
        bend_at(s.rule, "web", two, (span, flat), (0.0, flat), SQUARE, direction="down"),
    ]  # fmt: skip

    def hang(
        cheek: Flange, move: Map, name: str, ends: tuple[Point, Point], bolts: Sequence[Bolt], at: int
    ) -> None:
        """An ear on an edge of a cheek; ``at`` says which of a bolt's and an end's numbers runs along it."""
        line = _line(cheek, move, *ends)
        bends.append(bend_at(s.rule, cheek.name, name, *line, SQUARE))
        origin = min(ends, key=lambda end: math.dist(move(*end), line[1]))[at]
        flanges.append(_ear(s, name, math.dist(*ends), [(n, (abs(v - origin), u)) for n, (u, v) in bolts]))

    if alone is None:
        hang(flanges[3], second, tops[1], ((s.neck, s.crown), (s.ear_end, s.crown)), _mounts(s, 1), 0)
    if s.rear is not None:
        ends = ((s.tail, s.rear.low), (s.tail, s.rear.high))
        if alone is None:
            hang(flanges[1], first, tails[0], ends, _rear_bolts(s.rear, 0), 1)
        hang(flanges[3], second, tails[1], ends, _rear_bolts(s.rear, 1), 1)
    return Folded(flanges=tuple(flanges), bends=tuple(bends), pedal=_place(s))


Bolt = tuple[str, Point]
"""A bolt's name, and its place across from the middle and along the ear."""


def _far_side(contour: Contour) -> tuple[Point, Point]:
    """The ends of a root's bend: its two corners furthest across."""
    most = max(v.u for v in contour.vertices)
    ends = [v.v for v in contour.vertices if v.u > most - SAME_MM]
    return (most, min(ends)), (most, max(ends))


def _mounts(s: Sizes, ear: int) -> list[Bolt]:
    p = s.p
    along = [p.mount_first_mm + i * p.mount_pitch_mm for i in range(p.mount_count)]
    return [(f"mount_{ear * p.mount_count + i + 1}", (p.bolts_mm / 2, at)) for i, at in enumerate(along)]


def _rear_bolts(rear: RearEars, ear: int) -> list[Bolt]:
    name = "mount" if rear.alone else "brace"
    return [(f"{name}_{ear * len(rear.bolts) + i + 1}", at) for i, at in enumerate(rear.bolts)]


def _bolt(s: Sizes, name: str, u: float, v: float) -> Hole:
    return bolt_hole(
        name,
        u,
        v,
        thread=s.p.mount_thread,
        fit=s.p.mount_fit,
        purpose=f"{s.p.mount_thread} bolt, {s.words}",
        mates=name.startswith("mount"),
    )


def _corner(s: Sizes, length: float) -> float:
    """Radius of an ear's free corners: the ends of its bend stay on the die."""
    flat = s.p.ear_width_mm - s.back
    return max(0.0, min(8.0, 0.4 * length, flat - least_flat(s.rule, s.t, SQUARE)))


def _root(s: Sizes, name: str, ends: tuple[float, float], bolts: Sequence[Bolt]) -> Flange:
    """The ear at the lower across, in the part's frame."""
    low, high = ends
    edge, free = -s.inside / 2 - s.back, -s.inside / 2 - s.p.ear_width_mm
    corner = _corner(s, high - low)
    return Flange(
        name=name,
        contour=polygon([(free, low), (edge, low), (edge, high), (free, high)], [corner, 0.0, 0.0, corner]),
        holes=tuple(_bolt(s, n, -across, along) for n, (across, along) in bolts),
    )


def _ear(s: Sizes, name: str, length: float, bolts: Sequence[Bolt]) -> Flange:
    """An ear behind its bend; of each bolt its way along from the bend's end, and across."""
    flat, corner = s.p.ear_width_mm - s.back, _corner(s, length)
    return Flange(
        name=name,
        contour=polygon([(0.0, 0.0), (length, 0.0), (length, flat), (0.0, flat)], [0.0, 0.0, corner, corner]),
        holes=tuple(_bolt(s, n, along, across - s.inside / 2 - s.back) for n, (along, across) in bolts),
    )


def _web(s: Sizes) -> Flange:
    """The web in its own frame: u from the shoulder away from the ears, v across from the first cheek."""
    p, near = s.p, s.near
    span, flat = s.shoulder - s.foot, s.inside - 2 * s.r
    if p.masters == 1:
        masters = [("master", "master cylinder", 0.0)]
    else:
        half = p.master_pitch_mm / 2
        masters = [("clutch", "clutch master", -half), ("brake", "brake master", half)]

    def at(right: float, up: float) -> Point:
        return s.shoulder - near * up, flat / 2 - near * right

    du = math.cos(p.master_angle_rad) * p.master_spacing_mm / 2
    dv = math.sin(p.master_angle_rad) * p.master_spacing_mm / 2
    holes: list[Hole] = []
    for name, words, right in masters:
        holes.append(bore(f"{name}_bore", *at(right, 0.0), p.master_bore_mm, f"{words} nose"))
        holes += [
            bolt_hole(
                f"{name}_{i + 1}",
                *at(right + side * du, side * dv),
                thread=p.master_thread,
                fit=p.master_fit,
                purpose=f"{p.master_thread} stud, {words}",
                own_stud=True,
            )
            for i, side in enumerate((-1, 1))
        ]
    return Flange(
        name="web",
        contour=polygon([(0.0, 0.0), (span, 0.0), (span, flat), (0.0, flat)]),
        holes=tuple(holes),
    )


def _cheek(s: Sizes, name: str, side: str, move: Map) -> Flange:
    """A cheek: round its pivot, and square to every bend as far as the die asks."""
    land = least_flat(s.rule, s.t, SQUARE)
    pivot = (s.p.pivot_out_mm, s.near * s.p.pivot_up_mm)
    points = [(s.back, s.foot), (s.back + land, s.foot), (s.back, s.shoulder)]
    steps: list[tuple[Point, Point, Point]] = []
    if s.ears:
        points += [(s.neck, s.crown), (s.ear_end, s.crown), (s.ear_end, s.crown - land)]
        steps.append(((s.back, s.shoulder), (s.neck, s.shoulder), (s.neck, s.crown)))
    else:
        points.append((s.back + land, s.shoulder))
    if s.rear is not None:
        low, high = s.rear.low, s.rear.high
        points += [(s.tail, low), (s.tail - land, low), (s.tail, high), (s.tail - land, high)]
        if s.ears:
            steps.append(((s.ear_end, s.crown), (s.ear_end, high), (s.tail, high)))
    outline = hull_round([move(*p) for p in points], (*move(*pivot), s.p.pivot_boss_mm))
    for before, corner, after in steps:
        if math.dist(pivot, corner) < s.p.pivot_boss_mm:
            raise GeometryFault("the round end reaches the corner between two bends", "pivot_boss")
        outline = _stepped(outline, move(*before), move(*corner), move(*after), s.notch / 4)
    hole = bore(f"pivot_{side}", *move(*pivot), s.p.pivot_bore_mm, "pedal pivot")
    return Flange(name=name, contour=outline, holes=(hole,))


def _stepped(outline: Contour, before: Point, corner: Point, after: Point, radius: float) -> Contour:
    """The outline with one slanted side cut in to a corner of that radius."""
    start, end = _edge(outline, before, after)
    out: list[Vertex] = []
    for vertex in outline.vertices:
        out.append(vertex)
        if math.dist((vertex.u, vertex.v), start) < SAME_MM:
            ways = [(math.dist(corner, p), p) for p in (start, end)]
            a, b = (
                (corner[0] + (p[0] - corner[0]) * radius / d, corner[1] + (p[1] - corner[1]) * radius / d)
                for d, p in ways
            )
            out += [Vertex(*a, CONCAVE), Vertex(*b)]
    return Contour(tuple(out))


def _edge(outline: Contour, one: Point, two: Point) -> tuple[Point, Point]:
    """A straight side by its two ends, in the outline's sense. Raises ``GeometryFault`` without it."""
    for a, b in segments(outline):
        start, end = (a.u, a.v), (b.u, b.v)
        for p, q in ((one, two), (two, one)):
            if a.bulge == 0 and math.dist(start, p) < SAME_MM and math.dist(end, q) < SAME_MM:
                return start, end
    raise GeometryFault(
        "the cheek leaves no straight edge for its bends: the round end is in the way", "pivot_boss"
    )


def _line(cheek: Flange, move: Map, one: Point, two: Point) -> tuple[Point, Point]:
    return _edge(cheek.contour, move(*one), move(*two))


def _place(s: Sizes) -> PedalPlace:
    """Where the pedal hangs, in the root's frame."""
    away = s.plane if s.ears or s.rear is None else s.rear.out
    up = (0.0, 0.0, -s.near) if s.ears else (0.0, s.near, 0.0)
    return PedalPlace(
        centre=(0.0, 0.0, away),
        right=(-s.near, 0.0, 0.0),
        up=up,
        pivot_up_mm=s.p.pivot_up_mm,
        pivot_out_mm=s.p.pivot_out_mm,
    )
