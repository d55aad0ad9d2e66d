"""Openings off their flange or in a bend, joggles, and flanges in each other's way."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from fold_jobs import holed, hooked, leaning, reliefed, zed
from small_jobs import SHOP, channel, codes, only, part, part_hole

from generators.geometry.contours import rectangle
from generators.model.findings import Severity
from generators.model.plan import Fitting, Flange, Slot
from generators.sheetmetal.joggle import joggle_angle, joggle_flat, joggle_length

PLAIN = Fitting(kind="plain", label="slot")


def slot(u: float, v: float, width: float, travel: float, degrees: float) -> Slot:
    return Slot(
        name="s",
        u_mm=u,
        v_mm=v,
        width_mm=width,
        travel_mm=travel,
        angle_rad=math.radians(degrees),
        purpose="test",
        fitting=PLAIN,
    )


# small_jobs.notched: bend from u 20 to -20 at v 60 of a base 100 wide, 3 mm sheet; limit 2 t = 6 mm
@pytest.mark.parametrize(
    ("v", "travel", "degrees", "severity"),
    [
        (44.0, 12.0, 90, None),  # upright slot 8 wide: its end at 50, 4 of radius, 6 left
        (44.01, 12.0, 90, Severity.WARN),
        (50.01, 12.0, 90, Severity.FAIL),  # its round end reaches over the tangent line
        (66.0, 2.0, 90, Severity.FAIL),  # wholly beyond it, in the bend
        (50.0, 30.0, 0, None),  # lies along the bend: 10 to its middle line, 6 left
        (50.01, 30.0, 0, Severity.WARN),
    ],
)
def test_slots_near_and_across_a_bend(v, travel, degrees, severity) -> None:
    found = [
        f for f in part(reliefed(slots=(slot(0, v, 8.0, travel, degrees),))) if f.code == "hole-bend-distance"
    ]
    assert [f.severity for f in found] == ([severity] if severity else [])


def test_a_hole_beyond_its_bend_counts_below_nothing() -> None:
    # its centre 20 mm past the tangent line: far from it, and yet in the bend's way
    found = only(part(reliefed(part_hole("h", 0, 80, 6, "bore"))), "hole-bend-distance")
    assert (found.found, found.severity) == ("-23.00 mm", Severity.FAIL)


@pytest.mark.parametrize("kind", ["bore", "bolt"])
def test_a_hole_in_a_relief_or_off_its_flange_fails(kind: str) -> None:
    code = "hole-edge-distance" if kind == "bolt" else "hole-ligament"
    notch = part(reliefed(part_hole("h", 25, 57, 3.2, kind)))  # in the notch from u 20 to 30, v 55.2 to 60
    assert [f.severity for f in notch if f.code == code] == [Severity.FAIL]
    off = part(reliefed(part_hole("h", 90, 20, 6, kind)))
    assert only(off, code).severity is Severity.FAIL
    assert only(off, code).found.startswith("-")
    # clear of the notch by two thicknesses and two diameters it is good
    assert not codes(part(reliefed(part_hole("h", 25, 40, 3.2, kind)))) & {code, "hole-bend-distance"}


def test_legs_that_lean_on_each_other() -> None:
    """By hand: bent 135 deg up, R 3. Past the bend the inner face of a leg starts 3 sin 135 = 2.12 outside
    the web's edge and comes back at 45 deg; its tip is the first to reach the middle, 30 + 2.12 in, at a
    leg of 32.12 x sqrt 2 = 45.43."""
    assert "folded-clash" not in codes(part(leaning(45.3)))
    found = only(part(leaning(45.6)), "folded-clash")
    assert (found.severity, found.where) == (Severity.FAIL, "part:p flanges right and left")


def test_overlapping_flanges_on_the_blank_are_named() -> None:
    # the wing's tangent line lies one allowance beyond the riser's edge: pi/2 x (3 + .43 x 3) = 6.74 mm
    assert "blank-overlap" not in codes(part(hooked(6.7)))
    found = only(part(hooked(7.7)), "blank-overlap")
    assert (found.severity, found.where) == (Severity.FAIL, "part:p flanges base and wing")
    # 30 mm of the hook's height, .96 mm deep
    assert found.found == "28.8 mm2 of sheet needed twice"


@pytest.mark.parametrize(("second", "code"), [("down", "joggle-tool"), ("up", "bend-near-bend")])
def test_equal_and_opposite_bends_close_together_are_a_joggle(second: str, code: str) -> None:
    # 45 deg, R 3, t 3: setback .4142 x 6 = 2.49 (AC 43.13-1B table 4-7); 15 mm wanted, so flat 12.51
    near, far = zed(12.5, second), zed(12.52, second)
    found = only(part(near), code)
    assert found.severity is Severity.WARN
    assert not codes(part(far)) & {"joggle-tool", "bend-near-bend"}
    # a known die makes two single bends impossible, but not a joggle in one stroke; V 24 asks for 12/cos 22.5 deg =
    # 12.99 (C), so flat 10.50
    shop = replace(SHOP, stock=(replace(SHOP.stock[0], die_opening_mm=24.0),))
    assert not codes(part(zed(10.51, second), shop=shop)) & {"joggle-tool", "bend-near-bend"}
    found = only(part(zed(10.49, second), shop=shop), code)
    assert found.severity is (Severity.WARN if second == "down" else Severity.FAIL)


@pytest.mark.parametrize(("offset", "degrees"), [(1.0, 30), (4.5, 45), (9.0, 90), (30.0, 60)])
def test_joggle_by_hand(offset: float, degrees: float) -> None:
    r, t, a = 3.0, 3.0, math.radians(degrees)
    flat = joggle_flat(offset, a, r, t)
    # how far the middle line rises: two arcs about the same neutral radius, and the slope between
    rise = 2 * (r + t / 2) * (1 - math.cos(a)) + flat * math.sin(a)
    assert rise == pytest.approx(offset)
    run = 2 * (r + t / 2) * math.sin(a) + flat * math.cos(a)
    assert joggle_length(a, flat, r, t) == pytest.approx(run)
    if flat > 0:
        assert joggle_angle(offset, flat, r, t) == pytest.approx(a)


def test_a_joggle_a_right_angle_does_not_reach() -> None:
    from generators.errors import GeometryFault

    # 2 R + t = 9 mm and 2 mm of flat: 11 mm at most
    assert joggle_angle(11.0, 2.0, 3.0, 3.0) == pytest.approx(math.pi / 2)
    for bad in (0.0, 11.01):
        with pytest.raises(GeometryFault, match="at most 11 mm"):
            joggle_angle(bad, 2.0, 3.0, 3.0)


def test_holes_by_flange() -> None:
    # a hole of the web that reaches over the second bend's line, seen from the web
    over = holed(zed(20.0), "web", part_hole("h", 30, 18, 8, "bore"))
    found = {f.where for f in part(over) if f.code == "hole-bend-distance" and f.severity is Severity.FAIL}
    assert found == {"part:p flange web, hole h and bend two"}


@pytest.mark.parametrize(("second", "clash"), [(40.0, True), (3.0, False)])
def test_lips_that_lie_in_one_place(second: float, clash: bool) -> None:
    """A channel 40 wide, its walls equally high, each with a lip bent in: both begin above the web's tangent lines, 40
    apart. Two lips of 40 lie in exactly the same place, with no edge inside the other's metal; one of 36 and one of 3
    leave a millimetre. By hand."""
    plan = channel(40.0)
    first = 40.0 if clash else 36.0
    lips = tuple(
        Flange(name=f"{side}_lip", contour=rectangle(0, 0, 100, deep))
        for side, deep in (("right", first), ("left", second))
    )
    bends = tuple(
        replace(
            plan.bends[0],
            name=f"{side}_lip",
            parent=side,
            child=f"{side}_lip",
            start=(100.0, 40.0),
            end=(0.0, 40.0),
        )
        for side in ("right", "left")
    )
    box = replace(plan, flanges=(*plan.flanges, *lips), bends=(*plan.bends, *bends))
    found = [f.where for f in part(box, brief=True) if f.code == "folded-clash"]
    assert found == (["part:p flanges right_lip and left_lip"] if clash else [])
