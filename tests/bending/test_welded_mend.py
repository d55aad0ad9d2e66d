"""A flange as a piece of its own is tried on a part that has neither it nor the weld along its edge."""

from __future__ import annotations

from verify.test_setup_of_demos import part

from generators.bending.mends import mends
from generators.bending.setting import setting_of
from generators.bending.steps import Refusal, Sequence


def test_a_gusset_is_taken_off_with_its_weld() -> None:
    plan, shop, _ = part("dray_tractor", "slave_bracket")
    assert plan.welds
    # as where nothing else mends it
    gussets = [b.name for b in plan.bends if "gusset" in b.name]
    refusals = tuple(Refusal(bend=name, done=(), why="meets", words="", angle_rad=1.0) for name in gussets)
    found = mends(plan, setting_of(plan, shop), Sequence(found=False, steps=(), refusals=refusals))
    assert any("gusset as a piece of its own and weld it on" in m.words for m in found)
