"""How much air stands over a place on one flange of a folded part before its other metal is met.

Every flange is two plane outlines, every bend a few narrow strips of either surface. Heights are measured
from the surface a nut or a head sits on.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from shapely.geometry import MultiPoint, Point, Polygon
from shapely.geometry.base import BaseGeometry

from generators.geometry.contours import polyline
from generators.geometry.frames import Matrix, apply
from generators.model.plan import PartPlan
from generators.model.words import FLANGE_SIDES, FlangeSide
from generators.sheetmetal.folding import bend_length, fold_step, folded_frames

OUTLINE_MM = 0.02
BEND_STRIPS = 8
TOUCH_MM = 0.01
"""Metal that only touches the circle or the surface is not in the way."""

FLAT_MM2 = 1e-6
SIDES = FLANGE_SIDES


@dataclass(frozen=True, slots=True, kw_only=True)
class Patch:
    """A plane piece of surface in a flange's frame: corners (n, 3) mm, and its shadow on the flange."""

    corners: Matrix
    shadow: BaseGeometry


def _patch(corners: Matrix) -> Patch:
    flat = Polygon(corners[:, :2])
    upright = flat.area < FLAT_MM2 or not flat.is_valid
    return Patch(corners=corners, shadow=MultiPoint(corners[:, :2]).convex_hull if upright else flat)


def _surfaces(plan: PartPlan) -> list[tuple[str, Matrix]]:
    """Every piece of surface in the root's frame, with the flange it is of; bends belong to none."""
    frames = folded_frames(plan)
    out: list[tuple[str, Matrix]] = []
    for flange in plan.flanges:
        flat = np.array(polyline(flange.contour, OUTLINE_MM))
        for w in (0.0, plan.thickness_mm):
            out.append(
                (flange.name, apply(frames[flange.name], np.column_stack([flat, np.full(len(flat), w)])))
            )
    for bend in plan.bends:
        length = bend_length(bend)
        steps = [
            frames[bend.parent] @ fold_step(bend, plan.thickness_mm, i / BEND_STRIPS)
            for i in range(BEND_STRIPS + 1)
        ]
        for w in (0.0, plan.thickness_mm):
            line = np.array([[0.0, 0.0, w], [length, 0.0, w]])
            rows = [apply(step, line) for step in steps]
            out += [("", np.vstack([a, b[::-1]])) for a, b in itertools.pairwise(rows)]
    return out


@lru_cache(maxsize=64)
def around(plan: PartPlan, flange: str) -> tuple[Patch, ...]:
    """All metal of the part but that flange, in that flange's frame.

    Kept, since every bolt of a flange asks for it, of its hole and of its part.
    """
    back: Matrix = np.asarray(np.linalg.inv(folded_frames(plan)[flange]), dtype=np.float64)
    return tuple(_patch(apply(back, corners)) for name, corners in _surfaces(plan) if name != flange)


def _over(patch: Patch, disc: BaseGeometry) -> tuple[float, float] | None:
    """Lowest and highest of the patch over the disc, mm in the flange's w; None where it is not over it."""
    common = patch.shadow.intersection(disc)
    if common.is_empty:
        return None
    heights = patch.corners[:, 2]
    low, high = float(heights.min()), float(heights.max())
    if not isinstance(patch.shadow, Polygon) or high - low < TOUCH_MM:
        return low, high
    centre = patch.corners.mean(axis=0)
    normal = np.linalg.svd(patch.corners - centre)[2][2]
    if abs(normal[2]) < 1e-3:
        return low, high  # upright as good as: its whole height counts
    at = np.array(list(_points(common)))
    w = centre[2] - ((at - centre[:2]) @ normal[:2]) / normal[2]
    return float(w.min()), float(w.max())


def _points(shape: BaseGeometry) -> list[tuple[float, float]]:
    if hasattr(shape, "geoms"):
        return [p for one in shape.geoms for p in _points(one)]
    ring = shape.exterior if isinstance(shape, Polygon) else shape
    return [(float(u), float(v)) for u, v in ring.coords]


def free_height(
    patches: tuple[Patch, ...],
    thickness_mm: float,
    place: tuple[float, float],
    radius_mm: float,
    side: FlangeSide,
    ignore_mm: float = TOUCH_MM,
) -> float:
    """Air over a circle on the ``upper`` or ``lower`` surface of a flange, mm; infinite where all is open.

    Metal that rises no more than ``ignore_mm`` off the surface within the circle is let pass.
    """
    disc = Point(*place).buffer(max(radius_mm - TOUCH_MM, TOUCH_MM), quad_segs=16)
    low_u, low_v, high_u, high_v = disc.bounds
    best = math.inf
    for patch in patches:
        us, vs = patch.corners[:, 0], patch.corners[:, 1]
        if us.max() < low_u or us.min() > high_u or vs.max() < low_v or vs.min() > high_v:
            continue
        span = _over(patch, disc)
        if span is None:
            continue
        # seen from below, w counts the other way from the lower surface
        low, high = span if side == "upper" else (thickness_mm - span[1], thickness_mm - span[0])
        if high > thickness_mm + ignore_mm:
            best = min(best, max(0.0, low - thickness_mm))
    return best
