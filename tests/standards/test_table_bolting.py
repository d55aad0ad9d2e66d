"""Property classes, stress areas, stock lengths, locking nuts and washers against what is published.

Proof loads of ISO 898-1 and of SAE J429 are printed as loads; here they come out of stress and area.
"""

from __future__ import annotations

import math
from fractions import Fraction

import pytest

from generators.errors import LookupFault
from generators.standards import (
    Trust,
    bolt_range,
    bolt_range_rows,
    default_class,
    fastener,
    fastener_rows,
    locking_nut,
    locking_nut_rows,
    property_class_rows,
    stock_lengths,
    stress_area,
    stress_area_rows,
    washer,
    washer_rows,
)

POUND_N = 4.4482216152605

# ISO 898-1:2013 table 5, proof loads of coarse threads, N: two public transcriptions agree (R2+).
ISO_PROOF_N = {
    "M4": (5_100, 7_290),
    "M5": (8_230, 11_800),
    "M6": (11_600, 16_700),
    "M8": (21_200, 30_400),
    "M10": (33_700, 48_100),
    "M12": (48_900, 70_000),
    "M14": (66_700, 95_500),
    "M16": (91_000, 130_000),
}
# SAE J429, proof loads of coarse threads, lbf, as a public record of a hex cap screw sheet prints them (R2).
SAE_PROOF_LBF = {
    "1/4": (2_700, 3_800),
    "5/16": (4_450, 6_300),
    "3/8": (6_600, 9_300),
    "7/16": (9_050, 12_800),
    "1/2": (12_100, 17_000),
}
# ISO 7040, greatest height of a nylon insert nut, mm, from memory (sure).
NUT_HEIGHT = {"M4": 6, "M5": 6.8, "M6": 8, "M8": 9.5, "M10": 11.9, "M12": 14.9, "M14": 17, "M16": 19.1}
# ASME B18.16.6 style NE: greatest height and least bearing face, in; two public transcriptions agree (R2+).
NE_NUT = {
    "1/4": ("0.328", "0.416"),
    "5/16": ("0.359", "0.475"),
    "3/8": ("0.468", "0.534"),
    "7/16": ("0.468", "0.597"),
    "1/2": ("0.609", "0.712"),
}
# ISO 7089 outside and nominal thickness, ISO 7093-1 outside, mm: two open libraries agree (R2+).
WASHERS = {
    "M4": (9, 0.8, 12),
    "M6": (12, 1.6, 18),
    "M8": (16, 1.6, 24),
    "M10": (20, 2, 30),
    "M12": (24, 2.5, 37),
    "M16": (30, 3, 50),
}
# ASME B18.21.1 type A, narrow then wide: outside and thickness, in; two public transcriptions agree (R2+).
INCH_WASHERS = {
    "1/4": ("0.625", "0.065", "0.734"),
    "5/16": ("0.688", "0.065", "0.875"),
    "3/8": ("0.812", "0.065", "1.000"),
    "1/2": ("1.062", "0.095", "1.375"),
}


def grade(name: str, system: str) -> float:
    """Proof stress of a class, MPa."""
    (row,) = (r for r in property_class_rows() if (r.grade, r.system) == (name, system))
    return row.proof_mpa


@pytest.mark.parametrize("thread", ISO_PROOF_N)
def test_proof_loads_of_iso_898_1(thread: str) -> None:
    area = stress_area(fastener(thread).designation).area_mm2
    loads = [grade(name, "metric") * area for name in ("8.8", "10.9")]
    # printed to three figures
    assert loads == pytest.approx(ISO_PROOF_N[thread], rel=0.006)


@pytest.mark.parametrize("thread", SAE_PROOF_LBF)
def test_proof_loads_of_sae_j429(thread: str) -> None:
    area = stress_area(fastener(thread).designation).area_mm2
    loads = [grade(name, "inch") * area / POUND_N for name in ("5", "8")]
    # printed to 50 lbf, from 1/2 in to 100
    assert loads == pytest.approx(SAE_PROOF_LBF[thread], abs=50)


@pytest.mark.parametrize("thread", [row.thread for row in fastener_rows()])
def test_stress_areas_follow_from_the_thread(thread: str) -> None:
    """pi/4 (d - 0.9382 P)^2: ISO 898-1 clause 9.1.6.1; ASME B1.1 has 0.9743/n, in. Printed to three figures."""
    row = fastener(thread)
    less = 0.9382 if thread.startswith("M") else 0.9743
    formula = math.pi / 4 * (row.major_mm - less * row.pitch_mm) ** 2
    assert stress_area(row.designation).area_mm2 == pytest.approx(formula, rel=0.004)


