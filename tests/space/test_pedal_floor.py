"""The floor of a pedal, by trigonometry and against fine steps of the solid modeller.

By hand: the pivot is at x = 250 + 95, z = 620 + 110 + 125 + 62; the toe board is the plane x + z = 250 + 620.
A point of the pedal at radius r and angle a rearward of straight down is at (345 + r sin a, 917 - r cos a), and
pressing takes a down. It meets the board at r (sin a - cos a) = 870 - 345 - 917, that is
sin(a - 45°) = -392 / (r √2).
"""

from __future__ import annotations

import math
import re
from pathlib import Path

import cadquery as cq
import numpy as np
import pytest
from old_van import old_van

from generators.errors import SpecError
from generators.model.findings import Finding, Severity
from generators.solve.bodies.pedals import PedalShapes
from generators.solve.job import Prepared, prepare
from generators.space.pieces import Box, Rod

OUT_MM, DOWN_MM = 60.0, 330.2
RADIUS_MM = math.hypot(OUT_MM, DOWN_MM)
REST_RAD = math.atan2(OUT_MM, DOWN_MM)
ROOT2 = math.sqrt(2)


def to_board(radius_mm: float, rest_rad: float, covering_mm: float = 0.0) -> float:
    """Turn at which a point meets the board, or a covering on it."""
    reach = (-392.0 + covering_mm * ROOT2) / (radius_mm * ROOT2)
    return rest_rad - (math.asin(reach) + math.pi / 4)


def lower_edge(height_mm: float, thickness_mm: float) -> tuple[float, float]:
    """Radius and angle of the pad's lower rear edge: half the height further down, behind the face."""
    low = RADIUS_MM + height_mm / 2
    return math.hypot(low, thickness_mm), REST_RAD - math.atan2(thickness_mm, low)


POINT_MM = RADIUS_MM * to_board(RADIUS_MM, REST_RAD)


def floor_of(prepared: Prepared):
    floor = prepared.pedals[0].frame.floor
    assert floor is not None
    return floor


def coded(prepared: Prepared, code: str) -> list[Finding]:
    return [f for f in prepared.findings if f.code == code]


def test_the_van_as_it_was_does_not_go_as_far_as_its_spec_says(tmp_path: Path) -> None:
    assert abs(POINT_MM - 123) < 1
    prepared = prepare(old_van(tmp_path))
    (finding,) = coded(prepared, "pedal-floor")
    assert finding.severity is Severity.FAIL
    assert "toe board" in finding.found
    said = re.search(r"the middle of its face would at ([0-9.]+) mm", finding.found)
    assert said is not None
    assert float(said[1]) == pytest.approx(POINT_MM, abs=0.15)
    radius, rest = lower_edge(50.0, 12.0)
    edge = RADIUS_MM * to_board(radius, rest)
    assert edge < POINT_MM
    assert finding.value == pytest.approx(edge, abs=0.1)
    floor = floor_of(prepared)
    assert floor.bare_mm == pytest.approx(edge, abs=0.1)
    assert floor.bare_mm <= edge + 1e-6
    # u of the hanger; v down the board from the fold: 45 degrees of what lies below z = 620
    turned = rest - to_board(radius, rest)
    v = (620 - (917 - radius * math.cos(turned))) * ROOT2
    assert finding.found.count(f"u 520 mm, v {-v:.0f} mm") == 1
    assert prepared.pedals[0].linkage.travel_mm == floor.travel_mm


@pytest.mark.parametrize("size", [(30.0, 6.0), (80.0, 25.0)])
def test_the_pad_of_the_spec_decides(tmp_path: Path, size: tuple[float, float]) -> None:
    height, thickness = size
    sizes = f'pad_height = "{height} mm"\npad_thickness = "{thickness} mm"\ntravel = "170 mm"'
    floor = floor_of(prepare(old_van(tmp_path, ('travel = "170 mm"', sizes))))
    radius, rest = lower_edge(height, thickness)
    assert floor.bare_mm == pytest.approx(RADIUS_MM * to_board(radius, rest), abs=0.1)


