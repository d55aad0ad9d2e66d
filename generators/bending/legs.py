"""A part half-way through its bends, laid on the die for the next one: two legs, each a rigid body.

Machine frame: x along the bend from its one end to the other, y toward the back gauge from the middle of the
flat bend, z up from the outer face of the flat sheet, which is the top of the die. While the bend is made
each leg turns about the bend alone, so it is described once, as it lies flat.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, field

import numpy as np
import shapely
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from generators.geometry.contours import polyline
from generators.geometry.frames import Matrix, apply, plane_move
from generators.geometry.joined import joined
from generators.model.plan import Bend, PartPlan
from generators.sheetmetal.folding import bend_allowance, bend_length, flat_step, fold_step

OUTLINE_MM = 0.05
OVERLAP_MM = 1e-3
"""Strips reach so far into the flanges beside them, so that flat metal joins without slits."""

FLAT = 1e-9
FAN_RAD = math.radians(30)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Plate:
    """A flat piece between w = 0 and ``thickness``; ``frame`` puts it into the machine's frame."""

    flange: str
    outline: Polygon
    frame: Matrix
    thickness: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Chunk:
    """A convex piece of a bend, by its corners in the machine's frame."""

    flange: str
    corners: Matrix


Piece = Plate | Chunk


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Face:
    """The outer face of a flange bent already, square to the sheet: where a finger may touch.

    So far over the die's top, or below it where it hangs, it begins to be flat: ``clear_mm``.
    """

    flange: str
    low_x: float
    high_x: float
    y: float
    up: bool
    clear_mm: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Leg:
    """What lies on one side of the bend: flat metal and pieces that stand off it.

    ``flat`` is in (x, y) of the machine, holes left out, ``flats`` the same flange by flange. ``faces`` are
    square to y.
    """

    names: frozenset[str]
    flat: BaseGeometry
    flats: tuple[tuple[str, Polygon], ...]
    pieces: tuple[Piece, ...]
    faces: tuple[Face, ...]
    area: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Laid:
    """A part on the die; ``rear`` is the leg toward the back gauge. ``flipped``: its lower side is up."""

    rear: Leg
    front: Leg
    length: float
    flipped: bool
    rear_flange: str


