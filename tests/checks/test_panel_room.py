"""What drills, nuts, spanners and parts meet on each face of a panel."""

from __future__ import annotations

from dataclasses import replace

import pytest
from small_jobs import box, codes, foot, hole, layout, nutted, old, only, panel, with_limit

from generators.checks.panel.panel import check_panel
from generators.geometry.contours import circle
from generators.model.contour import Contour, Vertex
from generators.model.findings import Severity
from generators.model.limits import Limits
from generators.model.plan import Footprint, KeepOut
from generators.model.words import Face, NutFace

# -4 bulkhead nut: .794 in over sharp corners (AN924 sheet 2: .688 in x 2 / sqrt(3)), 20.18 mm
BULKHEAD_NUT = 0.688 * 25.4 * 2 / 3**0.5


def round_obstacle(u: float, v: float, diameter: float, gap: float, face: Face = "cab") -> KeepOut:
    return KeepOut(
        name="boss", face=face, contour=circle(u, v, diameter), gap_mm=gap, depth_mm=50, reason="cast boss"
    )


# ----------------------------------------------------------------------------------- keep-outs
@pytest.mark.parametrize(("gap", "fires"), [(14.99, True), (15.0, False)])
def test_reach_against_air(gap: float, fires: bool) -> None:
    found = panel(nutted("1", 100, 100), keepouts=(box(90, 90, 110, 110, gap_mm=gap),))
    assert ("keep-out" in codes(found)) is fires


def test_keep_out_is_told_plainly() -> None:
    found = only(panel(nutted("1", 100, 100), keepouts=(box(105, 50, 200, 150, gap_mm=2),)), "keep-out")
    assert found.severity is Severity.FAIL
    assert (found.found, found.wanted) == ("2.00 mm of air", "15.00 mm")
    assert found.where == "panel:firewall hole 1 (hole_1) and heater_box, cab face"
    assert found.advice == "move hole 1 (hole_1) 6 mm to the left"  # spanner 11 - 5, more than the nut


def test_keep_out_on_the_other_face_is_free() -> None:
    assert panel(nutted("1", 100, 100), keepouts=(box(105, 50, 200, 150, face="engine"),)) == []


def test_a_nut_without_reach_is_as_tall_as_its_hole() -> None:
    low = nutted("1", 100, 100, reach_cab_mm=0.0)
    assert "keep-out" in codes(panel(low, keepouts=(box(105, 50, 200, 150, gap_mm=6.5),)))
    assert "keep-out" not in codes(panel(low, keepouts=(box(105, 50, 200, 150, gap_mm=6.7),)))


def test_the_middle_of_a_round_obstacle_is_inside_it() -> None:
    found = panel(nutted("1", 100, 100), keepouts=(round_obstacle(100, 100, 60, 0),))
    assert only(found, "keep-out").advice == "move hole 1 (hole_1) 41 mm to the left"  # 30 + spanner 11


def test_existing_holes_do_not_mind_obstacles() -> None:
    assert panel(old("A", 100, 100, status="blank"), keepouts=(box(50, 50, 150, 150),)) == []


# ------------------------------------------------------------------------------------- drilling
@pytest.mark.parametrize("face", ["cab", "engine"])
@pytest.mark.parametrize(("gap", "fires"), [(24.99, True), (25.0, False)])
def test_drill_breakthrough_on_either_face(face: Face, gap: float, fires: bool) -> None:
    found = panel(hole("1", 100, 100), keepouts=(box(50, 50, 150, 150, face=face, gap_mm=gap),))
    assert ("drill-path" in codes(found)) is fires


def test_a_movable_obstacle_is_moved_first() -> None:
    loom = box(50, 50, 150, 150, face="engine", gap_mm=5, movable=True, reason="main loom", name="loom")
    found = only(panel(hole("1", 100, 100), keepouts=(loom,)), "drill-path")
    assert found.severity is Severity.WARN
    assert found.advice == "move the main loom behind hole 1 (hole_1) aside first, at least 20.0 mm"
    near = only(panel(hole("1", 100, 100, drill_face="engine"), keepouts=(loom,)), "drill-path")
    assert "on the near side of hole 1 (hole_1)" in near.advice


def test_drill_needs_only_its_own_circle() -> None:
    beside = box(103.4, 50, 150, 150, face="engine")
    assert panel(hole("1", 100, 100), keepouts=(beside,)) == []


