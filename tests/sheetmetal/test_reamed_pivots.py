"""Pivot bores reamed in line: the pilot by hand and by brute force, the blank, the notes, what passes."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import ezdxf
import numpy as np
import pytest
from parts.plans_in_space import plan_of

from generators.checks.part.pivots import check_pivots
from generators.drawing.dxf.flat import write_flat_dxf
from generators.drawing.part.drawing import write_part_drawing
from generators.errors import GeometryFault
from generators.model.findings import Severity
from generators.model.plan import PartPlan
from generators.parts.building.pivots.pressed import pilot_mm, with_pivots
from generators.parts.pedal_hanger import PedalHanger
from generators.sheetmetal.folding import flat_pattern
from generators.sheetmetal.in_line import pivot_note, pivot_pairs
from generators.verify.pdf.drawing import read_part_drawing

OFFSET_MM = 2 * math.hypot(0.5, 0.2)
"""Both bores off the opposite way by the plan's 0.5 mm along and 0.2 mm across."""


def made(**keys: object) -> PartPlan:
    plan = plan_of("pedal_hanger", inside_width_mm=90.0, pivot_bore_mm=keys.get("pivot_bore_mm", 16.0))
    return with_pivots(plan, PedalHanger(**{"pivot_build": "reamed", **keys}))  # type: ignore[arg-type]


def pivots(plan: PartPlan) -> list:
    return [h for f in plan.flanges for h in f.holes if h.name.startswith("pivot")]


def worst_reach(pilot_mm: float, thickness_mm: float, apart_mm: float) -> float:
    """How far a pilot that is off and leans at worst reaches from the line of the reamer, by its rims."""
    lean = math.radians(1) + math.atan2(OFFSET_MM, apart_mm)
    turns = np.linspace(0.0, 2 * math.pi, 721)
    most = 0.0
    for w in (-thickness_mm / 2, thickness_mm / 2):
        # a round rim in the sheet's plane, the sheet turned about v, its middle off along u
        u, v = pilot_mm / 2 * np.cos(turns), pilot_mm / 2 * np.sin(turns)
        x = OFFSET_MM / 2 + u * math.cos(lean) + w * math.sin(lean)
        most = max(most, float(np.hypot(x, v).max()))
    return most


def test_a_pilot_is_cleaned_up_at_worst() -> None:
    """By hand, 3 mm sheet, W 93: 16 - 1.077 - 3 tan 1.66° = 14.836, x cos 1.66° = 14.83: a pilot of 14.5."""
    plan = made()
    (pair,) = pivot_pairs(plan_of("pedal_hanger", inside_width_mm=90.0, pivot_bore_mm=16.0))
    assert pair.apart_mm == pytest.approx(93.0)
    lean = math.radians(1) + math.atan2(OFFSET_MM, 93.0)
    assert (16 - OFFSET_MM - 3 * math.tan(lean)) * math.cos(lean) == pytest.approx(14.83, abs=0.005)
    assert {h.finish.cut_mm for h in pivots(plan)} == {14.5}
    assert worst_reach(14.5, 3.0, 93.0) <= 8.0
    # the next step would leave some of its rim
    assert worst_reach(15.0, 3.0, 93.0) > 8.0


@pytest.mark.parametrize("bore", [10.0, 12.5, 16.0, 25.0, 40.0])
@pytest.mark.parametrize("thickness", [2.0, 4.0, 8.0])
def test_every_pilot_lies_within_the_finished_bore(bore: float, thickness: float) -> None:
    plan = replace(plan_of("pedal_hanger", inside_width_mm=90.0, pivot_bore_mm=bore), thickness_mm=thickness)
    (pair,) = pivot_pairs(plan)
    assert worst_reach(pilot_mm(plan, bore), thickness, pair.apart_mm) <= bore / 2 + 1e-9


def test_the_blank_has_the_pilot_and_the_part_the_bore(tmp_path: Path) -> None:
    plan = made()
    assert {h.diameter_mm for h in pivots(plan)} == {16.0}
    assert {h.diameter_mm for h in flat_pattern(plan).holes if h.name.startswith("pivot")} == {14.5}
    write_flat_dxf(plan, tmp_path / "f.dxf", revision="abc1234")
    cut = [e.dxf.radius for e in ezdxf.readfile(tmp_path / "f.dxf").modelspace().query("CIRCLE")]
    assert sorted(r for r in cut if r in (7.25, 8.0)) == [7.25, 7.25]


def test_the_drawing_calls_out_pilot_ream_and_class(tmp_path: Path) -> None:
    """16 H7 is +0.018/0, 16 H8 +0.027/0 (ISO 286-1)."""
    path = tmp_path / "d.pdf"
    for name, upper in (("H7", 0.018), ("H8", 0.027)):
        plan = made(pivot_class=name)
        assert (
            f"pilot, cut Ø 14.5; after bending open in line with the other and ream Ø 16 {name} (+{upper}/0)"
            in {h.finish.words for h in pivots(plan)}
        )
        assert "pilots of 14.5 mm in the flat" in pivot_note(plan)
        write_part_drawing(plan, path, job_title="Toy", revision="abc1234")
        read = read_part_drawing(path, plan, job_title="Toy", revision="abc1234", rel="x")
        assert read.problems == ()
    other = read_part_drawing(path, made(pivot_class="H7"), job_title="Toy", revision="abc1234", rel="x")
    assert any("no note says that hole" in p for p in other.problems)
    # bores that are cut to size are not to be reamed
    assert "ream" not in pivot_note(plan_of("pedal_hanger", pivot_bore_mm=16.0))


@pytest.mark.parametrize(("shaft", "fires"), [(16.0, False), (16.01, True)])
def test_a_shaft_goes_through_bores_that_are_one(shaft: float, fires: bool) -> None:
    found = list(check_pivots(replace(made(), shaft_mm=shaft)))
    assert [f.severity for f in found] == ([Severity.FAIL] if fires else [])


def test_a_bush_is_reamed_for() -> None:
    plan = made(pivot_build="", pivot_bore_mm=18.0, pivot_bush_mm=16.0)
    assert {h.finish.kind for h in pivots(plan)} == {"reamed"}
    assert {h.tolerance for h in pivots(plan)} == {plan.bush.fit}  # type: ignore[union-attr]
    assert list(check_pivots(plan)) == []


@pytest.mark.parametrize(
    "keys",
    [{"pivot_build": "plain", "pivot_bore_mm": 18.0, "pivot_bush_mm": 16.0}, {"pivot_bore_mm": 3.0}],
)
def test_what_cannot_be_is_refused(keys: dict[str, object]) -> None:
    plan = plan_of("pedal_hanger", inside_width_mm=90.0, pivot_bore_mm=keys["pivot_bore_mm"])
    with pytest.raises(GeometryFault) as caught:
        with_pivots(plan, PedalHanger(**{"pivot_build": "reamed", **keys}))  # type: ignore[arg-type]
    assert caught.value.parameter == "pivot_build"
