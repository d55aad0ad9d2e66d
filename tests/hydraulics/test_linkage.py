"""The slider-crank in space against closed forms, virtual work, and inputs that cannot be."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pedal_samples import FRAME, clutch_pedal

from generators.errors import GeometryFault
from generators.hydraulics.linkage import (
    Linkage,
    PedalFrame,
    angle_of_piston,
    build_linkage,
    explicit_frame,
    motion,
    moved_pin,
    pad_at_rest,
    pad_of_piston,
    rod_for_play,
)

LINK = build_linkage(clutch_pedal(), FRAME)


def stroke_grid(link: Linkage) -> np.ndarray:
    return np.linspace(0.0, link.floor_rad, 501)


def test_a_pedal_that_must_be_pulled_is_refused() -> None:
    # Rod along -x (out is toward the driver). A pin above the pivot pushes it when the pedal turns so that a
    # pad below comes toward the driver; the same pin with a pad above goes away from the driver.
    frame = PedalFrame(
        pivot=(0.0, 0.0, 0.0),
        out=(1.0, 0.0, 0.0),
        up=(0.0, 0.0, 1.0),
        seat=(-150.0, 0.0, 60.0),
        axis=(-1.0, 0.0, 0.0),
    )
    with pytest.raises(GeometryFault, match="toward the driver") as caught:
        build_linkage(clutch_pedal(pin=(0.0, 60.0), pad=(0.0, -300.0), travel_mm=120.0), frame)
    assert caught.value.parameter == "pad"
    assert (
        build_linkage(clutch_pedal(pin=(0.0, 60.0), pad=(0.0, 300.0), travel_mm=120.0), frame).sense == -1.0
    )
    # a treadle hinged at the heel goes down
    assert build_linkage(clutch_pedal(pin=(0.0, 60.0), pad=(300.0, 0.0), travel_mm=120.0), frame) is not None


# Rod along -x, pin 60 mm below the pivot: the pin goes forward when the pedal turns so that a point (x, z) moves
# by (z, -x) per radian. By hand from the rule of turning vectors.
@pytest.mark.parametrize(
    ("pad", "pushed"),
    [
        ((300.0, 50.0), True),  # 50 toward the driver but 300 down: a foot presses it
        ((300.0, -50.0), True),
        ((-300.0, 50.0), False),  # toward the driver and up: it would have to be pulled
        ((-300.0, -50.0), True),  # up, but away from the driver
        ((200.0, 200.0), False),  # as much toward the driver as down
        ((200.0, 199.0), True),
        ((199.0, 200.0), False),
    ],
)
def test_a_pad_may_go_down_more_than_it_comes_toward_the_driver(
    pad: tuple[float, float], pushed: bool
) -> None:
    frame = PedalFrame(
        pivot=(0.0, 0.0, 0.0),
        out=(1.0, 0.0, 0.0),
        up=(0.0, 0.0, 1.0),
        seat=(-150.0, 0.0, -60.0),
        axis=(-1.0, 0.0, 0.0),
    )
    pedal = clutch_pedal(pin=(0.0, -60.0), pad=pad, travel_mm=100.0)
    if pushed:
        assert build_linkage(pedal, frame).sense == 1.0
    else:
        with pytest.raises(GeometryFault, match="toward the driver"):
            build_linkage(pedal, frame)


def test_against_the_textbook_slider_crank() -> None:
    # Crank r about the origin, rod l, slider on a line offset e: with the crank at angle a from the line,
    # the rod spans r sin a - e across it and sqrt(l² - (r sin a - e)²) along it, so the slider is at
    # x = r cos a + sqrt(l² - (r sin a - e)²). Derived here from the right triangle, not from the program.
    r, rod, e = 60.0, 150.0, 55.0
    start = math.radians(100.0)

    def slider(a: np.ndarray) -> np.ndarray:
        return r * np.cos(a) + np.sqrt(rod**2 - (r * np.sin(a) - e) ** 2)

    # out is +x, up is +z; the slider's line points along +x at z = e and the crank falls toward it.
    pin = (r * math.cos(start), r * math.sin(start))
    seat = float(slider(np.array([start]))[0])
    frame = PedalFrame(
        pivot=(0.0, 0.0, 0.0),
        out=(1.0, 0.0, 0.0),
        up=(0.0, 0.0, 1.0),
        seat=(seat, 0.0, e),
        axis=(1.0, 0.0, 0.0),
    )
    link = build_linkage(clutch_pedal(pin=pin, pad=(0.0, -300.0), travel_mm=150.0, rod_length_mm=rod), frame)
    turn = stroke_grid(link)
    got = motion(link, turn)
    assert got.piston_mm == pytest.approx(slider(start - turn) - seat, abs=1e-10)
    a = start - turn
    # dx/da, differentiated by hand; the crank turns with -a and the pad moves 300 mm per rad.
    across = r * np.sin(a) - e
    slope = r * np.sin(a) + across * r * np.cos(a) / np.sqrt(rod**2 - across**2)
    assert got.rate == pytest.approx(slope / 300.0, rel=1e-10)
    assert got.rod_angle_rad == pytest.approx(np.abs(np.arcsin(across / rod)), abs=1e-12)
    assert got.side_ratio == pytest.approx(np.abs(np.tan(np.arcsin(across / rod))), abs=1e-12)


def test_in_line_crank_at_right_angles() -> None:
    # Rod along the axis and crank square to it: ds/dθ is the crank radius, the ratio pad over pin radius.
    frame = replace(FRAME, pivot=(100.0, 0.0, 60.0), seat=(-20.0, 0.0, 0.0))
    link = build_linkage(clutch_pedal(pin=(0.0, -60.0), pad=(0.0, -330.0)), frame)
    assert float(motion(link, np.zeros(1)).ratio[0]) == pytest.approx(330 / 60, rel=1e-12)
    assert link.rod_length_mm == pytest.approx(120 - 0.5, rel=1e-12)
    assert link.rest_mm == pytest.approx(-0.5, rel=1e-12)


@pytest.mark.parametrize("side", [0.0, 25.0, -40.0])
def test_virtual_work_along_the_whole_stroke(side: float) -> None:
    link = build_linkage(clutch_pedal(pin_side_mm=side), FRAME)
    moved = motion(link, stroke_grid(link))
    # Force ratio by moments, travel ratio by kinematics: their product is 1.
    assert moved.force_ratio / moved.ratio == pytest.approx(np.ones(501), abs=1e-9)
    # and the travel ratio is the slope of the stroke, by central differences
    step = 1e-5
    up, down = (motion(link, stroke_grid(link) + s) for s in (step, -step))
    slope = (up.piston_mm - down.piston_mm) / (2 * step * link.pad_radius_mm)
    assert moved.rate == pytest.approx(slope, rel=1e-8)


@pytest.mark.parametrize("side", [0.0, 30.0])
def test_the_rod_keeps_its_length(side: float) -> None:
    link = build_linkage(clutch_pedal(pin_side_mm=side), FRAME)
    turn = stroke_grid(link)
    moved = motion(link, turn)
    # The pin by plane rotation, written out: pressing turns the lower end toward the panel (-x).
    x0, z0 = 14.0, -60.0
    x = 95.0 + x0 * np.cos(turn) + z0 * np.sin(turn)
    z = 62.0 + z0 * np.cos(turn) - x0 * np.sin(turn)
    reach = x - (-8.0 - moved.piston_mm)
    assert np.sqrt(reach**2 + z**2 + side**2) == pytest.approx(np.full(501, link.rod_length_mm), rel=1e-12)
    assert moved.rod_angle_rad == pytest.approx(np.arctan(np.hypot(z, side) / reach), abs=1e-12)


def test_inverse_is_exact() -> None:
    turn = stroke_grid(LINK)
    assert angle_of_piston(LINK, motion(LINK, turn).piston_mm) == pytest.approx(turn, abs=1e-10)
    assert math.isinf(float(pad_of_piston(LINK, np.array(500.0))))


def test_side_load_is_mirrored_and_everything_else_kept() -> None:
    left, right = (build_linkage(clutch_pedal(pin_side_mm=s), FRAME) for s in (-20.0, 20.0))
    a, b = (motion(link, stroke_grid(link)) for link in (left, right))
    for name in ("piston_mm", "rate", "force_ratio", "rod_angle_rad", "side_ratio"):
        assert getattr(a, name) == pytest.approx(getattr(b, name), rel=1e-12)


@settings(max_examples=40, deadline=None)
@given(
    pin_out=st.floats(-10, 30),
    pin_up=st.floats(-90, -40),
    pad_up=st.floats(-400, -200),
    side=st.floats(-15, 15),
    seat=st.floats(-60, 10),
    turn=st.floats(-3, 3),
    shift=st.tuples(st.floats(-900, 900), st.floats(-900, 900), st.floats(-900, 900)),
)
def test_a_pedal_moved_or_mirrored_is_the_same_pedal(
    pin_out: float,
    pin_up: float,
    pad_up: float,
    side: float,
    seat: float,
    turn: float,
    shift: tuple[float, float, float],
) -> None:
    pedal = clutch_pedal(pin=(pin_out, pin_up), pad=(40.0, pad_up), pin_side_mm=side, travel_mm=80.0)
    home = PedalFrame(
        pivot=(95.0, 0.0, -pin_up), out=(1, 0, 0), up=(0, 0, 1), seat=(seat, 0.0, 0.0), axis=(-1.0, 0.0, 0.0)
    )
    link = build_linkage(pedal, home)
    angles = stroke_grid(link)
    moved = motion(link, angles)
    assert bool((np.diff(moved.piston_mm) > 0).all())
    assert moved.force_ratio / moved.ratio == pytest.approx(np.ones(501), abs=1e-9)
    assert angle_of_piston(link, moved.piston_mm) == pytest.approx(angles, abs=1e-7)
    c, s = math.cos(turn), math.sin(turn)

    def place(p: tuple[float, float, float], by: tuple[float, float, float]) -> tuple[float, float, float]:
        return c * p[0] - s * p[1] + by[0], s * p[0] + c * p[1] + by[1], p[2] + by[2]

    still = (0.0, 0.0, 0.0)
    away = PedalFrame(
        pivot=place(home.pivot, shift),
        out=place(home.out, still),
        up=home.up,
        seat=place(home.seat, shift),
        axis=place(home.axis, still),
    )
    assert motion(build_linkage(pedal, away), angles).piston_mm == pytest.approx(moved.piston_mm, abs=1e-8)
    mirrored = motion(build_linkage(replace(pedal, pin_side_mm=-side), home), angles)
    assert mirrored.piston_mm == pytest.approx(moved.piston_mm, abs=1e-10)


@pytest.mark.parametrize(
    ("changes", "parameter", "says"),
    [
        ({"pin": (0.0, 0.0)}, "pin", "in the pivot"),
        ({"pad": (0.0, 0.0)}, "pad", "in the pivot"),
        ({"pin": (60.0, 0.0)}, "pin", "dead point"),
        ({"pin": (-40.0, -20.0)}, "pin", "crosses its dead point"),
        ({"pin": (-104.0, -60.0)}, "pin", "no room for a rod"),
        ({"pin_side_mm": 60.0, "rod_length_mm": 50.0}, "rod_length", "shorter than the gap of 60.03 mm"),
        ({"rod_length_mm": 70.0}, "rod_length", "does not reach its seat"),
    ],
)
def test_impossible_linkages(changes: dict[str, object], parameter: str, says: str) -> None:
    with pytest.raises(GeometryFault, match=says) as caught:
        build_linkage(clutch_pedal(**changes), FRAME)
    assert caught.value.parameter == parameter


def test_where_the_pad_rests_by_hand() -> None:
    """Out is rearward, up is up, so across is to the right: y (right-handed, z × x)."""
    link = build_linkage(clutch_pedal(pin=(0.0, -60.0), pad=(30.0, -280.0), travel_mm=90.0), FRAME)
    assert FRAME.pivot == (95.0, 0.0, 62.0)
    assert pad_at_rest(link, 25.0) == pytest.approx([95.0 + 30.0, 25.0, 62.0 - 280.0])


def test_explicit_frame() -> None:
    pedal = clutch_pedal(
        hanger="", pivot=(95.0, 0.0, 62.0), seat_at=(-8.0, 0.0, 0.0), axis_to=(-80.0, 0.0, 0.0)
    )
    assert explicit_frame(pedal) == FRAME
    # (2, 3, 6) is 7 long
    askew = explicit_frame(replace(pedal, axis_to=(-8.0 + 20.0, 30.0, 60.0)))
    assert askew.axis == pytest.approx((2 / 7, 3 / 7, 6 / 7))
    assert askew.pivot == (95.0, 0.0, 62.0)
    for missing in ("pivot", "seat_at", "axis_to"):
        gone: dict[str, Any] = {missing: None}
        with pytest.raises(GeometryFault, match=f"no hanger and no {missing}") as caught:
            explicit_frame(replace(pedal, **gone))
        assert caught.value.parameter == missing
    with pytest.raises(GeometryFault, match="no axis") as caught:
        explicit_frame(replace(pedal, axis_to=(-8.0, 0.0, 0.0)))
    assert caught.value.parameter == "axis_to"


def test_moving_the_pin_keeps_the_rods_line() -> None:
    pedal, frame = moved_pin(clutch_pedal(), FRAME, 0.8)
    link = build_linkage(pedal, frame)
    assert link.pad_radius_mm / link.pin_radius_mm == pytest.approx(
        LINK.pad_radius_mm / LINK.pin_radius_mm / 0.8, rel=1e-12
    )
    # same height of the pin over the axis at rest: -60 + 62 = 2 mm
    assert frame.pivot[2] + pedal.pin[1] - frame.seat[2] == pytest.approx(2.0)
    # the pin goes from (14, -60) to (11.2, -48): the cylinder 12 up, and not along its own axis
    assert frame.seat == pytest.approx((-8.0, 0.0, 12.0))
    assert link.rest_mm == pytest.approx(-0.5, rel=1e-9)


def test_rod_for_play() -> None:
    assert rod_for_play(LINK, 0.5) == pytest.approx(LINK.rod_length_mm, rel=1e-12)
    longer = build_linkage(clutch_pedal(rod_length_mm=rod_for_play(LINK, -2.0)), FRAME)
    assert longer.rest_mm == pytest.approx(2.0, abs=1e-9)


def test_a_rod_almost_square_to_the_axis_by_hand() -> None:
    # Pin 60 aside of the axis and 2 above it: 60.0333 away. A rod that spans 0.5 mm along the axis beside that.
    aside = math.hypot(60.0, 2.0)
    link = replace(LINK, pin_side_mm=60.0, rod_length_mm=math.hypot(aside, 0.5))
    still = motion(link, np.array([0.0]))
    # pin at x = 95 + 14, seat at -8 on an axis toward -x
    assert float(still.piston_mm[0]) == pytest.approx(-(95.0 + 14.0 + 8.0) + 0.5, abs=1e-9)
    assert float(still.side_ratio[0]) == pytest.approx(aside / 0.5, rel=1e-9)
    assert float(still.rod_angle_rad[0]) == pytest.approx(math.atan2(aside, 0.5), rel=1e-12)
