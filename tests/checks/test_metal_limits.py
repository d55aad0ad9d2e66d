"""Edge distance, spacing and ligament just inside and just outside published limits."""

from __future__ import annotations

from dataclasses import replace

import pytest
from small_jobs import (
    angle_part,
    codes,
    fold,
    hole,
    number,
    nutted,
    old,
    only,
    panel,
    part,
    part_hole,
    plate,
    with_limit,
)

from generators.geometry.contours import rectangle
from generators.model.findings import Finding, Severity
from generators.model.plan import Fitting, Flange, Slot

INCH = 25.4
HAIR = 0.01


# Worked: D = 1/4 in gives edge 0.500 and spacing 0.750 in; AC 43.13-1B 4-57c (R2), rivets, used for bolts.
@pytest.mark.parametrize(("edge_in", "short", "severity"), [(0.5, 0, None), (0.5, HAIR, Severity.WARN)])
@pytest.mark.parametrize("kind", ["bolt", "rivet", "insert"])
def test_quarter_inch_edge_distance(
    edge_in: float, short: float, severity: Severity | None, kind: str
) -> None:
    at = edge_in * INCH - short
    for found in (
        panel(hole("1", 200, at, INCH / 4, kind=kind)),
        part(plate(part_hole("h", 0, -100 + at, INCH / 4, kind))),
    ):
        severities = [f.severity for f in found if f.code == "hole-edge-distance"]
        assert severities == ([severity] if severity else [])


def test_quarter_inch_edge_distance_is_told_in_mm() -> None:
    found = only(panel(hole("1", 200, 12.0, INCH / 4)), "hole-edge-distance")
    assert found.found == "12.00 mm"
    assert found.wanted == "12.70 mm (fail below 7.62 mm)"  # 0.500 in; 1.2 x 6.35
    assert found.where == "panel:firewall hole 1 (hole_1) and the edge"
    assert found.advice == "move hole 1 (hole_1) 1 mm up"


def test_quarter_inch_spacing() -> None:
    def at(spacing: float) -> list[Finding]:
        return panel(hole("3", 100, 100, INCH / 4), hole("7", 100 + spacing, 100, INCH / 4))

    assert "hole-spacing" not in codes(at(0.750 * INCH))
    found = only(at(15.0), "hole-spacing")
    assert found.severity is Severity.WARN
    assert found.wanted.startswith("19.05 mm")  # 0.750 in
    assert found.where == "panel:firewall holes 3 (hole_3) and 7 (hole_7)"
    assert found.advice == "move hole 7 (hole_7) at least 4.1 mm away from hole 3 (hole_3)"


# EN 1993-1-8 table 3.3: e1 >= 1.2 d0, p1 >= 2.2 d0 (from memory, sure). M8 medium: d0 = 9.0 (ISO 273).
@pytest.mark.parametrize(("edge", "severity"), [(10.8, Severity.WARN), (10.79, Severity.FAIL)])
def test_edge_fails_below_eurocode(edge: float, severity: Severity) -> None:
    assert only(panel(hole("1", 200, edge, 9.0)), "hole-edge-distance").severity is severity
    found = part(plate(part_hole("h", 0, -100 + edge, 9.0)))
    assert only(found, "hole-edge-distance").severity is severity


@pytest.mark.parametrize(("spacing", "severity"), [(19.8, Severity.WARN), (19.79, Severity.FAIL)])
def test_spacing_fails_below_eurocode(spacing: float, severity: Severity) -> None:
    found = panel(hole("1", 100, 100, 9.0), hole("2", 100, 100 + spacing, 9.0))
    assert only(found, "hole-spacing").severity is severity
    found = part(plate(part_hole("a", 0, 0, 9.0), part_hole("b", spacing, 0, 9.0)))
    assert only(found, "hole-spacing").severity is severity


