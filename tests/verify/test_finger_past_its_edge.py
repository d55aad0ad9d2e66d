"""A finger wider than the edge it bears on stands past its ends: the sheet says by how much, and to which side."""

from __future__ import annotations

import re
import sys
from dataclasses import replace
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parents[1] / "bending"))
from bent_parts import TWO, bend, plan_of
from stepped import one_bend
from test_gauged_sheet import sheet

from generators.bending.legs import PartShape
from generators.bending.steps import Refusal, Step
from generators.bending.trial import Setting, Trial
from generators.geometry.contours import polygon
from generators.model.plan import Flange, PartPlan
from generators.model.spec.tools.press import Brake

NEAR = replace(TWO, gauge=replace(TWO.gauge, finger_width_mm=20.0, reach_mm=100.0))
"""Fingers of 20, and a gauge that does not reach what lies further back."""


def toothed(*back: tuple[float, float]) -> PartPlan:
    """A base 60 deep to its bend, 80 long, whose back edge steps as that; a wall 40 high on it."""
    plan = plan_of(
        {"base": (60.0, 80.0), "wall": (80.0, 40.0)}, [bend("w", "base", "wall", (60.0, 0.0), (60.0, 80.0))]
    )
    base = Flange(name="base", contour=polygon([(60.0, 0.0), (60.0, 80.0), *back]))
    return replace(plan, name="tooth", title="Tooth, invented", flanges=(base, plan.flanges[1]))


BESIDE = toothed((-90.0, 80.0), (-90.0, 14.0), (0.0, 14.0), (0.0, 0.0))
"""14 mm of edge, beside 66 mm that reach 90 mm further back."""

ALONE = toothed((20.0, 80.0), (30.0, 47.0), (0.0, 47.0), (0.0, 33.0), (30.0, 33.0), (20.0, 0.0))
"""A tooth 14 mm wide, 30 mm long, with nothing beside it that lies along the bend."""


def bent(plan: PartPlan, brake: Brake = NEAR) -> Step:
    setting = Setting(brake=brake, tensile_mpa=370.0, opening_mm=24.0)
    shape = PartShape(plan=plan)
    step = Trial(
        shape=shape, setting=setting, bend=plan.bends[0], bent=frozenset(), child_rear=False
    ).attempt()
    if isinstance(step, Refusal):
        raise TypeError(step.words)
    return step


def test_what_stands_beside_an_edge_leaves_room_past_its_other_end_alone(tmp_path: Path) -> None:
    """The shop leaves 1 mm of air: 13 mm of edge, and 7 mm of a finger of 20 past the free end."""
    text, problems = sheet(tmp_path / "s.pdf", one_bend(bent(BESIDE)), BESIDE, brake=NEAR)
    assert problems == ()
    said = re.search(
        r"ONE FINGER bears on 13\.0 mm of edge, 0\.0 to 13\.0 mm from ([a-z]), and may stand ", text
    )
    assert said is not None
    assert f"7.0 mm past the end of that nearer {said[1]} alone." in text[said.start() :]


def test_with_nothing_beside_it_a_finger_stands_past_either_end(tmp_path: Path) -> None:
    plan = replace(ALONE, title="Tooth alone, invented")
    for units, words in (
        ("metric", "14.0 mm of edge, anywhere on it, and may stand 6.0 mm past either end of that."),
        ("inch", "0.551 in of edge, anywhere on it, and may stand 0.236 in past either end of that."),
    ):
        text, problems = sheet(tmp_path / f"{units}.pdf", one_bend(bent(plan)), plan, units, NEAR)  # type: ignore[arg-type]
        assert problems == ()
        assert f"ONE FINGER bears on {words}" in text


def stood(low: float, high: float) -> Step:
    step = bent(BESIDE)
    first, last = step.stop.fingers_x
    return replace(step, stop=replace(step.stop, stand=(first + low, last + high)))


@pytest.mark.parametrize(
    ("step", "found"),
    [
        (stood(0.0, 7.0), "base stands where a finger may stand past its edge"),
        (stood(7.0, 0.0), "nothing says that it may stand past it"),
        (stood(3.0, 0.0), "a finger lacks 7.0 mm of edge, and may stand 4.0 mm past it"),
        (stood(-20.0, 0.0), "a finger that may stand 27.0 mm past an end is off its edge"),
    ],
    ids=["in the way", "silent", "too little", "off"],
)
def test_room_that_is_none_is_found_out(step: Step, found: str, tmp_path: Path) -> None:
    problems = sheet(tmp_path / "s.pdf", one_bend(step), BESIDE, brake=NEAR)[1]
    assert any(found in p for p in problems), problems
