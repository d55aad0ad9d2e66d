"""A wall, upright or leaning, with a shelf on it, to find places and ports on."""

from __future__ import annotations

import math
from typing import Any

import pytest

from generators.geometry.contours import rectangle
from generators.layout.mounting import PlacedPart
from generators.layout.panels import panel_layout
from generators.layout.spots import (
    Sheets,
    sheets_of,
)
from generators.model.plan import Bend, Fitting, Flange, Hole, PartPlan
from generators.model.spec.job import ExistingHole, HoleSpec, Mount, Panel, PartSpec, Position
from generators.model.words import Face

C30, S30 = math.cos(math.radians(30)), math.sin(math.radians(30))
"""Of a lean of 30 degrees."""


def bolt(name: str, u: float, v: float, **more: Any) -> Hole:
    fitting = Fitting(kind="bolt", label="M6", shank_mm=6.0)
    return Hole(name=name, u_mm=u, v_mm=v, diameter_mm=6.6, purpose="test", fitting=fitting, **more)


def wall(tilt_deg: float = 0.0) -> Panel:
    def spec(name: str, u: float, v: float) -> HoleSpec:
        return HoleSpec(
            name=name, at=Position(u_mm=u, v_mm=v), kind="plain", diameter_mm=8.0, purpose="test hole"
        )

    return Panel(
        name="wall",
        title="Wall",
        material="steel",
        thickness_mm=1.5,
        origin=(100.0, -200.0, 300.0),
        tilt_rad=math.radians(tilt_deg),
        outline=((0.0, 0.0), (600.0, 0.0), (600.0, 400.0), (0.0, 400.0)),
        hole=(spec("one", 40.0, 60.0), spec("two", 100.0, 80.0), spec("stud", 500.2, 300.0)),
        existing=(
            ExistingHole(name="old", at=(500.0, 300.0), diameter_mm=12.0, action="reuse", what="old stud"),
        ),
    )


def shelf(mount: Mount | None) -> PlacedPart:
    """A foot of 60 × 40 of 3 mm sheet with a leg of 30 up from its upper edge: inside radius 2, so 5 to go round."""
    plan = PartPlan(
        name="shelf",
        kind="t",
        title="t",
        material="1008 steel",
        thickness_mm=3.0,
        flanges=(
            Flange(
                name="foot",
                contour=rectangle(-30, -20, 30, 20),
                holes=(bolt("foot_1", -10, 5, mates=True), bolt("foot_2", 10, 5)),
            ),
            Flange(name="leg", contour=rectangle(0, 0, 60, 30), holes=(bolt("leg_1", 20, 12),)),
        ),
        bends=(
            Bend(
                name="b",
                parent="foot",
                child="leg",
                start=(30.0, 20.0),
                end=(-30.0, 20.0),
                angle_rad=math.pi / 2,
                inside_radius_mm=2.0,
                direction="up",
                k_factor=0.42,
                k_source="test",
            ),
        ),
    )
    spec: PartSpec[Any] = PartSpec(
        name="shelf", kind="t", material="1008 steel", thickness_mm=3.0, mount=mount
    )
    return PlacedPart(spec=spec, plan=plan)


def sheets(tilt_deg: float = 0.0, face: Face = "cab", *, mounted: bool = True, holes: bool = True) -> Sheets:
    panel = wall(tilt_deg)
    mount = Mount(panel="wall", face=face, at=Position(u_mm=300.0, v_mm=200.0), holes=holes)
    part = shelf(mount if mounted else None)
    layout = panel_layout(panel, (part,), ())
    return sheets_of((panel,), (layout,), (part,))


def near(found: tuple[float, ...], wanted: tuple[float, ...]) -> bool:
    return found == pytest.approx(wanted, abs=1e-9)