# ANSI/AISC 360-16 table J3.4 (R2): centre to edge 3/4 in for a 1/2 in bolt, 22 mm for M16, 26 mm for M20.
# In their standard holes (9/16 in, 18 mm, 22 mm) the first two lie between our fail and warn limits; for
# M20 the two standards differ, and 1.2 x 22 = 26.4 mm of EN 1993-1-8 is the stricter.
@pytest.mark.parametrize(
    ("edge", "d0", "severity"),
    [
        (0.75 * INCH, 9 / 16 * INCH, Severity.WARN),
        (22.0, 18.0, Severity.WARN),
        (26.0, 22.0, Severity.FAIL),
        (26.4, 22.0, Severity.WARN),
    ],
)
def test_steelwork_minimum_edge(edge: float, d0: float, severity: Severity) -> None:
    assert only(panel(hole("1", 200, edge, d0)), "hole-edge-distance").severity is severity


def test_spacing_takes_the_larger_hole() -> None:
    found = panel(hole("1", 100, 100, 5), hole("2", 128, 100, 10))
    assert only(found, "hole-spacing").wanted.startswith("30.00 mm")


@pytest.mark.parametrize("kind", ["bore", "pivot", "bulkhead", "grommet", "plain"])
def test_bores_are_judged_by_the_metal_left(kind: str) -> None:
    # 40 mm bore 25 mm from the edge: 0.6 D, yet 5 mm of metal is left
    assert panel(hole("1", 200, 25, 40, kind=kind)) == []
    found = only(panel(hole("1", 200, 22.5, 40, kind=kind)), "hole-ligament")
    assert (found.found, found.severity) == ("2.50 mm", Severity.WARN)
    assert codes(part(plate(part_hole("h", 0, -75, 40, kind)))) == {"hole-ligament"}
    assert part(plate(part_hole("h", 0, -74, 40, kind))) == []  # 6 mm = 2 t of 3 mm sheet


# Ligament: max(2 t, 3 mm), fail below 1 t (common practice, no source). Panel 1.2 mm thick: 3 mm rules.
@pytest.mark.parametrize(
    ("thickness", "metal", "severity"),
    [
        (1.2, 3.0, None),
        (1.2, 2.99, Severity.WARN),
        (1.2, 1.2, Severity.WARN),
        (1.2, 1.19, Severity.FAIL),
        (4.0, 8.0, None),
        (4.0, 7.99, Severity.WARN),
        (4.0, 3.99, Severity.FAIL),
        (4.0, -1.0, Severity.FAIL),
    ],
)
def test_ligament_between_openings(thickness: float, metal: float, severity: Severity | None) -> None:
    on_panel = panel(
        hole("1", 100, 100, 20, kind="bore"),
        hole("2", 120 + metal, 100, 20, kind="bore"),
        thickness_mm=thickness,
    )
    on_part = part(
        plate(
            part_hole("a", -10, 0, 20, "bore"),
            part_hole("b", 10 + metal, 0, 20, "bore"),
            thickness=thickness,
        )
    )
    for found in (on_panel, on_part):
        assert [f.severity for f in found if f.code == "hole-ligament"] == ([severity] if severity else [])


@pytest.mark.parametrize("status", ["datum", "blank"])
def test_an_existing_hole_is_a_hole_even_when_blanked(status: str) -> None:
    found = only(panel(hole("1", 100, 100), old("A", 115, 100, status=status)), "hole-ligament")
    assert found.where == "panel:firewall holes 1 (hole_1) and A (hole_a)"
    assert found.advice.startswith("move hole 1 (hole_1) ")
    assert found.advice.endswith("hole A (hole_a)")


def test_two_existing_holes_are_nobodys_business() -> None:
    assert panel(old("A", 100, 100, status="blank"), old("B", 121, 100, status="blank")) == []


def test_a_hole_that_swallows_an_old_one_leaves_no_ligament() -> None:
    found = panel(hole("1", 100, 100, 30, kind="bore"), old("A", 102, 100, 12))
    assert codes(found) == set()


def test_a_hole_within_an_old_one_fails() -> None:
    for shift in (0.0, 2.0):
        found = panel(hole("1", 100 + shift, 100, 6.6), old("A", 100, 100, 30, status="blank"))
        assert only(found, "hole-ligament").severity is Severity.FAIL


def test_shared_holes_are_one() -> None:
    found = panel(hole("1", 100, 100, 9), hole("2", 100, 100.1, 9.0))
    assert codes(found) == {"hole-shared"}
    assert found[0].advice == "drill holes 1 (hole_1) and 2 (hole_2) once, to 9.00 mm"


