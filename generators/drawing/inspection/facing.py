"""What reads from an edge of the blank to the far rim of a hole.

Both look the same way, so no caliper closes on them: the blank stands on that edge under a height gauge.
"""

from __future__ import annotations

GAUGES = (
    (300.0, "height gauge, edge down"),
    (600.0, "height gauge 600, on edge"),
    (1000.0, "height gauge 1 m, on edge"),
)
"""How high height gauges read. Common practice, no source."""


def from_the_edge(length_mm: float) -> str:
    """What a far rim is measured with from an edge, mm: a rule does not read tenths."""
    return next((name for reach, name in GAUGES if length_mm <= reach), "square on that edge, tape")