def test_proof_stresses() -> None:
    assert grade("8.8", "metric") == 580
    assert grade("10.9", "metric") == 830
    # SAE J429: 85 and 120 ksi
    assert grade("5", "inch") == pytest.approx(85_000 * POUND_N / 25.4**2)
    assert grade("8", "inch") == pytest.approx(120_000 * POUND_N / 25.4**2)


def test_a_thread_no_grade_covers_has_none() -> None:
    # SAE J429 begins at 1/4 in
    assert default_class("#10") is None
    assert default_class("1/4") is not None
    assert {c.grade for t in ISO_PROOF_N if (c := default_class(t)) is not None} == {"8.8"}
    with pytest.raises(LookupFault):
        default_class("M9")


@pytest.mark.parametrize("thread", NUT_HEIGHT)
def test_metric_locking_nuts(thread: str) -> None:
    nut = locking_nut(thread)
    assert nut.height_mm == NUT_HEIGHT[thread]
    # ISO 272: the flats of the head and of the nut are the same
    assert nut.af_mm == fastener(thread).head_af_mm == fastener(thread).nut_af_mm


@pytest.mark.parametrize("thread", NE_NUT)
def test_inch_locking_nuts(thread: str) -> None:
    height, bearing = (float(Fraction(text)) * 25.4 for text in NE_NUT[thread])
    nut = locking_nut(thread)
    assert (nut.height_mm, nut.bearing_mm) == pytest.approx((height, bearing))
    # ASME B18.2.1 width across flats of the head: 2 d less 1/16 at 1/4, 1.5 d from 3/8 (three transcriptions)
    heads = {"1/4": "7/16", "5/16": "1/2", "3/8": "9/16", "7/16": "5/8", "1/2": "3/4"}
    wide = float(Fraction(heads[thread])) * 25.4
    assert nut.af_mm == pytest.approx(wide) == fastener(thread).head_af_mm


@pytest.mark.parametrize("thread", WASHERS)
def test_metric_washers(thread: str) -> None:
    plain, large = washer(thread), washer(thread, "large")
    assert (plain.outside_mm, plain.thickness_mm, large.outside_mm) == WASHERS[thread]


@pytest.mark.parametrize("thread", INCH_WASHERS)
def test_inch_washers(thread: str) -> None:
    plain, large = washer(thread), washer(thread, "large")
    wanted = [float(Fraction(text)) * 25.4 for text in INCH_WASHERS[thread]]
    assert [plain.outside_mm, plain.thickness_mm, large.outside_mm] == pytest.approx(wanted)


def test_nominal_lengths_are_those_of_iso_888() -> None:
    """ISO 888: by 2 from 8 to 12, 16, 20, by 5 to 70, then by 10 (two open libraries agree)."""
    series = [8, 10, 12, 16, 20, *range(25, 75, 5), *range(80, 160, 10)]
    for thread in ISO_PROOF_N:
        lengths = [s.length_mm for s in stock_lengths(thread)]
        own = bolt_range(thread)
        assert lengths == [x for x in series if own.shortest_mm <= x <= own.longest_mm]
    # ISO 4017: M6 12 to 60, M8 16 to 80, M10 20 to 100 (two open libraries agree)
    for thread, ends in {"M6": (12, 60), "M8": (16, 80), "M10": (20, 100)}.items():
        lengths = [s.length_mm for s in stock_lengths(thread)]
        assert (lengths[0], lengths[-1]) == ends


def test_inch_thread_lengths() -> None:
    """2 d + 1/4 in up to 6 in long: ASME B18.2.1, three transcriptions."""
    for row in bolt_range_rows():
        if not row.thread.startswith(("M", "#")):
            assert row.thread_mm == pytest.approx(2 * fastener(row.thread).major_mm + 25.4 / 4)
    half = bolt_range("1/2")
    assert half.plain_shank_mm(1.5 * 25.4) == 0
    assert half.plain_shank_mm(2 * 25.4) == pytest.approx(0.75 * 25.4)
    assert [s.text for s in stock_lengths("5/16")][:6] == ["1/2", "5/8", "3/4", "1", "1 1/4", "1 1/2"]


def test_every_bolt_has_all_of_it() -> None:
    threads = [row.thread for row in fastener_rows()]
    assert [row.thread for row in bolt_range_rows()] == threads
    assert [row.thread for row in locking_nut_rows()] == threads
    assert [row.designation for row in stress_area_rows()] == [row.designation for row in fastener_rows()]
    assert sorted((row.thread, row.series) for row in washer_rows()) == sorted(
        (thread, series) for thread in threads for series in ("plain", "large")
    )
    for row in washer_rows():
        bolt = fastener(row.thread)
        assert bolt.major_mm < row.inside_mm < row.outside_mm
        assert row.thickness_mm <= row.thickest_mm < bolt.major_mm


def test_what_is_no_table_says_so() -> None:
    for row in bolt_range_rows():
        assert (row.trust is Trust.COMMON_PRACTICE) == (not row.thread.startswith("M"))
