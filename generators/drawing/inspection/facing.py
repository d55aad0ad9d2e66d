"""Whether a caliper reaches from a straight edge of the blank to a hole: the edge has to face it."""

from __future__ import annotations

from generators.geometry.contours import bounds, segments
from generators.sheetmetal.folding import FlatPattern

_SAME_MM = 1e-6
GAUGES = (
    (300.0, "height gauge, edge down"),
    (600.0, "height gauge 600, on edge"),
    (1000.0, "height gauge 1 m, on edge"),
)
"""How high height gauges read. Common practice, no source."""


def from_the_edge(length_mm: float) -> str:
    """What is measured with from an edge that ends before the hole: a rule does not read tenths."""
    return next((name for reach, name in GAUGES if length_mm <= reach), "square on that edge, tape")


def faces(flat: FlatPattern, place: tuple[float, float], wide_mm: float, *, left: bool) -> bool:
    """True when the left (else lower) edge of the blank is straight beside all of an opening, mm."""
    low_u, low_v, _, _ = bounds(flat.contour)
    across, at = (place[1], low_u) if left else (place[0], low_v)
    for a, b in segments(flat.contour):
        ends = ((a.u, a.v), (b.u, b.v)) if left else ((a.v, a.u), (b.v, b.u))
        on_edge = a.bulge == 0 and all(abs(end[0] - at) < _SAME_MM for end in ends)
        low, high = sorted(end[1] for end in ends)
        if on_edge and low - _SAME_MM <= across - wide_mm / 2 and across + wide_mm / 2 <= high + _SAME_MM:
            return True
    return False
