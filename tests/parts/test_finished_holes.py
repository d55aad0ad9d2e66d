"""Countersunk, drawn and flow-drilled holes, nuts and studs: sizes by hand, solid, drawing, sheet, rules."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import pytest
from parts.finished_plates import angle, holes, insert, plate

from generators.checks.part.finishing.fitted import check_fitted, tool_limits_mm
from generators.drawing.bending.words import finish_lines
from generators.drawing.inspection.items import inspected
from generators.drawing.inspection.sheet import write_inspection_sheet
from generators.drawing.part.drawing import write_part_drawing
from generators.errors import GeometryFault
from generators.model.findings import Severity
from generators.model.plan import Hole, PartPlan
from generators.model.spec.shop import Shop
from generators.parts.building.finished_holes import (
    collar_of,
    countersunk_hole,
    extruded_hole,
    flow_drilled_hole,
)
from generators.parts.building.mirror import mirrored
from generators.sheetmetal.folding import flat_pattern
from generators.sheetmetal.volume import folded_volume
from generators.solids.files.step import write_step
from generators.standards import Trust, sheet_insert, sheet_insert_rows, sunk_head, sunk_head_rows
from generators.verify.pdf.bending.beside import finish_problems
from generators.verify.pdf.drawing import read_part_drawing
from generators.verify.pdf.inspection import read_inspection_sheet
from generators.verify.step.solid import read_step


def codes(plan: PartPlan, shop: Shop | None = None) -> list[tuple[str, Severity]]:
    return [(f.code, f.severity) for f in check_fitted(plan, shop or Shop())]


def moved(hole: Hole, v: float) -> Hole:
    return replace(hole, v_mm=v)


# ISO 10642, theoretical sharp head, and ASME B18.3 (public transcriptions); DIN 929; public tables of pressed studs
def test_tables_as_published() -> None:
    heads = {"M4": 8.96, "M5": 11.2, "M6": 13.44, "M8": 17.92, "M10": 22.4, "M12": 26.88}
    assert {t: sunk_head(t).head_mm for t in heads} == pytest.approx(heads)
    assert sunk_head("1/4").head_mm == pytest.approx(0.531 * 25.4)
    assert {round(math.degrees(r.angle_rad)) for r in sunk_head_rows()} == {82, 90}
    welded = {"M5": (7.0, 4.0), "M6": (8.0, 5.0), "M8": (10.5, 6.5), "M10": (12.5, 8.0)}
    for thread, sizes in welded.items():
        row = sheet_insert("weld_nut", thread)
        assert (row.hole_mm, row.height_mm) == sizes
    # DIN 929 gives each size a range of sheets, which begins at 1.25 and 1.5 for these two (from memory)
    assert {t: sheet_insert("weld_nut", t).least_sheet_mm for t in ("M10", "M12")} == {
        "M10": 1.25,
        "M12": 1.5,
    }
    studs = {"M4": (4.0, 1.0), "M5": (5.0, 1.0), "M6": (6.0, 1.6), "M8": (8.0, 2.4)}
    for thread, found in studs.items():
        row = sheet_insert("press_stud", thread)
        assert (row.hole_mm, row.least_sheet_mm) == found
    pressed = {"M4": 5.4, "M5": 6.4, "M6": 8.75, "M8": 10.5, "M10": 14.0}
    assert {t: sheet_insert("press_nut", t).hole_mm for t in pressed} == pressed
    assert {r.trust for r in sheet_insert_rows() if r.kind == "press_nut"} == {Trust.MEMORY_UNSURE}


def test_a_countersink_by_hand() -> None:
    """M6, ISO 273 medium 6.6: (13.44 - 6.6) / 2 = 3.42 deep at 90 degrees."""
    keys = {"thread": "M6", "fit": "medium", "side": "upper", "purpose": "x"}
    sunk = countersunk_hole("s", 0.0, 0.0, thickness_mm=4.0, **keys)  # type: ignore[arg-type]
    assert sunk.finish is not None
    assert sunk.finish.sink is not None
    assert sunk.finish.sink.depth_mm(sunk.diameter_mm) == pytest.approx(3.42)
    countersunk_hole("s", 0.0, 0.0, thickness_mm=3.48, **keys)  # type: ignore[arg-type]
    with pytest.raises(GeometryFault, match=r"3\.42 mm deep"):
        countersunk_hole("s", 0.0, 0.0, thickness_mm=3.46, **keys)  # type: ignore[arg-type]


def test_a_collar_is_of_the_metal_that_was_there() -> None:
    """M6 in 2 mm: bore 5, pilot 2.5, outside 5 + 2 = 7; 2 (25 - 6.25) / (49 - 25) = 1.5625 high."""
    pilot, ring = collar_of(5.0, 6.0, 2.0)
    assert (pilot, ring.outside_mm, ring.height_mm) == pytest.approx((2.5, 7.0, 1.5625))
    for bore, major, t in ((3.3, 4.0, 1.0), (5.0, 6.0, 1.0), (6.8, 8.0, 3.0), (8.5, 10.0, 4.0)):
        pilot, ring = collar_of(bore, major, t)
        before = (bore**2 - pilot**2) * t
        assert (ring.outside_mm**2 - bore**2) * ring.height_mm == pytest.approx(before)
        assert ring.height_mm <= 1.06 * t  # a pilot comes in tenths: a little more than the sheet at most
        assert ring.outside_mm >= major + t / 2


def test_a_flow_drilled_hole_keeps_its_metal_and_gives_three_sheets_of_thread() -> None:
    hole = flow_drilled_hole("f", 0.0, 0.0, thread="M8", side="lower", purpose="x", thickness_mm=3.0)
    assert hole.finish is not None
    assert hole.finish.ring is not None
    assert hole.diameter_mm == pytest.approx(7.4)  # 8 - 1.25 / 2 = 7.375, to 0.05
    assert hole.finish.ring.height_mm + 3.0 == pytest.approx(9.0)
    rise = (hole.finish.ring.outside_mm**2 - 7.4**2) * 6.0
    assert rise == pytest.approx((7.4**2 - hole.finish.cut_mm**2) * 3.0)


@pytest.mark.parametrize("side", ["upper", "lower"])
def test_the_solid_has_them_and_no_more(tmp_path: Path, side: str) -> None:
    plan = angle(*holes(3.0, side), t=3.0)  # type: ignore[arg-type]
    sunk, drawn, flow, *_ = plan.flanges[0].holes
    plain = replace(plan, flanges=tuple(replace(f, holes=()) for f in plan.flanges))
    bores = sum(math.pi / 4 * h.diameter_mm**2 * 3.0 for h in plan.flanges[0].holes)
    # the frustum of a cone from 11.2 to 5.5 over 2.85, less the bore in it
    cone = math.pi * 2.85 / 3 * (5.6**2 + 5.6 * 2.75 + 2.75**2) - math.pi * 2.75**2 * 2.85
    rings = sum(
        math.pi / 4 * (h.finish.ring.outside_mm**2 - h.diameter_mm**2) * h.finish.ring.height_mm
        for h in (drawn, flow)
        if h.finish and h.finish.ring
    )
    assert sunk.diameter_mm == 5.5
    assert folded_volume(plan) == pytest.approx(folded_volume(plain) - bores - cone + rings)
    path = tmp_path / "p.step"
    write_step(plan=plan, path=path, revision="abc1234", job="Toy")
    assert read_step(path, plan, rel="x").problems == ()
    other = angle(*holes(3.0, "lower" if side == "upper" else "upper"), t=3.0)
    assert any("ring round hole drawn" in p for p in read_step(path, other, rel="x").problems)


def test_the_blank_has_what_is_cut_first() -> None:
    cut = {h.name: h.diameter_mm for h in flat_pattern(angle(*holes(2.9), t=2.9)).holes}
    assert cut == {
        "sunk": 5.5,
        "drawn": 2.5,
        "flow": 1.5,
        "press_nut": 8.75,
        "weld_nut": 8.0,
        "press_stud": 6.0,
    }


def test_drawing_and_inspection_sheet_say_it_and_are_read_back(tmp_path: Path) -> None:
    plan, path = angle(*holes(3.0), t=3.0), tmp_path / "d.pdf"
    write_part_drawing(plan, path, job_title="Toy", revision="abc1234")
    assert read_part_drawing(path, plan, job_title="Toy", revision="abc1234", rel="x").problems == ()
    for wrong in (angle(*holes(3.0, "lower"), t=3.0), angle(*holes(3.1), t=3.1)):
        said = read_part_drawing(path, wrong, job_title="Toy", revision="abc1234", rel="x").problems
        assert any("no note says that hole 2" in p for p in said)
    keys = {i.key: i for i in inspected(plan)}
    assert {"C1", "K2", "G2", "K3", "G3", "N4", "N5", "N6"} <= keys.keys()
    assert [k for k in ("C1", "K2", "N4", "N5", "N6") if keys[k].bent] == ["N5"]
    assert (keys["C1"].least, keys["C1"].most) == pytest.approx((11.2, 11.5))
    write_inspection_sheet(plan, path, job_title="Toy", revision="abc1234")
    assert read_inspection_sheet(path, plan, job_title="Toy", revision="abc1234", rel="x").problems == ()
    other = angle(*holes(3.0, "lower"), t=3.0)
    assert read_inspection_sheet(path, other, job_title="Toy", revision="abc1234", rel="x").problems


def test_the_setup_sheet_says_what_comes_before_and_after() -> None:
    plan = angle(*holes(3.0), t=3.0)
    text = " ".join(finish_lines(plan))
    assert "BEFORE BENDING" in text
    assert "AFTER BENDING, by the numbers of the drawing: weld on the nut: 5." in text
    assert not list(finish_problems(text, plan))
    late = replace(plan.flanges[0].holes[3], finish=plan.flanges[0].holes[4].finish)
    first = replace(plan.flanges[0], holes=(*plan.flanges[0].holes[:3], late, *plan.flanges[0].holes[4:]))
    assert len(list(finish_problems(text, replace(plan, flanges=(first, plan.flanges[1]))))) == 2


def test_the_other_hand_keeps_the_side() -> None:
    plan = angle(*holes(3.0, "lower"), t=3.0)
    sides = [h.finish.side for h in mirrored(plan).flanges[0].holes if h.finish]
    assert sides == ["lower"] * 6
    assert folded_volume(mirrored(plan)) == pytest.approx(folded_volume(plan))


@pytest.mark.parametrize(
    ("kind", "thread", "t", "fires"),
    [
        ("press_stud", "M6", 1.59, True),  # public tables: 1.6 at least
        ("press_stud", "M6", 1.6, False),
        ("press_nut", "M6", 1.39, True),
        ("press_nut", "M6", 1.4, False),
        ("weld_nut", "M8", 0.99, True),
        ("weld_nut", "M8", 1.0, False),
    ],
)
def test_the_sheet_is_thick_enough(kind: str, thread: str, t: float, fires: bool) -> None:
    found = codes(plate(insert(kind, thread=thread), t=t))
    assert found == ([("insert-sheet", Severity.FAIL)] if fires else [])


@pytest.mark.parametrize(
    ("away", "severity"), [(7.91, None), (7.89, Severity.WARN), (4.11, Severity.WARN), (4.09, Severity.FAIL)]
)
def test_a_stud_keeps_its_distance_to_the_edge(away: float, severity: Severity | None) -> None:
    """Public tables: M6 7.9 from an edge; its head is 8.2 wide."""
    found = codes(plate(insert("press_stud", v=40.0 - away)))
    assert found == ([("insert-edge", severity)] if severity else [])


@pytest.mark.parametrize(("metal", "fires"), [("5052-H32", True), ("S235 steel", False)])
def test_a_steel_nut_is_welded_to_steel(metal: str, fires: bool) -> None:
    assert codes(plate(insert("weld_nut"), material=metal)) == (
        [("weld-nut-metal", Severity.FAIL)] if fires else []
    )


@pytest.mark.parametrize(("t", "fires"), [(2.75, False), (2.76, True)])
def test_a_flow_drill_goes_through_half_its_width(t: float, fires: bool) -> None:
    """M6: formed in 6 - 1 / 2 = 5.5."""
    hole = flow_drilled_hole("f", 0.0, 0.0, thread="M6", side="upper", purpose="x", thickness_mm=t)
    assert codes(plate(hole, t=t)) == ([("flow-sheet", Severity.WARN)] if fires else [])


@pytest.mark.parametrize(
    ("away", "severity"), [(8.51, None), (8.49, Severity.WARN), (4.51, Severity.WARN), (4.49, Severity.FAIL)]
)
def test_a_collar_keeps_three_sheets_to_the_edge(away: float, severity: Severity | None) -> None:
    """M6 in 2 mm: bore 5, so 2.5 + 3 x 2 from its middle."""
    hole = extruded_hole("c", 0.0, 40.0 - away, thread="M6", side="upper", purpose="x", thickness_mm=2.0)
    assert codes(plate(hole, t=2.0)) == ([("collar-edge", severity)] if severity else [])


def test_what_stands_keeps_clear_of_punch_and_die() -> None:
    """2 mm, V 16: the plain die is 16 + 2 x 5 = 26 wide. Punch 14 wide at its narrowest, a nut 4.1 high, 90 degrees:
    (7 + 4.1 x 0.7071) / 0.7071 = 14.0."""
    plan = angle(insert("press_nut"))
    die, punch = tool_limits_mm(plan, Shop(), math.pi / 2, 4.1)
    assert (die, punch) == pytest.approx((13.0, 7 * math.sqrt(2) + 4.1))
    strip = math.pi / 2 * (2.0 + 0.42 * 2.0)
    for up, limit in ((True, punch), (False, die)):
        v = -40.0 - strip / 2 + limit + 11.1 / 2
        for off, wanted in ((0.01, []), (-0.01, [("stands-at-bend", Severity.WARN)])):
            assert codes(angle(moved(insert("press_nut"), v + off), up=up)) == wanted
        # welded on after bending it is not there when the tools are
        assert codes(angle(moved(insert("weld_nut"), v - 0.01), up=up)) == []
