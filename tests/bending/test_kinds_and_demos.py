"""Every kind with its defaults, and every part of the demos, can be bent: the one on plain tools, the other on theirs."""

from __future__ import annotations

from pathlib import Path

import pytest

from generators.bending.setting import sequence_of
from generators.bending.steps import Sequence
from generators.model.plan import PartPlan
from generators.model.spec.shop import Shop
from generators.parts import KINDS
from generators.reading import read_job
from generators.sheetmetal.relief import relief_diameter
from generators.sheetmetal.relieving import relieved
from generators.solve.parts import plan_parts, sample_plan

SPECS = Path(__file__).parents[2] / "specs"
FOLDED = [kind.name for kind in KINDS if not kind.printed and sample_plan(kind.name)[0].bends]
DEMOS = ("wrenfield_van", "tarn_special", "dray_tractor", "ferrow_bus")


def holds(plan: PartPlan, sequence: Sequence, carried: bool) -> None:
    assert sequence.found, sequence.refusals
    assert carried
    assert sorted(step.bend for step in sequence.steps) == sorted(b.name for b in plan.bends)


@pytest.mark.parametrize("kind", FOLDED)
def test_a_kind_as_it_comes_can_be_bent(kind: str) -> None:
    plan = relieved(sample_plan(kind)[0], relief_diameter(3.0))
    holds(plan, *sequence_of(plan, Shop()))


@pytest.mark.parametrize("name", DEMOS)
def test_the_parts_of_a_demo_can_be_bent_with_a_stop_for_each_bend(name: str) -> None:
    file = read_job(SPECS / f"{name}.toml", {k.name: k.parameters for k in KINDS})
    plans = [part.plan for part in plan_parts(file) if part.plan.bends and not part.plan.printed]
    assert plans
    for plan in plans:
        sequence, carried = sequence_of(plan, file.shop)
        holds(plan, sequence, carried)
        assert all(step.stop.on != "line" for step in sequence.steps)


def test_what_stands_out_over_the_other_leg_swings_down_beside_the_die() -> None:
    """The Dray's slave bracket by hand: its base, 200 wide and bent up first, stands 25 mm out over either gusset.

    A gusset's bend turns the base by 45 deg: a corner 25 mm out and 16 mm up goes to 16 cos 45 - 25 sin 45, 6 mm
    under the sheet, and further with the axis: a die of 95 mm may not stand under it.
    """
    file = read_job(SPECS / "dray_tractor.toml", {k.name: k.parameters for k in KINDS})
    plan = next(p.plan for p in plan_parts(file) if p.spec.name == "slave_bracket")
    steps = {step.bend: step for step in sequence_of(plan, file.shop)[0].on_brake}
    assert next(iter(steps)) == "upright"
    for gusset in ("right_gusset", "left_gusset"):
        reach, long = steps[gusset].die_reach, 94.0
        assert {reach.left, reach.right} == {"base", ""}
        past = reach.high - long if reach.right else -reach.low
        # from the bend's end at Y 168.4 to the outside of the upright's bend at Y 156.4, less 1 mm of air
        assert past == pytest.approx(11.0, abs=0.5)
