"""Gaps between hoses and bodies against dense sampling, trimesh and shapely."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
import trimesh
from hypothesis import given, settings
from hypothesis import strategies as st
from routing_samples import LIMITS, NO_LIMITS, any_obstacle, any_run, run, sheet, three
from scipy.spatial.transform import Rotation
from shapely.geometry import Point, Polygon

from generators.model.hose_path import (
    Block,
    Box3,
    Cylinder3,
    HosePath,
    HoseRun,
    Limb,
    Opening3,
    Panel3,
    Prism3,
    Sweep3,
    Waypoint,
)
from generators.routing.around.bodies import collect, distances
from generators.routing.around.clearance import clearances
from generators.routing.paths.chains import shortest_path
from generators.routing.paths.curves import sampled

UPRIGHT: dict[str, Any] = {"u": (1.0, 0.0, 0.0), "v": (0.0, 1.0, 0.0)}


def path_of(wanted: HoseRun) -> HosePath:
    path = shortest_path(wanted)
    assert path is not None
    return path


def to_body(body: Box3 | Cylinder3 | Prism3 | Sweep3, points: np.ndarray) -> np.ndarray:
    bodies = collect([body], [], LIMITS)
    return distances(bodies, points, np.zeros(len(points), dtype=int))


def cloud(seed: int, span: float = 200.0) -> np.ndarray:
    return np.random.default_rng(seed).uniform(-span, span, (300, 3))


def to_surface(mesh: trimesh.Trimesh, points: np.ndarray) -> np.ndarray:
    """Distance to the nearest triangle, by trimesh."""
    near = [
        np.linalg.norm(
            trimesh.triangles.closest_point(mesh.triangles, np.tile(p, (len(mesh.triangles), 1))) - p, axis=1
        )
        for p in points
    ]
    return np.array([each.min() for each in near])


def test_box_and_bar_against_trimesh() -> None:
    """Distances to the box's and a many-sided bar's surface mesh; inside where the plain inequalities say so."""
    box = Box3(name="b", centre=(10, 20, 30), half_mm=(40, 50, 60), **UPRIGHT)
    mesh = trimesh.creation.box(extents=(80, 100, 120))
    mesh.apply_translation((10, 20, 30))
    points = cloud(1, 120)
    found = to_body(box, points)
    assert np.allclose(np.abs(found), to_surface(mesh, points), atol=1e-9)
    inside = (np.abs(points - (10, 20, 30)) < (40, 50, 60)).all(axis=1)
    assert ((found < 0) == inside).all()
    assert inside.sum() > 5
    bar = Cylinder3(name="c", start=(0, 0, -70), end=(0, 0, 70), radius_mm=50)
    points = cloud(2, 120)[:100]
    found = to_body(bar, points)
    # 180 sides leave the circle by 50 (1 - cos 1°) = 0.0076 mm
    around = to_surface(trimesh.creation.cylinder(radius=50, height=140, sections=180), points)
    assert np.allclose(np.abs(found), around, atol=8e-3)
    inside = (np.hypot(points[:, 0], points[:, 1]) < 50) & (np.abs(points[:, 2]) < 70)
    assert ((found < 0) == inside).all()
    assert inside.sum() > 3


def test_prism_against_shapely() -> None:
    """Outside distance of an extruded outline is made of shapely's in the plane and the height beyond."""
    outline = ((0.0, 0.0), (100.0, 0.0), (100.0, 30.0), (40.0, 40.0), (30.0, 100.0), (0.0, 100.0))
    prism = Prism3(name="p", origin=(0, 0, 0), outline=outline, low_mm=-20, high_mm=50, **UPRIGHT)
    found = to_body(prism, cloud(3))
    for (x, y, z), gap in zip(cloud(3), found, strict=True):
        flat = Polygon(outline).distance(Point(x, y))
        beyond = max(-20 - z, z - 50, 0.0)
        if flat > 0 or beyond > 0:
            assert gap == pytest.approx(math.hypot(flat, beyond), abs=1e-9)
        else:
            inner = Polygon(outline).exterior.distance(Point(x, y))
            assert gap == pytest.approx(-min(inner, z + 20, 50 - z), abs=1e-9)


