"""Every hole of a part is tied to another and to edges, and a shaft is tried in its own bores alone."""

from __future__ import annotations

import sys
from dataclasses import replace
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parents[1]))
from verify.inspected_channel import by_key, problems

from generators.drawing.inspection import items
from generators.solve.parts import sample_plan


def test_two_holes_on_two_flanges_are_tied_on_the_blank(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    plan = sample_plan("clamp_standoff")[0]
    assert sorted(len(flange.holes) for flange in plan.flanges) == [0, 1, 1]
    rows = by_key(plan)
    assert rows["D1"].what == "hole 1 to hole 2, over the far rims"
    assert not rows["D1"].bent
    assert sum(" of hole 2 " in row.what for row in rows.values() if row.key.startswith("E")) == 2
    path = tmp_path / "i.pdf"
    assert problems(path, plan) == ()
    monkeypatch.setattr(items, "_base", lambda *_: None)
    assert any("hole 2 is not tied" in p or "do not fix 2 holes" in p for p in problems(path, plan))


def test_a_shaft_is_tried_in_the_pivots_alone(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The bores of a balance bar's tube in the same cheeks are wider: the shaft would fall through and prove nothing."""
    plan = replace(sample_plan("twin_pedal_hanger")[0], shaft_mm=16.0)
    bored = {
        h.name: h.diameter_mm for f in plan.flanges for h in f.holes if h.fitting.kind in ("bore", "pivot")
    }
    pairs = items.pivot_pairs(plan)
    assert {pair.pivots for pair in pairs} == {True, False}, bored
    tried = [row for key, row in by_key(plan).items() if key.startswith("P")]
    assert len(tried) == sum(pair.pivots for pair in pairs)
    path = tmp_path / "i.pdf"
    assert problems(path, plan) == ()
    every = tuple(replace(pair, pivots=True) for pair in pairs)
    monkeypatch.setattr(items, "pivot_pairs", lambda _: every)
    assert any("the shaft is tried" in p for p in problems(path, plan))