@dataclass(slots=True, kw_only=True, eq=False)
class PartShape:
    """What of a plan does not change from bend to bend."""

    plan: PartPlan
    outlines: dict[str, Polygon] = field(default_factory=dict)
    steps: dict[tuple[str, bool], tuple[Matrix, Matrix]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        t = self.plan.thickness_mm
        for flange in self.plan.flanges:
            self.outlines[flange.name] = Polygon(polyline(flange.contour, OUTLINE_MM))
        for bend in self.plan.bends:
            place = flat_step(bend, t)
            for bent, step in (
                (False, plane_move(place.du, place.dv, place.angle)),
                (True, fold_step(bend, t)),
            ):
                back: Matrix = np.asarray(np.linalg.inv(step), dtype=np.float64)
                self.steps[bend.name, bent] = (step, back)

    def laid(self, bend: Bend, bent: frozenset[str], child_rear: bool) -> Laid:
        """The part with those bends made, on the die for another one."""
        t, length = self.plan.thickness_mm, bend_length(bend)
        out = bend_allowance(bend, t) / 2
        up = bend.direction == "up"
        # right-handed either way: x runs against the tangent line where the upper side is up
        eu, ev = (bend.end[0] - bend.start[0]) / length, (bend.end[1] - bend.start[1]) / length
        sign = -1.0 if up else 1.0
        parent = np.eye(4)
        parent[0, :2] = sign * eu, sign * ev
        parent[1, :2] = ev, -eu
        parent[2, 2:] = (1.0, 0.0) if up else (-1.0, t)
        parent[0, 3] = -sign * (bend.start[0] * eu + bend.start[1] * ev) + (length if up else 0.0)
        parent[1, 3] = -(bend.start[0] * ev - bend.start[1] * eu) - out
        child = np.eye(4)
        child[0, 0], child[0, 3] = (1.0, 0.0) if up else (-1.0, length)
        child[1, 1], child[1, 3] = 1.0, out
        child[2, 2:] = (1.0, 0.0) if up else (-1.0, t)
        if not child_rear:
            half_turn = np.diag([-1.0, -1.0, 1.0, 1.0])
            half_turn[0, 3] = length
            parent, child = half_turn @ parent, half_turn @ child
        one = self._leg(bend.parent, parent, bend, bent)
        two = self._leg(bend.child, child, bend, bent)
        rear, front = (two, one) if child_rear else (one, two)
        return Laid(
            rear=rear,
            front=front,
            length=length,
            flipped=not up,
            rear_flange=bend.child if child_rear else bend.parent,
        )

    def _leg(self, base: str, frame: Matrix, active: Bend, bent: frozenset[str]) -> Leg:
        flat: list[tuple[str, Polygon]] = []
        pieces: list[Piece] = []
        faces: list[Face] = []
        seen = {base}
        pending = [(base, frame, True)]
        area = 0.0
        t = self.plan.thickness_mm
        while pending:
            name, here, lies = pending.pop()
            outline = self.outlines[name]
            area += outline.area
            if lies:
                flat.append((name, _in_plane(outline, here)))
            else:
                pieces.append(Plate(flange=name, outline=outline, frame=here, thickness=t))
            for bend in self.plan.bends:
                if bend is active or name not in (bend.parent, bend.child):
                    continue
                other = bend.child if bend.parent == name else bend.parent
                if other in seen:
                    continue
                seen.add(other)
                made = bend.name in bent
                step, back = self.steps[bend.name, made]
                parent = here if bend.parent == name else here @ back
                there = parent @ step if bend.parent == name else parent
                if made:
                    pieces.extend(self._fan(bend, parent, other))
                    if lies and (face := self._face(bend, parent, here, other)) is not None:
                        faces.append(face)
                else:
                    strip = self._strip(bend)
                    if lies:
                        flat.append((other, _in_plane(strip, parent)))
                    else:
                        pieces.append(Plate(flange=other, outline=strip, frame=parent, thickness=t))
                pending.append((other, there, lies and not made))
        return Leg(
            names=frozenset(seen),
            flat=joined([shape for _, shape in flat]),
            flats=tuple(flat),
            pieces=tuple(pieces),
            faces=tuple(faces),
            area=area,
        )

    def _strip(self, bend: Bend) -> Polygon:
        """An unbent strip in its parent's frame."""
        length, out = bend_length(bend), bend_allowance(bend, self.plan.thickness_mm)
        eu, ev = (bend.end[0] - bend.start[0]) / length, (bend.end[1] - bend.start[1]) / length
        low, high = -OVERLAP_MM, out + OVERLAP_MM
        return Polygon(
            [
                (bend.start[0] + ev * low, bend.start[1] - eu * low),
                (bend.start[0] + ev * high, bend.start[1] - eu * high),
                (bend.end[0] + ev * high, bend.end[1] - eu * high),
                (bend.end[0] + ev * low, bend.end[1] - eu * low),
            ]
        )

    def _fan(self, bend: Bend, parent: Matrix, flange: str) -> Iterator[Chunk]:
        """A made bend in convex chunks; its outside is drawn round the true arc."""
        t, r, length = self.plan.thickness_mm, bend.inside_radius_mm, bend_length(bend)
        count = max(1, math.ceil(bend.angle_rad / FAN_RAD))
        share = bend.angle_rad / count
        outside = (r + t) / math.cos(share / 2)
        up = 1.0 if bend.direction == "up" else -1.0
        axis = t + r if up > 0 else -r
        eu, ev = (bend.end[0] - bend.start[0]) / length, (bend.end[1] - bend.start[1]) / length

        def corner(along: float, radius: float, turn: float) -> tuple[float, float, float]:
            far = radius * math.sin(turn)
            return (
                bend.start[0] + eu * along + ev * far,
                bend.start[1] + ev * along - eu * far,
                axis - up * radius * math.cos(turn),
            )

        for i in range(count):
            turns = (i * share, (i + 1) * share)
            # the outer corners of a chunk lie where the tangents of its two ends meet and on the ends
            points = [corner(x, rad, turn) for x in (0.0, length) for rad in (r, r + t) for turn in turns]
            points += [corner(x, outside, (i + 0.5) * share) for x in (0.0, length)]
            yield Chunk(flange=flange, corners=apply(parent, np.array(points)))

    def _face(self, bend: Bend, parent: Matrix, here: Matrix, flange: str) -> Face | None:
        """The outer face of a square bend that runs along the active one and looks away from it."""
        if abs(bend.angle_rad - math.pi / 2) > math.radians(1):
            return None
        length, reach = bend_length(bend), bend.inside_radius_mm + self.plan.thickness_mm
        on_parent = bend.child == flange
        ends = np.array([(*bend.start, 0.0), (*bend.end, 0.0)])
        if not on_parent:
            # the leg lies on the child: its own tangent line is v = 0
            ends = np.array([(0.0, 0.0, 0.0), (length, 0.0, 0.0)])
        placed = apply(parent if on_parent else here, ends)
        if abs(placed[0, 1] - placed[1, 1]) > 1e-6:
            return None
        eu = (placed[1, 0] - placed[0, 0]) / length
        # out of the flange that lies: to the right of its tangent line seen from its own upper side
        side = (parent if on_parent else here)[2, 2]
        outward = -eu * side
        folds_up = (bend.direction == "up") == (side > 0)
        lows = sorted((float(placed[0, 0]), float(placed[1, 0])))
        return Face(
            flange=flange,
            low_x=lows[0],
            high_x=lows[1],
            y=float(placed[0, 1]) + math.copysign(reach, outward),
            up=folds_up,
            # an up bend's outside begins at the die's top, a down bend's one thickness over it
            clear_mm=reach if folds_up else bend.inside_radius_mm,
        )


def _in_plane(outline: Polygon, frame: Matrix) -> Polygon:
    """A polygon of the sheet's plane, in (x, y)."""
    a = frame
    return shapely.transform(
        outline,
        lambda p: np.column_stack(
            [
                a[0, 0] * p[:, 0] + a[0, 1] * p[:, 1] + a[0, 3],
                a[1, 0] * p[:, 0] + a[1, 1] * p[:, 1] + a[1, 3],
            ]
        ),
    )


def ways(shape: PartShape) -> Iterator[tuple[Bend, bool]]:
    """Every bend with either of its flanges at the gauge; the lesser one first, as it is gauged best."""
    for bend in shape.plan.bends:
        small = shape.outlines[bend.child].area <= shape.outlines[bend.parent].area
        yield bend, small
        yield bend, not small
