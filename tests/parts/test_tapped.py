"""Threads cut in a part: the drill before the tap, the call-out, the gauge, and how thick the sheet must be."""

from __future__ import annotations

import sys
from dataclasses import replace
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parents[1] / "checks"))
from drawing.part_cases import make
from survey_jobs import threaded

from generators.drawing.inspection.items import inspected
from generators.drawing.inspection.sheet import write_inspection_sheet
from generators.drawing.part.drawing import write_part_drawing
from generators.model.plan import PartPlan
from generators.parts.building.finished_holes import tapped_hole
from generators.verify.pdf.drawing import read_part_drawing
from generators.verify.pdf.inspection import read_inspection_sheet


def tapped(thread: str = "M8") -> PartPlan:
    plan = make("fitting_plate")
    plate = plan.flanges[0]
    hole = tapped_hole("clamp_1", 30.0, 18.0, thread=thread, purpose="clamp")
    return replace(plan, flanges=(replace(plate, holes=(*plate.holes, hole)),))


# ISO 2306 in transcriptions: thread less pitch, M8 1.25 6.8, M6 1 5.0; 1/4-20 UNC number 7, 0.201 in
@pytest.mark.parametrize(
    ("thread", "drill", "words"),
    [("M8", 6.8, "tap M8x1.25"), ("M6", 5.0, "tap M6x1"), ("1/4", 5.105, "tap 1/4-20")],
)
def test_what_is_cut_before_the_tap(thread: str, drill: float, words: str) -> None:
    hole = tapped(thread).flanges[0].holes[-1]
    assert hole.finish is not None
    assert hole.diameter_mm == pytest.approx(drill, abs=0.01)
    assert hole.finish.cut_mm == hole.diameter_mm
    assert hole.finish.words.startswith(words)


def test_drawing_and_inspection_sheet_call_it_out(tmp_path: Path) -> None:
    path, plan = tmp_path / "d.pdf", tapped()
    write_part_drawing(plan, path, job_title="Toy", revision="abc1234")
    assert read_part_drawing(path, plan, job_title="Toy", revision="abc1234", rel="x").problems == ()
    other = read_part_drawing(path, tapped("M6"), job_title="Toy", revision="abc1234", rel="x")
    assert any("no note says" in p for p in other.problems)
    keys = {i.key: i.what for i in inspected(plan)}
    number = sum(len(f.holes) for f in plan.flanges)
    assert keys[f"G{number}"] == f"thread M8x1.25 of hole {number}: goes in by hand, all through"
    write_inspection_sheet(plan, path, job_title="Toy", revision="abc1234")
    assert read_inspection_sheet(path, plan, job_title="Toy", revision="abc1234", rel="x").problems == ()
    assert read_inspection_sheet(path, tapped("M6"), job_title="Toy", revision="abc1234", rel="x").problems


@pytest.mark.parametrize(
    ("metal", "thickness", "fires"),
    [
        ("S235 steel", 7.99, True),
        ("S235 steel", 8.0, False),
        ("5052-H32", 15.99, True),
        ("5052-H32", 16.0, False),
    ],
)
def test_a_thread_wants_a_diameter_of_steel_or_two_of_aluminium(
    metal: str, thickness: float, fires: bool
) -> None:
    assert bool(threaded(thickness, metal)) == fires