def test_a_reused_hole_is_drilled_only_when_opened() -> None:
    behind = (box(50, 50, 150, 150, face="engine"),)
    kept = old("A", 100, 100, 9, status="reuse", kind="bolt")
    opened = old("A", 100, 100, 9, status="reuse", kind="bolt", tool="open from 8 mm: twist drill")
    assert panel(kept, keepouts=behind) == []
    assert codes(panel(opened, keepouts=behind)) == {"drill-path", "hole-tool"}


# ------------------------------------------------------------------------------- nuts, spanners
def test_bulkhead_nuts_use_the_sharp_hexagon() -> None:
    def at(spacing: float, face: NutFace = "cab") -> set[str]:
        more = {"kind": "bulkhead", "nut_circle_mm": BULKHEAD_NUT}
        return codes(
            panel(
                hole("1", 100, 100, 11.5, nut_face="both", **more),
                hole("2", 100 + spacing, 100, 11.5, nut_face=face, **more),
            )
        )

    assert "nut-clash" not in at(BULKHEAD_NUT)
    assert "nut-clash" in at(BULKHEAD_NUT - 0.01)
    # AN924's own minimum over corners, .771 in, would have let them touch
    assert "nut-clash" in at(0.771 * 25.4)
    assert "nut-clash" not in at(18, face="none")


@pytest.mark.parametrize("faces", [("none", "cab"), ("cab", "none")])
def test_a_hole_without_a_nut_is_no_nut_to_meet(faces: tuple[NutFace, NutFace]) -> None:
    """M6 nuts are 11.55 mm over corners: 5.77 mm from a nut's middle lies another hole's, but no nut."""
    pair = [nutted(str(k), 100 + 5 * k, 100, nut_face=face) for k, face in enumerate(faces)]
    assert "nut-clash" not in codes(panel(*pair))
    assert "nut-clash" in codes(panel(*(replace(h, nut_face="cab") for h in pair)))


def test_nuts_on_different_faces_do_not_meet() -> None:
    assert "nut-clash" not in codes(panel(nutted("1", 100, 100), nutted("2", 110, 100, nut_face="engine")))


def test_shared_holes_have_one_nut() -> None:
    assert codes(panel(nutted("1", 100, 100), nutted("2", 100, 100))) == {"hole-shared"}


@pytest.mark.parametrize(("edge", "fires"), [(89.01, True), (88.99, False)])
def test_spanner_against_an_obstacle(edge: float, fires: bool) -> None:
    found = panel(nutted("1", 100, 100), keepouts=(box(50, 50, edge, 150, gap_mm=14),))
    assert ("spanner-clash" in codes(found)) is fires
    assert panel(nutted("1", 100, 100), keepouts=(box(50, 50, edge, 150, gap_mm=15),)) == []


def test_spanner_against_the_outline() -> None:
    wide = {"spanner_circle_mm": 40.0}
    assert panel(nutted("1", 20, 100, **wide)) == []
    found = only(panel(nutted("1", 19.9, 100, **wide)), "spanner-clash")
    assert (found.found, found.wanted) == ("19.90 mm", "20.00 mm")


def test_what_a_nut_hits_is_not_told_twice() -> None:
    assert "spanner-clash" not in codes(panel(nutted("1", 100, 100), nutted("2", 110, 100)))
    assert "spanner-clash" not in codes(panel(nutted("1", 100, 100), keepouts=(box(101, 50, 150, 150),)))


# ---------------------------------------------------------------------------------------- parts
def test_nut_on_the_edge_of_its_own_part_is_the_parts_affair() -> None:
    own = nutted("1", 100, 100, owners=("plate",))
    assert panel(own, footprints=(foot("plate", 97, 50, 200, 150),)) == []


def test_nut_on_the_other_face_does_not_sit_on_the_part() -> None:
    found = panel(nutted("1", 100, 100), footprints=(foot("plate", 104, 50, 200, 150, face="engine"),))
    assert found == []


def test_hole_under_a_part_on_either_face() -> None:
    for face in ("cab", "engine"):
        found = panel(hole("1", 100, 100), footprints=(foot("plate", 50, 50, 200, 150, face=face),))
        assert only(found, "hole-under-part").severity is Severity.FAIL


def test_hole_half_under_a_part() -> None:
    plate = (foot("plate", 102, 50, 200, 150),)
    found = only(panel(hole("1", 100, 100), footprints=plate), "hole-under-part")
    assert (found.found, found.wanted) == ("-2.00 mm inside", "3.30 mm outside")
    assert found.advice == "move hole 1 (hole_1) 2 mm to the left, or give part plate that hole"


