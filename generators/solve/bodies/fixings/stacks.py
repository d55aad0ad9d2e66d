"""What lies on what where something goes through: the panel and every sheet flat on either face of it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import shapely
from shapely.geometry import Point, Polygon

from generators.geometry.contours import polyline
from generators.geometry.frames import Matrix, apply, panel_frame
from generators.layout.spots import Place, Sheets, point3
from generators.model.contour import Contour
from generators.model.plan import Footprint, PanelLayout
from generators.model.spec.job import Panel
from generators.solve.bodies.draft import ARC_MM
from generators.solve.bodies.sheets import part_name
from generators.space.pieces import Point3


@dataclass(frozen=True, kw_only=True)
class Stack:
    """Sheets in one place: both outer surfaces there, the unit way from ``low`` to ``high``, their bodies."""

    low: Point3
    high: Point3
    out: Matrix
    names: tuple[str, ...]

    @property
    def grip_mm(self) -> float:
        """Thickness of all of it."""
        return float(np.linalg.norm(np.subtract(self.high, self.low)))


def covering(layout: PanelLayout, face: str, at: tuple[float, float]) -> list[Footprint]:
    """Parts that lie over a place of a face, whether or not they have an opening there."""
    here = Point(*at)
    return [f for f in layout.footprints if f.face == face and _shape(f.contour).covers(here)]


@lru_cache(maxsize=1024)
def _shape(contour: Contour) -> Polygon:
    shape = Polygon(polyline(contour, ARC_MM))
    shapely.prepare(shape)
    return shape


def top_mm(feet: Iterable[Footprint]) -> float:
    """How far the highest of them reaches off the panel; 0 for none."""
    return max((f.lift_mm + f.thickness_mm for f in feet), default=0.0)


def panel_stack(panel: Panel, layout: PanelLayout, at: tuple[float, float]) -> Stack:
    """The sheets at a place of a panel, from its engine side to its cab side."""
    pose = panel_frame(panel.origin, panel.tilt_rad, panel.turn_rad)
    cab, engine = covering(layout, "cab", at), covering(layout, "engine", at)
    heights = (-panel.thickness_mm - top_mm(engine), top_mm(cab))
    ends = apply(pose, np.array([(*at, w) for w in heights]))
    return Stack(
        low=point3(ends[0]),
        high=point3(ends[1]),
        out=pose[:3, 2],
        names=(f"panel:{panel.name}", *(part_name(f.part) for f in (*cab, *engine))),
    )


def lying_on(where: Place, sheets: Sheets) -> Stack:
    """The sheets under a place, as seen from the side it stands on; no thickness for a free one."""
    origin, out = where.frame[:3, 3], where.frame[:3, 0]
    if where.panel:
        panel = sheets.panels[where.panel]
        pose = panel_frame(panel.origin, panel.tilt_rad, panel.turn_rad)
        u, v, _w = (origin - pose[:3, 3]) @ pose[:3, :3]
        stack = panel_stack(panel, sheets.layouts[where.panel], (float(u), float(v)))
        if float(stack.out @ out) > 0:
            return stack
        return Stack(low=stack.high, high=stack.low, out=-stack.out, names=stack.names)
    names: tuple[str, ...] = ()
    if where.part:
        root = sheets.parts[where.part].plan.flanges[0].name
        names = (part_name(where.part, "" if where.flange == root else where.flange),)
    return Stack(low=point3(origin - where.through_mm * out), high=point3(origin), out=out, names=names)
