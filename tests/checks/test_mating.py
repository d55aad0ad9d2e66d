"""The mating rule against published clearances, and bolts and spanners against folded metal."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from joint_jobs import (
    EACH_WAY,
    EXACT,
    FOUR_TENTHS,
    MIDDLE,
    TRUE_HAND,
    bolt,
    firewall,
    folded,
    job_of,
    joints,
    on,
    plate,
    reused,
    room,
    slot,
)
from standing_jobs import standing

from generators.checks.joint.folded_room import around, free_height
from generators.checks.joint.mating import Opened, allowed, fit_finding
from generators.checks.joint.part_room import bolt_of, room_for
from generators.checks.joint.shared_patterns import check_patterns
from generators.layout.mounting import PlacedPart
from generators.layout.panels import panel_layout
from generators.model.findings import Severity
from generators.model.joints.ways import PatternHoles
from generators.model.plan import Fitting
from generators.model.spec.job import HoleSpec, Obstacle, PanelPattern, Position
from generators.model.spec.pattern import PartPattern, Pattern
from generators.model.spec.shop import Positions
from generators.model.words import Face
from generators.parts.building.mirror import mirrored
from generators.parts.building.shared_pattern import with_patterns
from generators.standards import clearance_hole, fastener

INCH = 25.4


def two(
    thread: str, fit: str, zone: float, *, tapped: bool = False, aside: float = 0.0
) -> tuple[Opened, Opened]:
    h = clearance_hole(thread, fit).diameter_mm
    a = Opened(owner="a", diameter_mm=h, at=(0.0, 0.0), zone_mm=zone)
    return a, Opened(owner="b", diameter_mm=h, at=(aside, 0.0), zone_mm=zone, fixed=tapped)


# T per part by ASME Y14.5 appendix B: H - F floating, half of it fixed; H of ISO 273 and of ASME B18.2.8 normal, inch
@pytest.mark.parametrize(
    ("thread", "fit", "floating", "fixed"),
    [
        ("M6", "medium", 0.6, 0.3),
        ("M8", "fine", 0.4, 0.2),
        ("M8", "medium", 1.0, 0.5),
        ("M10", "medium", 1.0, 0.5),
        ("#10", "normal", 0.031 * INCH, 0.0155 * INCH),
        ("1/4", "normal", 0.031 * INCH, 0.0155 * INCH),
        ("5/16", "normal", 0.0315 * INCH, 0.0158 * INCH),
        ("3/8", "normal", 0.031 * INCH, 0.0155 * INCH),
    ],
)
def test_position_tolerances_of_floating_and_fixed_fasteners(
    thread: str, fit: str, floating: float, fixed: float
) -> None:
    shank = fastener(thread).major_mm
    # the inch figures are printed to 0.0005 in, M8's fixed 0.5 exactly
    slack = 0.0003 * INCH if not thread.startswith("M") else 1e-9
    for tapped, tolerance in ((False, floating), (True, fixed)):
        a, b = two(thread, fit, tolerance, tapped=tapped)
        assert allowed(a, b, shank) == pytest.approx(2 * tolerance, abs=2 * slack)
        assert fit_finding("w", *two(thread, fit, tolerance - slack, tapped=tapped), shank) is None
        wider = fit_finding("w", *two(thread, fit, tolerance + slack + 0.001, tapped=tapped), shank)
        assert wider is not None
        assert wider.severity is Severity.WARN
        assert ("fixed" if tapped else "floating") in wider.found


def test_the_formula_is_what_random_holes_do() -> None:
    """Monte Carlo of the very worst directions: inside the formula every bolt passes, outside some does not."""
    shank = 8.0
    rng = np.random.default_rng(4)
    for tolerance, all_pass in ((1.0, True), (1.1, False)):
        turn = rng.uniform(0, 2 * math.pi, (4000, 2))
        off = tolerance / 2 * np.stack([np.cos(turn), np.sin(turn)], axis=-1)
        apart = np.hypot(*(off[:, 0] - off[:, 1]).T)
        # a bolt of 8 in holes of 9: its axis may lie within 0.5 of either centre
        passes = apart <= 2 * (9.0 - shank) / 2 + 1e-12
        assert passes.all() == all_pass
        a, b = two("M8", "medium", tolerance)
        assert (fit_finding("w", a, b, shank) is None) == all_pass


def test_what_the_plan_itself_makes_impossible_fails() -> None:
    a, b = two("M8", "fine", 0.0, aside=0.41)
    found = fit_finding("w", a, b, 8.0)
    assert found is not None
    assert found.severity is Severity.FAIL
    assert fit_finding("w", *two("M8", "fine", 0.0, aside=0.39), 8.0) is None
    # a hole smaller than the bolt, however generous the other
    tight = replace(a, diameter_mm=7.9)
    found = fit_finding("w", tight, replace(b, at=(0.0, 0.0), diameter_mm=20.0), 8.0)
    assert found is not None
    assert found.severity is Severity.FAIL


def test_two_threads_do_not_draw_together() -> None:
    a, b = two("M8", "medium", 0.0, tapped=True)
    found = fit_finding("w", replace(a, fixed=True), b, 8.0)
    assert found is not None
    assert found.severity is Severity.FAIL


def test_a_slot_gives_along_and_not_across() -> None:
    for angle, fits in ((0.0, True), (math.pi / 2, False)):
        found = joints(on(plate(slot(6.0, angle, 8.4))), existing=(reused(0.45),))
        assert (found == []) == fits
    # turned with its part; on the engine face u runs the other way, which along u changes nothing
    turned = joints(on(plate(slot(6.0, math.pi / 2, 8.4)), rotate_rad=math.pi / 2), existing=(reused(0.45),))
    assert turned == []
    assert joints(on(plate(slot(6.0, 0.0, 8.4)), face="engine"), existing=(reused(0.45),)) == []


@pytest.mark.parametrize(("diameter", "passes"), [(6.4, False), (6.56, False), (6.57, True), (6.6, True)])
def test_two_holes_inside_the_drawing_take_the_bolt_or_are_found(diameter: float, passes: bool) -> None:
    """M6 through two parts, each hole ±0.2 mm across and up as drawn: at worst in opposite corners of their squares."""
    cut = Positions().cut_mm
    apart = math.dist((0.2, 0.2), (-0.2, -0.2))  # 0.566; the bolt passes up to (H - F) / 2 + (H - F) / 2
    assert passes == (apart <= diameter - 6.0 + 1e-9)
    one = Opened(owner="p", diameter_mm=diameter, at=(0.0, 0.0), zone_mm=cut)
    found = fit_finding("here", one, replace(one, owner="q"), 6.0)
    assert (found is None) == passes
    assert found is None or found.severity is Severity.WARN


def test_two_parts_as_a_shop_may_cut_them_come_as_close_to_the_zone_as_chance_lets_them() -> None:
    """20,000 pairs of holes, each off by ±0.2 mm across and up or less: none is farther apart than the zones, the worst
    within 5 % of them, and that one takes an M6 in the least hole the rule lets through."""
    rng = np.random.default_rng(11)
    off = 0.2 * np.clip(rng.normal(0.0, 1.0, (20_000, 2, 2)), -1.0, 1.0)
    apart = np.hypot(*(off[:, 0] - off[:, 1]).T)
    zone = Positions(cut_each_way_mm=0.2).cut_mm
    assert apart.max() <= zone + 1e-12
    assert apart.max() == pytest.approx(zone, rel=0.05)
    one = Opened(owner="p", diameter_mm=6.0 + zone, at=(0.0, 0.0), zone_mm=zone)
    assert fit_finding("here", one, replace(one, owner="q"), 6.0) is None
    assert apart.max() <= one.diameter_mm - 6.0 + 1e-12


def test_hand_drills_are_noted_once_and_guides_silence_it() -> None:
    part = on(plate(bolt("m_1", -30.0), bolt("m_2", 30.0)))
    # M8 medium: 0.4 + 2 x 0.25 x 3 = 1.9 <= 2.0; a wander of 0.28 of 3 mm gives 2.08
    assert joints(part, shop=FOUR_TENTHS) == []
    found = joints(part, shop=Positions(cut_each_way_mm=EACH_WAY, drill_wander_ratio=0.28))
    assert [f.severity for f in found] == [Severity.NOTE]
    assert found[0].where == "panel:firewall holes 1 and 2"
    assert joints(part, shop=TRUE_HAND) == []


def test_a_doubler_counts_among_the_holes_of_a_joint() -> None:
    below = plate(bolt("over", 0.3, 0.0, fit="fine", mates=False), half=80.0, name="d", doubler=True)
    above = plate(bolt(fit="fine"))
    found = joints(on(below), on(above), shop=EXACT)
    assert found == []
    aside = plate(bolt("over", 0.41, 0.0, fit="fine", mates=False), half=80.0, name="d", doubler=True)
    found = joints(on(aside), on(above), shop=EXACT)
    assert {f.severity for f in found} == {Severity.FAIL}
    assert {f.where.split(", ", 1)[1] for f in found} == {"the panel and part d", "part d and part p"}


# ------------------------------------------------------------------------------- bolts going in
def test_air_over_a_base_is_what_the_fold_leaves() -> None:
    """By hand: riser 20 between two square bends of r 3 leaves 26 mm; nothing stands under the base."""
    part = folded(riser=20.0)
    patches = around(part, "base")
    assert free_height(patches, 3.0, (0.0, 0.0), 5.0, "upper") == pytest.approx(26.0)
    assert free_height(patches, 3.0, (0.0, 0.0), 5.0, "lower") == math.inf
    down = around(folded(riser=20.0, down=True), "base")
    assert free_height(down, 3.0, (0.0, 0.0), 5.0, "lower") == pytest.approx(26.0)
    assert free_height(down, 3.0, (0.0, 0.0), 5.0, "upper") == math.inf
    # past the lip's free edge (r + 60 from the riser's inside) the sky is open
    assert free_height(patches, 3.0, (0.0, -35.0), 5.0, "upper") == math.inf


def test_a_tilted_face_is_lower_at_its_root() -> None:
    """A lip turned 60 instead of 90 deg rises 30 deg from the base's plane: tan 30 per mm."""
    part = folded(riser=20.0)
    tilted = replace(part, bends=(part.bends[0], replace(part.bends[1], angle_rad=math.radians(60))))
    patches = around(tilted, "base")
    heights = [free_height(patches, 3.0, (0.0, v), 0.02, "upper") for v in (10.0, 0.0)]
    assert heights[1] - heights[0] == pytest.approx(10.0 * math.tan(math.radians(30)), abs=0.02)


