"""Three dimensions become two: tools are the same along the bend, so a piece is judged by its shadow.

A tool is an outline in (y, z) drawn out from ``low`` to ``high`` along the bend. A piece meets it just when
the shadow of what of the piece lies between ``low`` and ``high``, thrown along the bend, meets the outline.
For plates along the bend or square across it, which nearly all are, the shadow is exact; for plates that
stand askew it is up to one thickness too large.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry import MultiPolygon, Polygon, box
from shapely.geometry.base import BaseGeometry

from generators.bending.legs import Chunk, Laid, Leg, Piece, Plate
from generators.geometry.frames import Matrix

OFF_SHEET_MM = 0.01
"""What is nearer to the sheet than this lies on it."""

SKIN_MM = 0.05
"""Flat metal may lie against a tool: only what is deeper in it than this is in its way."""

ENDLESS = 1e6
ASKEW = 0.3
"""Plates leaning less than this against the bend are thrown as the hull of what is cut from them."""

BESIDE_MM = 0.01


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Shadow:
    """What one flange of a leg throws, lying flat on the die: (y, z) in the machine's frame, mm.

    ``low_x`` and ``high_x`` are where it begins and ends along the bend. ``lies``: flat metal, less its skin.
    """

    flange: str
    rear: bool
    shape: BaseGeometry
    low_x: float
    high_x: float
    lies: bool = False


def crossing(
    laid: Laid, thickness: float, low: float = -ENDLESS, high: float = ENDLESS, past_mm: float = 0.0
) -> list[Shadow]:
    """Flat metal of either leg that lies over the other leg's side, past an end of the bend.

    It is on the die before the stroke and swings down as its own leg swings up. ``past_mm``: how
    far past the middle of the flat bend it begins to count.
    """
    out: list[Shadow] = []
    for leg, rear in ((laid.rear, True), (laid.front, False)):
        from_y = past_mm + SKIN_MM
        side = (-ENDLESS, -from_y) if rear else (from_y, ENDLESS)
        zone = box(low, side[0], high, side[1])
        for flange, flat in leg.flats:
            over = flat.intersection(zone)
            for part in getattr(over, "geoms", [over]):
                if not isinstance(part, Polygon) or part.is_empty:
                    continue
                first, near, last, far = part.bounds
                if min(last - first, far - near) > BESIDE_MM:
                    shape = MultiPolygon([box(near, SKIN_MM, far, thickness - SKIN_MM)])
                    out.append(
                        Shadow(flange=flange, rear=rear, shape=shape, low_x=first, high_x=last, lies=True)
                    )
    return out


def dips(shadow: Shadow) -> bool:
    """True for what can meet the die: what hangs under the sheet, or stands out over the other leg's side.

    The latter stands over the sheet as it is laid in and swings down as its own leg swings up.
    """
    low_y, low_z, high_y, _ = shadow.shape.bounds
    over = -low_y if shadow.rear else high_y
    return low_z < -OFF_SHEET_MM or over > OFF_SHEET_MM


def shadows(laid: Laid, low: float = -ENDLESS, high: float = ENDLESS) -> list[Shadow]:
    """Shadows of all that stands off the sheet, of what lies between ``low`` and ``high`` along the bend."""
    return [*_of_leg(laid.rear, True, low, high), *_of_leg(laid.front, False, low, high)]


def _of_leg(leg: Leg, rear: bool, low: float, high: float) -> Iterable[Shadow]:
    by_flange: dict[str, list[tuple[BaseGeometry, float, float]]] = {}
    for piece in leg.pieces:
        thrown = _thrown(piece, low, high)
        if thrown:
            by_flange.setdefault(piece.flange, []).extend(thrown)
    for flange, parts in by_flange.items():
        yield Shadow(
            flange=flange,
            rear=rear,
            shape=MultiPolygon([s for s, _, _ in parts if isinstance(s, Polygon)]),
            low_x=min(a for _, a, _ in parts),
            high_x=max(b for _, _, b in parts),
        )


def _thrown(piece: Piece, low: float, high: float) -> list[tuple[BaseGeometry, float, float]]:
    if isinstance(piece, Chunk):
        return _chunk(piece.corners, low, high)
    return _plate(piece, low, high)


def _chunk(corners: Matrix, low: float, high: float) -> list[tuple[BaseGeometry, float, float]]:
    """A convex piece between two planes across the bend: the hull of its corners there and of its cuts."""
    x = corners[:, 0]
    first, last = float(x.min()), float(x.max())
    if last <= low + BESIDE_MM or first >= high - BESIDE_MM:
        return []
    points = corners
    if first < low or last > high:
        cuts = [corners[(x >= low) & (x <= high)]]
        for plane in (low, high):
            if first < plane < last:
                below, above = corners[x < plane], corners[x >= plane]
                pairs = np.array([(a, b) for a, b in itertools.product(below, above)])
                share = (plane - pairs[:, 0, 0]) / (pairs[:, 1, 0] - pairs[:, 0, 0])
                cuts.append(pairs[:, 0] + share[:, None] * (pairs[:, 1] - pairs[:, 0]))
        points = np.concatenate(cuts)
    hull = shapely.convex_hull(shapely.linestrings(points[:, 1:]))
    if not isinstance(hull, Polygon):
        return []
    return [(hull, max(low, first), min(high, last))]


def _plate(plate: Plate, low: float, high: float) -> list[tuple[BaseGeometry, float, float]]:
    m, t = plate.frame, plate.thickness
    across, lean = m[0, :2], float(m[0, 2])
    slope = math.hypot(*across)
    base = float(m[0, 3])
    if slope < 1e-6:
        # square across the bend: its whole outline, if it is there at all
        near, far = sorted((base, base + lean * t))
        if far <= low + BESIDE_MM or near >= high - BESIDE_MM:
            return []
        return [(_project(plate.outline, m), near, far)]
    # turned in its own plane so that x runs along the first axis
    turn = np.array([[across[0], across[1]], [-across[1], across[0]]]) / slope
    rows = m[1:3, :2] @ turn.T
    outline: BaseGeometry = shapely.transform(plate.outline, lambda p: p @ turn.T)
    slack = abs(lean) * t
    first = (low - base - (slack if lean > 0 else 0.0)) / slope
    last = (high - base + (slack if lean < 0 else 0.0)) / slope
    low_s, _, high_s, _ = outline.bounds
    if high_s <= first + BESIDE_MM or low_s >= last - BESIDE_MM:
        return []
    if first > low_s or last < high_s:
        outline = outline.intersection(box(max(first, low_s - 1), -ENDLESS, min(last, high_s + 1), ENDLESS))
    normal = m[1:3, 2] * t
    out: list[tuple[BaseGeometry, float, float]] = []
    for part in getattr(outline, "geoms", [outline]):
        if not isinstance(part, Polygon) or part.is_empty:
            continue
        ends = (base + slope * part.bounds[0] - slack, base + slope * part.bounds[2] + slack)
        ring = np.asarray(part.exterior.coords)[:-1]
        origin = m[1:3, 3]
        lower = ring @ rows.T + origin
        if abs(lean) < ASKEW:
            hull = shapely.convex_hull(shapely.linestrings(np.concatenate([lower, lower + normal])))
            if isinstance(hull, Polygon):
                out.append((hull, *ends))
            continue
        out.append((_valid(Polygon(lower)), *ends))
        out.append((_valid(Polygon(lower + normal)), *ends))
        for a, b in zip(lower, np.roll(lower, -1, axis=0), strict=True):
            side = shapely.convex_hull(shapely.linestrings(np.array([a, b, a + normal, b + normal])))
            if isinstance(side, Polygon):
                out.append((side, *ends))
    return out


def _project(outline: Polygon, m: Matrix) -> BaseGeometry:
    return _valid(shapely.transform(outline, lambda p: p @ m[1:3, :2].T + m[1:3, 3]))


def _valid(shape: BaseGeometry) -> BaseGeometry:
    return shape if shape.is_valid else shape.buffer(0)
