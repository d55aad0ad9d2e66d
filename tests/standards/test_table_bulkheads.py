"""Bulkhead fittings against AN924 Rev 13 (public US DoD detail spec), sheet 2."""

from __future__ import annotations

import math

import pytest

from generators.errors import LookupFault
from generators.standards import Trust, bulkhead, bulkhead_rows

# dash: tube OD, thread major, across flats A, thickness B, across corners E (a minimum); inch.
AN924 = {
    3: (0.188, 0.3750, 0.625, 0.219, 0.699),
    4: (0.250, 0.4375, 0.688, 0.250, 0.771),
    5: (0.313, 0.5000, 0.750, 0.250, 0.842),
    6: (0.375, 0.5625, 0.813, 0.266, 0.914),
    8: (0.500, 0.7500, 1.000, 0.313, 1.127),
}
# Panel hole, inch. -4: MS21344 and TO 00-25-223 as quoted on one page. -3, -6, -8: from memory.
# -5: no figure found, so thread major + 1/64.
HOLES = {3: 0.390, 4: 0.453, 5: 0.515625, 6: 0.578, 8: 0.765}
# A x 2 / sqrt(3), worked by hand, inch.
CORNERS = {3: 0.722, 4: 0.794, 5: 0.866, 6: 0.939, 8: 1.155}


def test_row_count() -> None:
    assert [row.dash for row in bulkhead_rows()] == list(AN924)


@pytest.mark.parametrize("dash", AN924)
def test_an924(dash: int) -> None:
    row = bulkhead(dash)
    tube, major, flats, thickness, corners_min = AN924[dash]
    ours = (row.tube_od_mm, row.thread_major_mm, row.nut_af_mm, row.nut_thickness_mm)
    assert ours == pytest.approx([25.4 * x for x in (tube, major, flats, thickness)], rel=1e-12)
    assert row.trust is Trust.PUBLISHED
    # The table's corners are a minimum; the figure to keep clear is larger.
    assert row.nut_corners_mm / 25.4 > corners_min
    assert row.nut_corners_mm / 25.4 == pytest.approx(CORNERS[dash], abs=0.0006)
    assert row.nut_corners_mm == pytest.approx(row.nut_af_mm / math.cos(math.pi / 6))


@pytest.mark.parametrize("dash", AN924)
def test_dash_is_tube_in_sixteenths(dash: int) -> None:
    assert bulkhead(dash).tube_od_mm / 25.4 == pytest.approx(dash / 16, abs=0.0006)


@pytest.mark.parametrize("dash", HOLES)
def test_hole(dash: int) -> None:
    row = bulkhead(dash)
    assert row.hole_mm / 25.4 == pytest.approx(HOLES[dash], abs=1e-9)
    # Closed form: thread major + 1/64 in reproduces every figure to the last place printed.
    assert row.hole_mm / 25.4 == pytest.approx(row.thread_major_mm / 25.4 + 1 / 64, abs=0.001)


def test_hole_trust_is_its_own() -> None:
    assert bulkhead(4).hole_trust is Trust.TRANSCRIBED
    assert bulkhead(5).hole_trust is Trust.CLOSED_FORM
    assert {bulkhead(dash).hole_trust for dash in (3, 6, 8)} == {Trust.MEMORY_SURE}


@pytest.mark.parametrize(("dash", "hole_mm"), [(3, 9.9), (4, 11.5), (6, 14.7), (8, 19.4)])
def test_metric_equivalents(dash: int, hole_mm: float) -> None:
    assert bulkhead(dash).hole_mm == pytest.approx(hole_mm, abs=0.05)


@pytest.mark.parametrize("dash", [0, -4, 7, 10])
def test_unknown_dash(dash: int) -> None:
    with pytest.raises(LookupFault, match="known: 3, 4, 5, 6, 8"):
        bulkhead(dash)
