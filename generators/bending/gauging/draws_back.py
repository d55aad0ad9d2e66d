"""How far the gauge must draw back as the stroke goes: where the part swings out through a finger's place."""

from __future__ import annotations

from collections.abc import Iterator

from shapely.geometry import Polygon, box
from shapely.geometry.base import BaseGeometry

from generators.bending.gauging.past import FAR_MM, PAST_MM
from generators.bending.legs import Laid
from generators.bending.shadow import shadows
from generators.bending.steps import Stop, SwingsOut
from generators.bending.stroke import Stroke
from generators.model.spec.tools.press import BackGauge

WAYS = 128
"""At so many angles on the way it is looked at."""


def swings_out(laid: Laid, stroke: Stroke, stop: Stop, gauge: BackGauge) -> SwingsOut | None:
    """The flange that comes farthest past its stop where fingers stand, pressed on at worst; None: none does.

    A flange hangs from the leg that rises: its lower end swings toward the gauge. What a finger touches
    counts however low it hangs, for another finger may be set lower; anything else at this one's height.
    """
    # on less than its width a finger stands over the ends of what it touches
    over = max(gauge.finger_width_mm - stop.long_mm, 0.0)
    low, high = stop.low_x - over, stop.high_x + over
    foot = -gauge.below_mm if stop.below else 0.0
    top = foot + gauge.finger_height_mm
    found: list[tuple[float, str]] = []
    for flange, shape in _rear(laid, stroke, low, high):
        touched = stop.below and flange == stop.flange
        level = box(-FAR_MM, -FAR_MM if touched else foot, FAR_MM, top)
        for k in range(WAYS + 1):
            h = stroke.most_half * k / WAYS
            there = stroke.moved(shape, True, h, stroke.axis_z(h)).intersection(level)
            if not there.is_empty:
                found.append((float(there.bounds[2]), flange))
    far, flange = max(found, default=(0.0, ""))
    if far <= stop.distance_mm + PAST_MM:
        return None
    return SwingsOut(flange=flange, far_mm=far)


def _rear(laid: Laid, stroke: Stroke, low: float, high: float) -> Iterator[tuple[str, BaseGeometry]]:
    """Each flange of the leg at the gauge between two places along the bend, seen along it, laid in."""
    for shadow in shadows(laid, low, high):
        if shadow.rear:
            # parts of a shadow may lie over one another: each by itself
            for part in getattr(shadow.shape, "geoms", [shadow.shape]):
                yield shadow.flange, part
    for flange, flat in laid.rear.flats:
        cut = flat.intersection(box(low, 0.0, high, FAR_MM))
        for part in getattr(cut, "geoms", [cut]):
            if isinstance(part, Polygon) and not part.is_empty:
                yield flange, box(part.bounds[1], 0.0, part.bounds[3], stroke.thickness_mm)