def test_a_covering_takes_its_thickness(tmp_path: Path) -> None:
    carpet = ('tilt = "45 deg"', 'tilt = "45 deg"\ncovering = "12 mm"')
    prepared = prepare(old_van(tmp_path, carpet))
    floor = floor_of(prepared)
    radius, rest = lower_edge(50.0, 12.0)
    assert floor.bare_mm == pytest.approx(RADIUS_MM * to_board(radius, rest), abs=0.1)
    assert floor.travel_mm == pytest.approx(RADIUS_MM * to_board(radius, rest, 12.0), abs=0.1)
    assert prepared.pedals[0].linkage.travel_mm == floor.travel_mm
    assert not [f for f in coded(prepared, "pedal-default") if "covering" in f.where]
    (finding,) = coded(prepared, "pedal-floor")
    assert "with its covering of 12 mm" in finding.found


OUT_OF_THE_WAY = ('pad = ["60 mm", "-13 in"]', 'pad = ["170 mm", "-13 in"]')


@pytest.mark.parametrize(("tilt", "wall"), [(19.9, True), (20.1, False)])
def test_what_leans_less_than_twenty_degrees_is_a_wall_and_no_floor(
    tmp_path: Path, tilt: float, wall: bool
) -> None:
    leaning = ('tilt = "45 deg"', f'tilt = "{tilt} deg"')
    assert floor_of(prepare(old_van(tmp_path, OUT_OF_THE_WAY, leaning))).wall is wall


LEFT_OUT = ('travel = "170 mm"\n', "")


def test_a_travel_left_out_is_the_floor_everywhere(tmp_path: Path) -> None:
    prepared = prepare(old_van(tmp_path, OUT_OF_THE_WAY, LEFT_OUT))
    answer, floor = prepared.pedals[0], floor_of(prepared)
    assert not coded(prepared, "pedal-floor")
    assert answer.linkage.travel_mm == floor.travel_mm
    assert answer.linkage.floor_rad == pytest.approx(floor.travel_mm / math.hypot(170, 330.2))
    assert answer.clutch is not None
    limit = next(x for x in answer.clutch.window.limits if x.key == "floor")
    assert limit.pad_mm == floor.travel_mm
    ranking = answer.ranking()
    assert ranking is not None
    assert ranking.floor_mm == floor.travel_mm


@pytest.mark.parametrize(("more", "late"), [(-0.2, False), (0.2, True)])
def test_a_typed_travel_may_come_up_to_the_floor(tmp_path: Path, more: float, late: bool) -> None:
    computed = floor_of(prepare(old_van(tmp_path, LEFT_OUT))).travel_mm
    typed = ('travel = "170 mm"', f'travel = "{computed + more:.3f} mm"')
    prepared = prepare(old_van(tmp_path, typed))
    assert bool(coded(prepared, "pedal-floor")) is late
    assert prepared.pedals[0].linkage.travel_mm == pytest.approx(min(computed + more, computed), abs=1e-3)


def test_a_pedal_over_nothing_needs_its_travel(tmp_path: Path) -> None:
    away = [
        ('tilt = "45 deg"', 'tilt = "-45 deg"'),
        ('pad = ["60 mm", "-13 in"]', 'pad = ["400 mm", "60 mm"]'),
    ]
    with pytest.raises(SpecError) as caught:
        prepare(
            old_van(tmp_path, *away, LEFT_OUT, ('pin = ["14 mm", "-60 mm"]', 'pin = ["60 mm", "-14 mm"]'))
        )
    assert any(fault.path == "pedal[0].travel" for fault in caught.value.faults)


FLOOR_STOPS = ('travel = "170 mm"\n', 'stop = "floor"\n')


