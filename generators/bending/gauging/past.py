"""What of a part reaches past the stop it lies against, toward the gauge's arms and its beam."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon, box
from shapely.geometry.base import BaseGeometry

from generators.bending.gauging.within import ALONG, BACK, LEVEL, UP, Half, clipped, placed
from generators.bending.legs import Laid, Piece, Plate
from generators.bending.steps import Past, PastAt
from generators.geometry.frames import Matrix
from generators.model.spec.tools.press import BackGauge

PAST_MM = 1.0
"""What reaches no further past the stop is not told. Ours."""

BEGINS_MM = 1e-3
POLYGON = int(shapely.GeometryType.POLYGON)
FAR_MM = 1e5
TOUCH_MM = 0.05

Span = tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Beyond:
    """A piece of a part behind a line along the bend: how far it goes, where it is along and up, mm."""

    flange: str
    far_y: float
    low_x: float
    high_x: float
    low_z: float
    high_z: float


def beyond(laid: Laid, y: float, thickness_mm: float, touched: Span | None = None) -> Iterator[Beyond]:
    """What of either leg lies more than ``y`` mm behind the middle of the bend, the part laid in.

    Flat metal hardly past that where fingers are in ``touched`` is the edge they are against.
    """
    behind: BaseGeometry = box(-FAR_MM, y, FAR_MM, FAR_MM)
    if touched is not None:
        behind = behind.difference(box(touched[0], y - TOUCH_MM, touched[1], y + TOUCH_MM))
    for leg in (laid.rear, laid.front):
        for flange, flat in leg.flats:
            cut = flat.intersection(behind)
            for part in getattr(cut, "geoms", [cut]):
                if isinstance(part, Polygon) and not part.is_empty:
                    low_x, _, high_x, far = part.bounds
                    yield Beyond(
                        flange=flange,
                        far_y=far,
                        low_x=low_x,
                        high_x=high_x,
                        low_z=0.0,
                        high_z=thickness_mm,
                    )
        for piece in leg.pieces:
            for points in cut_past(piece, y):
                here = beyond_of(piece.flange, points)
                if here.far_y > y:
                    yield here


def beyond_of(flange: str, points: Matrix) -> Beyond:
    """A piece of a flange by its corners."""
    low, high = points.min(axis=0), points.max(axis=0)
    return Beyond(
        flange=flange,
        far_y=float(high[1]),
        low_x=float(low[0]),
        high_x=float(high[0]),
        low_z=float(low[2]),
        high_z=float(high[2]),
    )


def cut_past(piece: Piece, y: float) -> Iterator[Matrix]:
    """Corners of what of a piece lies behind a line, cloud by cloud; a cloud's hull is all in the piece."""
    yield from clipped(piece, (Half(BACK, 1.0, y),))


def plate_past(plate: Plate, frames: NDArray[np.float64], y: NDArray[np.float64]) -> list[list[Beyond]]:
    """What of a flat piece lies behind a line in each of ``frames`` (n × 4 × 4), all cut at once.

    ``y`` (n) is where the line is then, mm.
    """
    found: list[list[Beyond]] = [[] for _ in frames]
    across = frames[:, 1, :2]
    slope = np.hypot(across[:, 0], across[:, 1])
    sloped = slope >= LEVEL
    for w in (0.0, plate.thickness):
        base = frames[:, 1, 3] + frames[:, 1, 2] * w
        for k in np.flatnonzero(~sloped & (base > y)):
            found[k].append(beyond_of(plate.flange, placed(plate.outline, frames[k], w)))
        which = np.flatnonzero(sloped)
        up = across[which] / slope[which, None]
        along = np.column_stack([-up[:, 1], up[:, 0]])
        near = ((y[which] - base[which]) / slope[which])[:, None] * up
        ring = np.stack(
            [near - FAR_MM * along, FAR_MM * (up - along), FAR_MM * (up + along), near + FAR_MM * along],
            axis=1,
        )
        cut = shapely.intersection(plate.outline, shapely.polygons(ring))
        parts, of = shapely.get_parts(cut, return_index=True)
        whole = (shapely.get_type_id(parts) == POLYGON) & ~shapely.is_empty(parts)
        parts, of = parts[whole], which[of[whole]]
        if not len(parts):
            continue
        places, part = shapely.get_coordinates(parts, return_index=True)
        m = frames[of[part]]
        points = np.einsum("nij,nj->ni", m[:, :3, :2], places) + m[:, :3, 2] * w + m[:, :3, 3]
        starts = np.flatnonzero(np.diff(part, prepend=-1))
        low, high = np.minimum.reduceat(points, starts), np.maximum.reduceat(points, starts)
        for k, (low_x, _, low_z), (high_x, far_y, high_z) in zip(
            of, low.tolist(), high.tolist(), strict=True
        ):
            found[k].append(
                Beyond(
                    flange=plate.flange, far_y=far_y, low_x=low_x, high_x=high_x, low_z=low_z, high_z=high_z
                )
            )
    return found


