"""Bend radius, flange length, reliefs and holes near bends, just inside and outside their limits."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from small_jobs import (
    SHOP,
    angle_part,
    channel,
    codes,
    notched,
    only,
    part,
    part_hole,
    plate,
    unnotched,
)

from generators.checks.part.part import check_part
from generators.geometry.contours import polygon
from generators.model.findings import Finding, Severity
from generators.model.limits import Limits
from generators.model.spec.job import PartSpec
from generators.model.spec.shop import Cutting, Shop, Stock
from generators.model.words import Grain
from generators.parts import KINDS, Kind
from generators.sheetmetal.allowance import bend_rule
from generators.sheetmetal.folding import flat_pattern
from generators.sheetmetal.grain import lie_of
from generators.sheetmetal.seams import never_past

INCH = 25.4
LIMITS = Limits()


# AC 43.13-1B table 4-6 (R1), 90 degrees, multiples of t at a thickness in inches.
@pytest.mark.parametrize(
    ("alloy", "inches", "low", "high"),
    [
        ("2024-T3", 0.064, 3, 5),
        ("5052-H32", 0.064, 0.5, 1),
        ("5052-H32", 0.128, 0.5, 1.5),
        ("6061-T4", 0.182, 1.5, 3),
        ("6061-T6", 0.032, 0.5, 1.5),
        ("6061-T6", 0.128, 1.5, 3),
        ("6061-T6", 0.258, 3, 4),
    ],
)
def test_bend_radius_rows(alloy: str, inches: float, low: float, high: float) -> None:
    t = inches * INCH

    def at(radius: float) -> list[Severity]:
        found = part(angle_part(material=alloy, thickness=t, radius=radius, leg=60))
        return [f.severity for f in found if f.code == "bend-radius"]

    assert at(high * t) == []
    assert at(high * t - 0.01) == [Severity.WARN]
    assert at(low * t) == [Severity.WARN]
    assert at(low * t - 0.01) == [Severity.FAIL]


def test_bend_radius_cites_its_row() -> None:
    found = only(part(angle_part(material="6061-T6", thickness=0.128 * INCH, radius=3.0)), "bend-radius")
    assert found.source == "AC 43.13-1B table 4-6, 90 degree bends, 1998 (R1)"
    assert found.wanted == "9.76 mm (fail below 4.88 mm)"  # 3 x and 1.5 x 3.2512
    assert found.where == "part:p bend b"


def test_steel_bends_to_one_thickness() -> None:
    # common practice, no source
    assert "bend-radius" not in codes(part(angle_part(radius=3.0)))
    assert only(part(angle_part(radius=2.99)), "bend-radius").severity is Severity.FAIL


# EN 10025-2 (R2), cold flanging grades, 4 mm: 5 across the grain, 6 along it
def structural(radius: float, grain: Grain = "any", stock: Stock | None = None) -> list[tuple[str, Severity]]:
    """Findings on the radius of a leg whose bend line runs along u, in 4 mm S235."""
    plan = replace(angle_part(material="S235 steel", thickness=4, radius=radius, leg=80), grain=grain)
    found = part(plan, shop=Shop(stock=(stock,) if stock else ()))
    return [(f.code, f.severity) for f in found if f.code.startswith("bend-radius")]


def test_structural_steel_by_its_grain() -> None:
    warned, failed = [("bend-radius", Severity.WARN)], [("bend-radius", Severity.FAIL)]
    assert structural(6.0) == []
    assert structural(5.99) == warned
    assert structural(5.0) == warned
    assert structural(4.99) == failed
    # along v: the bend line crosses the grain
    assert structural(5.0, "along_v") == []
    assert structural(4.99, "along_v") == failed
    assert structural(6.0, "along_u") == []
    assert structural(5.99, "along_u") == failed


def test_a_k_factor_says_nothing_of_cracks_and_a_strip_bent_without_says_how() -> None:
    noted, failed = [("bend-radius-own", Severity.NOTE)], [("bend-radius", Severity.FAIL)]
    known = Stock(material="S235 steel", thickness_mm=4.0, inside_radius_mm=4.0, k_factor=0.43)
    along, across = (replace(known, bent_without_cracks=how) for how in ("along", "across"))
    assert structural(4.0, stock=known) == failed
    assert structural(4.0, stock=along) == noted
    assert structural(3.99, stock=along) == failed
    # a strip bent across the grain speaks for bends across it alone
    assert structural(4.0, "along_v", across) == noted
    assert structural(4.0, "along_u", across) == failed
    assert structural(4.0, stock=across) == failed
    assert structural(6.0, stock=along) == []


# ours: a degree off square still counts as across, as blanks are laid and cut
@pytest.mark.parametrize(("degrees", "lie"), [(0.99, "across"), (1.01, "along"), (45.0, "along")])
def test_a_bend_that_is_not_square_to_the_grain_counts_as_along_it(degrees: float, lie: str) -> None:
    c, s = 50 * math.cos(math.radians(degrees)), 50 * math.sin(math.radians(degrees))
    base = polygon([(-60, -60), (60, -60), (c, s), (-c, -s)])
    plan = replace(angle_part(base=base, bend_at=((c, s), (-c, -s))), grain="along_v")
    assert lie_of(plan, flat_pattern(plan), plan.bends[0]) == lie


def test_no_row_is_a_warning() -> None:
    thick = part(angle_part(material="5052-H32", thickness=8, radius=30, leg=80))
    assert only(thick, "bend-radius-unknown").severity is Severity.WARN
    assert "bend-radius" not in codes(thick)


# Flange: 4 t + R measured outside (common practice); 3 mm sheet, R 3: 15 mm = leg + 6.
@pytest.mark.parametrize(("leg", "severity"), [(9.0, None), (8.99, Severity.WARN), (3.0, Severity.WARN)])
def test_flange_by_thickness(leg: float, severity: Severity | None) -> None:
    found = [f.severity for f in part(angle_part(leg=leg)) if f.code == "flange-length"]
    assert found == ([severity] if severity else [])


# With the die known: V / sqrt(2); V = 24 mm wants 16.97 mm outside, a leg of 10.97.
@pytest.mark.parametrize(("leg", "severity"), [(10.98, None), (10.96, Severity.FAIL)])
def test_flange_by_die(leg: float, severity: Severity | None) -> None:
    shop = Shop(stock=(replace(SHOP.stock[0], die_opening_mm=24.0),))
    found = [f.severity for f in part(angle_part(leg=leg), shop=shop) if f.code == "flange-length"]
    assert found == ([severity] if severity else [])


def test_a_short_parent_is_a_short_flange_too() -> None:
    plan = angle_part()
    low = polygon([(-50, 52), (50, 52), (50, 60), (-50, 60)])
    short = replace(plan, flanges=(replace(plan.flanges[0], contour=low), plan.flanges[1]))
    assert only(part(short), "flange-length").where == "part:p flange base, bend b"


@pytest.mark.parametrize(("flat", "fires"), [(9.0, False), (8.99, True)])
def test_facing_bends(flat: float, fires: bool) -> None:
    found = part(channel(flat))
    assert ("bend-near-bend" in codes(found)) is fires
    assert "flange-length" not in codes(found)


def test_facing_bends_take_the_smaller_setback() -> None:
    # 45 degrees: 0.4142 x (3 + 3) = 2.485 mm (AC 43.13-1B table 4-7, R1), so the flat must be 12.515
    def at(flat: float) -> set[str]:
        plan = channel(flat)
        return codes(
            part(replace(plan, bends=(replace(plan.bends[0], angle_rad=math.pi / 4), plan.bends[1])))
        )

    assert "bend-near-bend" not in at(12.52)
    assert "bend-near-bend" in at(12.51)


# Relief: FAA-H-8083-31 (R1): 1/8 in to .064 in, 3/16 in to .128 in; half of it past the bend's end.
@pytest.mark.parametrize(
    ("depth", "width", "fires"),
    [(2.39, 10, False), (2.2, 10, True), (4.8, 2.4, False), (4.8, 2.0, True), (0.1, 10, True)],
)
def test_relief_notch(depth: float, width: float, fires: bool) -> None:
    # 3 mm sheet: 3/16 in = 4.7625 mm, so 2.38 mm
    found = [f for f in part(notched(depth, width)) if f.code == "bend-relief"]
    assert len(found) == (2 if fires else 0)


def test_relief_is_named_at_both_ends() -> None:
    found = [f for f in part(unnotched()) if f.code == "bend-relief"]
    assert [f.where for f in found] == ["part:p bend b, its end", "part:p bend b, its start"]
    assert {f.advice[:26] for f in found} == {"cut a relief of 4.77 mm at"}
    assert all(f.severity is Severity.WARN for f in found)


def test_thin_sheet_needs_a_smaller_relief() -> None:
    # 1.6 mm < .064 in: 1/8 in = 3.175 mm, so a notch of 1.6 mm is enough
    thin = replace(notched(1.6), thickness_mm=1.6)
    assert "bend-relief" not in codes(part(thin))
    assert "bend-relief" in codes(part(notched(1.6)))


def test_a_flange_wider_than_its_bend_needs_a_relief() -> None:
    plan = notched(4.8)
    wide = polygon([(0, 0), (40, 0), (60, 0), (60, 40), (-20, 40), (-20, 0)])
    found = part(replace(plan, flanges=(plan.flanges[0], replace(plan.flanges[1], contour=wide))))
    assert len([f for f in found if f.code == "bend-relief"]) == 2


@pytest.mark.parametrize(("lean_deg", "fires"), [(10, False), (44, False), (60, True)])
def test_a_side_that_leans_out_a_little_is_free(lean_deg: float, fires: bool) -> None:
    plan = notched(4.8)
    out = 30 * math.tan(math.radians(lean_deg))
    flared = polygon([(0, 0), (40, 0), (40 + out, 30), (-out, 30)])
    found = part(replace(plan, flanges=(plan.flanges[0], replace(plan.flanges[1], contour=flared))))
    assert ("bend-relief" in codes(found)) is fires


def test_two_bends_at_one_corner_need_a_relief() -> None:
    plan = angle_part()
    second = replace(plan.bends[0], name="c", child="ear", start=(50.0, 0.0), end=(50.0, 60.0))
    ear = replace(plan.flanges[1], name="ear", contour=polygon([(0, 0), (60, 0), (60, 30), (0, 30)]))
    box = replace(plan, flanges=(*plan.flanges, ear), bends=(*plan.bends, second))
    where = {f.where for f in part(box) if f.code == "bend-relief"}
    assert where == {"part:p bend b, its start", "part:p bend c, its end"}


# Hole to bend: 2 t from the tangent (common practice). Tangent at v = 60, 3 mm sheet, 10 mm hole.
@pytest.mark.parametrize(
    ("at", "severity"),
    [(49.0, None), (49.01, Severity.WARN), (55.0, Severity.WARN), (55.01, Severity.FAIL)],
)
def test_hole_to_bend(at: float, severity: Severity | None) -> None:
    found = part(angle_part(part_hole("h", 0, at, 10, "bore")))
    assert [f.severity for f in found if f.code == "hole-bend-distance"] == ([severity] if severity else [])


def test_hole_to_bend_counts_from_either_flange() -> None:
    plan = angle_part()
    leg = replace(plan.flanges[1], holes=(part_hole("h", 50, 10, 10, "bore"),))
    found = only(part(replace(plan, flanges=(plan.flanges[0], leg))), "hole-bend-distance")
    assert (found.found, found.where) == ("5.00 mm", "part:p flange leg, hole h and bend b")


# The bend ends at u = ±20 of an edge that goes on to ±100; beside it the nearest point is its end. By hand: a centre
# 9 past the end and 12 below it is 15 away (3-4-5); 2 t = 6 mm (common practice) leave a radius of 9.
@pytest.mark.parametrize(
    ("diameter", "severity"),
    [(18.0, None), (18.1, Severity.WARN), (30.0, Severity.WARN), (30.1, Severity.FAIL)],
)
@pytest.mark.parametrize("side", [-1.0, 1.0])
def test_a_hole_beside_a_bend_s_end(diameter: float, severity: Severity | None, side: float) -> None:
    wide = polygon([(-100, 0), (100, 0), (100, 60), (20, 60), (-20, 60), (-100, 60)])
    plan = angle_part(
        part_hole("h", side * 29.0, 48.0, diameter, "bore"), base=wide, bend_at=((20.0, 60.0), (-20.0, 60.0))
    )
    found = [f for f in part(plan) if f.code == "hole-bend-distance"]
    assert [f.severity for f in found] == ([severity] if severity else [])


@pytest.mark.parametrize("side", [-1.0, 1.0])
def test_a_hole_past_the_tangent_line_counts_only_where_the_bend_is(side: float) -> None:
    # A tongue beside the bend goes on past the tangent line at v = 60; the bend ends at u = ±20. By hand:
    corners = [(-100, 0), (100, 0), (100, 100), (30, 100), (30, 60), (20, 60), (-20, 60), (-100, 60)]
    tongue = polygon(corners if side > 0 else [(-u, v) for u, v in reversed(corners)])

    def at(u: float, v: float, diameter: float) -> list[Finding]:
        hole = part_hole("h", side * u, v, diameter, "bore")
        return part(angle_part(hole, base=tongue, bend_at=((20.0, 60.0), (-20.0, 60.0))))

    # 24 past the end and 10 beyond the line: 26 away (5-12-13), so a radius of 2 leaves plenty, 20.5 leaves 5.5
    assert "hole-bend-distance" not in codes(at(44.0, 70.0, 4.0))
    assert only(at(44.0, 70.0, 41.0), "hole-bend-distance").found == "5.50 mm"
    # over the bend itself it is in it: -10 - 2
    assert only(at(10.0, 70.0, 4.0), "hole-bend-distance").found == "-12.00 mm"
    # 3 past the end with a radius of 4 reaches over it; with a radius of 2 it does not: √(3² + 10²) - 2
    assert only(at(23.0, 70.0, 8.0), "hole-bend-distance").found == "-14.00 mm"
    beside = [f for f in at(23.0, 70.0, 4.0) if f.code == "hole-bend-distance"]
    assert beside == []  # 8.44 mm


def test_smallest_hole_of_the_machine() -> None:
    shop = Shop(cutting=Cutting(process="plasma", smallest_hole_ratio=1.5, smallest_hole_mm=4.0))
    assert part(plate(part_hole("h", 0, 0, 4.5)), shop=shop) == []  # 1.5 x 3 mm
    found = only(part(plate(part_hole("h", 0, 0, 4.49)), shop=shop), "hole-process-limit")
    assert (found.found, found.wanted, found.severity) == ("4.49 mm", "4.50 mm", Severity.NOTE)
    assert part(plate(part_hole("h", 0, 0, 3.99), thickness=1.0), shop=shop) != []


def test_stock_and_k() -> None:
    def notes(plan_k: str, shop: Shop) -> list[Finding]:
        return [f for f in part(angle_part(k_source=plan_k), shop=shop) if f.severity is Severity.NOTE]

    other = Shop(stock=(Stock(material="1008 steel", thickness_mm=2.0, inside_radius_mm=3.0),))
    assert notes("shop test bend", SHOP) == []
    assert codes(notes("material table (R2)", SHOP)) == {"k-unmeasured"}
    assert codes(notes("material table (R2)", other)) == {"stock-missing"}
    assert part(plate(), shop=Shop()) == []  # nothing is bent, so nobody needs a K


@pytest.mark.parametrize("kind", KINDS, ids=lambda f: f.name)
@pytest.mark.parametrize("thickness", [2.0, 3.0])
def test_kinds_give_parts_that_can_be_made(kind: Kind, thickness: float) -> None:
    shop = Shop(
        stock=(
            Stock(
                material="1008 steel",
                thickness_mm=thickness,
                inside_radius_mm=thickness,
                k_factor=0.43,
                die_opening_mm=8 * thickness,
            ),
        )
    )
    spec = PartSpec(
        name="sample",
        kind=kind.name,
        material="1008 steel",
        thickness_mm=thickness,
        parameters=kind.parameters(),
    )
    # as a job plans it: a bend that would close a weld's gap is drawn as never past its angle
    plan = never_past(kind.plan(spec, bend_rule(shop, "1008 steel", thickness, None)))
    found = check_part(plan, LIMITS, shop)
    assert not [f for f in found if f.severity is Severity.FAIL]
    assert not codes(found) & {
        "bend-relief",
        "blank-overlap",
        "bend-radius",
        "flange-length",
        "stock-missing",
    }


@pytest.mark.parametrize("flat_one", [0, 1])
def test_facing_bends_take_the_smaller_setback_whichever_it_is(flat_one: int) -> None:
    # as above, with either of the two at 45 degrees
    def at(flat: float) -> set[str]:
        plan = channel(flat)
        bends = tuple(
            replace(b, angle_rad=math.pi / 4) if i == flat_one else b for i, b in enumerate(plan.bends)
        )
        return codes(part(replace(plan, bends=bends)))

    assert "bend-near-bend" not in at(12.52)
    assert "bend-near-bend" in at(12.51)


@pytest.mark.parametrize(("lean", "fires"), [(20.0, False), (120.0, True)])
def test_a_parent_s_side_that_leans_out_beside_an_upright_bend(lean: float, fires: bool) -> None:
    # bend up the right edge from v 10 to 50; both sides go 100 back and 20 out (11 degrees) or 120 out (50 degrees)
    base = polygon([(-50, 10 - lean), (50, 10), (50, 50), (-50, 50 + lean)])
    found = part(angle_part(base=base, bend_at=((50.0, 10.0), (50.0, 50.0))))
    assert ("bend-relief" in codes(found)) is fires