def test_bolt_length_decides_between_warning_and_failing() -> None:
    # without thread past the nut 12.4 mm would do
    for riser, severity in ((6.2, Severity.FAIL), (6.6, Severity.WARN), (8.5, None)):
        found = [f for f in room(folded(riser=riser)) if f.code == "bolt-insert"]
        assert [f.severity for f in found] == ([severity] if severity else [])


def test_a_mounted_part_takes_its_bolts_from_behind() -> None:
    part = on(folded(riser=8.0))
    assert [f.code for f in joints(part)] == []
    box = Obstacle(
        name="box",
        face="engine",
        what="a box",
        corner=(150.0, 100.0),
        size=(100.0, 100.0),
        gap_mm=10.0,
        depth_mm=50.0,
    )
    found = joints(part, obstacle=(box,))
    assert [f.code for f in found] == ["bolt-insert"]
    # 3 + 2 + 5.2 + 2 + 4.2 = 16.4 mm of air behind would do
    assert joints(part, obstacle=(replace(box, gap_mm=16.5),)) == []
    assert joints(part, obstacle=(replace(box, movable=True),)) == []


def test_nut_and_spanner_circles() -> None:
    # nut 11.547 across corners; a bend without radius stands at its line
    for away, severity in ((5.7, Severity.FAIL), (5.9, Severity.WARN), (11.1, None)):
        found = room(folded(hole_to_bend=away, lip=False, r=0.0))
        assert [f.severity for f in found if f.code == "spanner-on-part"] == ([severity] if severity else [])