@pytest.mark.parametrize("turn", [-0.9, 2.5])
def test_swept_pedal_against_many_turns(turn: float) -> None:
    limb = Limb(start=(0, 0, 0), end=(30, 10, -150), radius_mm=9)
    sweep = Sweep3(name="pedal", pivot=(0, 0, 20), axis=(0, 1, 0), turn_rad=turn, limbs=(limb,))
    points, pivot = cloud(4), np.array([0.0, 0, 20])
    best = np.full(len(points), np.inf)
    for angle in np.linspace(0, turn, 2001):
        a, b = pivot + Rotation.from_rotvec([0, angle, 0]).apply(np.array([limb.start, limb.end]) - pivot)
        share = np.clip((points - a) @ (b - a) / ((b - a) @ (b - a)), 0, 1)
        best = np.minimum(best, np.linalg.norm(points - a - share[:, None] * (b - a), axis=1) - 9)
    found = to_body(sweep, points)
    assert np.allclose(found, best, atol=2e-2)
    assert (found <= best + 1e-4).all()


def test_a_pad_and_a_flat_ended_bar_on_their_way_against_many_turns() -> None:
    """A box and a bar with flat ends turned with the library's rotations and measured in closed form at each turn."""
    block = Block(centre=(40, 5, -120), u=(0.6, 0, 0.8), v=(0, 1, 0), half_mm=(30, 35, 5))
    bar = Limb(start=(0, -20, 0), end=(0, 20, 0), radius_mm=12, flat_ends=True)
    turn, pivot = 0.7, np.array([0.0, 0, 20])
    points = cloud(4)
    axes = np.array([block.u, block.v, np.cross(block.u, block.v)])
    for limb in (block, bar):
        sweep = Sweep3(name="pedal", pivot=(0, 0, 20), axis=(0, 1, 0), turn_rad=turn, limbs=(limb,))
        best = np.full(len(points), np.inf)
        for angle in np.linspace(0, turn, 2001):
            back = Rotation.from_rotvec([0, -angle, 0]).apply(points - pivot) + pivot
            if isinstance(limb, Block):
                past = np.abs((back - np.array(limb.centre)) @ axes.T) - np.array(limb.half_mm)
            else:
                past = np.column_stack([np.hypot(back[:, 0], back[:, 2]) - 12, np.abs(back[:, 1]) - 20])
            gap = np.linalg.norm(np.maximum(past, 0), axis=1) + np.minimum(past.max(axis=1), 0)
            best = np.minimum(best, gap)
        found = to_body(sweep, points)
        assert np.allclose(found, best, atol=3e-2)
        assert (found <= best + 1e-4).all()
        rows = collect([sweep], [], LIMITS)
        assert (np.maximum(rows.low[0] - points, points - rows.high[0]).max(axis=1) <= found + 1e-9)[
            found >= 0
        ].all()


def test_the_box_round_a_pad_on_its_way_is_no_larger_than_the_way() -> None:
    """A quarter turn about z: the corner (110, 20) goes round at sqrt(110² + 20²), 35 to 45 mm up all the way."""
    pad = Block(centre=(100, 0, 40), half_mm=(10, 20, 5), **UPRIGHT)
    sweep = Sweep3(name="pedal", pivot=(0, 0, 0), axis=(0, 0, 1), turn_rad=math.pi / 2, limbs=(pad,))
    rows = collect([sweep], [], LIMITS)
    far = math.hypot(110, 20)
    for found, least in ((-rows.low[0], (20, 20, -35)), (rows.high[0], (far, far, 45))):
        assert (found >= np.array(least) - 1e-9).all()
        assert (found <= np.array(least) + 0.5).all()


def test_the_strip_of_a_fold_is_measured_as_the_panel_it_belongs_to() -> None:
    strip = Prism3(name="sheet", origin=(0, 0, 0), outline=((0, 0), (20, 0), (20, 2), (0, 2)), low_mm=0, high_mm=300,
                   what="face", **UPRIGHT)  # fmt: skip
    (row,) = collect([strip], [], LIMITS).rows
    assert (row.what, row.limit_mm) == ("face", LIMITS.face_mm)


def test_panel_with_an_opening() -> None:
    """In the middle of a 60 mm opening the metal is 30 mm away, over the metal its height, outside the edge."""
    panel = sheet((Opening3(name="g", u_mm=0, v_mm=100, diameter_mm=60),), half=400, thickness=2)
    bodies = collect([], [panel], LIMITS)
    points = np.array([(-1.0, 0, 100), (20, 0, 0), (0, 450, 0), (7, 0, 60), (-1, 50, 50)])
    assert distances(bodies, points, np.zeros(5, dtype=int)) == pytest.approx([30, 20, 50, 7, -1])
    # to bare edges: the rim from its middle, the outline from inside, the rim again
    edge = distances(bodies, points, np.ones(5, dtype=int))
    assert edge == pytest.approx([30, math.hypot(20, 70), 50, math.hypot(7, 10), math.hypot(50, 50) - 30])


