"""First contact and least gap of a swinging body, against closed forms and fine steps of the solid modeller."""

from __future__ import annotations

import math

import cadquery as cq
import numpy as np
import pytest

from generators.geometry.frames import Matrix
from generators.space.body import Body
from generators.space.distance import Space
from generators.space.motion import SURE_MM, Motion
from generators.space.pieces import Box, Piece, Rod, carried
from generators.space.sweep import first_met, least_gap

LENGTH_MM = 330.0
RADIUS_MM = 8.0


def body(name: str, *pieces: Piece) -> Body:
    return Body(name=name, title=name, what="pedal", owner=name, forms=pieces)


def about_y(turn: float) -> Matrix:
    """Right-handed about +y: what hangs down swings forward (−x)."""
    out = np.eye(4)
    c, s = math.cos(turn), math.sin(turn)
    out[0, 0], out[0, 2], out[2, 0], out[2, 2] = c, s, -s, c
    return out


def swinging(end_rad: float) -> Motion:
    return Motion(pose=about_y, end_rad=end_rad, speed_mm=LENGTH_MM + RADIUS_MM)


ARM = Rod(start=(0, 0, 0), end=(0, 0, -LENGTH_MM), radius_mm=RADIUS_MM, round_ends=True)


def wall(x: float) -> Box:
    """A wall whose rear face is at x."""
    pose = np.eye(4)
    pose[0, 3] = x - 50
    return Box(pose=pose, half_mm=(50, 200, 600))


@pytest.mark.parametrize("limit", [0.0, 12.0])
def test_an_arm_meets_a_wall_where_its_tip_gets_there(limit: float) -> None:
    """By hand: the tip's ball touches at sin a = (distance − radius − limit) / length."""
    space = Space([body("arm", ARM), body("wall", wall(-120.0))])
    met = first_met(space, 0, 1, swinging(1.2), limit)
    assert met is not None
    exact = math.asin((120.0 - RADIUS_MM - limit) / LENGTH_MM)
    assert met.turn_rad <= exact + 1e-9
    assert met.turn_rad == pytest.approx(exact, abs=1.5 * SURE_MM / (LENGTH_MM * math.cos(exact)))


def test_what_is_never_reached_is_not_met_and_its_least_gap_is_found() -> None:
    """By hand: a ball at the circle's bottom is nearest when the arm points at it."""
    aim = 0.4
    far = LENGTH_MM + RADIUS_MM + 20.0 + 7.5
    at = (-far * math.sin(aim), 0.0, -far * math.cos(aim))
    ball = Rod(start=at, end=at, radius_mm=20.0, round_ends=True)
    space = Space([body("arm", ARM), body("ball", ball)])
    assert first_met(space, 0, 1, swinging(1.0)) is None
    least = least_gap(space, 0, 1, swinging(1.0), within_mm=10.0)
    assert least is not None
    assert least.gap.gap_mm == pytest.approx(7.5, abs=SURE_MM)
    assert least.turn_rad == pytest.approx(aim, abs=0.03)
    assert least_gap(space, 0, 1, swinging(1.0), within_mm=7.4) is None
    assert first_met(space, 0, 1, swinging(1.0), limit_mm=7.4) is None
    assert first_met(space, 0, 1, swinging(1.0), limit_mm=7.6) is not None


def test_a_thing_passed_on_the_way_is_met_though_both_ends_are_clear() -> None:
    pin = Rod(start=(-150, -30, -250), end=(-150, 30, -250), radius_mm=3.0)
    space = Space([body("arm", ARM), body("pin", pin)])
    met = first_met(space, 0, 1, swinging(1.2))
    assert met is not None
    # by hand: the arm's middle line is at the radius + 3 mm from the pin before it points there
    reach = math.hypot(150, 250)
    assert met.turn_rad == pytest.approx(
        math.atan2(150, 250) - math.asin((RADIUS_MM + 3.0) / reach), abs=0.001
    )


