"""Ports of components and bulkheads in the vehicle, worked by hand; frames as in ``test_spots``."""

from __future__ import annotations

import math

import pytest
from shelf_walls import C30, S30, near, sheets

from generators.errors import GeometryFault
from generators.layout.spots import (
    ports_of,
)
from generators.model.spec.fittings import Elbow, PortSpec
from generators.model.spec.lines import Component, Spot
from generators.model.words import Aside, Face, PortSide


def test_ports_stand_in_the_component_s_own_frame() -> None:
    facings: tuple[PortSide, ...] = ("out", "back", "right", "left", "up", "down")
    ports = tuple(PortSpec(name=f, at=(50.0, 4.0, 6.0), facing=f, dash=4) for f in facings)
    aim = PortSpec(name="aim", at=(50.0, 4.0, 6.0), toward=(53.0, 4.0, 10.0))
    thing = Component(
        name="master", kind="master", on=Spot(panel="wall", holes=("one",), side="engine"), port=(*ports, aim)
    )
    # out is -x, right -y, up +z from (98.5, -160, 360)
    ways = ((-1, 0, 0), (1, 0, 0), (0, -1, 0), (0, 1, 0), (0, 0, 1), (0, 0, -1), (-0.6, 0, 0.8))
    found = ports_of(thing, sheets())
    for port, way, name in zip(found, ways, (*facings, "aim"), strict=True):
        assert (port.component, port.name) == ("master", name)
        assert near(port.position, (48.5, -164.0, 366.0))
        assert near(port.direction, way)
    assert [p.dash for p in found] == [4] * 6 + [None]
    # plain zeros, for -0.0 prints badly
    assert not any(math.copysign(1.0, x) < 0 and x == 0 for p in found for x in p.direction)


@pytest.mark.parametrize("side", ["cab", "engine"])
def test_a_bulkhead_has_a_seat_on_either_face(side: Face) -> None:
    through = Component(
        name="through",
        kind="bulkhead",
        on=Spot(panel="wall", holes=("one",), side=side),
        dash=4,
        seat_cab_mm=20.0,
        seat_engine_mm=30.0,
    )
    cab, engine = ports_of(through, sheets())
    assert (cab.name, engine.name, cab.dash) == ("cab", "engine", 4)
    assert near(cab.position, (120.0, -160.0, 360.0))
    assert near(cab.direction, (1, 0, 0))
    assert near(engine.position, (98.5 - 30.0, -160.0, 360.0))
    assert near(engine.direction, (-1, 0, 0))


@pytest.mark.parametrize(
    ("toward", "way"), [("up", (0, 0, 1)), ("down", (0, 0, -1)), ("right", (0, 1, 0)), ("left", (0, -1, 0))]
)
@pytest.mark.parametrize("face", ["cab", "engine"])
def test_an_elbow_turns_one_port(face: Face, toward: Aside, way: tuple[int, int, int]) -> None:
    # up, down, left and right as the driver sees them, on both faces
    elbow = Elbow(face=face, toward=toward, leg_mm=18.0)
    on = Spot(panel="wall", holes=("one",), side="engine")
    ports = ports_of(Component(name="b", kind="bulkhead", on=on, dash=4, elbow=elbow), sheets())
    straight = ports_of(Component(name="b", kind="bulkhead", on=on, dash=4), sheets())
    for port, plain in zip(ports, straight, strict=True):
        if port.name != face:
            assert port == plain
            continue
        assert near(port.direction, way)
        moved = tuple(p + 18.0 * w for p, w in zip(plain.position, way, strict=True))
        assert near(port.position, moved)


def test_a_fitting_with_an_elbow_on_both_faces_turns_both_ports() -> None:
    # cab seat 20 mm off the metal at x 100, its leg 18 mm to the right; engine seat 30 mm off the other face at
    # x 98.5, its leg 12 mm down
    right, down = (
        Elbow(face="cab", toward="right", leg_mm=18.0),
        Elbow(face="engine", toward="down", leg_mm=12.0),
    )
    on = Spot(panel="wall", holes=("one",), side="cab")
    both = Component(
        name="b",
        kind="bulkhead",
        on=on,
        dash=4,
        seat_cab_mm=20.0,
        seat_engine_mm=30.0,
        elbow=down,
        other_elbow=right,
    )
    cab, engine = ports_of(both, sheets())
    assert near(cab.position, (120.0, -160.0 + 18.0, 360.0))
    assert near(cab.direction, (0, 1, 0))
    assert near(engine.position, (68.5, -160.0, 360.0 - 12.0))
    assert near(engine.direction, (0, 0, -1))


@pytest.mark.parametrize(
    ("elbows", "says"),
    [
        ({"other_elbow": Elbow(face="cab", toward="up")}, "another elbow where there is none"),
        (
            {"elbow": Elbow(face="cab", toward="up"), "other_elbow": Elbow(face="cab", toward="down")},
            "two elbows on one face",
        ),
    ],
)
def test_a_second_elbow_is_on_the_other_face(elbows: dict[str, Elbow], says: str) -> None:
    on = Spot(panel="wall", holes=("one",), side="cab")
    with pytest.raises(GeometryFault, match=says) as caught:
        Component(name="b", kind="bulkhead", on=on, dash=4, **elbows)  # type: ignore[arg-type]
    assert caught.value.parameter == "other_elbow"


def test_an_elbow_up_lies_along_a_leaning_panel() -> None:
    elbow = Elbow(face="cab", toward="up", leg_mm=10.0)
    on = Spot(panel="wall", holes=("one",), side="cab")
    cab, _ = ports_of(Component(name="b", kind="bulkhead", on=on, dash=4, elbow=elbow), sheets(30))
    assert near(cab.direction, (-S30, 0.0, C30))


def test_a_bulkhead_in_a_part_that_no_panel_lies_under() -> None:
    # in the leg: its upper side is neither face of a panel
    on = Spot(part="shelf", holes=("leg_1",), side="up")
    cab, engine = ports_of(Component(name="b", kind="bulkhead", on=on, dash=4), sheets())
    assert sorted(p.direction[2] for p in (cab, engine)) == pytest.approx([-1.0, 1.0])
    # seats 25 off either face of 3 mm: 525 + 25 and 522 - 25
    assert sorted(p.position[2] for p in (cab, engine)) == pytest.approx([497.0, 550.0])