def test_a_spanner_meets_the_flange_of_another_part() -> None:
    """The riser's outside stands 40 + 3 + 3 mm above the other part's origin; M8: 13 mm across flats."""
    other = on(folded(lip=False))
    for away, severity in ((46.0 + 7.0, Severity.FAIL), (46.0 + 8.0, Severity.WARN), (46.0 + 14.4, None)):
        stud = HoleSpec(
            name="stud",
            at=Position(u_mm=MIDDLE[0], v_mm=MIDDLE[1] + away),
            kind="bolt",
            thread="M8",
            purpose="a stud",
            nut_face="cab",
        )
        found = standing(firewall(hole=(stud,)), [other])
        # 13 x 2 / sqrt 3 = 15.01 mm across corners, spanner circle 28.6 mm
        assert [f.severity for f in found] == ([severity] if severity else [])
        assert {f.code for f in found} <= {"spanner-on-part"}
        # the other way round its head, as wide, is on that side, and no spanner
        behind = standing(firewall(hole=(replace(stud, nut_face="engine"),)), [other])
        assert [f.severity for f in behind] == ([severity] if severity is Severity.FAIL else [])


# ------------------------------------------------------------------------------ shared patterns
BOLTS = Pattern(name="b", points=((-30.0, 0.0), (30.0, 0.0), (0.0, 25.0)), thread="M8", what="test bolts")


