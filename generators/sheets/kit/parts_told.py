"""What a made part is told apart by when it is packed: outer size, number of holes, finish."""

from __future__ import annotations

import numpy as np

from generators.geometry.contours import polyline
from generators.model.plan import PartPlan
from generators.sheetmetal.folding import folded_frames
from generators.sheets.hose_words import about
from generators.units import UnitSystem

NO_FINISH = "no finish stated"


def outer_mm(plan: PartPlan) -> tuple[float, float, float]:
    """Length, width and height of the smallest box along the root flange that holds the folded part, mm.

    Bends of more than a right angle bulge past it by less than a sheet's thickness.
    """
    frames, points = folded_frames(plan), []
    for flange in plan.flanges:
        for w in (0.0, plan.thickness_mm):
            flat = [(u, v, w, 1.0) for u, v in polyline(flange.contour)]
            points.append(np.array(flat) @ frames[flange.name].T)
    corners = np.vstack(points)[:, :3]
    length, width, height = sorted((corners.max(axis=0) - corners.min(axis=0)).tolist(), reverse=True)
    return length, width, height


def openings_of(plan: PartPlan) -> int:
    """How many holes and slots are in it."""
    return sum(len(flange.openings) for flange in plan.flanges)


def part_words(plan: PartPlan, units: UnitSystem) -> str:
    """``226 x 120 x 98 mm outside, 11 holes, powder coated``: to a millimetre, a sixteenth of an inch."""
    said = [about(side, units) for side in outer_mm(plan)]
    size = " x ".join([*(one.rpartition(" ")[0] for one in said[:-1]), said[-1]])
    holes = openings_of(plan)
    count = f"{holes} hole{'' if holes == 1 else 's'}" if holes else "no hole"
    return f"{size} outside, {count}, {plan.finish or NO_FINISH}"
