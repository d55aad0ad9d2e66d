"""Hose sizes against AC 43.13-1B table 9-3 (R1), support spacings against MIL-H-8891A and FAA-H-8083-30."""

from __future__ import annotations

import pytest

from generators.errors import LookupFault
from generators.standards import Trust, hose_size, hose_size_rows, line_support, line_support_rows

INCH = 25.4
# AC 43.13-1B table 9-3, p 9-22, MIL-H-8794: dash -> inside, outside, least bend radius, in; operating psi (R1)
AC_TABLE_9_3 = {
    3: (1 / 8, 0.45, 3.00, 3000),
    4: (3 / 16, 0.52, 3.00, 3000),
    5: (1 / 4, 0.58, 3.38, 3000),
    6: (5 / 16, 0.67, 4.00, 2000),
    8: (13 / 32, 0.77, 4.63, 2000),
    10: (1 / 2, 0.92, 5.50, 1750),
}


@pytest.mark.parametrize("dash", AC_TABLE_9_3)
def test_hose_figures(dash: int) -> None:
    bore, outside, radius, psi = AC_TABLE_9_3[dash]
    row = hose_size(dash)
    assert (row.bore_mm, row.outside_mm, row.bend_radius_mm) == pytest.approx(
        (bore * INCH, outside * INCH, radius * INCH)
    )
    # AN924: the dash number is the tube's outside diameter in sixteenths of an inch
    assert row.tube_od_mm == pytest.approx(dash * INCH / 16)
    assert row.operating_mpa == pytest.approx(psi * 4.4482216152605 / INCH**2)
    assert row.trust is Trust.PUBLISHED


def test_larger_hose_bends_no_tighter_and_proof_is_twice_operating_or_more() -> None:
    rows = hose_size_rows()
    assert len(rows) == len(AC_TABLE_9_3)
    radii = [row.bend_radius_mm for row in rows]
    assert radii == sorted(radii)
    assert all(row.proof_mpa >= 5 / 3 * row.operating_mpa for row in rows)
    assert all(row.bore_mm < row.tube_od_mm < row.outside_mm for row in rows)


# MIL-H-8891A table II (spacings read, pairing M-high): steel. FAA-H-8083-30 table 7-5 (M-high): aluminium.
@pytest.mark.parametrize(
    ("metal", "tube", "spacing"),
    [
        ("steel", 1 / 4, 16),
        ("steel", 5 / 16, 18),
        ("steel", 3 / 8, 20),
        ("steel", 1 / 2, 23),
        ("aluminium", 3 / 16, 12),
        ("aluminium", 1 / 4, 13.5),
        ("aluminium", 3 / 8, 16.5),
    ],
)
def test_spacings(metal: str, tube: float, spacing: float) -> None:
    assert line_support(tube * INCH, metal).support_mm == pytest.approx(spacing * INCH)


def test_between_rows_the_smaller_counts_and_thin_steel_takes_aluminium() -> None:
    assert line_support(8.0, "steel").support_mm == pytest.approx(18 * INCH)
    assert line_support(7.88, "steel").support_mm == pytest.approx(16 * INCH)
    # tubes in inches as they are written in mm: 5/16 in is 7.9375, 1/4 in 6.35, 3/16 in 4.7625
    for written, metal, inches in (
        (7.9, "steel", 18),
        (6.3, "steel", 16),
        (4.76, "aluminium", 12),
        (4.75, "aluminium", 12),
        (4.71, "aluminium", 9.5),
    ):
        assert line_support(written, metal).support_mm == pytest.approx(inches * INCH)
    assert line_support(3 / 16 * INCH, "steel").support_mm == pytest.approx(12 * INCH)
    assert len(line_support_rows()) == 13
    with pytest.raises(LookupFault):
        line_support(2.0, "steel")
    with pytest.raises(LookupFault):
        line_support(6.35, "brass")
