"""Where a part hangs its pedals."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class PedalPlace:
    """Where a part hangs its pedals, in its root flange's frame, mm.

    ``centre`` is on the masters' axis, on the face their flanges lie against; ``right`` and ``up`` are unit
    vectors as the driver sees them. Out is ``right × up``, toward the driver, and the cylinders point the
    other way. The pivot is ``pivot_up_mm`` and ``pivot_out_mm`` from the centre.
    """

    centre: tuple[float, float, float]
    right: tuple[float, float, float]
    up: tuple[float, float, float]
    pivot_up_mm: float
    pivot_out_mm: float
