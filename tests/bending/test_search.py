"""The search against every order of the bends, one by one, and its pieces of tools against sums by hand."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from bent_parts import ONE, TWO, R, bend, box, channel, hat, plan_of
from every_order import any_order_works, random_part

from generators.bending.legs import PartShape
from generators.bending.search import Search
from generators.bending.tools import made_up
from generators.bending.trial import Setting
from generators.model.plan import PartPlan


def test_the_search_finds_an_order_just_when_there_is_one() -> None:
    found = []
    for seed in range(14):
        search = Search(
            plan=random_part(seed), setting=Setting(brake=TWO, tensile_mpa=370.0, opening_mm=24.0)
        )
        sequence = search.run()
        found.append(sequence.found)
        assert sequence.found is any_order_works(search), seed
    assert 3 <= sum(found) <= 11, "the parts drawn should be of both sorts"


def test_what_is_found_holds_step_by_step() -> None:
    search = Search(
        plan=hat(80.0, 40.0, 30.0), setting=Setting(brake=TWO, tensile_mpa=370.0, opening_mm=24.0)
    )
    done: frozenset[str] = frozenset()
    for step in search.run().steps:
        assert set(step.done) == done
        shape = PartShape(plan=search.plan)
        bent = next(b for b in search.plan.bends if b.name == step.bend)
        assert search.setting.tried(shape, bent, done, step.child_rear) == step
        done |= {step.bend}
    assert done == {b.name for b in search.plan.bends}


@pytest.mark.parametrize("turned", [math.pi / 3, math.pi])
def test_where_a_part_lies_on_its_blank_does_not_matter(turned: float) -> None:
    plan = channel(60.0, 40.0)
    c, s = math.cos(turned), math.sin(turned)

    def spun(p: tuple[float, float]) -> tuple[float, float]:
        return c * p[0] - s * p[1], s * p[0] + c * p[1]

    web = plan.flanges[0]
    corners = tuple(replace(v, u=spun((v.u, v.v))[0], v=spun((v.u, v.v))[1]) for v in web.contour.vertices)
    moved = replace(
        plan,
        flanges=(replace(web, contour=replace(web.contour, vertices=corners)), *plan.flanges[1:]),
        bends=tuple(replace(b, start=spun(b.start), end=spun(b.end)) for b in plan.bends),
    )
    setting = Setting(brake=ONE, tensile_mpa=370.0, opening_mm=24.0)
    one, two = (Search(plan=p, setting=setting).run() for p in (plan, moved))
    assert [(x.bend, x.tools, x.stop.on) for x in one.steps] == [
        (x.bend, x.tools, x.stop.on) for x in two.steps
    ]
    for a, b in zip(one.steps, two.steps, strict=True):
        assert a.stop.distance_mm == pytest.approx(b.stop.distance_mm)


def test_stops_are_where_a_rule_would_measure_them() -> None:
    steps = (
        Search(plan=channel(60.0, 40.0), setting=Setting(brake=ONE, tensile_mpa=370.0, opening_mm=24.0))
        .run()
        .on_brake
    )
    # first the cheek: 40 and half an allowance from the middle of its bend
    half = math.pi / 4 * (R + 0.43 * 3.0)
    assert steps[0].stop.on == "edge"
    assert steps[0].stop.distance_mm == pytest.approx(40.0 + half)
    # outside of a square bend: V/2 deep less what its radii take, from the flat sheet's top to its inside
    outside = 24.0 / 2
    die = ONE.die[0]
    r, slope = die.shoulder_radius_mm, math.pi / 2 - die.angle_rad / 2
    centre = outside + r * math.tan(slope / 2)
    mould = centre + r - r * math.sqrt(2)
    assert steps[0].depth_mm == pytest.approx(mould + 3.0 + R - (R + 3.0) * math.sqrt(2))


@pytest.mark.parametrize(
    ("least", "most", "pieces"),
    [(134.2, 1e6, (100.0, 20.0, 15.0)), (90.0, 95.0, (50.0, 40.0)), (36.0, 39.0, None), (1000.0, 1e6, None)],
)
def test_pieces_are_the_shortest_that_reach(
    least: float, most: float, pieces: tuple[float, ...] | None
) -> None:
    made = made_up((10.0, 15.0, 20.0, 40.0, 50.0, 100.0, 100.0, 200.0), 2000.0, least, most)
    assert (made.pieces_mm if made else None) == pieces


def test_a_tool_of_one_piece_is_as_long_as_the_brake() -> None:
    made = made_up((), 2000.0, 100.0, 1e6)
    assert made is not None
    assert made.length_mm == 2000.0
    assert made_up((), 2000.0, 100.0, 120.0) is None


def test_no_bends_no_steps() -> None:
    assert box(50.0, 50.0, 20.0).bends
    flat = plan_of({"plate": (50.0, 50.0)}, [])
    sequence = Search(plan=flat, setting=Setting(brake=ONE, tensile_mpa=370.0)).run()
    assert sequence.found
    assert sequence.steps == ()


@pytest.mark.nightly
def test_the_search_agrees_with_every_order_for_many_parts() -> None:
    for seed in range(1_000, 1_120):
        search = Search(
            plan=random_part(seed), setting=Setting(brake=TWO, tensile_mpa=370.0, opening_mm=24.0)
        )
        assert search.run().found is any_order_works(search), seed


def zigzag(bends: int) -> PartPlan:
    """Flanges of 40 mm one after the other, bent 45 degrees up and down by turns: bent from one end on."""
    sizes = {f"f{i}": (80.0, 40.0) for i in range(bends + 1)}
    return plan_of(
        sizes,
        [
            bend(
                f"b{i}",
                f"f{i}",
                f"f{i + 1}",
                (80.0, 40.0),
                (0.0, 40.0),
                angle_rad=math.pi / 4,
                direction="up" if i % 2 else "down",
            )
            for i in range(bends)
        ],
    )


def test_a_long_part_that_can_be_made_has_its_order() -> None:
    """By hand: flanges of 40 mm clear any tool at 45 degrees, so any order from one end on works."""
    plan = zigzag(16)
    sequence = Search(plan=plan, setting=Setting(brake=TWO, tensile_mpa=370.0, opening_mm=24.0)).run()
    assert sequence.found
    assert {step.bend for step in sequence.steps} == {b.name for b in plan.bends}


@pytest.mark.parametrize("most", range(1, 40, 3))
def test_a_search_that_gives_up_has_neither_found_nor_proven(
    most: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("generators.bending.search.MOST_TRIALS", most)
    for plan, good in ((hat(80.0, 40.0, 30.0), True), (hat(94.0, 47.0, 77.0, inward=True), False)):
        sequence = Search(plan=plan, setting=Setting(brake=TWO, tensile_mpa=370.0, opening_mm=24.0)).run()
        assert len(sequence.steps) == (len(plan.bends) if sequence.found else 0)
        if not sequence.found:
            assert not (good and sequence.searched)
            assert sequence.refusals or not sequence.searched
        if not good:
            assert not sequence.found
