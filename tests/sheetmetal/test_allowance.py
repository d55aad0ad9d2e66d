"""Bend allowance, setback and deduction against published tables and worked examples.

Each check names its source. FAA-H-8083-31 is the FAA's airframe handbook, AC 43.13-1B its circular
on acceptable repairs; both are works of the US government.
"""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from generators.errors import GeometryFault, LookupFault
from generators.model.spec.shop import Shop, Stock
from generators.sheetmetal.allowance import (
    allowance,
    bend_rule,
    deduction,
    din_6935_k,
    din_deduction,
    setback,
    tangent_setback,
)

QUARTER = math.pi / 2

# AC 43.13-1B table 4-7, K for setback: degrees and the printed figure
TABLE_4_7 = ((30, 0.2679), (45, 0.4142), (60, 0.5773), (90, 1.000), (120, 1.732), (135, 2.414), (150, 3.732))


@pytest.mark.parametrize(("degrees", "printed"), TABLE_4_7)
def test_setback_factor_table(degrees: int, printed: float) -> None:
    assert setback(math.radians(degrees), 0.75, 0.25) == pytest.approx(printed, abs=1e-3 * printed)


def test_setback_factor_near_a_full_fold() -> None:
    # AC 43.13-1B table 4-7 at 179 deg: 114.59
    assert setback(math.radians(179), 1.0, 0.0) == pytest.approx(114.59, abs=0.01)


@pytest.mark.parametrize("degrees", [180, 200, -1])
def test_no_setback_where_the_mould_lines_do_not_meet(degrees: float) -> None:
    # the same table gives infinity at 180
    with pytest.raises(GeometryFault, match="less than 180"):
        setback(math.radians(degrees), 3.0, 1.0)


def test_setback_worked_example_of_the_circular() -> None:
    # AC 43.13-1B 4-56b(2), fig 4-3: T .064, R .25, bent 45 deg (open angle 135): 0.130
    assert setback(math.radians(45), 0.25, 0.064) == pytest.approx(0.130, abs=5e-4)


def test_setback_of_the_handbook_channel() -> None:
    # FAA-H-8083-31 ch. 4: T .040, R .16, 90 deg: .20
    assert setback(QUARTER, 0.16, 0.040) == pytest.approx(0.20)


def test_handbook_formula_is_a_k_of_0_4469() -> None:
    # FAA-H-8083-31 ch. 4: BA = (0.01743 R + 0.0078 T) N. K from its second term: 0.0078 x 180/pi.
    k = 0.0078 * 180 / math.pi
    assert k == pytest.approx(0.4469, abs=1e-4)
    # its 0.01743 lies 0.13 % under pi/180, so the two agree to that
    for radius, thickness, degrees in ((0.16, 0.040, 90), (0.250, 0.051, 90), (0.125, 0.064, 120)):
        printed = (0.01743 * radius + 0.0078 * thickness) * degrees
        assert allowance(math.radians(degrees), radius, thickness, k) == pytest.approx(printed, rel=1.4e-3)


def test_handbook_channel_allowance() -> None:
    # FAA-H-8083-31 ch. 4, by its formula: (0.01743 x .16 + 0.0078 x .040) x 90 = .2791
    assert allowance(QUARTER, 0.16, 0.040, 0.4469) == pytest.approx(0.2791, abs=4e-4)


def test_half_thickness_rule() -> None:
    # NAVEDTRA 14119 p. 13-42 rule A (R + T/2), R .250, T .051: 0.4328, printed 0.4327
    assert allowance(QUARTER, 0.250, 0.051, 0.5) == pytest.approx(0.4328, abs=1e-4)


# DIN 6935: k = 0.65 + 0.5 log10(r/s), neutral fibre at k s / 2; r, s, k, allowance, deduction at 90 deg.
# The last two follow from the formula: v = pi/2 (r + s k / 2) - 2 (r + s).
DIN = (
    (2.0, 2.0, 0.650, 4.1626, 3.8374),
    (3.0, 2.0, 0.7380, 5.8717, 4.1283),
    (12.0, 2.0, 1.0, 20.4204, 7.5796),
)


@pytest.mark.parametrize(("r", "s", "k", "length", "less"), DIN)
def test_din_6935_cases(r: float, s: float, k: float, length: float, less: float) -> None:
    assert din_6935_k(r, s) == pytest.approx(k, abs=5e-5)
    factor = din_6935_k(r, s) / 2  # taking k itself as the K-factor is the usual mistake
    assert allowance(QUARTER, r, s, factor) == pytest.approx(length, abs=5e-5)
    assert deduction(QUARTER, r, s, factor) == pytest.approx(less, abs=5e-5)


