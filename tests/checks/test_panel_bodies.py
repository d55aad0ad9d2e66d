"""What stands off the panel: shadows by hand, and obstacles it may not meet."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import pytest
from standing_jobs import standing

from generators.checks.panel.panel import check_panel
from generators.geometry.contours import Placement, bounds
from generators.layout.bodies import part_bodies
from generators.layout.mounting import PlacedPart
from generators.layout.panels import job_layouts
from generators.model.findings import Finding, Severity
from generators.model.limits import Limits
from generators.model.spec.forms.head import JobHead
from generators.model.spec.job import ExistingHole, Job, Mount, Obstacle, Panel, PartSpec, Position
from generators.model.spec.shop import Shop
from generators.model.words import FACES, Face
from generators.parts import KINDS, kind_named
from generators.sheetmetal.allowance import bend_rule

WALL = Panel(
    name="wall",
    title="Wall",
    material="steel",
    thickness_mm=1.2,
    origin=(0.0, 0.0, 0.0),
    outline=((0.0, 0.0), (800.0, 0.0), (800.0, 500.0), (0.0, 500.0)),
)


def placed(name: str, face: Face = "cab", **parameters: Any) -> PlacedPart:
    kind = kind_named(name)
    spec = PartSpec(
        name="thing",
        kind=name,
        material="1008 steel",
        thickness_mm=3.0,
        parameters=kind.parameters(**parameters),
        mount=Mount(panel="wall", face=face, at=Position(u_mm=400.0, v_mm=250.0)),
    )
    return PlacedPart(spec=spec, plan=kind.plan(spec, bend_rule(Shop(), "1008 steel", 3.0, None)))


def found(part: PlacedPart, **things: Any) -> list[Finding]:
    job = Job(job=JobHead(name="j", title="j"), panel=(replace(WALL, **things),))
    (layout,) = job_layouts(job, [part])
    return check_panel(layout, Limits(), {"thing": 3.0})


def beside(u: float, *, gap: float = 0.0, depth: float = 200.0, face: Face = "cab") -> tuple[Obstacle, ...]:
    """A box 20 mm wide from ``u`` on, as tall as the hanger."""
    return (
        Obstacle(
            name="box",
            face=face,
            what="heater box",
            corner=(u, 200.0),
            size=(20.0, 100.0),
            gap_mm=gap,
            depth_mm=depth,
        ),
    )


def test_cheeks_stand_where_the_hand_calculation_puts_them() -> None:
    part = placed("pedal_hanger", inside_width_mm=90.0, pivot_out_mm=90.0, pivot_boss_mm=24.0)
    bodies = {b.flange: b for b in part_bodies(part.plan, "cab", Placement(400.0, 250.0))}
    u0, _, u1, _ = bounds(bodies["right_cheek"].contour)
    # inside width 90 and 3 mm sheet: from 45 to 48 beside the middle
    assert (u0, u1) == pytest.approx((445.0, 448.0))
    # from the bend's tangent, R + T = 6, to the round end: 90 + 24
    assert (bodies["right_cheek"].near_mm, bodies["right_cheek"].far_mm) == pytest.approx(
        (6.0, 114.0), abs=0.06
    )


@pytest.mark.parametrize(
    ("u", "gap", "depth", "face", "hit"),
    [
        (446.0, 0.0, 200.0, "cab", True),  # starts inside the right cheek
        (448.5, 0.0, 200.0, "cab", False),  # half a millimetre beside it
        (446.0, 115.0, 50.0, "cab", False),  # above its round end
        # the outside of its bend, radius 6 about (442, 6), is at 445.97 in a height of 1.5 and 447.98 in 5.5
        (446.0, 0.0, 1.5, "cab", False),
        (446.0, 0.0, 5.5, "cab", True),
        (446.0, 0.0, 200.0, "engine", False),  # on the other face
    ],
)
def test_an_obstacle_beside_the_web_meets_the_cheek(
    u: float, gap: float, depth: float, face: Face, hit: bool
) -> None:
    part = placed("pedal_hanger", inside_width_mm=90.0, pivot_out_mm=90.0, pivot_boss_mm=24.0)
    wall = replace(WALL, obstacle=beside(u, gap=gap, depth=depth, face=face))
    hits = standing(wall, [part])
    assert [(f.code, f.severity) for f in hits] == ([("bodies-meet", Severity.FAIL)] if hit else [])
    assert all("right cheek" in f.where and "heater box" in f.where for f in hits)


def test_a_leaning_shelf_over_an_obstacle() -> None:
    part = placed("reservoir_bracket", face="engine", angle_rad=math.radians(30))
    over = Obstacle(
        name="pipe",
        face="engine",
        what="pipe",
        corner=(360.0, 310.0),
        size=(80.0, 20.0),
        gap_mm=2.0,
        depth_mm=30.0,
    )
    (hit,) = standing(replace(WALL, obstacle=(over,)), [part])
    assert hit.code == "bodies-meet"
    assert "shelf" in hit.where


def test_a_cheek_over_a_hole_in_use_warns() -> None:
    part = placed("pedal_hanger", inside_width_mm=90.0)
    column = ExistingHole(name="column", at=(480.0, 260.0), diameter_mm=70.0, what="column bore")
    over = [f for f in found(part, existing=(column,)) if "cheek" in f.where]
    # the cheek's outside is 48 beside the middle, the bore's near edge 80 - 35 = 45
    assert [(f.code, f.found) for f in over] == [
        ("hole-under-part", f"3.00 mm over it, {6.0:.2f} mm off the panel")
    ]


@pytest.mark.parametrize("face", FACES)
@pytest.mark.parametrize("name", [kind.name for kind in KINDS if not kind.printed and kind.plan_on is None])
def test_a_part_alone_on_its_panel_meets_nothing(name: str, face: Face) -> None:
    assert standing(WALL, [placed(name, face)]) == []
