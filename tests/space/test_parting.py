"""How far a body goes until it is out of another: by hand, and against the distance library step by step."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from generators.space.body import Body
from generators.space.distance import Space
from generators.space.parting import way_out
from generators.space.pieces import Box, Hull, Piece, Rod

FAR_MM = 150.0
STEPS = 12


def body(name: str, *pieces: Piece) -> Body:
    return Body(name=name, title=name, owner=name, what="part", forms=pieces)


def box(x: float, y: float, z: float, a: float, b: float, c: float) -> Box:
    pose = np.eye(4)
    pose[:3, 3] = (x, y, z)
    return Box(pose=pose, half_mm=(a / 2, b / 2, c / 2))


def test_a_box_goes_by_hand() -> None:
    """A 20 mm cube 5 mm right of a 40 mm cube's middle: 30 less 5 to the right, 30 and 5 to the left."""
    small, large = body("small", box(5, 0, 0, 20, 20, 20)), body("large", box(0, 0, 0, 40, 40, 40))
    assert way_out(small, large, np.array((1.0, 0, 0)), FAR_MM) == pytest.approx(25)
    assert way_out(small, large, np.array((-1.0, 0, 0)), FAR_MM) == pytest.approx(35)
    assert way_out(small, large, np.array((0, 0, 1.0)), FAR_MM) == pytest.approx(30)
    slant = np.array((0, 1.0, 1.0)) / math.sqrt(2)
    assert way_out(small, large, slant, FAR_MM) == pytest.approx(30 * math.sqrt(2))
    assert way_out(small, large, np.array((-1.0, 0, 0)), 34.9) == math.inf
    assert way_out(small, large, np.array((-1.0, 0, 0)), 35.1) == pytest.approx(35)


def test_a_second_piece_on_the_way_is_passed_too() -> None:
    """Out of the first wall it would stand in the second; a third leaves room for it in between."""
    small = body("small", box(0, 0, 0, 10, 10, 10))
    walls = body("walls", box(0, 0, 0, 20, 50, 50), box(22, 0, 0, 20, 50, 50), box(60, 0, 0, 20, 50, 50))
    assert way_out(small, walls, np.array((1.0, 0, 0)), FAR_MM) == pytest.approx(37)


def test_what_stands_clear_stays() -> None:
    small, large = body("small", box(60, 0, 0, 20, 20, 20)), body("large", box(0, 0, 0, 40, 40, 40))
    assert way_out(small, large, np.array((-1.0, 0, 0)), FAR_MM) == 0


def test_a_rod_across_a_rod_by_hand() -> None:
    """Crossed at their middles: out once the axes are both radii apart; never farther off than 0.2 %."""
    one = body("one", Rod(start=(-50, 0, 0), end=(50, 0, 0), radius_mm=10))
    two = body("two", Rod(start=(0, -50, 0), end=(0, 50, 0), radius_mm=15))
    assert way_out(one, two, np.array((0, 0, 1.0)), FAR_MM) == pytest.approx(25, rel=2e-3)


@st.composite
def _piece(draw: st.DrawFn) -> Piece:
    far = st.floats(-30, 30)
    size = st.floats(5, 60)
    at = [draw(far) for _ in range(3)]
    kind = draw(st.sampled_from(("box", "rod", "hull")))
    if kind == "box":
        return box(*at, *(draw(size) for _ in range(3)))
    if kind == "rod":
        end = [a + draw(size) for a in at]
        return Rod(
            start=(at[0], at[1], at[2]),
            end=(end[0], end[1], end[2]),
            radius_mm=draw(st.floats(2, 20)),
            round_ends=draw(st.booleans()),
        )
    rng = np.random.default_rng(draw(st.integers(0, 10_000)))
    return Hull(points=np.array(at) + rng.uniform(-30, 30, (10, 3)))


@settings(max_examples=60)
@given(
    pieces=st.lists(_piece(), min_size=3, max_size=5),
    turn=st.floats(0, 2 * math.pi),
    rise=st.floats(-1, 1),
)
def test_it_is_out_there_and_nowhere_before(pieces: list[Piece], turn: float, rise: float) -> None:
    flat = math.sqrt(1 - rise * rise)
    along = np.array((flat * math.cos(turn), flat * math.sin(turn), rise))
    one, two = body("one", pieces[0]), body("two", *pieces[1:])
    far = way_out(one, two, along, FAR_MM)
    space = Space([one, two])

    def deep(at: float) -> float:
        pose = np.eye(4)
        pose[:3, 3] = at * along
        gap = space.gap(0, 1, np.inf, pose)
        assert gap is not None
        return -gap.gap_mm

    end = min(far, FAR_MM)
    if far <= FAR_MM:
        # what a search says of round pieces is too deep by up to a tenth, never too little
        assert deep(far) <= 0.15
    # of a round piece r the corners stand out by r·(1/cos(pi/64) - 1), seen along a slanting way by more
    assert far == 0 or all(deep(end * k / STEPS) > -0.5 for k in range(STEPS))
