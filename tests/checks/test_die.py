"""What lies on the lower die: legs along the whole bend, by its angle, and openings over its shoulder."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import pytest
from small_jobs import SHOP, angle_part, only, part, part_hole, with_limit

from generators.geometry.contours import polygon, rectangle
from generators.model.contour import Contour, Vertex
from generators.model.findings import Severity
from generators.model.plan import Fitting, Hole, PartPlan, Slot
from generators.model.spec.shop import Shop


def on_base(leg: Contour, *holes: Hole, slots: tuple[Slot, ...] = (), **more: Any) -> PartPlan:
    """The angle of 100 with another leg."""
    plan = angle_part(**more)
    flange = replace(plan.flanges[1], contour=leg, holes=holes, slots=slots)
    return replace(plan, flanges=(plan.flanges[0], flange))


def test_a_flange_nowhere_deep_enough_is_measured_at_its_top() -> None:
    # a half round of 50 on a bend 100 long is 50 deep: 56 outside, and 60 is asked of it
    half = Contour((Vertex(0, 0), Vertex(100, 0, 1.0)))
    found = only(part(on_base(half), with_limit(flange_ratio=19.0)), "flange-length")
    assert (found.value, found.limit) == pytest.approx((56.0, 60.0), abs=0.01)
    assert found.where == "part:p flange leg, bend b"


# Along the whole bend. A half round of radius 50 is short of a depth d for 50 - sqrt(50² - d²) at either end: one
# thickness of 3 mm (ours) at d = sqrt(50² - 47²) = 17.06, which is asked by flange_ratio (17.06 + 6 - 3)/3 = 6.687.
@pytest.mark.parametrize(("ratio", "fires"), [(6.68, False), (6.69, True)])
def test_a_round_flange_must_reach_the_die_at_its_ends(ratio: float, fires: bool) -> None:
    half = Contour((Vertex(0, 0), Vertex(100, 0, 1.0)))
    found = [f for f in part(on_base(half), with_limit(flange_ratio=ratio)) if f.code == "flange-length"]
    assert [f.severity for f in found] == ([Severity.WARN] if fires else [])
    if fires:
        assert found[0].where.startswith(
            "part:p flange leg, bend b, from 0.0 to 3.0 mm and from 97.0 to 100.0 mm"
        )


# A slanted end: 3 mm sheet asks for 9 behind the tangent line. Leaning in by 1 in 3 leaves 3 mm of the bend short.
@pytest.mark.parametrize(("lean", "fires"), [(13.3, False), (13.4, True)])
@pytest.mark.parametrize("die", [None, 15 * math.sqrt(2)])  # V / sqrt 2 = 15 = 4 t + R
def test_a_slanted_end_must_reach_the_die(lean: float, fires: bool, die: float | None) -> None:
    leg = polygon([(0, 0), (100, 0), (100 - lean, 40), (0, 40)])
    shop = Shop(stock=(replace(SHOP.stock[0], die_opening_mm=die),))
    found = [f for f in part(on_base(leg), shop=shop) if f.code == "flange-length"]
    assert [f.severity for f in found] == ([Severity.FAIL if die else Severity.WARN] if fires else [])
    if fires:
        # at the very end the metal ends on the tangent line: the setback of 6 is all there is
        assert found[0].value == pytest.approx(6.0, abs=0.01)


@pytest.mark.parametrize(
    ("depth", "width", "fires"), [(8.99, 3.1, True), (9.0, 30.0, False), (5.0, 2.9, False)]
)
def test_a_notch_must_leave_the_land(depth: float, width: float, fires: bool) -> None:
    leg = polygon(
        [(0, 0), (100, 0), (100, 40), (50 + width, 40), (50 + width, depth), (50, depth), (50, 40), (0, 40)]
    )
    found = [f for f in part(on_base(leg)) if f.code == "flange-length"]
    assert len(found) == fires
    if fires:
        assert found[0].found == f"{depth + 6:.2f} mm"
        assert "from 50.0 to 53.1 mm of its 100.0 mm" in found[0].where


def test_the_parent_must_reach_its_half_of_the_die_too() -> None:
    # the base narrows to a tongue of 8 behind the left half of the bend
    base = polygon([(-50, 52), (0, 52), (0, 0), (50, 0), (50, 60), (-50, 60)])
    found = only(part(angle_part(base=base)), "flange-length")
    assert found.where == "part:p flange base, bend b, from 50.0 to 100.0 mm of its 100.0 mm"
    assert found.found == "14.00 mm"


# V/2 / cos(A/2), C: V 24 gives 12.42 at 30 degrees, 16.97 at 90, 24.0 at 120, 31.36 at 135, 46.36 at 150.
@pytest.mark.parametrize(
    ("degrees", "wanted"),
    [(30, 12.423), (60, 13.856), (90, 16.971), (120, 24.0), (135, 31.358), (150, 46.364)],
)
def test_the_leg_a_die_asks_for_goes_with_the_angle(degrees: float, wanted: float) -> None:
    angle = math.radians(degrees)
    back = 6 * math.tan(angle / 2)
    shop = Shop(stock=(replace(SHOP.stock[0], die_opening_mm=24.0),))

    def at(outside: float) -> list[Severity]:
        plan = angle_part(leg=max(outside - back, 0.3))
        bent = replace(plan, bends=(replace(plan.bends[0], angle_rad=angle),))
        return [f.severity for f in part(bent, shop=shop) if f.code == "flange-length"]

    assert at(wanted + 0.01) == []
    assert at(wanted - 0.01) == [Severity.FAIL]


@pytest.mark.parametrize(("degrees", "wanted"), [(45, 15.0), (90, 15.0), (120, 21.213), (150, 40.981)])
def test_the_trade_s_leg_grows_past_a_square_bend(degrees: float, wanted: float) -> None:
    # 4 t + R = 15 at 90 degrees (common practice), x cos 45 / cos(A/2) past it (C)
    angle = math.radians(degrees)
    back = 6 * math.tan(angle / 2)

    def at(outside: float) -> list[Severity]:
        plan = angle_part(leg=outside - back)
        bent = replace(plan, bends=(replace(plan.bends[0], angle_rad=angle),))
        return [f.severity for f in part(bent) if f.code == "flange-length"]

    assert at(wanted + 0.01) == []
    assert at(wanted - 0.01) == [Severity.WARN]


# An opening over the shoulder: from bend to shoulder are 9 mm, so as much of the bend may be without (ours). K 0.43:
# the allowance is 6.74, so a sheet yet flat rests 15 cos 45 - 3.37 = 7.24 behind the tangent line. A slot 8 wide in
# the middle 11 behind it is travel + 2 sqrt(4² - 2²) = travel + 6.93 long there.
@pytest.mark.parametrize(
    ("travel", "v", "fires"),
    [(2.0, 11.0, False), (2.1, 11.0, True), (30.0, 13.01, False), (30.0, 12.99, True), (30.0, 3.2, False)],
)
def test_a_slot_over_the_die_s_shoulder(travel: float, v: float, fires: bool) -> None:
    fitting = Fitting(kind="plain", label="slot")
    slot = Slot(
        name="s",
        u_mm=50,
        v_mm=v,
        width_mm=8,
        travel_mm=travel,
        angle_rad=0.0,
        purpose="test",
        fitting=fitting,
    )
    found = [f for f in part(on_base(rectangle(0, 0, 100, 40), slots=(slot,))) if f.code == "hole-on-die"]
    assert [(f.severity, f.where) for f in found] == (
        [(Severity.WARN, "part:p flange leg, hole s and bend b")] if fires else []
    )


@pytest.mark.parametrize(
    ("u", "fires"), [(-6.5, True), (-6.7, False), (106.5, True), (106.7, False), (50.0, True)]
)
def test_only_what_lies_over_the_bend_itself_rests_on_its_die(u: float, fires: bool) -> None:
    # a leg wider than its bend; a bore of 36 with its middle 18 behind the tangent line, half a chord of
    # sqrt(18² - 9²) = 15.59 over the shoulder 9 behind it
    wide = polygon([(0, 0), (100, 0), (160, 60), (160, 90), (-60, 90), (-60, 60)])
    bore = part_hole("h", u, 18.0, 36.0, "bore")
    found = [f for f in part(on_base(wide, bore)) if f.code == "hole-on-die"]
    assert len(found) == fires
