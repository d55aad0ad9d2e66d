"""The room a mounted part takes off the panel: each folded-up flange with its shadow and its height."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from shapely.geometry import LineString, MultiPoint, Point, Polygon

from generators.geometry.contours import Placement, counter_clockwise, polyline
from generators.geometry.frames import apply
from generators.model.contour import Contour, Vertex
from generators.model.hose_path import Panel3, Point3
from generators.model.plan import Body, PartPlan
from generators.model.words import Face
from generators.sheetmetal.folding import folded_frames

OUTLINE_MM = 0.05


def rod_body(name: str, ends: tuple[Point3, Point3], radius_mm: float, panel: Panel3) -> Body:
    """A round body, as of a cylinder, seen square onto a panel; it stands off the face its middle is over.

    The shadow is that of a rod with round ends: too careful by its radius at most.
    """
    axes = np.array([panel.u, panel.v, np.cross(panel.u, panel.v)])
    (u0, v0, w0), (u1, v1, w1) = ((axes @ (np.array(end) - np.array(panel.origin))).tolist() for end in ends)
    run = float(np.hypot(u1 - u0, v1 - v0))
    thick = radius_mm * run / float(np.hypot(run, w1 - w0))
    shadow = LineString([(u0, v0), (u1, v1)]) if run > OUTLINE_MM else Point(u0, v0)
    corners = list(shadow.buffer(radius_mm).exterior.coords)[:-1]
    cab = w0 + w1 > panel.low_mm + panel.high_mm
    off = [w - panel.high_mm if cab else panel.low_mm - w for w in (w0, w1)]
    return Body(
        part=name,
        flange="",
        face="cab" if cab else "engine",
        contour=counter_clockwise(Contour(tuple(Vertex(float(u), float(v)) for u, v in corners))),
        near_mm=max(0.0, min(off) - thick),
        far_mm=max(off) + thick,
    )


def part_bodies(plan: PartPlan, face: Face, place: Placement, lift_mm: float = 0.0) -> Iterator[Body]:
    """The flanges of a part that stand off its panel; ``place`` is its root in the panel frame.

    Its root begins ``lift_mm`` off the panel.

    The shadow is the convex hull of both surfaces of the flange, so a hollow in its outline counts as
    filled: too careful rather than too bold.
    """
    frames = folded_frames(plan)
    for flange in plan.flanges[1:]:
        flat = np.array(polyline(flange.contour, OUTLINE_MM))
        surfaces = [
            apply(frames[flange.name], np.column_stack([flat, np.full(len(flat), w)]))
            for w in (0.0, plan.thickness_mm)
        ]
        points = np.vstack(surfaces)
        hull = MultiPoint([place.apply(float(u), float(v)) for u, v, _w in points]).convex_hull
        if not isinstance(hull, Polygon):
            continue
        corners = list(hull.exterior.coords)[:-1]
        yield Body(
            part=plan.name,
            flange=flange.name,
            face=face,
            contour=counter_clockwise(Contour(tuple(Vertex(float(u), float(v)) for u, v in corners))),
            near_mm=float(points[:, 2].min()) + lift_mm,
            far_mm=float(points[:, 2].max()) + lift_mm,
        )
