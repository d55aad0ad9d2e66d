"""Lightening holes: in a row, in a grid, or as many as a flange holds."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from shapely import union_all
from shapely.geometry import LineString, Polygon
from shapely.geometry.base import BaseGeometry

from generators.errors import GeometryFault
from generators.geometry.contours import circle, polyline, stadium
from generators.model.limits import Limits
from generators.model.plan import Bend, Fitting, Flange, Hole, Slot
from generators.model.spec.dressing import Lightening
from generators.parts.building.openings import allowed, spine
from generators.sheetmetal.folding import bend_length

TOLERANCE_MM = 0.005
TENTHS = 10.0  # a fill places its holes on tenths of a millimetre, so that the drawing's figures are short
ROUNDED_MM = 0.08  # more than a place moves by that, and a polygon strays from its arc
MOST_HOLES = 400
LIGHTENING = Fitting(kind="lightening", label="nothing")

Place = tuple[float, float]


def bend_lines(flange: str, bends: Sequence[Bend]) -> list[tuple[Place, Place]]:
    """Tangent lines of all bends of a flange, in its frame."""
    out = [(b.start, b.end) for b in bends if b.parent == flange]
    return [*out, *(((0.0, 0.0), (bend_length(b), 0.0)) for b in bends if b.child == flange)]


def lightening_holes(
    want: Lightening, flange: Flange, bends: Sequence[Bend], limits: Limits, thickness_mm: float, first: int
) -> tuple[Hole, ...]:
    """The holes one ``[[part.lightening]]`` asks for, named from ``first`` on.

    Raises ``GeometryFault`` naming the key of the table that cannot be.
    """
    places = list(_filled(want, flange, bends, limits, thickness_mm)) if want.fill else _placed(want, flange)
    return tuple(
        Hole(
            name=f"lightening_{first + i}",
            u_mm=u,
            v_mm=v,
            diameter_mm=want.diameter_mm,
            purpose="lightening hole",
            fitting=LIGHTENING,
        )
        for i, (u, v) in enumerate(places)
    )


def _first(want: Lightening) -> Place:
    """Centre of the first hole; raises ``GeometryFault`` for a row or grid that is not fully given."""
    for key, value in (("margin", want.margin_mm), ("gap", want.gap_mm)):
        if value is not None:
            raise GeometryFault("a margin of holes that are placed; it belongs to fill = true", key)
    if want.from_ is None:
        raise GeometryFault("lightening holes neither placed (from) nor filled in (fill = true)", "from")
    several = want.count > 1 or want.rows > 1
    if several and want.to is None:
        raise GeometryFault("several holes but no end of the row", "to")
    run = math.dist(want.from_, want.to) if want.to is not None else 0.0
    if several and run < want.diameter_mm * max(1, want.count - 1):
        raise GeometryFault(f"{want.count} holes do not go beside each other in {run:g} mm", "count")
    if not several and want.to is not None:
        raise GeometryFault("an end of the row, but one hole only", "count")
    if want.rows > 1 and want.pitch_mm is None:
        raise GeometryFault("several rows but no pitch", "pitch")
    if want.pitch_mm is not None and want.pitch_mm <= want.diameter_mm:
        raise GeometryFault("rows closer than the holes are wide", "pitch")
    return want.from_


def _placed(want: Lightening, flange: Flange) -> list[Place]:
    """A row or a grid as it was asked for, every hole whole in the flange and clear of the others."""
    u, v = _first(want)
    du, dv = (want.to[0] - u, want.to[1] - v) if want.to is not None else (0.0, 0.0)
    run = math.hypot(du, dv)
    steps, pitch = max(1, want.count - 1), want.pitch_mm or 0.0
    left = (-dv / run, du / run) if run else (0.0, 0.0)
    places = [
        (u + du * i / steps + left[0] * pitch * j, v + dv * i / steps + left[1] * pitch * j)
        for j in range(want.rows)
        for i in range(want.count)
    ]
    face = Polygon(polyline(flange.contour, TOLERANCE_MM))
    there = dict(_openings(flange))
    for place in places:
        disc = Polygon(polyline(circle(*place, want.diameter_mm), TOLERANCE_MM))
        where = f"the lightening hole at ({place[0]:g}, {place[1]:g}) mm"
        if not face.contains(disc):
            room = allowed(flange, place, want.diameter_mm / 2)
            raise GeometryFault(f"{where} does not lie whole on the flange {flange.name!r}: {room}", "from")
        for name, shape in there.items():
            if shape.intersects(disc):
                raise GeometryFault(f"{where} runs into hole {name!r}", "from")
    return places


def _openings(flange: Flange) -> Iterator[tuple[str, Polygon]]:
    """Holes, slots and pegs of a flange by name."""
    for h in flange.holes:
        yield h.name, Polygon(polyline(circle(h.u_mm, h.v_mm, h.diameter_mm), TOLERANCE_MM))
    for s in flange.slots:
        outline = stadium(s.u_mm, s.v_mm, s.width_mm, s.travel_mm, s.angle_rad)
        yield s.name, Polygon(polyline(outline, TOLERANCE_MM))
    for p in flange.pegs:
        yield p.name, Polygon(polyline(circle(p.u_mm, p.v_mm, p.diameter_mm), TOLERANCE_MM))


def _filled(
    want: Lightening, flange: Flange, bends: Sequence[Bend], limits: Limits, thickness_mm: float
) -> Iterator[Place]:
    """Places of level rows, evenly spaced, that keep the metal the rules ask for everywhere."""
    for key, given in (("from", want.from_), ("to", want.to), ("pitch", want.pitch_mm)):
        if given is not None:
            raise GeometryFault("a place for holes that fill the flange", key)
    for key, number in (("count", want.count), ("rows", want.rows)):
        if number > 1:
            raise GeometryFault("a number of holes that fill the flange", key)
    least = limits.least_ligament_mm(thickness_mm)
    radius = want.diameter_mm / 2
    margin = max(want.margin_mm or 0.0, least)
    room = _room(flange, bends, radius, margin, max(margin, limits.bend_clearance_ratio * thickness_mm))
    if room.is_empty:
        raise GeometryFault(
            f"no hole of {want.diameter_mm:g} mm leaves {margin:g} mm of metal in flange {flange.name!r}",
            "diameter",
        )
    pitch = math.ceil((want.diameter_mm + max(want.gap_mm or 0.0, least)) * TENTHS - 1e-6) / TENTHS
    u0, v0, u1, v1 = room.bounds
    rows = int((v1 - v0) / pitch + 1e-6) + 1
    if rows * ((u1 - u0) / pitch + 1) > MOST_HOLES:
        raise GeometryFault(f"more than {MOST_HOLES} lightening holes", "diameter")
    taken: list[Place] = []
    for j in range(rows):
        v = _tenth((v0 + v1) / 2 + (j - (rows - 1) / 2) * pitch)
        across = room.intersection(LineString([(u0 - 1, v), (u1 + 1, v)]))
        for piece in sorted(getattr(across, "geoms", [across]), key=lambda p: p.bounds):
            if piece.is_empty:
                continue
            a, _, b, _ = piece.bounds
            count = int((b - a) / pitch + 1e-6) + 1
            for i in range(count):
                place = _tenth((a + b) / 2 + (i - (count - 1) / 2) * pitch), v
                # two pieces of one row may end close together
                if all(math.dist(place, other) >= pitch - 1e-6 for other in taken):
                    taken.append(place)
                    yield place


def _room(
    flange: Flange, bends: Sequence[Bend], radius: float, margin: float, bend_margin: float
) -> BaseGeometry:
    """Where the centre of a hole of ``radius`` may lie."""
    reach = radius + margin + ROUNDED_MM
    face = Polygon(polyline(flange.contour, TOLERANCE_MM))
    near: list[BaseGeometry] = [
        LineString(line).buffer(radius + bend_margin + ROUNDED_MM, quad_segs=32)
        for line in bend_lines(flange.name, bends)
    ]
    near += [shape.buffer(reach, quad_segs=32) for _, shape in _openings(flange)]
    openings: tuple[Hole | Slot, ...] = (*flange.holes, *flange.slots)
    for o in openings:
        # nor under a nut or a head, anywhere along a slot
        nut = o.fitting.nut_circle_mm / 2
        if nut:
            near.append(spine(o).buffer(nut + radius + ROUNDED_MM, quad_segs=32))
    inside: BaseGeometry = face.buffer(-reach, quad_segs=32).difference(union_all(near))
    return inside


def _tenth(value: float) -> float:
    return round(value * TENTHS) / TENTHS
