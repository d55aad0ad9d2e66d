"""The edge two panels share, found from their outlines and poses in the vehicle."""

from __future__ import annotations

import math

import numpy as np

from generators.errors import GeometryFault
from generators.geometry.frames import Matrix, apply, panel_frame
from generators.model.folds import FoldLine
from generators.model.spec.job import Fold, Panel

MEET_MM = 1.0


def _edges(panel: Panel) -> tuple[Matrix, list[tuple[tuple[float, float], tuple[float, float]]]]:
    corners = panel.outline
    flat = np.array([(u, v, 0.0) for u, v in corners])
    space = apply(panel_frame(panel.origin, panel.tilt_rad, panel.turn_rad), flat)
    count = len(corners)
    pairs = [(corners[i], corners[(i + 1) % count]) for i in range(count)]
    return np.stack([np.stack([space[i], space[(i + 1) % count]]) for i in range(count)]), pairs


def fold_lines(fold: Fold, panels: dict[str, Panel], path: str) -> dict[str, FoldLine]:
    """The shared edge in each panel's frame, by panel name, with the angle the sheet turns.

    Raises ``GeometryFault`` when no edge of one lies on an edge of the other within 1 mm; its
    message says how far apart the nearest two are.
    """
    first, second = (panels[n] for n in fold.panels)
    space_a, flat_a = _edges(first)
    space_b, flat_b = _edges(second)
    best = (math.inf, 0, 0)
    for i, edge in enumerate(space_a):
        for j, other in enumerate(space_b):
            same = np.abs(edge - other).max()
            reverse = np.abs(edge - other[::-1]).max()
            best = min(best, (float(min(same, reverse)), i, j))
    gap, i, j = best
    if gap > MEET_MM:
        raise GeometryFault(
            f"panels {first.name!r} and {second.name!r} share no edge; the nearest two miss by {gap:.1f} mm",
            path,
        )
    normals = [panel_frame(p.origin, p.tilt_rad, p.turn_rad)[:3, 2] for p in (first, second)]
    angle = math.acos(float(np.clip(normals[0] @ normals[1], -1, 1)))
    return {
        first.name: FoldLine(
            other=second.name,
            other_title=second.title,
            start=flat_a[i][0],
            end=flat_a[i][1],
            angle_rad=angle,
            inside_radius_mm=fold.inside_radius_mm,
        ),
        second.name: FoldLine(
            other=first.name,
            other_title=first.title,
            start=flat_b[j][0],
            end=flat_b[j][1],
            angle_rad=angle,
            inside_radius_mm=fold.inside_radius_mm,
        ),
    }