LOPSIDED = replace(BOLTS, points=((-30.0, 0.0), (30.0, 0.0), (10.0, 25.0)))


def shared(
    flip: bool,
    face: Face = "engine",
    mirror: bool = False,
    pattern: Pattern = LOPSIDED,
    rotate_rad: float = 0.0,
) -> list[tuple[str, Severity]]:
    """A pattern in the panel, and in a plate on it."""
    given = PartPattern(name="b", at=(0.0, 0.0), flip=flip, rotate_rad=rotate_rad)
    part = on(plate(half=70.0), face=face)
    spec = replace(part.spec, pattern=(given,))
    made = with_patterns(part.plan, spec, (pattern,))
    placed = replace(part, spec=spec, plan=mirrored(made) if mirror else made)
    sheet = firewall(pattern=(PanelPattern(name="b", at=Position(u_mm=200.0, v_mm=150.0)),))
    job = job_of(sheet, pattern=(pattern,))
    layout = panel_layout(sheet, [placed], (), (pattern,))
    return [(f.code, f.severity) for f in check_patterns(job, [placed], [layout], TRUE_HAND)]


def test_a_pattern_seen_from_behind_must_be_flipped() -> None:
    failed = [("mating", Severity.FAIL)]
    assert shared(flip=True) == []
    assert shared(flip=False) == failed
    assert shared(flip=False, face="cab") == []
    assert shared(flip=False, face="cab", mirror=True) == failed
    # an apex on the axis: only the names change sides
    assert shared(flip=False, pattern=BOLTS) == shared(flip=True, pattern=BOLTS) == []


def test_positions_agree_to_a_millionth() -> None:
    # at 32 mm from the middle 1e-8 rad is 3.2e-7 mm and 1e-7 rad 3.2e-6 mm
    assert shared(flip=False, face="cab", rotate_rad=1e-8) == []
    assert shared(flip=False, face="cab", rotate_rad=1e-7) == [("mating", Severity.FAIL)]


def test_tapped_and_clearance_share_a_pattern_between_loose_parts() -> None:
    def loose(name: str, holes: PatternHoles) -> PlacedPart:
        part = on(plate(half=70.0, name=name))
        spec = replace(part.spec, mount=None, pattern=(PartPattern(name="b", at=(0.0, 0.0), holes=holes),))
        return replace(part, spec=spec, plan=with_patterns(part.plan, spec, (BOLTS,)))

    job = job_of(firewall(), pattern=(BOLTS,))
    layouts = [panel_layout(firewall(), [], ())]
    pairs: tuple[tuple[PatternHoles, PatternHoles, float, Severity | None], ...] = (
        ("clearance", "clearance", 1.0, None),  # floating: 2 T = 2 (9 - 8)
        ("clearance", "clearance", 1.01, Severity.WARN),
        ("clearance", "tapped", 0.5, None),  # fixed: 2 T = 9 - 8
        ("clearance", "tapped", 0.51, Severity.WARN),
        ("tapped", "tapped", 0.0, Severity.FAIL),
    )
    for one, other, cut, severity in pairs:
        parts = [loose("p", one), loose("q", other)]
        found = list(check_patterns(job, parts, layouts, Positions(cut_each_way_mm=cut / (2 * math.sqrt(2)))))
        assert [f.severity for f in found] == ([severity] if severity else [])
    tapped = loose("q", "tapped").plan.flanges[0].holes[0]
    assert tapped.diameter_mm == pytest.approx(6.8)  # M8 tap drill, ISO 2306
    assert tapped.fitting == Fitting(kind="tapped", label="M8 tapped", shank_mm=8.0)


def test_room_for_a_bolt_by_hand() -> None:
    # M8: nut 6.8 high (ISO 4032), pitch 1.25 (ISO 261, coarse); head 0.7 d and two pitches are common practice
    hole = bolt(thread="M8")
    sized = bolt_of(hole)
    assert sized is not None
    found = room_for(sized, hole, 5.0)
    assert found.least_mm == pytest.approx(5.0 + 6.8 + 5.6)
    assert found.bolt_mm == pytest.approx(5.0 + 6.8 + 5.6 + 2.5)
    assert found.nut_mm == pytest.approx(6.8)
    assert found.head_radius_mm == hole.fitting.nut_circle_mm / 2
    assert found.spanner_radius_mm == hole.fitting.spanner_circle_mm / 2