def test_a_fold_is_no_bare_edge() -> None:
    """Past the folded side (u = 400, side 1) only the next bare edge counts, 350 away; past the others nothing changes."""
    plain, folded = sheet(), replace(sheet(), folded=(1,))
    points = np.array([(5.0, 390, 50), (5, 50, 395)])
    far = distances(collect([], [plain], LIMITS), points, np.ones(2, dtype=int))
    assert far == pytest.approx([math.hypot(5, 10), math.hypot(5, 5)])
    far = distances(collect([], [folded], LIMITS), points, np.ones(2, dtype=int))
    assert far == pytest.approx([math.hypot(5, 350), math.hypot(5, 5)])
    # the metal is as near as before
    assert distances(collect([], [folded], LIMITS), points, np.zeros(2, dtype=int)) == pytest.approx([5, 5])


def test_distance_changes_no_faster_than_the_way() -> None:
    """What the halving search rests on, for every form of body."""
    dice = np.random.default_rng(6)
    obstacles = [any_obstacle(dice, form % 4, f"o{form}", 150) for form in range(12)]
    bodies = collect(obstacles, [sheet((Opening3(name="g", u_mm=0, v_mm=50, diameter_mm=60),))], LIMITS)
    a = dice.uniform(-300, 300, (4000, 3))
    b = a + dice.normal(scale=5.0, size=a.shape)
    which = np.arange(4000) % len(bodies.rows)
    change = np.abs(distances(bodies, a, which) - distances(bodies, b, which))
    assert (change <= np.linalg.norm(a - b, axis=1) + 0.01).all()


def test_boxes_round_bodies() -> None:
    dice = np.random.default_rng(9)
    obstacles = [any_obstacle(dice, form % 4, f"o{form}", 100) for form in range(12)]
    bodies = collect(obstacles, [sheet()], LIMITS)
    points = dice.uniform(-600, 600, (40_000, 3))
    for row in range(len(bodies.rows)):
        inside = distances(bodies, points, np.full(len(points), row)) <= 0
        assert (points[inside] >= bodies.low[row] - 1e-9).all()
        assert (points[inside] <= bodies.high[row] + 1e-9).all()


def test_straight_beside_a_bar() -> None:
    """By hand: lines 100 apart and square to each other, less 30 of the bar and 6 of the hose."""
    path = path_of(run((0, 0, 100), (1, 0, 0), (600, 0, 100), (1, 0, 0)))
    bar = Cylinder3(name="exhaust", start=(300, -400, 0), end=(300, 400, 0), radius_mm=30, kind="hot")
    (gap,) = clearances([path], [bar], [], LIMITS)
    assert gap.gap_mm == pytest.approx(64.0, abs=1e-6)
    assert gap.station_mm == pytest.approx(300.0, abs=0.1)
    assert not gap.met
    assert clearances([path], [bar], [], NO_LIMITS) == ()
    assert len(clearances([path], [bar], [], NO_LIMITS, beyond_mm=64.01)) == 1


def test_arc_round_a_bar() -> None:
    """Half a circle of 75 mm round a bar of 40 mm at its centre: 75 - 40 - 6 all along."""
    path = path_of(run((0, 0, 0), (1, 0, 0), (0, 150, 0), (-1, 0, 0)))
    bar = Cylinder3(name="bar", start=(0, 75, -50), end=(0, 75, 50), radius_mm=40)
    (gap,) = clearances([path], [bar], [], NO_LIMITS, beyond_mm=50)
    assert gap.gap_mm == pytest.approx(29.0, abs=1e-6)