def test_the_angle_of_contact_is_that_of_the_solid_modeller_in_fine_steps() -> None:
    """Reference: OCP's distance of the turned solid, in steps of 0.0005 rad near the place."""
    arm = cq.Workplane().box(20, 60, 12).translate((10, 0, -300)).val()
    post = cq.Workplane().box(30, 30, 200).rotate((0, 0, 0), (0, 1, 0), 35).translate((-170, 20, -250)).val()
    pose = np.eye(4)
    pose[:3, 3] = (10, 0, -300)
    turned = about_y(math.radians(35))
    turned[:3, 3] = (-170, 20, -250)
    pad, block = Box(pose=pose, half_mm=(10, 30, 6)), Box(pose=turned, half_mm=(15, 15, 100))
    space = Space([body("pad", pad), body("post", block)])
    motion = Motion(pose=about_y, end_rad=1.2, speed_mm=carried([pad], (0, 0, 0)))
    met = first_met(space, 0, 1, motion)
    assert met is not None
    step = 0.0005
    turn = met.turn_rad - 10 * step
    while arm.rotate(cq.Vector(), cq.Vector(0, 1, 0), math.degrees(turn)).distance(post) > 0:
        turn += step
        assert turn < 1.2
    assert met.turn_rad == pytest.approx(turn, abs=2 * step)


def test_what_slides_along_close_by_is_not_met() -> None:
    """By hand: a wall beside the plane of the swing stays 0.2 mm from the arm on the whole way."""
    pose = np.eye(4)
    pose[:3, 3] = (-100, RADIUS_MM + 0.2 + 10, -200)
    side = Box(pose=pose, half_mm=(300, 10, 300))
    space = Space([body("arm", ARM), body("side", side)])
    assert first_met(space, 0, 1, swinging(0.8)) is None
    assert first_met(space, 0, 1, swinging(0.8), limit_mm=0.3) is not None


def scattered(dice: np.random.Generator, name: str, reach: tuple[float, float], count: int) -> Body:
    """Boxes and rods strewn in front of the pivot and below it."""
    pieces: list[Piece] = []
    for k in range(count):
        at = np.array([-dice.uniform(60, 200), dice.uniform(-40, 40), -dice.uniform(*reach)])
        turn, _ = np.linalg.qr(dice.normal(size=(3, 3)))
        pose = np.eye(4)
        pose[:3, :3], pose[:3, 3] = turn * np.sign(np.linalg.det(turn)), at
        half = dice.uniform(3, 25, size=3)
        tip = at + half[2] * 2 * turn[:, 2]
        if k % 3:
            pieces.append(Box(pose=pose, half_mm=(half[0], half[1], half[2])))
        else:
            ends = [(float(p[0]), float(p[1]), float(p[2])) for p in (at, tip)]
            pieces.append(Rod(start=ends[0], end=ends[1], radius_mm=float(half[0]), round_ends=bool(k % 2)))
    return body(name, *pieces)


@pytest.mark.parametrize("seed", range(3))
def test_of_many_pieces_the_first_contact_and_the_least_gap_are_those_of_fine_steps(seed: int) -> None:
    """Reference: the gap of all pieces measured at 70 places, between which no point goes 6 mm."""
    dice = np.random.default_rng(seed)
    arm = body("arm", ARM, *scattered(dice, "lugs", (120, 220), 3).pieces)
    others = [scattered(dice, f"thing {k}", (60, 420), 4) for k in range(2)]
    space = Space([arm, *others])
    speed = max(carried(arm.pieces, (0, 0, 0)), 1.0)
    turns = np.linspace(0.0, 1.0, 70)
    step = speed * float(turns[1])
    for other in (1, 2):
        gaps = [space.gap(0, other, pose=about_y(float(t))) for t in turns]
        values = np.array([gap.gap_mm for gap in gaps if gap is not None])
        about = (0.0, 0.0, 0.0) if other == 1 else None
        motion = Motion(pose=about_y, end_rad=1.0, speed_mm=speed, about=about)
        least = least_gap(space, 0, other, motion, 60.0)
        if values.min() > 60.0:
            assert least is None
        elif least is not None:
            assert values.min() - step / 2 - SURE_MM <= least.gap.gap_mm <= values.min() + SURE_MM
        for limit in (0.0, 8.0):
            met = first_met(space, 0, other, motion, limit)
            under = np.flatnonzero(values <= limit)
            if len(under):
                assert met is not None
                assert met.turn_rad <= turns[under[0]]
            if met is not None:
                # nowhere before it, and there
                assert values[turns < met.turn_rad].min(initial=np.inf) >= limit
                assert met.gap.gap_mm <= limit + SURE_MM or met.turn_rad == 0.0