def test_a_part_with_a_wide_enough_hole_lets_another_pass() -> None:
    plate = (foot("plate", 50, 50, 150, 150), foot("other", 90, 90, 110, 110, face="engine"))
    bore = hole("1", 100, 100, 30, kind="bore", owners=("plate", "other"))
    inside = hole("2", 100, 100.05, 6.6, owners=("other",))
    assert "hole-under-part" not in codes(panel(bore, inside, footprints=plate))


def test_a_joined_hole_belongs_to_both_parts() -> None:
    both = (foot("plate", 50, 50, 150, 150), foot("hanger", 60, 60, 140, 140, face="engine"))
    assert panel(hole("1", 100, 100, owners=("hanger", "plate")), footprints=both) == []


def test_a_part_may_cover_what_is_blanked() -> None:
    plate = (foot("plate", 50, 50, 150, 150),)
    assert panel(old("A", 100, 100, status="blank"), footprints=plate) == []
    kept = panel(old("A", 100, 100), footprints=plate)
    found = only(kept, "hole-under-part")
    assert found.severity is Severity.FAIL
    assert found.advice == 'move part plate 60 mm to the right, or set action = "blank" for hole A (hole_a)'


def test_stacked_parts_share_all_holes() -> None:
    stack = (foot("a", 50, 50, 150, 150), foot("b", 60, 60, 140, 140))
    shared = [hole(str(n), 80 + 20 * n, 100, owners=("a", "b")) for n in (0, 1, 2)]
    assert panel(*shared, footprints=stack) == []
    found = panel(*shared, hole("9", 120, 130, owners=("a",)), footprints=stack)
    assert {"footprint-clash", "hole-under-part"} <= codes(found)


def test_overlap_says_how_far_to_move() -> None:
    found = panel(footprints=(foot("a", 50, 50, 150, 150), foot("b", 142.5, 60, 250, 140)))
    assert (found[0].found, found[0].where) == ("600 mm² overlap", "panel:firewall parts a and b, cab face")
    assert found[0].advice == "move part b 8 mm to the right, or give it and part a the same holes"


def test_an_outline_that_crosses_itself_is_still_judged() -> None:
    bow = Contour((Vertex(340, 50), Vertex(450, 150), Vertex(450, 50), Vertex(340, 150)))
    found = panel(footprints=(Footprint(part="a", face="cab", contour=bow),))
    assert only(found, "part-off-panel").found == "50.00 mm"


def test_a_kept_hole_half_covered_is_covered() -> None:
    found = only(panel(old("A", 100, 100), footprints=(foot("plate", 100, 50, 150, 150),)), "hole-under-part")
    assert found.severity is Severity.FAIL
    assert found.advice.startswith("move part plate 10 mm to the right, or set action")


def test_kept_holes_under_one_part_are_told_together() -> None:
    kept = (old("A", 80, 100, 10, name="pipe"), old("B", 130, 100, 10, name="wire"))
    found = only(panel(*kept, footprints=(foot("plate", 70, 50, 150, 150),)), "hole-under-part")
    assert found.where == "panel:firewall holes A (pipe) and B (wire) and part plate, cab face"
    assert found.advice.startswith("move part plate 55 mm up, or")
    assert found.advice.endswith('set action = "blank" for holes A (pipe) and B (wire)')


def test_parts_on_different_faces_may_overlap() -> None:
    assert panel(footprints=(foot("a", 50, 50, 150, 150), foot("b", 60, 60, 140, 140, face="engine"))) == []


def test_part_past_the_outline_says_by_how_much() -> None:
    found = only(panel(footprints=(foot("a", 350, 50, 412.5, 150),)), "part-off-panel")
    assert (found.found, found.severity) == ("12.50 mm", Severity.WARN)


@pytest.mark.parametrize(
    ("gap", "thickness", "severity"),
    [
        (0.0, {}, Severity.FAIL),
        (2.0, {}, Severity.WARN),  # 3 mm is assumed, so it only warns
        (3.0, {}, None),
        (2.0, {"a": 2.5}, Severity.FAIL),
        (2.5, {"a": 2.5}, None),
        (3.0, {"a": 4.0}, Severity.FAIL),
    ],
)
def test_part_under_an_obstacle(gap: float, thickness: dict[str, float], severity: Severity | None) -> None:
    job = layout(footprints=(foot("a", 50, 50, 150, 150),), keepouts=(box(140, 60, 200, 90, gap_mm=gap),))
    found = check_panel(job, Limits(), thickness)
    assert [f.severity for f in found if f.code == "part-on-obstacle"] == ([severity] if severity else [])


