"""Whether a rule reaches in a straight line from one place of a panel's face to another."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

import shapely

from generators.geometry.contours import polyline
from generators.model.contour import Contour
from generators.model.folds import Wrap
from generators.model.plan import Body, PanelHole, PanelLayout
from generators.model.words import Face

UNDER_MM = 10.0
"""A rule or tape passes under what begins further off the panel. Common practice, no source."""

LEAST_MM = 0.1
"""Shorter than that a line only touches what it passes; rounding of outlines."""


@lru_cache(maxsize=256)
def _area(contour: Contour) -> shapely.Geometry:
    """An outline as an area: every pair of holes is looked at against each of them."""
    return shapely.make_valid(shapely.Polygon(polyline(contour, 0.05)))


@lru_cache(maxsize=256)
def _box(contour: Contour) -> tuple[float, float, float, float]:
    """The box around an area."""
    low_u, low_v, high_u, high_v = shapely.bounds(_area(contour)).tolist()
    return low_u, low_v, high_u, high_v


Standing = tuple[str, Body]
"""Something fitted by then, in words, and the room it takes off its face of the panel."""


def in_the_way(
    layout: PanelLayout, a: PanelHole, b: PanelHole, face: Face, fitted: Sequence[Standing] = ()
) -> str:
    """What stands on that ``face`` between the middles of two holes, in words; empty for nothing.

    What can be moved aside and a bead, which a rule bridges, are not in the way. ``fitted`` is what the job
    itself has put on this panel by then.
    """
    line = shapely.LineString([(a.u_mm, a.v_mm), (b.u_mm, b.v_mm)])
    (u0, u1), (v0, v1) = sorted((a.u_mm, b.u_mm)), sorted((a.v_mm, b.v_mm))
    for keepout in layout.keepouts:
        if keepout.face != face or keepout.movable or keepout.bead or keepout.gap_mm >= UNDER_MM:
            continue
        low_u, low_v, high_u, high_v = _box(keepout.contour)
        if u1 < low_u or high_u < u0 or v1 < low_v or high_v < v0:
            continue
        if line.intersection(_area(keepout.contour)).length > LEAST_MM:
            return keepout.reason
    for words, body in fitted:
        if body.face != face or body.near_mm >= UNDER_MM:
            continue
        if line.intersection(_area(body.contour)).length > LEAST_MM:
            return words
    return ""


def beside(
    layout: PanelLayout,
    hole: PanelHole,
    face: Face,
    within_mm: float,
    tall_mm: float,
    fitted: Sequence[Standing] = (),
) -> str:
    """What stands ``tall_mm`` or more off that ``face``, nearer to a hole's middle than ``within_mm``.

    In words, empty for nothing; what can be moved aside does not count. ``fitted`` is what the job itself
    has put on this panel by then.
    """
    here = shapely.Point(hole.u_mm, hole.v_mm)
    for keepout in layout.keepouts:
        if keepout.face != face or keepout.movable or keepout.gap_mm + keepout.depth_mm < tall_mm:
            continue
        if shapely.distance(_area(keepout.contour), here) < within_mm:
            return keepout.reason
    for words, body in fitted:
        near = body.face == face and shapely.distance(_area(body.contour), here) < within_mm
        if near and body.far_mm >= tall_mm:
            return words
    return ""


def first_face(hole: PanelHole) -> Face:
    """The face a hole is first drilled from: its pilot's, where that has one of its own."""
    return hole.work.pilot_from or hole.drill_face


def measured_on(a: PanelHole, b: PanelHole) -> Face:
    """The face on which two holes are measured: that where the new one is marked, else the cab's."""
    for hole in (b, a):
        if hole.status in ("drill", "weld"):
            return first_face(hole)
    return "cab"


class Reached:
    """``reached`` on one panel, told from that on another by the very layout, so that answers can be kept."""

    def __init__(self, layout: PanelLayout) -> None:
        self.layout = layout

    def __call__(self, a: PanelHole, b: PanelHole) -> bool:
        """True when a rule lies straight between two of its holes."""
        return reached(self.layout, a, b)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Reached) and other.layout is self.layout

    def __hash__(self) -> int:
        return id(self.layout)


def reached(layout: PanelLayout, a: PanelHole, b: PanelHole) -> bool:
    """True when a rule lies straight between two holes on the face where they are measured."""
    return not in_the_way(layout, a, b, measured_on(a, b))


def sides(holes: Sequence[PanelHole], wraps: Sequence[Wrap]) -> tuple[tuple[PanelHole, ...], ...]:
    """The holes by the flat they lie on: a steel rule does not go round a fold."""
    flats: dict[tuple[bool, ...], list[PanelHole]] = {}
    for hole in holes:
        flats.setdefault(tuple(wrap.beyond(hole.u_mm, hole.v_mm) for wrap in wraps), []).append(hole)
    return tuple(tuple(flat) for flat in flats.values())
