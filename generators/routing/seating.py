"""Whether a rigid line can be put onto both its seats at once, while both fittings are tight.

A flared end covers the cone of its seat. Moved as it is, it comes off a cone of half angle ``CONE_RAD`` in
every direction at most that far from the cone's axis, and in no other: beyond it the flare runs into the
cone's far side (closed form). One direction that does for both seats there is if and only if their axes are
at most twice that apart.
"""

from __future__ import annotations

import math

from generators.model.hose_path import Point3

CONE_RAD = math.radians(37.0)
"""Half the angle of a 37 degree flare (SAE J514)."""


def apart_rad(first: Point3, last: Point3) -> float:
    """The angle between the ways (unit vectors) in which two seats face, rad."""
    dot = sum(a * b for a, b in zip(first, last, strict=True))
    return math.acos(max(-1.0, min(1.0, dot)))


def goes_on_both(first: Point3, last: Point3) -> bool:
    """True where a line that keeps its shape can be moved straight onto both seats."""
    return apart_rad(first, last) <= 2 * CONE_RAD