def test_part_on_a_bead_rocks() -> None:
    beads = tuple(
        box(140, 60, 200, 90, reason="bead", bead=True, name="b", face=f) for f in ("cab", "engine")
    )
    found = panel(footprints=(foot("a", 50, 50, 150, 150),), keepouts=beads)
    assert only(found, "part-on-obstacle").severity is Severity.WARN


def test_a_bead_on_both_faces_is_told_once() -> None:
    beads = tuple(
        box(90, 90, 200, 110, reason="bead", bead=True, name="b", face=f) for f in ("cab", "engine")
    )
    assert codes(panel(hole("1", 100, 100), keepouts=beads)) == {"panel-bead"}
    assert len(panel(hole("1", 100, 100), keepouts=beads)) == 1


# ---------------------------------------------------------------------------------------- notes
def test_a_hole_no_drill_meets_is_noted_and_one_that_a_drill_meets_is_not() -> None:
    words = "twist drill 9 mm, then file to 9.05 mm"
    filed = hole("1", 50, 100, 9.05, kind="insert", tool=words, filed=True)
    (found,) = panel(filed)
    assert (found.code, found.wanted) == ("hole-tool", "a drill one can buy within the hole's limits")
    assert "then file to 9.05 mm" in found.advice
    assert panel(replace(filed, tool="twist drill 9 mm", filed=False)) == []


def test_the_chuck_and_the_sheet_end_what_a_twist_drill_makes() -> None:
    # common practice: 13 mm is the chuck of a hand drill
    assert panel(hole("1", 50, 100, 13.0, kind="plain", tool="twist drill 13 mm")) == []
    (over,) = panel(hole("1", 50, 100, 13.1, kind="plain", tool="twist drill 13.1 mm (reduced shank)"))
    assert (over.code, over.limit) == ("hole-tool", 13.0)


def test_notes_are_gathered() -> None:
    found = panel(
        hole("1", 50, 100, 20, kind="bore", tool="step drill"),
        hole("2", 100, 100, 20, kind="bore", tool="step drill"),
        hole("3", 200, 100, 60, kind="bore", tool="hole saw"),
    )
    assert [(f.where, f.found, f.wanted) for f in found] == [
        ("panel:firewall hole 3 (hole_3)", "60.00 mm in 1.2 mm sheet", "13 mm for a twist drill"),
        (
            "panel:firewall holes 1 (hole_1) and 2 (hole_2)",
            "20.00 mm in 1.2 mm sheet",
            "13 mm for a twist drill",
        ),
    ]
    assert {f.code for f in found} == {"hole-tool"}
    assert {f.severity for f in found} == {Severity.NOTE}


def test_a_witness_hole_is_told_plainly() -> None:
    assert only(panel(witness_hole="nowhere"), "no-witness-hole").found == "nowhere is no existing hole"
    middle = only(
        panel(old("A", 205, 100, status="blank", name="drain"), witness_hole="drain"), "no-witness-hole"
    )
    assert middle.found == "drain is 5.00 mm beside the middle of the panel"
    assert middle.wanted == "an existing hole at least 10.00 mm beside it"


def test_a_witness_hole_must_exist_and_not_be_drilled() -> None:
    assert "no-witness-hole" in codes(panel(witness_hole=""))
    assert "no-witness-hole" in codes(panel(witness_hole="nowhere"))
    assert "no-witness-hole" in codes(panel(hole("1", 20, 200, name="new"), witness_hole="new"))


def test_gravest_first_then_code_then_place() -> None:
    found = panel(hole("2", 200, 3), hole("10", 300, 3), hole("3", 100, 13), limits=with_limit())
    keys = [(f.severity.value, f.code, f.where) for f in found]
    assert keys == [
        ("fail", "hole-off-panel", "panel:firewall hole 2 (hole_2)"),
        ("fail", "hole-off-panel", "panel:firewall hole 10 (hole_10)"),
        ("warn", "hole-edge-distance", "panel:firewall hole 3 (hole_3) and the edge"),
    ]


def test_what_an_obstacle_is_called_does_not_matter() -> None:
    called = panel(hole("1", 160, 80), keepouts=(box(140, 60, 200, 90, reason="bead"),))
    assert {"keep-out", "drill-path"} & codes(called)
    assert codes(called) == codes(panel(hole("1", 160, 80), keepouts=(box(140, 60, 200, 90, reason="pipe"),)))


@pytest.mark.parametrize(("apart", "one"), [(0.099, True), (0.11, False)])
def test_holes_a_tenth_apart_are_one(apart: float, one: bool) -> None:
    found = codes(panel(hole("1", 100, 100, 9), hole("2", 100, 100 + apart, 9)))
    assert ("hole-shared" in found) is one
    assert ("hole-ligament" in found) is not one