def test_a_floor_that_is_the_stop_releases_on_the_carpet_and_over_travels_on_bare_metal(
    tmp_path: Path,
) -> None:
    carpet = ('tilt = "45 deg"', 'tilt = "45 deg"\ncovering = "9 mm"')
    prepared = prepare(old_van(tmp_path, OUT_OF_THE_WAY, FLOOR_STOPS, carpet))
    answer, floor = prepared.pedals[0], floor_of(prepared)
    assert answer.clutch is not None
    window = answer.clutch.window
    assert window.by_floor
    assert window.stop_mm == floor.travel_mm
    assert window.gone_mm == floor.bare_mm
    assert window.gone_mm > window.stop_mm + 9.0


def test_fine_steps_of_the_solid_modeller_come_to_the_same_floor(tmp_path: Path) -> None:
    """Reference: OCP's distance of the turned pad and arm from the sheet and a rail, in steps of 0.001 rad."""
    rail = """
[[obstacle]]
name = "rail"
what = "seat rail"
corner = ["330 mm", "440 mm", "520 mm"]
size = ["30 mm", "80 mm", "55 mm"]

[[pedal]]"""
    path = old_van(tmp_path, ("\n[[pedal]]", rail), LEFT_OUT, ('pin = ["', 'pad_side = "25 mm"\npin = ["'))
    prepared = prepare(path)
    floor = floor_of(prepared)
    assert floor.what == "seat rail"
    answer = prepared.pedals[0]
    shapes = PedalShapes(answer.spec, answer.frame)
    solids = [solid(piece) for body in (shapes.pad(), shapes.arm()) for piece in body.pieces]
    board = cq.Workplane("YZ").box(820, 280, 1.6).val()
    board = board.translate(cq.Vector(-0.8, 360, -140)).rotate(cq.Vector(), cq.Vector(0, 1, 0), -45)
    board = board.translate(cq.Vector(250, 0, 620))
    block = cq.Workplane().box(30, 80, 55).translate((345, 480, 547.5)).val()
    middle = cq.Vector(345, 470, 917)
    step, met = 0.001, None
    for count in range(600):
        turned = [s.rotate(middle, middle + cq.Vector(0, 1, 0), math.degrees(count * step)) for s in solids]
        if any(t.distance(other) <= 0 for t in turned for other in (board, block)):
            met = count * step
            break
    assert met is not None
    assert floor.bare_mm / RADIUS_MM == pytest.approx(met, abs=1.5 * step)


def solid(piece) -> cq.Shape:
    """A piece as a solid of its own."""
    if isinstance(piece, Box):
        x, y, z = (2 * h for h in piece.half_mm)
        shape = cq.Workplane().box(x, y, z).val()
        plane = cq.Plane(
            origin=tuple(piece.pose[:3, 3]), xDir=tuple(piece.pose[:3, 0]), normal=tuple(piece.pose[:3, 2])
        )
        return shape.moved(cq.Location(plane))
    start, end = cq.Vector(*piece.start), cq.Vector(*piece.end)
    return cq.Solid.makeCylinder(piece.radius_mm, (end - start).Length, start, end - start)


BOLT = 'travel = "170 mm"\n[pedal.stop_bolt]\nat = ["{}", "{}"]\ndiameter = "10 mm"'


def test_a_stop_bolt_stops_where_the_arm_comes_to_it(tmp_path: Path) -> None:
    """By hand: the bolt's end lies square in the arm's way, so its middle touches the arm's front edge.

    The arm goes from the pivot to the back of the pad, 12 mm behind the face, and is 25 mm wide.
    """
    turn = 0.2
    lean = REST_RAD - math.atan2(12.0, RADIUS_MM)
    along, half = 200.0, 12.5
    # a point of the arm's front edge, where it is after the turn
    a = lean - turn - math.atan2(half, along)
    r = math.hypot(along, half)
    place = (r * math.sin(a), -r * math.cos(a))
    text = BOLT.format(f"{place[0]:.4f} mm", f"{place[1]:.4f} mm")
    clutch = "\n  [pedal.master]"
    path = old_van(
        tmp_path, ('travel = "170 mm"\n', ""), (clutch, "\n" + text.split("\n", 1)[1] + "\n" + clutch)
    )
    prepared = prepare(path)
    # the bolt's end is square to its own radius, the arm's edge to the arm's: its rim touches first
    tilt = math.atan2(half, along)
    early = 5.0 * math.sin(tilt) / r
    answer = prepared.pedals[0]
    assert answer.clutch is not None
    assert answer.clutch.window.given
    assert answer.clutch.window.stop_mm == pytest.approx((turn - early) * RADIUS_MM, abs=0.15)