def stands(touched: Span, free: Span, finger_mm: float) -> Span:
    """From where to where along the bend fingers may stand, mm: wholly on what they touch where that is long.

    On less a finger stands over its ends, as far as ``free`` lets it.
    """
    if touched[1] - touched[0] >= finger_mm:
        return touched
    return max(free[0], touched[1] - finger_mm), min(free[1], touched[0] + finger_mm)


def past_stop(laid: Laid, y: float, stand: Span, zone: Span, thickness_mm: float) -> tuple[Past, ...]:
    """What lies past a stop at ``y``, by flange, and how near to fingers in ``stand``, ``zone`` high.

    How near is measured from where it begins to be past: the round of a corner comes nearest there.
    """
    found: dict[str, Past] = {}
    for part in beyond(laid, y + BEGINS_MM, thickness_mm, stand):
        at, gap = seat(part, stand, zone)
        if at == "behind" and part.far_y <= y + PAST_MM:
            continue  # what fingers are against, drawn a little too large
        here = Past(flange=part.flange, past_mm=part.far_y - y, at=at, beside_mm=gap)
        other = found.get(part.flange)
        if other is not None:
            # what is in line with the fingers, however far behind, is nearer than what is beside them
            nearer = min(here, other, key=lambda p: (p.at != "behind", p.at != "beside", p.beside_mm))
            farther = max(here.past_mm, other.past_mm)
            here = Past(flange=part.flange, past_mm=farther, at=nearer.at, beside_mm=nearer.beside_mm)
        found[part.flange] = here
    told = (p for p in found.values() if p.past_mm > PAST_MM)
    return tuple(sorted(told, key=lambda p: -p.past_mm))


def seat(part: Beyond, stand: Span, zone: Span) -> tuple[PastAt, float]:
    """Where a piece lies to the fingers, and how far beside them, mm."""
    gap = max(part.low_x - stand[1], stand[0] - part.high_x)
    if gap > -TOUCH_MM:
        return "beside", max(gap, 0.0)
    if part.low_z >= zone[1] - TOUCH_MM:
        return "over", 0.0
    if part.high_z <= zone[0] + TOUCH_MM:
        return "under", 0.0
    return "behind", 0.0


def seats_in(piece: Piece, y: float, stand: Span, zone: Span) -> Iterator[tuple[PastAt, float, float]]:
    """The same of what of a piece lies behind a line, and how low, by its shape rather than by its box."""
    between = (
        Half(BACK, 1.0, y),
        Half(ALONG, 1.0, stand[0] + TOUCH_MM),
        Half(ALONG, -1.0, stand[1] - TOUCH_MM),
    )
    level = Half(UP, 1.0, zone[0] + TOUCH_MM), Half(UP, -1.0, zone[1] - TOUCH_MM)
    here = [points[:, UP] for points in clipped(piece, between)]
    if any(True for _ in clipped(piece, (*between, *level))):
        yield "behind", 0.0, 0.0
    for up in here:
        low = float(up.min())
        yield ("under", 0.0, 0.0) if low < zone[0] else ("over", 0.0, low)
    if not here:
        for points in cut_past(piece, y):
            gaps = np.maximum(points[:, ALONG] - stand[1], stand[0] - points[:, ALONG])
            yield "beside", max(float(gaps.min()), 0.0), 0.0


def at_the_beam(
    laid: Laid, y: float, gauge: BackGauge, room_mm: float, thickness_mm: float, *, below: bool
) -> str:
    """A flange that meets the gauge's beam with the sheet against a stop at ``y``; empty where none does.

    Empty, too, where the shop does not say where the beam is: then the sheet gives what is past the stop.
    """
    if gauge.beam_behind_mm is None:
        return ""
    top = math.inf if gauge.beam_top_mm is None else gauge.beam_top_mm - (gauge.below_mm if below else 0.0)
    line = y + gauge.beam_behind_mm - room_mm
    meets = (p for p in beyond(laid, line + TOUCH_MM, thickness_mm) if p.low_z < top + room_mm - TOUCH_MM)
    return next((p.flange for p in meets), "")
