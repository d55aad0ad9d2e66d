"""Welds of a part's own flanges: gap, length, leg and side by hand, in the plan, the rule and the drawing."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import pytest
from drawing.part_cases import bend

from generators.checks.part.finishing.weld_gaps import check_weld_gaps
from generators.drawing.part.drawing import write_part_drawing
from generators.drawing.part.tables.corners import corners_of
from generators.drawing.part.tables.welds import weld_lines
from generators.geometry.contours import rectangle
from generators.model.findings import Severity
from generators.model.plan import Flange, PartPlan
from generators.parts import kind_named
from generators.parts.building.mirror import mirrored
from generators.sheetmetal.folding import flat_pattern
from generators.sheetmetal.seams import seams
from generators.solve.parts import sample_plan
from generators.standards import GROWN_GAP_MM, WIDEST_GAP_MM, fillet_leg
from generators.verify.pdf.content import read_pdf
from generators.verify.pdf.welds import weld_problems

T, R = 8.0, 8.0


def corner(gap: float, thickness: float = T, over: float = 60.0) -> PartPlan:
    """A base 100 x 120 with an upright along v = 0 to its 100, and a cheek bent from that back over the base.

    The upright's frame has u from x = 100 to 0 and v up; its own bend line is R + t over the base's lower side.
    The cheek hangs on the upright's end at x = 0 and runs from ``gap`` over the base's upper face up to 50.
    """
    low = gap - R  # v of the upright that lies ``gap`` over the base's upper face
    flanges = (
        Flange(name="base", contour=rectangle(-20.0, 0.0, 100.0, 120.0)),
        Flange(name="upright", contour=rectangle(0.0, 0.0, 80.0, 50.0)),
        Flange(name="cheek", contour=rectangle(0.0, 0.0, 50.0 - low, over)),
    )
    bends = (
        bend("upright", "base", "upright", (10.0, 0.0), (90.0, 0.0), 90.0, "up", R),
        bend("cheek", "upright", "cheek", (80.0, low), (80.0, 50.0), 90.0, "up", R),
    )
    return PartPlan(
        name="p",
        kind="t",
        title="t",
        material="S235 steel",
        thickness_mm=thickness,
        flanges=flanges,
        bends=bends,
        welds=(("cheek", "base"),),
    )


@pytest.mark.parametrize("gap", [0.0, 1.0, 1.5])
def test_the_gap_is_what_bends_and_flat_leave(gap: float) -> None:
    ((_, seam),) = seams(corner(gap))
    assert seam is not None
    assert seam.upper
    assert seam.gap_mm == pytest.approx(gap, abs=1e-9)
    assert seam.most_mm == pytest.approx(gap, abs=1e-9)
    # the cheek is 60 deep behind its bend, over a base that reaches on
    assert seam.length_mm == pytest.approx(60.0)


# AWS D1.1: up to 6 mm a leg of 3, up to 12 of 5, up to 20 of 6, over it 8; no more than the sheet
@pytest.mark.parametrize(
    ("thickness", "leg"),
    [(2.0, 2.0), (3.0, 3.0), (6.0, 3.0), (6.01, 5.0), (12.0, 5.0), (12.01, 6.0), (25.0, 8.0)],
)
def test_least_legs_by_thickness(thickness: float, leg: float) -> None:
    assert fillet_leg(thickness) == leg


# 1/16 in = 1.5875 mm, 3/16 in = 4.7625 mm
@pytest.mark.parametrize(
    ("gap", "severity", "leg"),
    [(1.58, None, 5.0), (1.6, Severity.WARN, 6.6), (4.75, Severity.WARN, 9.75), (4.77, Severity.FAIL, 9.77)],
)
def test_a_gap_too_wide_is_refused(gap: float, severity: Severity | None, leg: float) -> None:
    assert pytest.approx((1.5875, 4.7625)) == (GROWN_GAP_MM, WIDEST_GAP_MM)
    plan = corner(gap)
    assert [f.severity for f in check_weld_gaps(plan)] == ([severity] if severity else [])
    ((_, seam),) = seams(plan)
    assert seam is not None
    assert seam.leg_mm == pytest.approx(leg)


def test_an_edge_that_comes_near_nothing_fails() -> None:
    (found,) = check_weld_gaps(corner(9.0))
    assert found.severity is Severity.FAIL
    assert "no straight edge" in found.found


def test_no_room_for_the_leg_is_said() -> None:
    # the cheek's faces stand at x = 10 - R and R + T outward of it: the base reaches to -20 and to 100; cut off
    # at the cheek's outside it has no room there, but inside
    plan = corner(1.0)
    ((_, seam),) = seams(plan)
    assert seam is not None
    assert set(seam.sides) == {"upper", "lower"}
    flush = replace(
        plan,
        flanges=(replace(plan.flanges[0], contour=rectangle(-6.0, 0.0, 100.0, 120.0)), *plan.flanges[1:]),
    )
    ((_, seam),) = seams(flush)
    assert seam is not None
    assert seam.sides == ("upper",)


@pytest.mark.parametrize(("kind", "count"), [("slave_bracket", 2), ("stop_bracket", 1)])
def test_the_kinds_that_are_welded_say_so_on_the_drawing(kind: str, count: int, tmp_path: Path) -> None:
    plan = sample_plan(kind)[0]
    assert kind_named(kind).name == kind
    path = tmp_path / "d.pdf"
    write_part_drawing(plan, path, job_title="x", revision="abc1234")
    text = " ".join(page.text for page in read_pdf(path).pages)
    assert len(set(re.findall(r"WELD (\d)", text))) == count
    # both kinds leave 1 mm, bent within 0.5
    assert text.count("Gap 1.0 mm, 0.5 to 1.5 as bent.") >= count
    assert list(weld_problems(text, plan)) == []
    assert list(check_weld_gaps(plan)) == []
    for was, now, said in (
        ("Gap 1.0", "Gap 1.2", "folded it is 1.00"),
        ("to 1.5 as", "to 1.7 as", "by the tolerance"),
        ("leg z", "leg z1", "by the table"),
        ("WELD", "weld", "says nothing"),
    ):
        assert any(said in p for p in weld_problems(text.replace(was, now), plan)), now


def test_the_words_name_the_edge_by_the_drawing_s_letters() -> None:
    plan = sample_plan("slave_bracket")[0]
    corners = {c.letter: c for c in corners_of(flat_pattern(plan).contour)}
    first, _ = weld_lines(plan, tuple(corners.values()))
    match = re.match(r"WELD 1: edge ([a-z]) to ([a-z]) of right gusset to the upper side of base", first)
    assert match is not None
    # the foot of the right gusset runs away from the upright: on the blank square to the bend, straight to the right
    one, two = (corners[letter].place for letter in match.groups())
    assert one[1] == pytest.approx(two[1])
    assert min(one[0], two[0]) > 0


def test_the_other_hand_is_welded_alike() -> None:
    plan = sample_plan("slave_bracket")[0]
    other = mirrored(plan)
    assert set(other.welds) == {("left_gusset", "base"), ("right_gusset", "base")}
    for (_, one), (_, two) in zip(seams(plan), seams(other), strict=True):
        assert one is not None
        assert two is not None
        assert (two.gap_mm, two.length_mm, two.sides) == (
            pytest.approx(one.gap_mm),
            pytest.approx(one.length_mm),
            one.sides,
        )