BRACKET = """
[[part]]
name = "clutch_stop"
title = "Clutch stop"
kind = "stop_bracket"
material = "S235 steel"
thickness = "4 mm"
  [part.mount]
  panel = "toe_board"
  face = "cab"
  at = { u_from = "left", u = "520 mm", v_from = "top", v = "-40 mm" }

[[pedal]]"""


def test_a_stop_brackets_bolt_stands_where_its_hole_is(tmp_path: Path) -> None:
    """By hand: 58 mm over the board, 66 - 34 mm of foot below the bolts and the 20 mm it stands out."""
    path = old_van(
        tmp_path,
        ("\n[[pedal]]", BRACKET),
        ('travel = "170 mm"\n', ""),
        (
            "\n  [pedal.master]",
            '\n  stop_bolt = { part = "clutch_stop", stands = "20 mm" }\n\n  [pedal.master]',
        ),
    )
    prepared = prepare(path)
    stop = next(b for b in prepared.scene.pivots if b.what == "stop")
    (bolt, *_) = stop.pieces
    assert isinstance(bolt, Rod)
    end = np.array(bolt.start)
    v, w = -40.0 - (66.0 - 34.0) - 20.0, 58.0
    # up the board is forward and up, out of it rearward and up
    assert end == pytest.approx((250 + (w - v) / ROOT2, 470.0, 620 + (w + v) / ROOT2), abs=1e-6)
    answer = prepared.pedals[0]
    assert answer.frame.stop_mm is not None
    assert answer.frame.stop_mm < floor_of(prepared).travel_mm


@pytest.mark.parametrize(
    ("key", "value", "words"),
    [
        ("stop", '"ceiling"', "the word floor"),
        ("arm_width", '"20 mm"', "without both its width and its thickness"),
        ("stop_bolt", "{ diameter = '8 mm' }", "not exactly one of part and at"),
        ("stop_bolt", "{ part = 'clutch_hanger' }", "without a stop bolt"),
        ("stop_bolt", "{ part = 'nobody' }", "no part nobody"),
    ],
)
def test_what_cannot_be_is_refused_in_its_place(tmp_path: Path, key: str, value: str, words: str) -> None:
    path = old_van(tmp_path, ('travel = "170 mm"', f'travel = "170 mm"\n{key} = {value}'))
    with pytest.raises(SpecError) as caught:
        prepare(path)
    (fault,) = caught.value.faults
    assert words in f"{fault.found} {fault.expected}"
    assert fault.path.startswith("pedal[0]")
    assert fault.line > 0


def test_the_rod_keeps_its_length_and_both_ends_where_the_linkage_has_them(tmp_path: Path) -> None:
    """By hand: pin (95 + 14 cos t - 60 sin t, 62 - 60 cos t - 14 sin t) from the panel and the axis; seat on it."""
    prepared = prepare(old_van(tmp_path, OUT_OF_THE_WAY, LEFT_OUT))
    answer = prepared.pedals[0]
    mover = next(m for m in prepared.scene.movers if m.body.what == "rod")
    shank = mover.body.pieces[-1]
    assert isinstance(shank, Rod)
    at = np.array([*shank.end, 1.0])
    length = answer.linkage.rod_length_mm
    for turn in np.linspace(0.0, answer.linkage.floor_rad, 7):
        x = 250 + 95 + 14 * math.cos(turn) - 60 * math.sin(turn)
        z = 855 + 62 - 60 * math.cos(turn) - 14 * math.sin(turn)
        seat_x = x - math.sqrt(length**2 - (z - 855) ** 2)
        end = mover.motion.pose(float(turn)) @ at
        assert end[:3] == pytest.approx((seat_x, 470.0, 855.0), abs=1e-6)
