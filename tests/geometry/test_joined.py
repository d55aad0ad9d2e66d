"""Shapes edge to edge: none is lost."""

from __future__ import annotations

import pytest
import shapely
from shapely.geometry import Polygon

from generators.geometry.joined import joined

CHEEK = Polygon(
    [
        (-1.3259132176789273e-14, -111.72134788290994),
        (129.0, -111.72134788290995),
        (130.0, -179.72134788290992),
        (130.0, -197.72134788290992),
        (49.999999999999986, -197.72134788290992),
        (-1.4250587156919644e-14, -129.72134788290992),
    ]
)
STRIP = Polygon(
    [
        (129.0, -111.72134788290995),
        (-6.153704819188271e-15, -111.72134788290994),
        (-5.429525983136619e-15, -98.57378262763665),
        (129.0, -98.57378262763666),
    ]
)
"""A cheek and the strip of its bend, as they lay in one plane: their common edge differs by 1e-14 mm."""


def test_what_coincides_but_for_its_last_digits_is_one() -> None:
    """Areas add up (the common edge is all they share). The library's own union loses the strip (GEOS 3.14.1)."""
    whole = joined([CHEEK, STRIP])
    assert whole.area == pytest.approx(CHEEK.area + STRIP.area, abs=1e-4)
    assert isinstance(whole, Polygon)
    assert len(shapely.get_coordinates(whole)) <= 10
