"""Ways round things, and an honest no."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from routing_samples import LIMITS, run, sheet

from generators.model.hose_path import Box3, Cylinder3, HosePath, Opening3, Point3, Prism3, Waypoint
from generators.model.hose_results import Routing
from generators.routing.around.bodies import distances
from generators.routing.around.clearance import clearances
from generators.routing.around.detour import _known, route, surroundings
from generators.routing.around.lattice import corridor

AHEAD = run((0, 0, 0), (1, 0, 0), (700, 0, 0), (1, 0, 0), straight_mm=30)
BOX = Box3(name="heater", centre=(350, 10, 0), u=(1, 0, 0), v=(0, 1, 0), half_mm=(60, 80, 60))


def routed(obstacles: list, panels: list, wanted=AHEAD) -> Routing:
    (answer,) = route([wanted], surroundings(obstacles, panels, LIMITS))
    if answer.clear:
        assert isinstance(answer.path, HosePath)
        assert all(c.met for c in clearances([answer.path], obstacles, panels, LIMITS))
    return answer


def test_nothing_in_the_way() -> None:
    answer = routed([], [])
    assert (answer.clear, answer.detour, answer.tried) == (True, False, "the shortest way")


def test_round_a_box() -> None:
    """No shorter than the tight string at the hose's own distance: over the 60 mm top, 6 + 6 mm off it.

    String over two corners 120 apart and 72 up: 2 sqrt(290² + 72²) + 120; bends of 75 mm cost some more.
    """
    answer = routed([BOX], [])
    assert answer.detour
    assert [c.body for c in answer.blocked_by] == ["heater"]
    assert answer.avoids == ("heater",)
    assert answer.path is not None
    string = 2 * (290**2 + 72**2) ** 0.5 + 120
    assert string - 4.0 < answer.path.length_mm < string * 1.03


def test_keeps_farther_from_hot_things() -> None:
    pipe = Cylinder3(name="exhaust", start=(350, -500, 0), end=(350, 500, 0), radius_mm=30, kind="hot")
    cool = Cylinder3(name="exhaust", start=(350, -500, 0), end=(350, 500, 0), radius_mm=30)
    hot, cold = routed([pipe], []), routed([cool], [])
    assert hot.path is not None
    assert cold.path is not None
    assert hot.clear
    assert cold.clear
    assert hot.path.length_mm > cold.path.length_mm + 10


def test_through_a_grommet_not_the_metal() -> None:
    panel = sheet((Opening3(name="g", u_mm=0, v_mm=100, diameter_mm=25),), half=6000)
    way = Waypoint(
        name="gr",
        kind="grommet",
        position=(-1, 0, 100),
        axis=(1, 0, 0),
        straight_mm=12,
        panel="wall",
        opening="g",
    )
    assert routed([], [panel], run((-350, 0, 0), (1, 0, 0), (350, 0, 0), (1, 0, 0), via=(way,))).clear


def test_no_way_is_said_and_named() -> None:
    block = Prism3(
        name="block", origin=(350, 0, 0), u=(0, 1, 0), v=(0, 0, 1), low_mm=-20, high_mm=20,
        outline=((-3000, -3000), (3000, -3000), (3000, 3000), (-3000, 3000)),
    )  # fmt: skip
    answer = routed([block], [])
    assert not answer.clear
    assert [c.body for c in answer.blocked_by] == ["block"]
    assert answer.blocked_by[0].gap_mm < 0
    assert "none keeps every gap" in answer.tried


def test_through_a_gap_in_a_wall() -> None:
    """Two walls with gaps at opposite sides: the guides one by one or the lattice must find the way through."""
    walls = [
        Box3(name="front", centre=(250, 200, 0), u=(1, 0, 0), v=(0, 1, 0), half_mm=(10, 300, 900)),
        Box3(name="rear", centre=(550, -200, 0), u=(1, 0, 0), v=(0, 1, 0), half_mm=(10, 300, 900)),
    ]
    wanted = run((0, 0, 0), (1, 0, 0), (800, 0, 0), (1, 0, 0), radius_mm=50)
    answer = routed(walls, [], wanted)
    assert answer.clear
    assert answer.path is not None
    assert answer.path.length_mm > 850


def test_corridor_keeps_its_distance() -> None:
    around = surroundings([BOX], [], LIMITS)
    corners = corridor(np.array([0.0, 0, 0]), np.array([700.0, 0, 0]), around.bodies, 7.0, 75.0)
    assert corners
    line = np.vstack(
        [
            np.linspace(a, b, 50)
            for a, b in zip([np.zeros(3), *corners], [*corners, np.array([700.0, 0, 0])], strict=True)
        ]
    )
    assert distances(around.bodies, line, np.zeros(len(line), dtype=int)).min() >= 12.0


@pytest.mark.parametrize(
    ("walls", "start", "end"),
    [
        ([((250, 200, 0), 60)], (0, 40, 0), (500, 0, 30)),
        ([((250, 200, 0), 10), ((550, -200, 0), 10)], (0, 40, 0), (760, 0, 30)),
    ],
)
def test_a_corridor_turns_only_where_it_must(walls: list, start: Point3, end: Point3) -> None:
    """Straight past any one corner, something lies nearer than the limit of 6 mm and 7 mm of half a hose."""
    boxes = [
        Box3(name=f"wall {k}", centre=at, u=(1, 0, 0), v=(0, 1, 0), half_mm=(half, 300, 900))
        for k, (at, half) in enumerate(walls)
    ]
    bodies = surroundings(boxes, [], LIMITS).bodies
    corners = corridor(np.array(start, dtype=float), np.array(end, dtype=float), bodies, 7.0, 75.0)
    assert corners
    way = [np.array(start), *corners, np.array(end)]
    for before, after in zip(way, way[2:], strict=False):
        line = np.linspace(before, after, 3000)
        gaps = [distances(bodies, line, np.full(len(line), k)).min() for k in range(len(boxes))]
        assert min(gaps) < 13.0


def test_a_tight_place_has_no_curve() -> None:
    """A pocket so tight that no 75 mm bend leaves it."""
    lid = Box3(name="lid", centre=(60, 0, 0), u=(1, 0, 0), v=(0, 1, 0), half_mm=(10, 300, 300))
    answer = routed([lid], [])
    assert not answer.clear
    assert answer.blocked_by[0].body == "lid"


@pytest.mark.parametrize("order", [(0, 1), (1, 0)])
def test_many_are_answered_in_order(order: tuple[int, int]) -> None:
    wanted = [AHEAD, run((0, 900, 0), (1, 0, 0), (700, 900, 0), (1, 0, 0), name="free")]
    answers = route([wanted[k] for k in order], surroundings([BOX], [], LIMITS))
    assert [a.detour for a in answers] == [k == 0 for k in order]


def test_a_way_is_the_same_alone_and_among_others_and_asked_again() -> None:
    beside = run((0, 30, -20), (1, 0, 0), (700, -40, 10), (1, 0, 0), name="beside", straight_mm=30)
    alone = [routed([BOX], [], wanted=each) for each in (AHEAD, beside)]
    _known.cache_clear()
    assert [*route([beside, AHEAD], surroundings([BOX], [], LIMITS))] == alone[::-1]
    assert [*route([AHEAD], surroundings([BOX], [], LIMITS))] == alone[:1]


def test_what_was_found_stands_for_no_other_limits_or_bodies() -> None:
    """A limit 20 mm larger on a string over two corners: 2 (sqrt(290² + 92²) - sqrt(290² + 72²)) = 11 mm longer."""
    first = routed([BOX], [])
    (wide,) = route([AHEAD], surroundings([BOX], [], replace(LIMITS, fixed_mm=LIMITS.fixed_mm + 20)))
    assert first.path is not None
    assert wide.path is not None
    assert wide.clear
    assert wide.path.length_mm > first.path.length_mm + 8
    assert not routed([replace(BOX, centre=(350, 500, 0))], []).detour