def test_a_reused_hole_near_the_edge_only_warns() -> None:
    found = only(panel(old("A", 200, 8, 9, status="reuse", kind="bolt")), "hole-edge-distance")
    assert found.severity is Severity.WARN
    assert "doubler" in found.advice


def test_a_bent_edge_is_not_free() -> None:
    # 14 mm under the bend and 9 mm wide: as a free edge 18 mm would be wanted
    assert part(angle_part(part_hole("h", 0, 46, 9))) == []


def test_a_slot_is_judged_at_its_ends() -> None:
    slot = Slot(
        name="s",
        u_mm=0,
        v_mm=-75,
        width_mm=9,
        travel_mm=20,
        angle_rad=1.5707963267948966,
        purpose="test",
        fitting=Fitting(kind="bolt", label="M8"),
    )
    found = only(part(plate(slots=(slot,))), "hole-edge-distance")
    assert found.found == "15.00 mm"  # end centre at -85, edge at -100
    assert part(plate(slots=(replace(slot, v_mm=-72),))) == []
    beside = plate(part_hole("h", 0, -49.5, 9), slots=(slot,))
    assert number(only(part(beside), "hole-spacing").found) == 15.5


def test_a_round_corner_counts_as_an_edge() -> None:
    # arc of 40 mm about (60, 60); the hole 20 mm out along a 3-4-5 diagonal, so 20 mm from the rim
    round_plate = rectangle(-100, -100, 100, 100, 40)
    assert part(plate(part_hole("h", 72, 76, 10), contour=round_plate)) == []
    found = only(part(plate(part_hole("h", 72, 76, 10.5), contour=round_plate)), "hole-edge-distance")
    assert found.found == "20.00 mm"


def test_a_limit_of_the_spec_overrides_the_fail_limit_too() -> None:
    close = (hole("1", 100, 100, 9.0), hole("2", 100, 119, 9.0))
    assert only(panel(*close), "hole-spacing").severity is Severity.FAIL
    assert "hole-spacing" not in codes(panel(*close, limits=with_limit(hole_spacing_ratio=2.0)))


def test_openings_that_meet_fail_whatever_the_limits() -> None:
    none = with_limit(ligament_ratio=0, ligament_mm=0)
    found = panel(hole("1", 100, 100, 20, kind="bore"), hole("2", 119, 100, 20, kind="bore"), limits=none)
    assert only(found, "hole-ligament").severity is Severity.FAIL


def test_off_panel() -> None:
    assert "hole-off-panel" not in codes(panel(hole("1", 200, 5, 10)))
    assert only(panel(hole("1", 200, 4.9, 10)), "hole-off-panel").severity is Severity.FAIL
    outside = only(panel(hole("1", 200, -20, 10)), "hole-off-panel")
    assert (outside.found, outside.advice) == ("-20.00 mm", "move hole 1 (hole_1) 40 mm up")
    assert only(panel(old("A", 200, 2, 10)), "hole-off-panel").severity is Severity.WARN


def test_an_existing_hole_off_the_panel_was_measured_wrong() -> None:
    found = panel(
        hole("1", 100, 100, owners=("a",)), hole("2", 103, 100), old("A", 200, -1, 10, name="drain")
    )
    assert (found[0].code, found[0].severity) == ("hole-off-panel", Severity.FAIL)
    assert found[0].advice == "measure hole A (drain) again, or the outline"
    assert found[1].severity is Severity.FAIL


@pytest.mark.parametrize(("edge", "silent"), [(10.0, True), (9.99, False)])
def test_fold_clearance(edge: float, silent: bool) -> None:
    found = panel(hole("1", 200, 300 - edge - 5, 10, kind="bore"), folds=(fold(300),))
    assert ("hole-near-fold" not in codes(found)) is silent


