"""The panel seen from a part, and what a doubler does to everything on it."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from generators.checks.panel.panel import check_panel
from generators.geometry.contours import Placement, rectangle
from generators.layout.mounting import PlacedPart, part_matrix, placement
from generators.layout.panels import panel_layout
from generators.layout.stacking import doublers_under, stacked
from generators.layout.under import panel_under
from generators.model.limits import Limits
from generators.model.plan import Flange, Hole, PanelLayout, PartPlan
from generators.model.spec.forms.head import JobHead
from generators.model.spec.job import (
    Datum,
    ExistingHole,
    HoleSpec,
    Job,
    Mount,
    Obstacle,
    Panel,
    PartSpec,
    Position,
)
from generators.model.spec.shop import Shop
from generators.model.words import Face
from generators.parts import kind_named
from generators.parts.building.openings import bolt_hole
from generators.sheetmetal.allowance import bend_rule

WALL = Panel(
    name="wall",
    title="Wall",
    material="steel",
    thickness_mm=2.0,
    origin=(0.0, 0.0, 0.0),
    outline=((0.0, 0.0), (500.0, 0.0), (500.0, 400.0), (0.0, 400.0)),
    datum=(Datum(name="sill", kind="horizontal", at=(0.0, 0.0), what="the lower edge"),),
    existing=(ExistingHole(name="old", at=(60.0, 350.0), diameter_mm=30.0, what="an old hole"),),
    hole=(
        HoleSpec(
            name="stud",
            at=Position(u_mm=250.0, v_mm=200.0),
            kind="bolt",
            thread="M8",
            purpose="a stud",
            reach_cab_mm=20,
        ),
    ),
)


def mounted(plan: PartPlan, face: Face, u: float = 250.0, v: float = 200.0, turn: float = 0.0) -> PlacedPart:
    mount = Mount(panel="wall", face=face, at=Position(u_mm=u, v_mm=v), rotate_rad=turn)
    spec: PartSpec[Any] = PartSpec(
        name=plan.name, kind="f", material="1008 steel", thickness_mm=plan.thickness_mm, mount=mount
    )
    return PlacedPart(spec=spec, plan=plan)


def sheet(name: str, half: float, *holes: Hole, t: float = 3.0, doubler: bool = False) -> PartPlan:
    return PartPlan(
        name=name,
        kind="f",
        title=name,
        material="1008 steel",
        thickness_mm=t,
        flanges=(Flange(name="base", contour=rectangle(-half, -half, half, half), holes=holes),),
        doubler=doubler,
    )


def passing(name: str = "over", u: float = 0.0, v: float = 0.0, size: float = 9.0) -> Hole:
    hole = bolt_hole(name, u, v, thread="M8", fit="medium", purpose="over")
    return replace(hole, diameter_mm=size)


def laid(*parts: PlacedPart, wall: Panel = WALL) -> tuple[tuple[PlacedPart, ...], PanelLayout]:
    placed = stacked(Job(job=JobHead(name="j", title="j"), panel=(wall,)), parts)
    return placed, panel_layout(wall, placed, ())


@given(
    st.floats(-500, 500),
    st.floats(-500, 500),
    st.floats(-4, 4),
    st.booleans(),
    st.floats(-900, 900),
    st.floats(-900, 900),
)
def test_a_move_and_its_inverse(du: float, dv: float, angle: float, mirror: bool, u: float, v: float) -> None:
    move = Placement(du, dv, angle, mirror)
    assert move.inverse().apply(*move.apply(u, v)) == pytest.approx((u, v), abs=1e-9)
    assert move.apply(*move.inverse().apply(u, v)) == pytest.approx((u, v), abs=1e-9)


@pytest.mark.parametrize("face", ["cab", "engine"])
def test_the_panel_under_a_part_is_the_panel(face: Face) -> None:
    part = mounted(sheet("p", 40.0), face, 200.0, 150.0, math.radians(30))
    _, layout = laid(part)
    assert part.mount is not None
    under = panel_under(layout, WALL, part.mount, "p")
    place = placement(WALL, part.mount)
    assert [h.name for h in under.holes] == ["stud", "old"]
    assert place.apply(under.holes[0].u_mm, under.holes[0].v_mm) == pytest.approx((250.0, 200.0))
    # the stud reaches 20 mm into the cab, 15 mm by default into the engine bay
    near = 20.0 if face == "cab" else 15.0
    assert under.holes[0].fitting.reach_mm == near
    assert under.holes[0].drill_near == (face == "cab")
    ends = sorted(place.apply(*end) for end in (under.edges[0].start, under.edges[0].end))
    assert np.array(ends) == pytest.approx(np.array([(0.0, 0.0), (500.0, 0.0)]), abs=1e-9)
    assert under.named("old")[0].diameter_mm == 30.0
    assert under.named("nobody") == ()


def test_a_part_on_a_doubler_stands_off_the_panel() -> None:
    plate = mounted(sheet("d", 60.0, passing(), t=2.5, doubler=True), "cab")
    part = mounted(sheet("p", 40.0, passing()), "cab")
    behind = mounted(sheet("q", 40.0, passing()), "engine")
    placed, layout = laid(part, plate, behind)
    assert [p.lift_mm for p in placed] == [2.5, 0.0, 0.0]
    assert placed[0].mount is not None
    low = part_matrix(WALL, placed[0].mount, placed[0].lift_mm)[:3, 3]
    assert low - part_matrix(WALL, placed[0].mount)[:3, 3] == pytest.approx(
        [2.5, 0.0, 0.0]
    )  # +x, to the driver
    stud = next(h for h in layout.holes if h.name == "stud")
    assert (stud.reach_cab_mm, stud.reach_engine_mm) == (22.5, 15.0)
    assert doublers_under(layout, "q", [stud]) == 2.5
    assert doublers_under(layout, "d", [stud]) == 0.0
    # of several bolts the one that goes through most; none at all goes through nothing
    old = next(h for h in layout.holes if h.name == "old")
    for order in ([stud, old], [old, stud]):
        assert doublers_under(layout, "q", order) == 2.5
    assert doublers_under(layout, "q", [old]) == 0.0
    assert doublers_under(layout, "q", []) == 0.0


def test_a_doubler_with_its_openings_is_silent_and_without_them_covers_holes() -> None:
    limits = Limits()

    def codes(*holes: Hole, half: float = 60.0) -> set[str]:
        plate = mounted(sheet("d", half, *holes, t=2.5, doubler=True), "cab")
        part = mounted(sheet("p", 40.0, passing()), "cab")
        _, layout = laid(plate, part)
        found = check_panel(layout, limits, {"d": 2.5, "p": 3.0})
        return {f.code for f in found} - {"no-witness-hole"}

    assert codes(passing()) == set()
    assert codes(passing(size=12.0)) == set()
    assert codes() == {"hole-under-part"}
    assert codes(passing(u=5.0)) == {"hole-under-part"}
    # a doubler smaller than the part: it rocks
    assert codes(passing(), half=30.0) == {"footprint-clash"}


def test_air_under_an_obstacle_is_short_of_both_sheets() -> None:
    for gap, fine in ((5.4, False), (5.6, True)):
        box = Obstacle(
            name="duct",
            face="cab",
            what="a duct",
            corner=(270.0, 190.0),
            size=(60.0, 20.0),
            gap_mm=gap,
            depth_mm=30.0,
        )
        plate = mounted(sheet("d", 60.0, passing(), t=2.5, doubler=True), "cab")
        part = mounted(sheet("p", 40.0, passing()), "cab")
        _, layout = laid(plate, part, wall=replace(WALL, obstacle=(box,), hole=()))
        found = check_panel(layout, Limits(), {"d": 2.5, "p": 3.0})
        assert ("part-on-obstacle" in {f.code for f in found}) != fine


def test_flanges_of_a_lifted_part_stand_higher() -> None:
    kind = kind_named("clamp_standoff")
    spec: PartSpec[Any] = PartSpec(
        name="clamp", kind=kind.name, material="1008 steel", thickness_mm=3.0, parameters=kind.parameters()
    )
    plan = kind.plan(spec, bend_rule(Shop(), "1008 steel", 3.0, None))
    plate = sheet("d", 90.0, passing(), t=4.0, doubler=True)
    _, bare = laid(mounted(plan, "cab"))
    _, lifted = laid(mounted(plan, "cab"), mounted(plate, "cab"))
    for low, high in zip(bare.bodies, lifted.bodies, strict=True):
        assert high.near_mm - low.near_mm == pytest.approx(4.0)
        assert high.far_mm - low.far_mm == pytest.approx(4.0)