@pytest.mark.parametrize("seed", [2])
def test_many_against_dense_sampling(seed: int) -> None:
    dice = np.random.default_rng(seed)
    obstacles = [any_obstacle(dice, k % 4, f"o{k}", 500) for k in range(40)]
    panel = sheet((Opening3(name="g", u_mm=0, v_mm=50, diameter_mm=60),))
    paths = [path_of(any_run(dice, f"h{k}", 1, 500)) for k in range(5)]
    found: dict[tuple[str, str, str], float] = {
        (c.hose, c.body, c.what): c.gap_mm
        for c in clearances(paths, obstacles, [panel], LIMITS)
        if c.what != "crossing"
    }
    bodies = collect(obstacles, [panel], LIMITS)
    wanted: dict[tuple[str, str, str], float] = {}
    for path in paths:
        points = sampled(path, 0.5)[1]
        for k, body in enumerate(bodies.rows):
            gap = float(distances(bodies, points, np.full(len(points), k)).min()) - 6.0
            if gap < body.limit_mm - 0.25:
                wanted[path.name, body.name, body.what] = gap
    assert len(wanted) > 7
    for key, gap in wanted.items():
        assert found[key] == pytest.approx(gap, abs=0.26)
        assert found[key] <= gap + 0.25


@settings(max_examples=8, deadline=None)
@given(st.integers(0, 2**31), st.booleans())
def test_gaps_move_with_everything(seed: int, mirror: bool) -> None:
    dice = np.random.default_rng(seed)
    wanted = any_run(dice, supports=0, span=400)
    start, end = np.array(wanted.start.position), np.array(wanted.end.position)
    bar = Cylinder3(
        name="bar",
        start=three((start + end) / 2 + 60),
        end=three((start + end) / 2 + dice.uniform(-200, 200, 3)),
        radius_mm=20,
    )
    turn = Rotation.random(random_state=seed % 2**31).as_matrix() @ np.diag([1, -1 if mirror else 1, 1])
    shift = dice.uniform(-300, 300, 3)

    def put(point: tuple[float, float, float]) -> tuple[float, float, float]:
        return three(turn @ np.array(point) + shift)

    turned = run(
        put(wanted.start.position), three(turn @ np.array(wanted.start.direction)),
        put(wanted.end.position), three(-turn @ np.array(wanted.end.direction)), straight_mm=25.0,
    )  # fmt: skip
    there = Cylinder3(name="bar", start=put(bar.start), end=put(bar.end), radius_mm=20)
    a = clearances([path_of(wanted)], [bar], [], LIMITS, beyond_mm=1000)
    b = clearances([path_of(turned)], [there], [], LIMITS, beyond_mm=1000)
    assert [c.gap_mm for c in a] == pytest.approx([c.gap_mm for c in b], abs=0.25)


def through(
    v: float, axis: tuple[float, float, float] | None, panel: Panel3, wide: float = 12.0
) -> list[tuple[str, float]]:
    way = () if axis is None else (
        Waypoint(name="g", kind="grommet", position=(-1.0, 0.0, v), axis=axis, straight_mm=15, panel="wall", opening="g"),
    )  # fmt: skip
    path = path_of(run((-300, 0, v), (1, 0, 0), (300, 0, v), (1, 0, 0), via=way, outside_mm=wide))
    return [
        (c.what, c.gap_mm)
        for c in clearances([path], [], [panel], LIMITS)
        if not c.met or c.what == "crossing"
    ]


def test_through_the_panel() -> None:
    """By its grommet the gap is what is left of the opening; without one it goes through the metal."""
    panel = sheet((Opening3(name="g", u_mm=0, v_mm=100, diameter_mm=20),))
    assert through(100, (1, 0, 0), panel) == [("crossing", pytest.approx(4.0))]
    bare = dict(through(0, None, panel))
    assert bare["crossing"] == -6.0
    assert bare["face"] < 0
    # the opening is there, but the hose does not say that it uses it
    assert dict(through(100, None, panel))["crossing"] == -6.0
    # at an angle of 45° a 12 mm hose needs 12 / cos 45° + 2 tan 45°
    slanted = dict(through(100, three(np.array([1, 1, 0]) / math.sqrt(2)), panel))
    assert slanted["crossing"] == pytest.approx((20 - 12 * math.sqrt(2) - 2) / 2)


def test_a_hose_that_ends_short_of_a_panel_does_not_go_through_it() -> None:
    """At 45°, the middle of the metal 80 mm ahead, it is 80 / cos 45° = 113.1 mm along the hose."""
    panel = sheet()
    lean = three(np.array([1, 1, 0]) / math.sqrt(2))

    def gone_through(length: float) -> list[float]:
        end = three(np.array([-81.0, 0, 0]) + length * np.array(lean))
        path = path_of(run((-81, 0, 0), lean, end, lean))
        found = clearances([path], [], [panel], LIMITS)
        return [c.station_mm for c in found if c.what == "crossing"]

    assert gone_through(100.0) == []
    assert gone_through(130.0) == pytest.approx([80 * math.sqrt(2)])