def test_a_hole_on_the_arc_of_a_fold_fails_if_new_and_warns_if_there() -> None:
    none = with_limit(fold_clearance_mm=0.0)
    found = panel(hole("1", 200, 292.3, 9, kind="bore"), limits=none, folds=(fold(299.9),))
    assert "hole-in-fold" not in codes(found)
    new = panel(hole("1", 200, 293, 9, kind="bore"), limits=none, folds=(fold(299.9),))
    assert only(new, "hole-in-fold").severity is Severity.FAIL
    there = only(
        panel(old("A", 200, 293, 9, name="drain"), limits=none, folds=(fold(299.9),)), "hole-in-fold"
    )
    assert (there.severity, there.advice) == (Severity.WARN, "measure hole A (drain) again, or the fold")


def test_numbers_sort_as_numbers() -> None:
    found = panel(*(hole(str(n), 20 * n, 10, 9.0) for n in (12, 3, 10)))
    assert [f.where for f in found if f.code == "hole-edge-distance"] == [
        f"panel:firewall hole {n} (hole_{n}) and the edge" for n in (3, 10, 12)
    ]


def test_flange_without_openings_is_silent() -> None:
    empty = plate(contour=rectangle(0, 0, 10, 10))
    assert isinstance(empty.flanges[0], Flange)
    assert part(empty) == []


def test_reused_nut_bears_on_one_millimetre() -> None:
    # M6 nut 10 mm across flats (ISO 4032, from memory): 8 mm leaves 1 mm all round
    assert panel(nutted("A", 100, 100, status="reuse", diameter=7.99)) == []
    found = only(panel(nutted("A", 100, 100, status="reuse", diameter=8.19)), "reuse-oversize")
    assert (found.found, found.severity) == ("0.90 mm", Severity.WARN)
    # the nut falls through: nothing is left to bear on
    found = only(panel(nutted("A", 100, 100, status="reuse", diameter=25.0)), "reuse-oversize")
    assert found.severity is Severity.FAIL


# Unequal holes, by hand. Ligament: distance less both radii, 10 and 3 here; at least 3 mm, in 1.2 mm sheet a
# fail below 1.2. Spacing: 3 diameters of the larger.
@pytest.mark.parametrize("turned", [False, True])
@pytest.mark.parametrize(("metal", "severity"), [(3.0, None), (2.99, Severity.WARN), (1.19, Severity.FAIL)])
def test_ligament_of_unequal_openings(metal: float, severity: Severity | None, turned: bool) -> None:
    sizes = (6.0, 20.0) if turned else (20.0, 6.0)
    apart = 10.0 + 3.0 + metal
    on_panel = panel(
        hole("1", 100, 100, sizes[0], kind="bore"), hole("2", 100 + apart, 100, sizes[1], kind="bore")
    )
    on_part = part(
        plate(
            part_hole("a", 0, 0, sizes[0], "bore"), part_hole("b", 0, apart, sizes[1], "bore"), thickness=1.2
        )
    )
    for found in (on_panel, on_part):
        assert [f.severity for f in found if f.code == "hole-ligament"] == ([severity] if severity else [])
        if severity:
            assert number(only(found, "hole-ligament").found) == pytest.approx(metal, abs=0.005)


@pytest.mark.parametrize("turned", [False, True])
@pytest.mark.parametrize(("apart", "fires"), [(30.0, False), (29.99, True)])
def test_spacing_of_unequal_bolts_is_the_larger_one_s(apart: float, fires: bool, turned: bool) -> None:
    sizes = (5.0, 10.0) if turned else (10.0, 5.0)
    on_panel = panel(hole("1", 100, 100, sizes[0]), hole("2", 100 + apart, 100, sizes[1]))
    on_part = part(plate(part_hole("a", 0, 0, sizes[0]), part_hole("b", apart, 0, sizes[1])))
    for found in (on_panel, on_part):
        assert ("hole-spacing" in codes(found)) is fires


@pytest.mark.parametrize("turned", [False, True])
def test_an_old_hole_a_hair_outside_the_new_one_is_not_swallowed(turned: bool) -> None:
    # new 30, old 12: whole inside at up to 15 - 6 = 9 mm apart
    def found(apart: float) -> set[str]:
        both = [hole("1", 100, 100, 30, kind="bore"), old("A", 100 + apart, 100, 12)]
        return codes(panel(*(reversed(both) if turned else both)))

    assert found(9.0) == set()
    assert found(9.1) == {"hole-ligament"}
