"""Drill bushes: what must hold of any table of them; the sizes are from memory and only marked so."""

from __future__ import annotations

from itertools import pairwise

import pytest

from generators.errors import LookupFault
from generators.standards import Trust, drill_bush, drill_bush_rows


def test_ranges_follow_each_other_without_a_gap() -> None:
    rows = drill_bush_rows()
    assert len(rows) == 13
    assert rows[0].over_mm == 0
    assert all(low.up_to_mm == high.over_mm for low, high in pairwise(rows))


def test_walls_and_lengths_make_a_bush() -> None:
    for row in drill_bush_rows():
        # a hardened bush has a wall to press on of at least 1 mm
        assert row.outside_mm - row.up_to_mm >= 2.0
        assert row.lengths_mm == tuple(sorted(set(row.lengths_mm)))
        # the longest serves its largest drill as jig makers want it, 1 to 2 diameters (common practice)
        assert row.lengths_mm[-1] >= row.up_to_mm
        assert row.trust is Trust.MEMORY_UNSURE
    outside = [row.outside_mm for row in drill_bush_rows()]
    assert outside == sorted(set(outside))


@pytest.mark.parametrize(("drill_mm", "up_to_mm"), [(3.0, 3.3), (3.3, 3.3), (3.31, 4.0), (4.5, 5.0)])
def test_the_upper_end_belongs_to_the_range(drill_mm: float, up_to_mm: float) -> None:
    assert drill_bush(drill_mm).up_to_mm == up_to_mm


@pytest.mark.parametrize("drill_mm", [0.0, -1.0, 22.1, float("nan")])
def test_no_such_bush(drill_mm: float) -> None:
    with pytest.raises(LookupFault, match=r"known: over 0 to 1 mm, .*over 18 to 22 mm"):
        drill_bush(drill_mm)
