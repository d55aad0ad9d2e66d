"""Hose swell against FMVSS 106 table I (from memory, sure) and the common cylinder bores."""

from __future__ import annotations

import pytest

from generators.errors import LookupFault
from generators.standards import (
    HOSE_GRADES,
    Trust,
    cylinder_bore_rows,
    hose_expansion,
    hose_expansion_rows,
    standard_bores,
)

# 49 CFR 571.106 table I, cc/ft, regular and low, from memory (M-high). Inside diameter mm: at 1000, 1500 psi.
FMVSS_106 = {
    3.175: ((0.66, 0.79), (0.33, 0.42)),
    4.7625: ((0.86, 1.02), (0.55, 0.72)),
    6.35: ((1.04, 1.30), (0.82, 1.17)),
}
PSI = 4.4482216152605 / 25.4**2  # N/mm2


def test_row_count() -> None:
    assert len(hose_expansion_rows()) == 3 * 2 * 2


@pytest.mark.parametrize("bore", FMVSS_106)
def test_figures(bore: float) -> None:
    for grade, figures in zip(HOSE_GRADES, FMVSS_106[bore], strict=True):
        rows = hose_expansion(bore, grade)
        assert [row.pressure_mpa for row in rows] == pytest.approx([1000 * PSI, 1500 * PSI], rel=1e-12)
        assert [row.swell_mm2 for row in rows] == pytest.approx(
            [f * 1000 / 304.8 for f in figures], rel=1e-12
        )
        assert {row.trust for row in rows} == {Trust.MEMORY_SURE}
        assert all("from memory" in row.source for row in rows)


def test_one_conversion_by_hand() -> None:
    # 49 CFR 571.106 (FMVSS 106) table I, 1/8 in regular at 1,000 psi, from memory: 0.66 cc/ft. By hand: 660 mm³ over
    # 304.8 mm.
    assert hose_expansion(3.0, "regular")[0].swell_mm2 == pytest.approx(2.165, abs=0.0005)


@pytest.mark.parametrize("bore", FMVSS_106)
def test_low_swells_less_than_regular_and_pressure_adds(bore: float) -> None:
    regular, low = hose_expansion(bore, "regular"), hose_expansion(bore, "low")
    for r, one in zip(regular, low, strict=True):
        assert one.swell_mm2 < r.swell_mm2
    for rows in (regular, low):
        assert rows[0].swell_mm2 < rows[1].swell_mm2


@pytest.mark.parametrize(
    ("bore", "size"),
    [
        (2.0, "1/8 in or 3 mm"),
        (3.175, "1/8 in or 3 mm"),
        # NHTSA interpretation 04-009678: what falls between the listed sizes takes the middle set.
        (3.5, "3/16 in or 4 to 5 mm"),
        (5.9, "3/16 in or 4 to 5 mm"),
        (6.0, "1/4 in or 6 mm"),
        (9.5, "1/4 in or 6 mm"),
    ],
)
def test_bands(bore: float, size: str) -> None:
    assert {row.size for row in hose_expansion(bore, "low")} == {size}


def test_unknown_hoses() -> None:
    with pytest.raises(LookupFault, match="known: regular, low"):
        hose_expansion(3.0, "soft")
    with pytest.raises(LookupFault, match="1/8 in"):
        hose_expansion(60.0, "low")


def test_bores() -> None:
    # Common practice, no source: 5/8, 11/16, 3/4, 13/16, 7/8, 15/16, 1 in.
    masters = [25.4 * n / 16 for n in (10, 11, 12, 13, 14, 15, 16)]
    assert [b.bore_mm for b in standard_bores("master")] == pytest.approx(masters, rel=1e-12)
    assert {b.trust for b in cylinder_bore_rows()} == {Trust.COMMON_PRACTICE}
    assert all(f"{b.label}".endswith(" in") for b in cylinder_bore_rows())
    assert [b.bore_mm for b in standard_bores("slave")] == sorted(b.bore_mm for b in standard_bores("slave"))
    with pytest.raises(LookupFault, match="master, slave"):
        standard_bores("wheel")
