"""Symbols of welds and weld nuts on a drawing: what they say, which joint they point at, and what is changed shows."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from drawing.part_cases import make
from parts.finished_plates import angle, insert, plate
from test_part_welds import drawn

from generators.drawing.part import weld_signs
from generators.model.plan import PartPlan
from generators.parts import kind_named
from generators.parts.building.pivots.pressed import with_pivots
from generators.solve.parts import sample_plan
from generators.verify.pdf.rebuild.finishes import finish_problems
from generators.verify.pdf.weld_signs import signs
from generators.verify.pdf.welds import weld_sign_problems


# ISO 2553, system A, from memory: the leg z left of the triangle, the length right of it; a weld on both sides has
# two triangles and no dashed line, one on the arrow's side stands on the continuous line beside a dashed one
@pytest.mark.parametrize(
    ("kind", "size", "both"), [("slave_bracket", "z3", True), ("stop_bracket", "z3", False)]
)
def test_the_symbol_of_a_weld_points_at_its_joint(kind: str, size: str, both: bool, tmp_path: Path) -> None:
    plan = sample_plan(kind)[0]
    pdf = drawn(plan, tmp_path)
    for number, sign in enumerate(sorted(signs(pdf), key=lambda s: s.tail), 1):
        assert sign.tail == f"WELD {number}"
        assert sign.sizes == (size,) * (2 if both else 1)
        assert len(sign.lengths) == len(sign.sizes)
        assert (sign.above, sign.below, sign.dashed) == (True, both, not both)
        assert not sign.all_round
    assert list(weld_sign_problems(pdf, plan)) == []


@pytest.mark.parametrize("side", ["outside", "inside"])
def test_the_symbol_of_a_boss_is_all_round_with_its_throat(side: str, tmp_path: Path) -> None:
    """Sheet 3, wall 5 + (16 - 14.5) / 2: 0.7 x 3 = 2.1, in halves 2.0, by hand."""
    asked: dict[str, Any] = {"pivot_build": "welded_boss", "pivot_boss_mm": 50.0, "welded_boss_side": side}
    plan = with_pivots(make("pedal_hanger", **asked), kind_named("pedal_hanger").parameters(**asked))
    pdf = drawn(plan, tmp_path)
    found = list(signs(pdf))
    assert sorted(s.tail for s in found) == ["hole 8", "hole 9"]
    assert {(s.sizes, s.lengths, s.all_round, s.below) for s in found} == {(("a2",), (), True, False)}
    assert list(weld_sign_problems(pdf, plan)) == []
    assert "no welding symbol for hole 8" in list(
        weld_sign_problems(drawn(make("pedal_hanger"), tmp_path), plan)
    )


@pytest.mark.parametrize(
    ("name", "lie", "said"),
    [
        ("leg_text", lambda _: "9", "says z9"),
        ("length_text", lambda _: "7", "is 7 long"),
        ("SHARES", (1.6,), "does not end on the joint"),
        ("TAIL_MM", 9.0, "no welding symbol for WELD 1"),
    ],
)
def test_a_symbol_that_says_otherwise_is_named(
    name: str, lie: object, said: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    plan = sample_plan("stop_bracket")[0]
    monkeypatch.setattr(weld_signs, name, lie)
    assert any(said in p for p in weld_sign_problems(drawn(plan, tmp_path), plan))


def test_a_symbol_for_one_side_where_both_are_welded_is_named(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    plan = sample_plan("slave_bracket")[0]
    honest = weld_signs.weld_signs
    monkeypatch.setattr(
        "generators.drawing.part.folded_view.weld_signs",
        lambda p: (replace(s, both_sides=False) for s in honest(p)),
    )
    assert any("for the wrong sides" in p for p in weld_sign_problems(drawn(plan, tmp_path), plan))


def test_a_second_symbol_of_one_weld_is_named(tmp_path: Path) -> None:
    """A note stands for one joint: with its sheet twice in the file one arrow too many points at it."""
    plan = sample_plan("slave_bracket")[0]
    pdf = drawn(plan, tmp_path)
    shown = next(sign for sign in signs(pdf) if sign.tail == "WELD 1")
    twice = replace(pdf, pages=(pdf.pages[shown.page], *pdf.pages))
    assert "2 welding symbols of WELD 1" in list(weld_sign_problems(twice, plan))


def nutted(bent: bool, **changes: Any) -> PartPlan:
    """Two M6 weld nuts on the upper side of a plate or an angle, an M8 one on the lower."""
    nuts = (
        insert("weld_nut", 0.0, 0.0),
        insert("weld_nut", 60.0, 10.0),
        insert("weld_nut", -60.0, 10.0, thread="M8", side="lower"),
    )
    named = [replace(nut, name=name, **changes) for nut, name in zip(nuts, "abc", strict=True)]
    return angle(*named) if bent else plate(*named)


# ISO 2553, system A, from memory: a projection weld's circle lies in the middle of the reference line, without a
# dashed one; ISO 4063, from memory: 23 is projection welding
@pytest.mark.parametrize("bent", [False, True])
def test_weld_nuts_have_the_symbol_of_a_projection_weld(bent: bool, tmp_path: Path) -> None:
    plan = nutted(bent)
    pdf = drawn(plan, tmp_path)
    found = sorted(signs(pdf), key=lambda s: s.tail)
    assert [s.tail for s in found] == ["hole 3: ISO 4063-23", "holes 1, 2: ISO 4063-23"]
    for sign in found:
        assert sign.spot
        assert (sign.above, sign.below, sign.dashed, sign.all_round, sign.sizes) == (
            False,
            False,
            False,
            False,
            (),
        )
    assert list(weld_sign_problems(pdf, plan)) == []
    assert list(finish_problems(pdf, plan)) == []
    text = " ".join(" ".join(w.text.split()) for page in pdf.pages for w in page.words)
    assert "weld on M8 weld nut DIN 929 by its projections (ISO 2553, process 23 of ISO 4063)" in text
    for page in pdf.pages:
        for word in page.words:
            assert word.box[0] > 10.0
            assert word.box[2] < page.width - 10.0


@pytest.mark.parametrize("bent", [False, True])
@pytest.mark.parametrize(
    ("name", "lie", "said"),
    [
        ("PROJECTION", "ISO 4063-21", "no welding symbol for hole 3: ISO 4063-23"),
        ("left out", None, "no welding symbol for hole 3"),
        ("_round_rim", None, "does not end on the joint"),
        ("TRIANGLE_MM", 2.0, "no welding symbol for holes 1, 2: ISO 4063-23"),
    ],
)
def test_a_nut_s_symbol_that_says_otherwise_is_named(
    bent: bool, name: str, lie: object, said: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    plan = nutted(bent)
    shown = plan
    honest = weld_signs._round_rim
    if name == "left out":
        shown = replace(
            plan, flanges=(replace(plan.flanges[0], holes=plan.flanges[0].holes[:2]), *plan.flanges[1:])
        )
    elif name == "_round_rim":
        monkeypatch.setattr(weld_signs, name, lambda hole, rim, *rest: honest(hole, rim + 3.0, *rest))
    else:
        monkeypatch.setattr(weld_signs, name, lie)
    assert any(said in p for p in weld_sign_problems(drawn(shown, tmp_path), plan))


def test_a_fillet_s_symbol_on_a_nut_is_named(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    plan = nutted(bent=True)
    honest = weld_signs.weld_signs
    monkeypatch.setattr(
        "generators.drawing.part.folded_view.weld_signs",
        lambda p: (replace(s, spot=False, size="a2") for s in honest(p)),
    )
    assert any("has a triangle on its line" in p for p in weld_sign_problems(drawn(plan, tmp_path), plan))
