"""A part on its machine: where its flanges lie, tools and plates as solids, and the volume two of them share."""

from __future__ import annotations

from collections.abc import Iterable

import cadquery as cq
import numpy as np
import pytest
from numpy.typing import NDArray
from shapely.geometry import Polygon

from generators.bending.legs import Laid, Leg, PartShape, Plate
from generators.bending.steps import FoldStep, Step
from generators.geometry.frames import Matrix, apply
from generators.model.plan import Bend, PartPlan
from generators.sheetmetal.folding import folded_frames

AIR_MM = 0.06
"""Taken off both faces of flat metal that may lie against a tool."""


def prism(ring: NDArray[np.float64], along: NDArray[np.float64]) -> cq.Solid:
    """An outline in space pushed along a vector."""
    wire = cq.Wire.makePolygon([cq.Vector(*p) for p in ring], close=True)
    return cq.Solid.extrudeLinear(cq.Face.makeFromWires(wire), cq.Vector(*along))


def tool(outline: Polygon, up: float, low: float, high: float) -> cq.Solid:
    ring = np.array([(low, y, z + up) for y, z in outline.exterior.coords[:-1]])
    return prism(ring, np.array((high - low, 0.0, 0.0)))


def plate(outline: Polygon, frame: Matrix, low: float, high: float) -> cq.Solid:
    corners = np.array([(u, v, low) for u, v in outline.exterior.coords[:-1]])
    return prism(apply(frame, corners), frame[:3, 2] * (high - low))


def laid_at(plan: PartPlan, step: Step | FoldStep) -> tuple[Bend, Laid]:
    """The bend of a step, and the part as it lies on the machine then."""
    bend = next(b for b in plan.bends if b.name == step.bend)
    return bend, PartShape(plan=plan).laid(bend, frozenset(step.done), step.child_rear)


def moved(legs: Iterable[tuple[Leg, Matrix]]) -> dict[str, Matrix]:
    """Frames of the flanges, each leg's moved as its motion says."""
    return {
        piece.flange: move @ piece.frame
        for leg, move in legs
        for piece in leg.pieces
        if isinstance(piece, Plate)
    }


def lie_as_folded(plan: PartPlan, frames: dict[str, Matrix]) -> None:
    """Fails unless two flanges or more lie to each other as in the folded part."""
    whole = folded_frames(plan)
    names = sorted(frames)
    assert len(names) >= 2
    for one in names[1:]:
        between = np.linalg.inv(frames[names[0]]) @ frames[one]
        assert between == pytest.approx(np.linalg.inv(whole[names[0]]) @ whole[one], abs=1e-6)


def shared(one: cq.Solid, two: cq.Solid) -> float:
    a, b = one.BoundingBox(), two.BoundingBox()
    apart = any(
        low > high
        for low, high in (
            (a.xmin, b.xmax),
            (b.xmin, a.xmax),
            (a.ymin, b.ymax),
            (b.ymin, a.ymax),
            (a.zmin, b.zmax),
            (b.zmin, a.zmax),
        )
    )
    return 0.0 if apart else float(one.intersect(two).Volume())
