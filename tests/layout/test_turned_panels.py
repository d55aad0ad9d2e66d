"""Panels that face sideways: their frame by hand, folds to them, fittings in them, and what the sheets say.

Vehicle frame: x rearward, y to the right, z up (the sense of SAE J1100 and ISO 4130).
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from generators.geometry.frames import apply, panel_frame
from generators.layout.folds import fold_lines
from generators.layout.mounting import panel_pose
from generators.layout.panels import facing, panel_layout
from generators.layout.spots import ports_of, sheets_of
from generators.layout.wrap import wrapped_layout
from generators.model.spec.fittings import Elbow
from generators.model.spec.job import ExistingHole, Fold, HoleSpec, Panel, Position
from generators.model.spec.lines import Component, Spot

RIGHT, LEFT = math.pi / 2, -math.pi / 2

WALL = Panel(
    name="wall",
    title="Wall",
    material="steel",
    thickness_mm=1.5,
    origin=(300.0, -50.0, 600.0),
    outline=((0, 0), (800, 0), (800, 400), (0, 400)),
    existing=(ExistingHole(name="a", at=(700, 80), diameter_mm=20, action="blank", what="one hole"),),
)
# The kick panel at the wall's right edge, y = -50 + 800: it runs rearward and faces the vehicle's left.
KICK = replace(
    WALL,
    name="kick",
    title="Kick panel",
    origin=(300.0, 750.0, 600.0),
    turn_rad=LEFT,
    outline=((0, 0), (300, 0), (300, 400), (0, 400)),
    existing=(ExistingHole(name="c", at=(100, 80), diameter_mm=16, action="blank", what="other hole"),),
)
# The tunnel's side at the wall's left edge faces the vehicle's right; as seen from there, right is forward.
TUNNEL = replace(
    KICK,
    name="tunnel",
    title="Tunnel side",
    origin=(300.0, -50.0, 600.0),
    turn_rad=RIGHT,
    outline=((-300, 0), (0, 0), (0, 400), (-300, 400)),
    existing=(ExistingHole(name="c", at=(-100, 80), diameter_mm=16, action="blank", what="other hole"),),
)


@pytest.mark.parametrize(
    ("turn", "u", "normal"),
    [
        (0.0, (0, 1, 0), (1, 0, 0)),
        (RIGHT, (-1, 0, 0), (0, 1, 0)),
        (LEFT, (1, 0, 0), (0, -1, 0)),
        (math.pi, (0, -1, 0), (-1, 0, 0)),
        (math.radians(30), (-0.5, math.sqrt(3) / 2, 0), (math.sqrt(3) / 2, 0.5, 0)),
    ],
)
def test_whoever_looks_at_the_panel_has_u_to_the_right(
    turn: float, u: tuple[float, ...], normal: tuple[float, ...]
) -> None:
    pose = panel_frame((0, 0, 0), 0.0, turn)
    assert pose[:3, 0] == pytest.approx(u, abs=1e-12)
    assert pose[:3, 1] == pytest.approx((0, 0, 1), abs=1e-12)
    assert pose[:3, 2] == pytest.approx(normal, abs=1e-12)


def test_a_turned_panel_leans_away_from_whom_it_faces() -> None:
    # a tunnel side that faces right, its top 30 degrees toward the vehicle's left
    pose = panel_frame((0, 0, 0), math.radians(30), RIGHT)
    assert pose[:3, 1] == pytest.approx((0, -0.5, math.sqrt(3) / 2), abs=1e-12)
    assert pose[:3, 2] == pytest.approx((0, math.sqrt(3) / 2, 0.5), abs=1e-12)
    assert np.linalg.det(pose[:3, :3]) == pytest.approx(1.0)


@pytest.mark.parametrize("side", [KICK, TUNNEL])
def test_paper_goes_round_the_upright_edge_to_a_side_panel(side: Panel) -> None:
    """Both holes lie 100 mm from the sharp edge at one height; hollow on the cab face, radius 6 mm, a right angle:
    flats of 100 - 6 mm each and a quarter of the circle between them."""
    wall = replace(WALL, existing=(replace(WALL.existing[0], at=(700, 80) if side is KICK else (100, 80)),))
    panels = {"wall": wall, side.name: side}
    lines = fold_lines(Fold(panels=("wall", side.name), inside_radius_mm=6.0), panels, "fold[0]")
    assert lines["wall"].angle_rad == pytest.approx(math.pi / 2)
    layouts = (panel_layout(wall, (), (lines["wall"],)), panel_layout(side, (), (lines[side.name],)))
    for face, radius in (("cab", 6.0), ("engine", 7.5)):
        flat = wrapped_layout((wall, side), layouts, face)  # type: ignore[arg-type]
        a, c = (next(h for h in flat.holes if h.name == name) for name in ("a", "c"))
        assert c.v_mm == pytest.approx(a.v_mm)
        length = 2 * (100 - 6) + radius * math.pi / 2
        assert c.u_mm - a.u_mm == pytest.approx(length if side is KICK else -length)


def test_holes_and_fittings_of_a_side_panel_are_where_a_tape_finds_them() -> None:
    # 120 mm along and 50 mm up on the kick panel: 120 mm rearward of its front edge, at the wall's right end
    hole = HoleSpec(
        name="line_out", at=Position(u_mm=120.0, v_mm=50.0), kind="bulkhead", dash=4, purpose="line out"
    )
    kick = replace(KICK, hole=(hole,))
    at = apply(panel_pose(kick), np.array([[120.0, 50.0, 0.0]]))[0]
    assert at == pytest.approx((420.0, 750.0, 650.0))
    fitting = Component(
        name="line_out",
        kind="bulkhead",
        dash=4,
        on=Spot(panel="kick", holes=("line_out",)),
        seat_cab_mm=20.0,
        seat_engine_mm=30.0,
        elbow=Elbow(face="cab", toward="right", leg_mm=15.0),
    )
    sheets = sheets_of((kick,), (panel_layout(kick, (), ()),), ())
    ports = {port.name: port for port in ports_of(fitting, sheets)}
    # the cab face looks left: its seat is 20 mm to the left of the metal, and right of it is rearward
    assert ports["cab"].position == pytest.approx((420.0 + 15.0, 730.0, 650.0))
    assert ports["cab"].direction == pytest.approx((1.0, 0.0, 0.0))
    # behind the metal, 1.5 mm thick
    assert ports["engine"].position == pytest.approx((420.0, 750.0 + 1.5 + 30.0, 650.0))
    assert ports["engine"].direction == pytest.approx((0.0, 1.0, 0.0))


@pytest.mark.parametrize(
    ("tilt_deg", "cab", "engine"),
    [
        (0, "as seen by the driver", "as seen from the engine bay"),
        (-74, "as seen by the driver", "as seen from the engine bay"),
        # by hand: at -90° the cab face's normal, cos t rearward and sin t up, is straight down
        (-90, "as seen from below", "as seen from above"),
        (-76, "as seen from below", "as seen from above"),
        (90, "as seen from above", "as seen from below"),
    ],
)
def test_a_level_panel_is_seen_from_above_or_below(tilt_deg: float, cab: str, engine: str) -> None:
    layout = panel_layout(replace(WALL, turn_rad=0.0, tilt_rad=math.radians(tilt_deg)), (), ())
    assert (layout.seen("cab"), layout.seen("engine")) == (cab, engine)
    assert any("looks" in note for note in layout.notes) == (abs(tilt_deg) > 75)


@pytest.mark.parametrize(
    ("turn_deg", "words"),
    [
        (0, ""),
        (90, "to the vehicle's right"),
        (-90, "to the vehicle's left"),
        (180, "forward"),
        (-30, "rearward, turned 30° to the vehicle's left"),
    ],
)
def test_the_sheets_say_which_way_a_turned_panel_looks(turn_deg: float, words: str) -> None:
    panel = replace(WALL, turn_rad=math.radians(turn_deg))
    layout = panel_layout(panel, (), ())
    assert facing(panel) == layout.facing == words
    assert any(words in note for note in layout.notes) == bool(words)
