"""What of the vehicle goes through a panel: the column, a pipe; the paper is cut round it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray
from shapely.geometry import MultiPoint, Polygon

from generators.geometry.contours import counter_clockwise, polygon, polyline
from generators.layout.mounting import panel_pose
from generators.model.folds import Passing
from generators.model.plan import PanelLayout
from generators.model.spec.fittings import Body3
from generators.model.spec.job import Job, Panel
from generators.model.spec.titles import within

SIDES = 48
"""Corners of the prism a rod is cut as: its section is right to a fifth of a percent of its radius."""

LEAST_MM2 = 1.0
LONGER = 3.0
"""Diameters: enough for the whole section of a rod that leans by 80 degrees from the panel's normal."""

Points = NDArray[np.float64]


def with_passing(layouts: Sequence[PanelLayout], job: Job) -> tuple[PanelLayout, ...]:
    """The layouts with the section of each rod and box of the vehicle that crosses their sheet."""
    panels = {panel.name: panel for panel in job.panel}
    solid = [body for body in job.obstacle if body.zone is None]
    return tuple(
        replace(layout, passing=tuple(_passing(panels[layout.panel], layout, solid))) for layout in layouts
    )


def _passing(panel: Panel, layout: PanelLayout, bodies: Sequence[Body3]) -> list[Passing]:
    metal = Polygon(polyline(layout.contour, 1.0))
    found = []
    for body in bodies:
        section = _section(panel, _corners(body))
        if section is not None:
            # one that is told of from the panel on goes on behind it: its end is no edge to cut to
            section = _section(panel, _corners(body, LONGER))
        if section is not None and section.intersection(metal).area > LEAST_MM2:
            corners = [(float(u), float(v)) for u, v in list(section.exterior.coords)[:-1]]
            found.append(Passing(words=within(body.what), contour=counter_clockwise(polygon(corners))))
    return found


def _section(panel: Panel, corners: Points) -> Polygon | None:
    """What of a convex body lies in the sheet of a panel, seen square to it; None for one that misses it."""
    pose = panel_pose(panel)
    here = (corners - pose[:3, 3]) @ pose[:3, :3]
    cut: list[Points] = []
    for height in (0.0, -panel.thickness_mm):
        above, below = here[here[:, 2] > height], here[here[:, 2] <= height]
        if not len(above) or not len(below):
            continue
        a, b = np.repeat(above, len(below), axis=0), np.tile(below, (len(above), 1))
        share = (a[:, 2] - height) / (a[:, 2] - b[:, 2])
        cut.append((a + share[:, None] * (b - a))[:, :2])
    hull = MultiPoint(np.vstack(cut)).convex_hull if cut else None
    return hull if isinstance(hull, Polygon) else None


def _corners(body: Body3, longer: float = 0.0) -> Points:
    """Corners of the convex body, vehicle frame; those of a rod lie outside it by a little.

    A rod is made ``longer`` by so many diameters at either end.
    """
    if body.start is not None and body.end is not None and body.diameter_mm is not None:
        start, end = np.array(body.start), np.array(body.end)
        axis = (end - start) / np.linalg.norm(end - start)
        start, end = (at + way * axis * longer * body.diameter_mm for at, way in ((start, -1), (end, 1)))
        side = np.cross(axis, np.eye(3)[int(np.argmin(np.abs(axis)))])
        side /= np.linalg.norm(side)
        turns = np.arange(SIDES) * 2 * math.pi / SIDES
        out = body.diameter_mm / 2 / math.cos(math.pi / SIDES)
        ring = out * (np.outer(np.cos(turns), side) + np.outer(np.sin(turns), np.cross(axis, side)))
        return np.vstack((start + ring, end + ring))
    corner, size = np.array(body.corner), np.array(body.size)
    return np.asarray(corner + size * np.array(np.meshgrid((0, 1), (0, 1), (0, 1))).T.reshape(-1, 3))
