"""What closes a hole no longer used: a plate on the face with most room about it, or a plug.

The plate laps the hole by as much as fits before another part, a keep-out, a bolt, a bend or the edge, 15 mm
at most. Sizes are common practice, no source, but for the edge distance of two diameters (AC 43.13-1B 4-57c):
a rivet of 1/8 in midway wants 4 x 3.175 = 12.7 mm of lap. Old holes that leave no such lap between them go
under one plate, over the whole of what lies between them.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import shapely
from shapely.geometry.base import BaseGeometry

from generators.geometry.contours import polyline
from generators.geometry.rims import rim_distance
from generators.model.contour import Contour
from generators.model.plan import PanelHole, PanelLayout
from generators.model.spec.titles import within
from generators.model.words import Face
from generators.units import INCH_MM

MOST_LAP_MM = 15.0
LEAST_LAP_MM = 12.7
"""Half an inch: four diameters of a 1/8 in rivet."""
PLUG_LIP_MM = 5.0
STANDS_MM = 6.0
"""Sheet and rivet head: what begins further off the panel is no hindrance."""
NEAR_MM = 1.0
"""Left between the plate and what is beside it."""
FLAT_MM = 0.01
_ROUND = 64
STEP_MM = {"metric": 1.0, "inch": INCH_MM / 16}


@dataclass(frozen=True, slots=True, kw_only=True)
class Room:
    """Metal free about a hole on one face, mm from its rim, and what ends it ``at_mm``, in words."""

    face: Face
    free_mm: float
    at_mm: float
    ends_at: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Closing:
    """How a hole is closed, or several by one plate: ``lap_mm`` on the face of ``room``, a plug, or neither.

    ``behind`` is the other face: where that leaves less than the lap, no rivet goes.
    """

    holes: tuple[PanelHole, ...]
    room: Room
    behind: Room
    lap_mm: float = 0.0

    @property
    def plate(self) -> bool:
        """True where a plate has room for its rivets."""
        return self.lap_mm >= LEAST_LAP_MM - FLAT_MM

    @property
    def plug(self) -> bool:
        """True where there is room for the lips of a plug on both faces."""
        return (
            not self.plate
            and len(self.holes) == 1
            and min(self.room.free_mm, self.behind.free_mm) >= PLUG_LIP_MM - FLAT_MM
        )


def closings(layout: PanelLayout) -> tuple[Closing, ...]:
    """How the holes of the panel that no part closes are closed, in the order of their first holes."""
    left = [h for h in layout.holes if h.status == "blank" and not h.work.part and not covered(layout, h)]
    out: list[Closing] = []
    while left:
        group = _neighbours(left)
        left = [h for h in left if h not in group]
        together = _closing(layout, group)
        alone = len(group) > 1 and not together.plate
        out += [_closing(layout, (h,)) for h in group] if alone else [together]
    return tuple(out)


def _neighbours(holes: Sequence[PanelHole]) -> tuple[PanelHole, ...]:
    """The first hole and those with no room for a plate each between them and one of the group."""
    group = [holes[0]]
    for hole in group:  # grows while it is walked
        group += [h for h in holes if h not in group and rim_distance(h, hole) < 2 * LEAST_LAP_MM + NEAR_MM]
    return tuple(sorted(group, key=holes.index))


def _closing(layout: PanelLayout, holes: tuple[PanelHole, ...]) -> Closing:
    """How they are best closed; of two faces as free, the engine side."""
    engine, cab = _room(layout, holes, "engine"), _room(layout, holes, "cab")
    as_free = min(engine.free_mm, MOST_LAP_MM) >= min(cab.free_mm, MOST_LAP_MM)
    best, other = (engine, cab) if as_free else (cab, engine)
    step = STEP_MM[layout.units]
    lap = (min(best.free_mm, MOST_LAP_MM if layout.units == "metric" else 10 * step) + FLAT_MM) // step * step
    return Closing(holes=holes, room=best, behind=other, lap_mm=max(lap, 0.0))


def plated(holes: Sequence[PanelHole], wider_mm: float) -> BaseGeometry:
    """What a plate covers that laps the holes, and what lies between them, by so much (mm)."""
    discs = [_core(h).buffer(h.final_dia_mm / 2, quad_segs=_ROUND) for h in holes]
    return shapely.union_all(discs).convex_hull.buffer(wider_mm, quad_segs=_ROUND)


def covered(layout: PanelLayout, hole: PanelHole) -> bool:
    """True where the foot of a part lies over the whole of a hole."""
    disc = shapely.Point(hole.u_mm, hole.v_mm).buffer(hole.final_dia_mm / 2)
    return any(_area(foot.contour).contains(disc) for foot in layout.footprints)


def _core(hole: PanelHole) -> BaseGeometry:
    return shapely.LineString(hole.ends) if hole.travel_mm else shapely.Point(hole.u_mm, hole.v_mm)


def _room(layout: PanelLayout, holes: tuple[PanelHole, ...], face: Face) -> Room:
    discs = [_core(h).buffer(h.final_dia_mm / 2, quad_segs=_ROUND) for h in holes]
    rim = shapely.union_all(discs).convex_hull
    core, wide = (_core(holes[0]), holes[0].final_dia_mm / 2) if len(holes) == 1 else (rim, 0.0)
    found: list[tuple[float, str]] = []

    def beside(contour: Contour, words: str) -> None:
        found.append((core.distance(_area(contour)), words))

    for foot in layout.footprints:
        if foot.face == face and foot.lift_mm < STANDS_MM:
            beside(foot.contour, f"the {within(foot.words)}")
    for body in layout.bodies:
        if body.face == face and body.near_mm < STANDS_MM:
            beside(body.contour, f"the {body.part.replace('_', ' ')}")
    for keepout in layout.keepouts:
        # a bead is raised on one face and a groove on the other
        if (keepout.face == face or keepout.bead) and keepout.gap_mm < STANDS_MM:
            beside(keepout.contour, f"the {keepout.reason}")
    for other in layout.holes:
        if other not in holes:
            taken = max(other.final_dia_mm, other.nut_circle_mm, other.head_mm) / 2
            far = core.distance(_core(other)) - taken
            if other.status == "blank" and far - wide >= 2 * LEAST_LAP_MM + NEAR_MM:
                # it gets a plate of its own: half of what lies between them is left, and half of the gap
                found.append((wide + (far - wide + NEAR_MM) / 2, f"the plate of hole {other.number}"))
            else:
                found.append((far, f"hole {other.number}"))
    for fold in layout.folds:
        found.append(
            (core.distance(shapely.LineString([fold.start, fold.end])) - fold.inside_radius_mm, "the bend")
        )
    outline = _area(layout.contour)
    found.append((core.distance(outline.boundary) if outline.intersects(rim) else 0.0, "the panel's edge"))
    near, words = min(found)
    at = max(near - wide, 0.0)
    return Room(face=face, free_mm=max(at - NEAR_MM, 0.0), at_mm=at, ends_at=words)


def _area(contour: Contour) -> BaseGeometry:
    shape = shapely.Polygon(polyline(contour, 0.05))
    return shape if shape.is_valid else shapely.make_valid(shape)
