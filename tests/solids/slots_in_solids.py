"""Round-ended slots found on a solid by its faces alone: no plan is looked at."""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass
from typing import Any

import numpy as np
from OCP.BRepAdaptor import BRepAdaptor_Surface
from OCP.GeomAbs import GeomAbs_Cylinder, GeomAbs_Plane

from generators.solids import kernel
from generators.verify.step.solid import _cylinder_of

SAME = 1e-6


@dataclass(frozen=True, slots=True)
class SolidSlot:
    """The middles of a slot's two ends halfway through the sheet, the direction of its walls, and its width."""

    ends: tuple[np.ndarray, np.ndarray]
    through: np.ndarray
    width: float


@dataclass(frozen=True, slots=True)
class _End:
    middle: np.ndarray
    through: np.ndarray
    radius: float


def _ends(shape: Any, thickness: float) -> list[_End]:
    """Hollow half cylinders as high as the sheet is thick."""
    out = []
    for face in kernel.faces_of(shape):
        surface = BRepAdaptor_Surface(face)
        round_face = _cylinder_of(face) if surface.GetType() == GeomAbs_Cylinder else None
        if round_face is None or not round_face.hollow:
            continue
        cylinder = surface.Cylinder()
        radius = cylinder.Radius()
        if abs(kernel.area(face) - math.pi * radius * thickness) > SAME * radius:
            continue
        axis = cylinder.Axis()
        at = np.array([axis.Location().X(), axis.Location().Y(), axis.Location().Z()])
        along = np.array([axis.Direction().X(), axis.Direction().Y(), axis.Direction().Z()])
        low, high = surface.FirstVParameter(), surface.LastVParameter()
        out.append(_End(at + along * (low + high) / 2, along, radius))
    return out


def slots_of(shape: Any, thickness: float) -> list[SolidSlot]:
    """Pairs of half cylinders joined by two flat walls that run from one to the other."""
    ends = _ends(shape, thickness)
    walls = [
        (f, BRepAdaptor_Surface(f))
        for f in kernel.faces_of(shape)
        if BRepAdaptor_Surface(f).GetType() == GeomAbs_Plane
    ]
    found = []
    for a, b in itertools.combinations(ends, 2):
        gap = b.middle - a.middle
        travel = float(np.linalg.norm(gap))
        if abs(a.radius - b.radius) > SAME or travel < SAME or abs(gap @ a.through) > SAME:
            continue
        if abs(abs(a.through @ b.through) - 1) > SAME:
            continue
        # a wall is a rectangle of travel by thickness, a radius off the line between the two middles
        middle = (a.middle + b.middle) / 2
        beside = np.cross(a.through, gap / travel) * a.radius
        places = [middle + beside, middle - beside]
        met = [
            place
            for place in places
            for face, surface in walls
            if abs(kernel.area(face) - travel * thickness) < 1e-5
            and np.linalg.norm(_centre(face) - place) < 1e-5
            and surface is not None
        ]
        if len(met) == 2:
            found.append(SolidSlot((a.middle, b.middle), a.through, 2 * a.radius))
    return found


def _centre(face: Any) -> np.ndarray:
    from OCP.BRepGProp import BRepGProp
    from OCP.GProp import GProp_GProps

    properties = GProp_GProps()
    BRepGProp.SurfaceProperties_s(face, properties)
    at = properties.CentreOfMass()
    return np.array([at.X(), at.Y(), at.Z()])
