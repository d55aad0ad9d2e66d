"""The opposite hand: twice is the plan again, and everything made from the plan follows it."""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import fields, is_dataclass
from typing import Any

import numpy as np
import pytest
from drawing.part_cases import any_part, cases, make, tree
from hypothesis import HealthCheck, given, settings

from generators.errors import GeometryFault, LookupFault
from generators.geometry.contours import area
from generators.geometry.frames import apply
from generators.model.limits import Limits
from generators.model.plan import Hole, PartPlan, Slot
from generators.parts import KINDS, kind_named
from generators.parts.building.dressing import dress
from generators.parts.building.mirror import mirrored, other_hand
from generators.sheetmetal.folding import flat_pattern, folded_frames
from generators.solids.extents import folded_box

CASES = cases()
MIRROR = np.diag([-1.0, 1.0, 1.0])


def different(a: Any, b: Any, path: str = "") -> list[str]:
    """Where two plans differ, floats to 1e-9."""
    if is_dataclass(a):
        if type(a) is not type(b):
            return [path]
        return [
            d
            for f in fields(a)
            for d in different(getattr(a, f.name), getattr(b, f.name), f"{path}.{f.name}")
        ]
    if isinstance(a, tuple):
        if len(a) != len(b):
            return [f"{path}: {len(a)} and {len(b)}"]
        return [d for i, (x, y) in enumerate(zip(a, b, strict=True)) for d in different(x, y, f"{path}[{i}]")]
    if isinstance(a, float):
        same = abs(a - b) < 1e-9 or (
            path.endswith("angle_rad") and abs(math.remainder(a - b, math.pi)) < 1e-9
        )
        return [] if same else [f"{path}: {a} and {b}"]
    return [] if a == b else [f"{path}: {a!r} and {b!r}"]


def places(plan: PartPlan) -> list[tuple[str, np.ndarray]]:
    """Name and place in space of every hole and slot, at both ends of its axis, folded."""
    frames = folded_frames(plan)
    items: list[tuple[str, Hole | Slot]] = []
    for f in plan.flanges:
        items += [(f.name, hole) for hole in f.holes]
        items += [(f.name, slot) for slot in f.slots]
    return [
        (item.name, apply(frames[name], np.array([(item.u_mm, item.v_mm, w)]))[0])
        for name, item in items
        for w in (0.0, plan.thickness_mm)
    ]


def check_mirror(plan: PartPlan) -> None:
    other = mirrored(plan)
    assert other.mirrored != plan.mirrored
    assert different(mirrored(other), plan) == []
    # folded: every hole is the mirror image of its own, by name
    for (name, here), (there_name, there) in zip(places(plan), places(other), strict=True):
        assert there_name == other_hand(name)
        assert np.allclose(MIRROR @ here, there, atol=1e-9)
    low, high = folded_box(plan)
    other_low, other_high = folded_box(other)
    assert np.allclose(other_low, [-high[0], low[1], low[2]], atol=1e-9)
    assert np.allclose(other_high, [-low[0], high[1], high[2]], atol=1e-9)
    # flat: the same blank turned over
    flat, other_flat = flat_pattern(plan), flat_pattern(other)
    assert area(other_flat.contour) == pytest.approx(area(flat.contour), abs=1e-6)
    assert area(other_flat.contour) > 0
    for h, o in zip(flat.holes, other_flat.holes, strict=True):
        assert (o.u_mm, o.v_mm) == pytest.approx((-h.u_mm, h.v_mm), abs=1e-9)
    for s, t in zip(flat.slots, other_flat.slots, strict=True):
        assert (t.u_mm, t.v_mm) == pytest.approx((-s.u_mm, s.v_mm), abs=1e-9)
        assert math.remainder(t.angle_rad + s.angle_rad, math.pi) == pytest.approx(0, abs=1e-9)
    for b, c in zip(flat.bends, other_flat.bends, strict=True):
        assert c.bend.direction == b.bend.direction
        assert c.allowance_mm == b.allowance_mm
        (u0, v0), (u1, v1) = b.middle
        assert np.allclose(c.middle, [(-u1, v1), (-u0, v0)], atol=1e-9)


@pytest.mark.parametrize("name", CASES)
def test_the_other_hand_of_every_drawn_part(name: str) -> None:
    check_mirror(CASES[name])


def run(name: str, examples: int, seeded: bool) -> None:
    met: Counter[str] = Counter()

    @settings(
        max_examples=examples,
        deadline=None,
        database=None,
        derandomize=seeded,
        suppress_health_check=[HealthCheck.too_slow],
    )
    @given(any_part(name))
    def one(drawn: Any) -> None:
        spec, rule = drawn
        try:
            plan = kind_named(name).plan(spec, rule)
        except (GeometryFault, LookupFault):
            return
        met["planned"] += 1
        check_mirror(plan)

    one()
    assert met["planned"] > examples / 10


@pytest.mark.parametrize("name", [f.name for f in KINDS])
def test_any_parameters_mirror(name: str) -> None:
    run(name, 20, seeded=True)


@pytest.mark.nightly
@pytest.mark.parametrize("name", [f.name for f in KINDS])
def test_any_parameters_mirror_at_length(name: str) -> None:
    run(name, 500, seeded=False)


def test_left_and_right_change_places_by_word() -> None:
    assert other_hand("right_cheek") == "left_cheek"
    assert other_hand("pivot_left") == "pivot_right"
    assert other_hand("Left brake master, right of the clutch") == "Right brake master, left of the clutch"
    assert other_hand("Hanger LEFT, LH side") == "Hanger RIGHT, RH side"
    assert other_hand("upright") == "upright"
    # a thread keeps its hand: a nut of the other one would not go on
    for words in ("M10 LH thread", "a left-hand thread", "left handed thread", "RIGHT ANGLE", "lh_bolt"):
        assert other_hand(words) == words
    assert other_hand("bend at a right angle") == "bend at a right angle"


def test_a_gusset_on_the_left_comes_out_on_the_right_and_is_called_so() -> None:
    other = mirrored(make("slave_bracket", gussets="left"))
    assert [f.name for f in other.flanges] == ["base", "upright", "right_gusset"]
    # the bracket's own right gusset lies at the same place
    right = make("slave_bracket", gussets="right")
    assert np.allclose(folded_box(other), folded_box(right), atol=1e-9)


def test_the_origin_stays_and_the_first_hole_goes_to_the_other_side() -> None:
    """By hand: the tree's base hole is at (20, 15), so its image is at (-20, 15)."""
    hole = mirrored(tree()).flanges[0].holes[0]
    assert (hole.u_mm, hole.v_mm) == (-20.0, 15.0)


def test_mirror_in_the_spec_is_the_last_step() -> None:
    from dataclasses import replace

    from generators.model.spec.dressing import Lightening
    from generators.model.spec.job import PartSpec

    plan = make("fitting_plate", corner_radius_mm=0.0)
    spec: PartSpec[Any] = PartSpec(
        name="p",
        kind="fitting_plate",
        material="1008 steel",
        thickness_mm=3.0,
        edge_fillet_mm=1.0,
        lightening=(Lightening(flange="plate", diameter_mm=6.0, from_=(30.0, 20.0)),),
    )
    plain = dress(plan, spec, Limits())
    assert different(dress(plan, replace(spec, mirror=True), Limits()), mirrored(plain)) == []
    assert plain.flanges[0].holes[-1].u_mm == 30.0
    assert not plain.mirrored
