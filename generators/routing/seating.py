"""Whether a rigid line can be put onto both its seats at once, while both fittings are tight.

A flared end covers the cone of its seat. Moved as it is, it comes off a cone of half angle ``CONE_RAD`` in
every direction at most that far from the cone's axis, and in no other: beyond it the flare runs into the
cone's far side (closed form). One direction that does for both seats there is if and only if their axes are
at most twice that apart.

That holds for a seat that stands out, as of every port that a job can give (``dash``): 37 degree flares, SAE
J514. The seat of an inverted flare (45 degrees, SAE J512) or of a bubble flare (ISO 4038, DIN 74234; all from
memory) lies down in a bore, which the tube leaves along its axis alone: two of them are not judged by this.
Such a port takes an adapter, as the sheet says of each line.
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
