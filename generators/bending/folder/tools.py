"""Bed, fingers, beam and leaf as outlines seen from the right end of the folder.

y goes back from the front of the bend, the tangent line of the leg under the fingers; z up from the outer
face of the flat sheet, which is the top of the bed.
"""

from __future__ import annotations

import itertools
import math
from functools import lru_cache

from shapely.affinity import translate
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from generators.geometry.joined import joined
from generators.model.spec.tools.folder import Folder

ARC_STEPS = 8
FAR_MM = 5_000.0


@lru_cache(maxsize=64)
def finger_outline(folder: Folder, thickness_mm: float) -> Polygon:
    """A finger down on the sheet; its rounding is drawn inside the true arc.

    The nose touches the sheet at y = 0, where the bend begins, and stands in front of that by its radius.
    """
    r, high, slope = folder.nose_radius_mm, folder.finger_height_mm, folder.nose_angle_rad
    turn = math.pi - slope
    arc = [
        (-r * math.sin(turn * i / ARC_STEPS), r - r * math.cos(turn * i / ARC_STEPS))
        for i in range(ARC_STEPS + 1)
    ]
    at_y, at_z = arc[-1]
    lean = max(folder.nose_depth_mm - at_y, 0.0)
    front = min(at_z + lean * math.tan(slope), high) if slope < math.pi / 2 - 1e-9 else at_z
    points = [(folder.finger_depth_mm, 0.0), *arc]
    if front > at_z:
        points.append((folder.nose_depth_mm, front))
    points += [(points[-1][0], high), (folder.finger_depth_mm, high)]
    return translate(Polygon(list(dict.fromkeys(points))), 0.0, thickness_mm)


@lru_cache(maxsize=64)
def beam_outline(folder: Folder, thickness_mm: float) -> Polygon:
    """The clamping beam over the fingers."""
    return translate(Polygon(folder.beam), 0.0, thickness_mm + folder.finger_height_mm)


@lru_cache(maxsize=64)
def bed_outline(folder: Folder) -> Polygon:
    """The bed under the sheet."""
    return Polygon(folder.bed)


@lru_cache(maxsize=64)
def leaf_outline(folder: Folder) -> Polygon:
    """The leaf before it turns, its face level with the bed."""
    deep, thick = folder.leaf_depth_mm, folder.leaf_thickness_mm
    return Polygon([(0.0, 0.0), (-deep, 0.0), (-deep, -thick), (0.0, -thick)])


def bears_mm(folder: Folder, thickness_mm: float, tensile_mpa: float) -> float:
    """The longest bend the folder makes in such a sheet, mm; 0 where it makes none.

    The moment of a bend goes with the strength and the square of the thickness (the plastic moment of a
    strip, R t²/4 a width), so a sheet counts as ``t sqrt(Rm / that of the plate)`` of the plate's steel.
    """
    as_thick = thickness_mm * math.sqrt(tensile_mpa / folder.tensile_mpa)
    rows = [c.length_mm for c in folder.capacities if c.thickness_mm >= as_thick - 1e-6]
    return max(rows, default=0.0)


def swept(shape: Polygon, dy: float, dz: float) -> BaseGeometry:
    """All an outline passes through on a straight way."""
    quads = [
        Polygon([a, b, (b[0] + dy, b[1] + dz), (a[0] + dy, a[1] + dz)])
        for a, b in itertools.pairwise(shape.exterior.coords)
    ]
    return joined([shape, translate(shape, dy, dz), *(q.buffer(0) for q in quads)])


@lru_cache(maxsize=256)
def freed(tool: Polygon, rise_mm: float) -> BaseGeometry:
    """What a tool passes through, seen from the part, while it lifts and the part is drawn forward."""
    up = swept(tool, 0.0, rise_mm)
    return joined([up, swept(translate(tool, 0.0, rise_mm), FAR_MM, 0.0)])
