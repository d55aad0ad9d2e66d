"""Welds of a part's own flanges: gap, length, leg and side by hand, in the plan, the rule and the drawing."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import pytest
from drawing.part_cases import bend, make

from generators.checks.part.finishing.weld_gaps import check_weld_gaps
from generators.drawing.part.drawing import write_part_drawing
from generators.drawing.part.tables.corners import corners_of
from generators.drawing.part.tables.openings import number_openings
from generators.drawing.part.tables.welds import weld_lines
from generators.geometry.contours import rectangle
from generators.model.findings import Severity
from generators.model.plan import Flange, PartPlan
from generators.parts import kind_named
from generators.parts.building.mirror import mirrored
from generators.sheetmetal.folding import flat_pattern
from generators.sheetmetal.seams import never_past, seams, sheet_for, thickness_limits
from generators.solve.parts import sample_plan
from generators.standards import GROWN_GAP_MM, WIDEST_GAP_MM, fillet_leg, general_deviation_mm
from generators.verify.pdf.content import PdfFile, read_pdf
from generators.verify.pdf.welds import past_problems, weld_place_problems, weld_problems

T, R = 8.0, 8.0


def drawn(plan: PartPlan, tmp_path: Path) -> PdfFile:
    path = tmp_path / "d.pdf"
    write_part_drawing(plan, path, job_title="x", revision="abc1234")
    return read_pdf(path)


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


def test_what_bends_and_blank_do_to_the_gap_by_hand() -> None:
    """The upright's bent length is off by 0.5, the cheek's own bend moves its edge along the base. On the blank the
    edge lies gap - 8 from the tangent line, whose bend is (8 + 0.42 x 8) pi / 2 = 17.84 wide: 8.92 + 1 - 8 = 1.92
    from its middle, so ISO 2768-1 m gives 0.1. The far end is 60 from the upright's axis: 60 sin 1 degree.
    """
    ((_, seam),) = seams(corner(1.0))
    assert seam is not None
    assert seam.play_mm == pytest.approx(0.6)
    assert (seam.least_mm, seam.worst_mm) == (pytest.approx(0.32), pytest.approx(2.0))
    # nothing is left for a thicker sheet: 0.08, a hundredth of it; over 1/16 in the leg grows with the gap, and a
    # thinner one may be what the upright's outside length leaves beside blank, stop and bend, which have 0.1, 0.1 and a
    # degree of 8 / 2 + 8 (1 - 0.21), as squares 0.229: (0.5 - 0.229) / (1 - 0.42 pi / 4) = 0.404, to hundredths
    assert thickness_limits(corner(1.0)) == pytest.approx((-0.4, 0.08))
    # a degree past square: 8 + (0.5 - 8) cos 1 - 60.77 sin 1 - 0.1 on the blank; and a degree short of it, at the
    # rim that stays nearer: 8 + (1.5 - 8) cos 1 + 60.63 sin 1 + 0.1
    assert seam.closest_mm == pytest.approx(-0.659 - 0.08, abs=0.001)
    assert seam.widest_mm == pytest.approx(2.659 + 0.4, abs=0.001)
    # ISO 2768-1, table 1
    assert general_deviation_mm("ISO 2768-1 c", 45.0) == 0.8
    assert general_deviation_mm("ISO 2768-1 m", 30.01) == 0.3
    assert general_deviation_mm("ISO 2768-1 f", 30.0) == 0.1


# 1/16 in = 1.5875 mm, 3/16 in = 4.7625 mm, less the 0.6 it may come out wider and 0.08 of a sheet no nearer than a
# hundredth; over the one the leg takes in a sheet 0.4 thinner as well, at the other it is held to hundredths
@pytest.mark.parametrize(
    ("gap", "severity", "leg"),
    [(0.9, None, 5.0), (0.92, Severity.WARN, 6.92), (4.07, Severity.WARN, 9.76), (4.09, Severity.FAIL, 9.77)],
)
def test_a_gap_too_wide_is_refused(gap: float, severity: Severity | None, leg: float) -> None:
    assert pytest.approx((1.5875, 4.7625)) == (GROWN_GAP_MM, WIDEST_GAP_MM)
    plan = never_past(corner(gap))
    assert [f.severity for f in check_weld_gaps(plan)] == ([severity] if severity else [])
    ((_, seam),) = seams(plan)
    assert seam is not None
    assert seam.leg_mm == pytest.approx(leg)


@pytest.mark.parametrize(
    ("gap", "thin", "thick"), [(0.8, -0.18, 0.08), (0.85, -0.13, 0.13), (0.75, -0.23, 0.08)]
)
def test_a_sheet_is_no_thicker_than_the_gap_leaves(gap: float, thin: float, thick: float) -> None:
    """By hand: outside lengths held, each mm of the sheet takes one of the gap. Bends that are never past square
    leave 0.6 of it, a degree short of square 0.02 more at the near end, 0.1 stays free, 1.5875 is the most: gap -
    0.72 thicker, but a hundredth at least, and 0.9875 - gap thinner, in hundredths.
    """
    plan = never_past(corner(gap))
    ((_, seam),) = seams(plan)
    assert seam is not None
    assert seam.per_mm == pytest.approx(-1.0)
    assert thickness_limits(plan) == pytest.approx((thin, thick))
    assert (seam.least_mm, seam.worst_mm) == pytest.approx((gap - 0.6 - thick, gap + 0.6 - thin))
    assert sheet_for(plan) == (1,)
    # without a weld what the outside lengths leave, 0.404; half way to the next sheets, 6 and 10, is 1.0
    bare = replace(plan, welds=())
    assert thickness_limits(bare) == pytest.approx((-0.4, 0.4))
    assert sheet_for(bare) == ()


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


# 1.6 and a degree short of square: 66.6 and 46.6 from the upright's axis, the bend's radius with them
@pytest.mark.parametrize(
    ("kind", "count", "widest"), [("slave_bracket", 2, "2.7"), ("stop_bracket", 1, "2.4")]
)
def test_the_kinds_that_are_welded_say_so_on_the_drawing(
    kind: str, count: int, widest: str, tmp_path: Path
) -> None:
    plan = sample_plan(kind)[0]
    assert kind_named(kind).name == kind
    path = tmp_path / "d.pdf"
    write_part_drawing(plan, path, job_title="x", revision="abc1234")
    text = " ".join(page.text for page in read_pdf(path).pages)
    assert len(set(re.findall(r"WELD (\d)", text))) == count
    # both kinds leave 0.8 mm, bent within 0.5 and cut within 0.1; of what is left to 0.1 and to 1.5875 the sheet
    # takes hundredths
    gap = f"Gap 0.8 mm; as bent 0.1 to {widest} mm along the edge; clamped square 0 to 1.58 mm: tack,"
    assert text.count(gap) >= count
    assert list(weld_problems(text, plan)) == []
    assert list(past_problems(text, plan)) == []
    # the bend lies by a length held from the upright's far end: so must the edge, as near as the gap counts it
    cut = re.search(r"Cut it ([\d.]+) to ([\d.]+) mm from edge [a-z] to [a-z]\.", text)
    assert cut is not None
    assert float(cut[2]) - float(cut[1]) == pytest.approx(0.2)
    moved = text.replace(cut[0], cut[0].replace(cut[1], f"{float(cut[1]) + 0.1:.2f}"))
    assert any("its edge is cut at" in p for p in weld_problems(moved, plan))
    assert any("cut to no limits" in p for p in weld_problems(text.replace(cut[0] + " ", ""), plan))
    shut = "WELD 1 and 2" if count == 2 else "WELD 1"
    limits = "bent by 89° to 90° once sprung back, never past (90° to 91° between the faces)"
    held = f"Bend upright: {limits}, or the gap of {shut} closes."
    for was, now, said in (
        (held, "", "does not say that it may be 89° to 90° only"),
        ("89° to 90°", "89° to 91°", "it may be 89° to 90°"),
        # a protractor between the faces reads what is left of 180 degrees
        ("90° to 91° between", "89° to 90° between", "89° to 90° between the faces; that is 90° to 91°"),
        (" (90° to 91° between the faces)", "", "does not say that it may be 89° to 90° only"),
        (shut, "WELD 3", "past its angle it closes the gap of 1"),
        ("between the faces of the two", "between the two", "does not say of its bends"),
        ("Bend upright:", "Bend upright, other:", "limits the angle of other"),
    ):
        assert was in text
        assert any(said in p for p in past_problems(text.replace(was, now), plan)), now
    assert list(check_weld_gaps(plan)) == []
    for was, now, said in (
        ("Gap 0.8", "Gap 1.0", "folded it is 0.80"),
        ("to 1.58 mm: tack", "to 1.59 mm: tack", "its leg is for 1.587"),
        ("to 1.58 mm: tack", "to 1.48 mm: tack", "its leg is for 1.587"),
        ("square 0 to", "square 0.40 to", "faces that touch"),
        ("over that to 4.76", "over that to 6.00", "of a wider gap"),
        ("; over that to 4.76 mm with a leg of 3 mm and the gap", "", "of a wider gap 'nothing'"),
        ("as bent 0.1", "as bent 0.4", "at its closest"),
        (f"to {widest} mm along", "to 3.3 mm along", "at its widest"),
        ("leg z", "leg z1", "by the table"),
        ("sheet is 2.82 to", "sheet is 2.50 to", "a sheet 2.50 mm thick; there is left 2.82"),
        ("to 3.10 mm thick", "to 3.50 mm thick", "a sheet 3.50 mm thick; there is left 3.10"),
        (f"For the gap of {shut} the", "For the gap of WELD 7 the", "is said for the gap of WELD 7"),
        ("and cut this part of no other", "ask", "the thickness is said for nothing"),
        ("WELD", "weld", "says nothing"),
    ):
        assert any(said in p for p in weld_problems(text.replace(was, now), plan)), now


@pytest.mark.parametrize("kind", ["slave_bracket", "stop_bracket"])
def test_further_sheets_refer_to_the_welds_of_the_first(kind: str, tmp_path: Path) -> None:
    """The long words need the letters of the flat view: they stand beside it, and once."""
    plan, path = sample_plan(kind)[0], tmp_path / "d.pdf"
    write_part_drawing(plan, path, job_title="x", revision="abc1234", paper="A4")
    first, *others = read_pdf(path).pages
    full = [len(re.findall(r"WELD \d: edge", page.text)) for page in (first, *others)]
    assert full == [len(plan.welds), *(0 for _ in others)]
    for page in others:
        assert "and what holds for them: in full on sheet 1." in " ".join(page.text.split())
        assert "ONCE WELDED" not in page.text
    assert list(weld_place_problems([first, *others])) == []
    assert any("does not say" in p for p in weld_place_problems([first, replace(first)]))
    assert any("sheet 2 has" in p for p in weld_place_problems([first, first]))
    if others:
        assert any("sheet 1 has 0 welds" in p for p in weld_place_problems([others[0], first]))


def test_a_leg_of_half_a_millimetre_more_is_read_to_its_end(tmp_path: Path) -> None:
    # no leg is larger than the sheet is thick
    plan = replace(sample_plan("slave_bracket")[0], thickness_mm=2.5)
    text = " ".join(page.text for page in drawn(plan, tmp_path).pages)
    assert "over that to 4.76 mm with a leg of 2.5 mm and the gap" in text
    assert not [p for p in weld_problems(text, plan) if "of a wider gap" in p]


def test_the_words_name_the_edge_by_the_drawing_s_letters() -> None:
    plan = sample_plan("slave_bracket")[0]
    corners = {c.letter: c for c in corners_of(flat_pattern(plan).contour)}
    first, *_ = weld_lines(plan, tuple(corners.values()))
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


# gussets 110 apart in 4 mm are 118 over their outsides; a bent length may be off by 0.5, the base's width by 0.3 up to
# 120 and 0.5 above (ISO 2768-1 m)
@pytest.mark.parametrize(
    ("wide", "said"),
    [
        (118.0, "base ends flush with it there, ±0.8 mm: it may stand proud or short. "),
        (119.0, "base ends 0.5 mm past it there, ±0.8 mm: it may stand proud or short. "),
        (122.0, "base ends 2.0 mm past it there, ±1.0 mm. "),
        (136.0, ""),
    ],
)
def test_where_the_base_ends_under_a_leg_no_fillet_is_laid(wide: float, said: str) -> None:
    plan = make("slave_bracket", t=4.0, base_width_mm=wide)
    flat = flat_pattern(plan)
    words = list(weld_lines(plan, corners_of(flat.contour, number_openings(plan, flat, 0.0))))
    for weld in words[:2]:
        assert ("No fillet on its lower side: " + said in weld) if said else ("No fillet" not in weld)
        assert (" on the upper side of " in weld.split("leg z")[1]) == bool(said)
    text = " ".join(words)
    assert list(weld_problems(text, plan)) == []
    if said:
        dropped = text.replace(f"No fillet on its lower side: {said}", "")
        assert any(
            "no fillet on its no side; there is no room on lower" in p for p in weld_problems(dropped, plan)
        )
        for other in ("±2.5 mm", "±0.1 mm"):
            moved = re.sub(r"±[\d.]+ mm(?=[:.])", other, text)
            assert any("ends there within" in p for p in weld_problems(moved, plan))
