"""No good setup sheet is refused, whatever a shop's gauge, ram and table are: written, and read against the part."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from itertools import count
from pathlib import Path

import pytest
from verify.odd_shops import Odd, drawn

from generators.bending.steps import Sequence, Step
from generators.model.spec.shop import Shop
from generators.solve.parts import sample_plan
from generators.units import UnitSystem

NIGHTLY, FIRST = 300, 1_000_000
UNITS: tuple[UnitSystem, ...] = ("metric", "inch")


@pytest.mark.parametrize(
    ("seed", "page"),
    [
        # the edge a square is held to ended on what was bent away already
        (159, False),
        # one cheek drives the gauge back a little, and then both pass high over the fingers: told of neither
        (308, True),
        # one end of the punch stays short of a flange; at the other it may reach out
        (339, False),
        (571, False),
        # how low it comes over the fingers is told of the middle of a flange, where it has no rim
        (484, False),
        (784, False),
        # a base that hangs to below the fingers comes out further as it rises past their top
        (798, True),
        # two sheets whose edges coincide but for a sum's last digits, one of them lost by the library beneath
        (1346, False),
        # seen from above a stock has the proportions of the die
        (1608, False),
        # a cheek's round end lies far behind the fingers, and its bend beside them
        (2222, False),
        # a tool seen from the side has the proportions of the sheet from above
        (3064, False),
    ],
)
def test_what_was_refused_once_is_not(seed: int, page: bool, tmp_path: Path) -> None:
    odd = drawn(seed)
    assert odd is not None
    assert odd.problems(tmp_path, "inch" if seed % 2 else "metric", page=page) == ()


def with_gauge(kind: str, **gauge: float) -> Odd:
    """A kind's sample in a shop with another gauge."""
    shop = Shop()
    brake = replace(shop.brake, gauge=replace(shop.brake.gauge, **gauge))
    return Odd(sample_plan(kind)[0], replace(shop, brake=brake))


@pytest.mark.parametrize(
    "made",
    [
        lambda: drawn(308),
        # what stands on the leg in front comes over to the gauge
        lambda: with_gauge("pedal_hanger", finger_width_mm=100.0, finger_height_mm=150.0, below_mm=10.0),
    ],
    ids=["leg at the gauge", "leg in front"],
)
def test_what_drives_the_gauge_back_is_told_as_far_as_it_comes(
    made: Callable[[], Odd | None], tmp_path: Path
) -> None:
    odd = made()
    assert odd is not None
    assert odd.problems(tmp_path, "metric") == ()
    driven = [s for s in odd.bends.on_brake if s.swings_out is not None]
    assert driven
    for step in driven:
        assert step.swings_out is not None
        for off, wrong in ((-2.0, "is said to swing out to"), (2.0, "is said to swing out to")):
            out = replace(step.swings_out, far_mm=step.swings_out.far_mm + off)
            said = odd.problems(tmp_path, "metric", bends=_with(odd.bends, replace(step, swings_out=out)))
            assert any(wrong in p for p in said), (step.bend, off, said)


def test_what_passes_over_fingers_that_were_driven_back_is_told(tmp_path: Path) -> None:
    """Both cheeks of seed 308 reach 1 mm and more past the fingers, drawn back 6.1 mm, once they are over them."""
    odd = drawn(308)
    assert odd is not None
    (tab,) = (s for s in odd.bends.on_brake if s.bend == "tab")
    assert tab.swings_out is not None
    back = tab.swings_out.far_mm - tab.stop.distance_mm
    assert {(s.flange, s.at) for s in tab.swings_by} == {("left_cheek", "over"), ("right_cheek", "over")}
    gauge = odd.shop.brake.gauge
    assert all(s.past_mm > back + 1.0 for s in tab.swings_by)
    assert all(s.low_mm >= gauge.finger_height_mm + odd.shop.brake.room_mm for s in tab.swings_by)
    one, other = tab.swings_by
    for by, wrong in (
        ((one,), f"{other.flange.replace('_', ' ')} swings"),
        ((other,), f"{one.flange.replace('_', ' ')} swings"),
        ((one, replace(other, low_mm=other.low_mm + 2.0)), "over the die's top"),
        ((one, replace(other, past_mm=other.past_mm - 2.0)), "past the stop; folded it is"),
    ):
        said = odd.problems(tmp_path, "metric", bends=_with(odd.bends, replace(tab, swings_by=by)))
        assert any(wrong in p for p in said), (by, said)


def _with(bends: Sequence, step: Step) -> Sequence:
    """The same order with another step for that bend."""
    return replace(bends, steps=tuple(step if s.bend == step.bend else s for s in bends.steps))


@pytest.mark.nightly
def test_no_sheet_of_many_is_refused(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    done, refused = 0, []
    for seed in count(FIRST):
        odd = drawn(seed)
        if odd is None:
            continue
        done += 1
        for units in UNITS:
            said = odd.problems(tmp_path, units, page=True)
            refused += [f"seed {seed} {units}: {problem}" for problem in said]
        if done == NIGHTLY:
            break
    with capsys.disabled():
        print(f"\n{done} parts, {seed - FIRST + 1 - done} drawn in vain")
    assert refused == []