def test_own_body_is_left_out_near_the_end_only() -> None:
    """A port on a tank is not too near its tank, but a hose that comes back to it is."""
    tank = Box3(name="tank", centre=(-30, 0, 0), half_mm=(30, 60, 60), **UPRIGHT)
    wanted = run((0, 0, 0), (1, 0, 0), (600, 0, 0), (1, 0, 0), straight_mm=20)
    own = HoseRun(
        name="h", start=wanted.start.__class__(name="a", position=(0, 0, 0), direction=(1, 0, 0), straight_mm=20, body="tank"),
        end=wanted.end, bend_radius_mm=75, outside_dia_mm=12,
    )  # fmt: skip
    assert len(clearances([path_of(wanted)], [tank], [], LIMITS)) == 1
    assert clearances([path_of(own)], [tank], [], LIMITS) == ()
    back = HoseRun(
        name="h", start=own.start, bend_radius_mm=75, outside_dia_mm=12,
        end=run((0, 0, 0), (1, 0, 0), (-20, 70, 0), (-1, 0, 0)).end,
    )  # fmt: skip
    assert [c.body for c in clearances([path_of(back)], [tank], [], LIMITS)] == ["tank"]


def test_of_two_places_the_nearer_by_more_than_a_quarter_millimetre_is_told() -> None:
    # Two wires of one name across a straight hose: one 0.3 mm beside its middle line near half-way, where the
    # search looks first, the other through the middle line at a place no halving meets. Closed form: the gap is
    # minus both radii. Distances fall at their steepest, as fast as the way gone, so the bound is sharp.
    path = path_of(run((0, 0, 0), (1, 0, 0), (2000, 0, 0), (1, 0, 0)))
    beside = Cylinder3(name="wire", start=(1000.02, -300, 0.3), end=(1000.02, 300, 0.3), radius_mm=0.1)
    through = Cylinder3(name="wire", start=(1371.3, -300, 0), end=(1371.3, 300, 0), radius_mm=0.1)
    for bars in ([beside, through], [through, beside]):
        (found,) = clearances([path], bars, [], LIMITS)
        assert found.gap_mm == pytest.approx(-0.1 - 6.0, abs=0.01)
        assert found.station_mm == pytest.approx(1371.3, abs=0.01)


def test_the_gap_to_a_bar_is_exact_wherever_it_crosses() -> None:
    # A straight hose of 2 m past a round bar across it, 60 mm from its middle line: 60 less both radii.
    limits = replace(NO_LIMITS, fixed_mm=200.0)
    path = path_of(run((0, 0, 0), (1, 0, 0), (2000, 0, 0), (1, 0, 0)))
    for at in np.linspace(100.0, 1900.0, 61):
        bar = Cylinder3(name="bar", start=(at, -300, 60), end=(at, 300, 60), radius_mm=4)
        (found,) = clearances([path], [bar], [], limits)
        assert found.gap_mm == pytest.approx(60.0 - 4.0 - 6.0, abs=1e-6)
        assert found.station_mm == pytest.approx(at, abs=0.05)


def test_outlines_of_different_counts_of_corners_side_by_side() -> None:
    # a triangle, a square and an L of six: each alone and all together, points inside and outside; shapely in the plane
    outlines = (
        ((90.0, 0.0), (0.0, 80.0), (0.0, 0.0)),
        ((40.0, -30.0), (40.0, 40.0), (-30.0, 40.0), (-30.0, -30.0)),
        ((0.0, 0.0), (100.0, 0.0), (100.0, 30.0), (40.0, 40.0), (30.0, 100.0), (0.0, 100.0)),
    )
    prisms = [
        Prism3(name=f"p{k}", origin=(0, 0, 0), outline=o, low_mm=-500, high_mm=500, **UPRIGHT)
        for k, o in enumerate(outlines)
    ]
    together = collect(prisms, [], LIMITS)
    points = cloud(7, 120) * (1.0, 1.0, 0.5)
    for row, outline in enumerate(outlines):
        found = distances(together, points, np.full(len(points), row, dtype=int))
        shape = Polygon(outline)
        for (x, y, _z), gap in zip(points, found, strict=True):
            inside = shape.contains(Point(x, y))
            flat = -shape.exterior.distance(Point(x, y)) if inside else shape.distance(Point(x, y))
            assert gap == pytest.approx(flat, abs=1e-9)