@pytest.mark.parametrize("degrees", [15, 45, 90, 120, 165])
def test_deduction_is_din_s_v_with_the_other_sign(degrees: float) -> None:
    # DIN 6935 (from memory, sure), opening angle beta = 180 - bend:
    # beta <= 90: v = pi (180-beta)/180 (r + s k/2) - 2 (r + s)
    # 90 < beta <= 165: v = pi (180-beta)/180 (r + s k/2) - 2 (r + s) tan((180-beta)/2)
    r, s, beta = 4.0, 2.0, 180.0 - degrees
    k = 0.65 + 0.5 * math.log10(r / s)
    arc = math.pi * (180 - beta) / 180 * (r + s * k / 2)
    corner = 2 * (r + s) * (1.0 if beta <= 90 else math.tan(math.radians(180 - beta) / 2))
    bend = (math.radians(degrees), r, s, k / 2)
    assert din_deduction(*bend) == pytest.approx(corner - arc)
    # ours goes to where the mould lines meet at every angle: the same up to a right angle, more past it by what each
    # of the two lengths is longer
    longer = (r + s) * (math.tan(math.radians(degrees) / 2) - 1.0) if beta < 90 else 0.0
    assert deduction(*bend) == pytest.approx(corner - arc + 2 * longer)
    assert setback(*bend[:3]) - tangent_setback(*bend[:3]) == pytest.approx(longer, abs=1e-12)


def test_din_k_is_capped_at_one_beyond_five() -> None:
    # the formula itself reaches 1 at r/s = 10^0.7 = 5.0119; the cap begins at 5
    assert din_6935_k(10.0, 2.0) == pytest.approx(0.65 + 0.5 * math.log10(5))
    assert din_6935_k(10.0, 2.0) < 1
    assert din_6935_k(10.001, 2.0) == 1.0
    assert din_6935_k(1000.0, 2.0) == 1.0


def test_din_k_of_next_to_no_radius_stays_above_nothing() -> None:
    # ours: below r/s = 0.1 the figure for 0.1 is kept, 0.65 - 0.5
    assert din_6935_k(0.0, 2.0) == pytest.approx(0.15)


@given(st.floats(0, 50), st.floats(0.3, 25))
def test_din_k_lies_between_nothing_and_one(radius: float, thickness: float) -> None:
    assert 0 < din_6935_k(radius, thickness) <= 1


@given(st.floats(0.01, 3.0), st.floats(0, 30), st.floats(0.3, 10), st.floats(0.2, 0.6))
def test_setback_twice_less_allowance_is_the_deduction(a: float, r: float, t: float, k: float) -> None:
    # FAA-H-8083-31 ch. 4 sums flats and allowances; the trade sums outside lengths less deductions
    outside = (40 + setback(a, r, t), 25 + setback(a, r, t))
    assert sum(outside) - deduction(a, r, t, k) == pytest.approx(40 + 25 + allowance(a, r, t, k))


def test_the_shop_s_own_bend_comes_first() -> None:
    shop = Shop(stock=(Stock(material="1008 steel", thickness_mm=3.0, inside_radius_mm=2.5, k_factor=0.41),))
    rule = bend_rule(shop, "1008 steel", 3.0, None)
    assert (rule.inside_radius_mm, rule.k_factor, rule.k_source) == (2.5, 0.41, "shop test bend")
    # gauge and mm of one sheet differ by hundredths
    assert bend_rule(shop, "1008 steel", 3.015, None).k_source == "shop test bend"


def test_the_shop_s_k_belongs_to_the_shop_s_radius() -> None:
    shop = Shop(stock=(Stock(material="1008 steel", thickness_mm=3.0, inside_radius_mm=2.5, k_factor=0.41),))
    rule = bend_rule(shop, "1008 steel", 3.0, 6.0)
    assert rule.inside_radius_mm == 6.0
    assert rule.k_factor == 0.445
    # the trust shown is that of the K-factor, not of the yield in the same row
    assert rule.k_source == "material table (R2)"


def test_without_a_table_figure_din_decides() -> None:
    rule = bend_rule(Shop(), "S235 steel", 2.0, 3.0)
    assert rule.k_source == "DIN 6935 (k/2)"
    assert rule.k_factor == pytest.approx(0.3690, abs=5e-5)
    assert bend_rule(Shop(), "S235 steel", 2.0, None).inside_radius_mm == 2.0


def test_a_material_nobody_knows() -> None:
    with pytest.raises(LookupFault, match="unobtainium"):
        bend_rule(Shop(), "unobtainium", 2.0, None)
