"""Views of hand-made scenes: what lies behind is hidden, to the lengths worked out by hand in each test."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely

from generators.drawing.part.views import Camera
from generators.drawing.space.sights import Sight, hose_sight, piece_sight
from generators.drawing.space.views import (
    FROM_ABOVE,
    FROM_BEHIND,
    FROM_LEFT,
    OBLIQUE,
    Drawn,
    box_on_paper,
    scene_view,
)
from generators.model.hose_path import Arc, HosePath, Straight, Support
from generators.space.pieces import Box, Hull, Rod

EYE = np.eye(4)
WIDE = (-1000.0, -1000.0, 1000.0, 1000.0)
STEP = 0.25


def block(name: str, low: tuple[float, float, float], high: tuple[float, float, float]) -> Sight:
    a, b = np.array(low), np.array(high)
    pose = EYE.copy()
    pose[:3, 3] = (a + b) / 2
    half = (b - a) / 2
    piece = Box(pose=pose, half_mm=(float(half[0]), float(half[1]), float(half[2])))
    return piece_sight(name, name, "part", [piece])


def lines(drawn: Drawn, hidden: bool) -> shapely.Geometry:
    """What is drawn, each place once: edges that lie behind each other are one line on paper."""
    strokes = [shapely.LineString(s.points) for s in drawn.strokes if s.hidden is hidden]
    return shapely.union_all(strokes, grid_size=1e-3)


def seen(drawn: Drawn) -> float:
    """Length on paper, mm of the vehicle, of what is seen."""
    return float(lines(drawn, False).length)


def hidden(drawn: Drawn) -> float:
    """The same of what is hidden, but for what runs along a seen line."""
    return float(lines(drawn, True).difference(lines(drawn, False).buffer(0.01)).length)


def looked(sights: list[Sight], camera: Camera) -> dict[str, Drawn]:
    return {d.sight.name: d for d in scene_view(sights, camera, STEP, WIDE)}


def test_views_look_where_their_names_say() -> None:
    # x rearward, y right, z up: front on the left, as the driver sees it, front up
    ahead, right, up = np.array([[-1.0, 0, 0]]), np.array([[0, 1.0, 0]]), np.array([[0, 0, 1.0]])
    assert FROM_LEFT.project(ahead)[0] == pytest.approx([-1, 0])
    assert FROM_LEFT.project(up)[0] == pytest.approx([0, 1])
    assert FROM_LEFT.toward == pytest.approx([0, -1, 0])
    assert FROM_BEHIND.project(right)[0] == pytest.approx([1, 0])
    assert FROM_BEHIND.project(up)[0] == pytest.approx([0, 1])
    assert FROM_BEHIND.toward == pytest.approx([1, 0, 0])
    assert FROM_ABOVE.project(ahead)[0] == pytest.approx([0, 1])
    assert FROM_ABOVE.project(right)[0] == pytest.approx([1, 0])
    assert FROM_ABOVE.toward == pytest.approx([0, 0, 1])
    x, y, z = OBLIQUE.toward
    assert x > 0 > y
    assert z > 0
    for camera in (FROM_LEFT, FROM_BEHIND, FROM_ABOVE, OBLIQUE):
        axes = np.array([camera.right, camera.up, camera.toward])
        assert axes @ axes.T == pytest.approx(np.eye(3))
        assert np.linalg.det(axes) == pytest.approx(1.0)


def test_what_lies_behind_a_plate_is_hidden_and_what_sticks_out_is_not() -> None:
    # from behind: a plate 100 by 100 at x = 50, a bar 200 wide and 20 high ahead of it at x = 0
    plate, bar = block("plate", (50, -50, -50), (52, 50, 50)), block("bar", (0, -100, -10), (5, 100, 10))
    views = looked([plate, bar], FROM_BEHIND)
    assert seen(views["plate"]) == pytest.approx(400, abs=8 * STEP)
    assert hidden(views["plate"]) == pytest.approx(0, abs=1e-6)
    # of the bar's outline the plate hides the middle 100 mm, above and below
    assert seen(views["bar"]) == pytest.approx(2 * (50 + 50) + 2 * 20, abs=8 * STEP)
    assert hidden(views["bar"]) == pytest.approx(2 * 100, abs=8 * STEP)
    # from above they are apart
    above = looked([plate, bar], FROM_ABOVE)
    assert seen(above["bar"]) == pytest.approx(2 * 200 + 2 * 5, abs=8 * STEP)


def test_the_same_the_other_way_round() -> None:
    plate, bar = block("plate", (-50, -50, -50), (-48, 50, 50)), block("bar", (0, -100, -10), (5, 100, 10))
    views = looked([plate, bar], FROM_BEHIND)
    assert seen(views["bar"]) == pytest.approx(440, abs=8 * STEP)
    # of the plate's own near outline the bar hides 20 mm on either side
    assert seen(views["plate"]) == pytest.approx(400 - 40, abs=8 * STEP)


def test_a_place_something_moves_to_hides_nothing() -> None:
    pose = EYE.copy()
    pose[0, 3] = 50.0
    ghost = piece_sight("ghost", "", "pad", [Box(pose=pose, half_mm=(1.0, 50.0, 50.0))], hides=False)
    bar = block("bar", (0, -100, -10), (5, 100, 10))
    views = looked([ghost, bar], FROM_BEHIND)
    assert seen(views["bar"]) == pytest.approx(440, abs=8 * STEP)
    assert seen(views["ghost"]) == pytest.approx(400, abs=8 * STEP)


def test_a_rod_is_its_outline_and_hides_what_is_behind_it() -> None:
    # a rod of 20 across along y, 100 long; a thin bar ahead of it along z, 100 high
    rod = piece_sight(
        "rod", "", "cylinder", [Rod(start=(0.0, -50.0, 0.0), end=(0.0, 50.0, 0.0), radius_mm=10.0)]
    )
    bar = block("bar", (-60, -2, -50), (-56, 2, 50))
    views = looked([rod, bar], FROM_BEHIND)
    # two outlines, and the rims of its ends as lines
    assert seen(views["rod"]) == pytest.approx(200 + 2 * 20, rel=0.02)
    assert hidden(views["rod"]) == pytest.approx(0, abs=0.5)
    assert seen(views["bar"]) == pytest.approx(2 * (100 - 20) + 2 * 4, abs=8 * STEP)


def test_a_rod_toward_the_eye_is_a_circle() -> None:
    rod = piece_sight("rod", "", "cylinder", [Rod(start=(0.0, 0, 0), end=(90.0, 0, 0), radius_mm=10.0)])
    drawn = looked([rod], FROM_BEHIND)["rod"]
    assert seen(drawn) == pytest.approx(2 * math.pi * 10, rel=0.02)
    assert drawn.spots
    assert all(math.hypot(*spot) == pytest.approx(10.0, rel=0.03) for spot in drawn.spots)


def test_a_bent_hose_is_two_outlines_as_long_as_its_arcs() -> None:
    # a quarter turn of 60 mm radius in the plane x = 0: outlines of radius 54 and 66 seen from behind
    path = HosePath(
        name="hose",
        segments=(
            Straight(start=(0.0, -100.0, 0.0), end=(0.0, 0.0, 0.0)),
            Arc(centre=(0.0, 0.0, 60.0), axis=(1.0, 0.0, 0.0), start=(0.0, 0.0, 0.0), sweep_rad=math.pi / 2),
        ),
        supports=(
            Support(name="a", kind="port", station_mm=0.0),
            Support(name="b", kind="port", station_mm=100 + 30 * math.pi),
        ),
        outside_dia_mm=12.0,
        bend_radius_mm=60.0,
    )
    drawn = looked([hose_sight(path, "hose")], FROM_BEHIND)["hose"]
    outlines = 2 * 100 + (54 + 66) * math.pi / 2
    assert seen(drawn) == pytest.approx(outlines + 2 * 12, rel=0.01)
    # from above it runs toward the eye in the end: a disc there, and the straight
    above = looked([hose_sight(path, "hose")], FROM_ABOVE)["hose"]
    assert above.seen[0] == pytest.approx(100 + 60 + 6, abs=1.0)
    assert above.seen[1] == pytest.approx(12.0, abs=0.5)


def test_edges_of_a_rounded_prism_show_only_as_its_outline() -> None:
    # 36 sides about z: each turns by 10 degrees, so no side has an edge of its own
    turns = np.radians(np.arange(36) * 10.0)
    ring = np.column_stack([40 * np.cos(turns), 40 * np.sin(turns)])
    points = np.vstack([np.column_stack([ring, np.full(36, z)]) for z in (0.0, 30.0)])
    drum = piece_sight("drum", "", "obstacle", [Hull(points=points)])
    drawn = looked([drum], FROM_BEHIND)["drum"]
    upright = [
        s
        for s in drawn.strokes
        if abs(s.points[0, 0] - s.points[-1, 0]) < 1e-6 and np.ptp(s.points[:, 1]) > 29
    ]
    assert {round(float(s.points[0, 0]), 3) for s in upright} == {-40.0, 40.0}


def test_what_is_outside_the_window_is_left_out() -> None:
    one, two = block("one", (0, 0, 0), (10, 10, 10)), block("two", (0, 500, 0), (10, 510, 10))
    low, high = np.array([0.0, -5.0, -5.0]), np.array([10.0, 20.0, 20.0])
    window = box_on_paper(low, high, FROM_BEHIND)
    assert window == (-5.0, -5.0, 20.0, 20.0)
    (only,) = scene_view([one, two], FROM_BEHIND, STEP, window)
    assert only.sight is one
    assert scene_view([two], FROM_BEHIND, STEP, window) == []
