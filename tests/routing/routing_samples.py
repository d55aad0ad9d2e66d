"""Hoses and frames shared by the routing tests."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.spatial.transform import Rotation

from generators.model.hose_path import (
    Box3,
    ClearanceLimits,
    Cylinder3,
    HosePath,
    HoseRun,
    Limb,
    Obstacle3,
    Panel3,
    Point3,
    Port3,
    Prism3,
    Sweep3,
    Waypoint,
)
from generators.model.words import ObstacleKind
from generators.routing.paths.curves import directions, pieces, places, sampled

LIMITS = ClearanceLimits(fixed_mm=6, moving_mm=15, hot_mm=75, steering_mm=15, face_mm=3, edge_mm=8)
NO_LIMITS = ClearanceLimits(fixed_mm=0, moving_mm=0, hot_mm=0, steering_mm=0, face_mm=0, edge_mm=0)


def three(vector: np.ndarray) -> Point3:
    return float(vector[0]), float(vector[1]), float(vector[2])


def run(
    start: Point3,
    leaving: Point3,
    end: Point3,
    arriving: Point3,
    radius_mm: float = 75.0,
    via: tuple[Waypoint, ...] = (),
    straight_mm: float = 0.0,
    outside_mm: float = 12.0,
    name: str = "hose",
) -> HoseRun:
    """A hose that leaves ``start`` along ``leaving`` and arrives at ``end`` along ``arriving``."""
    into = np.array(arriving) / np.linalg.norm(arriving)
    return HoseRun(
        name=name,
        start=Port3(
            name="a",
            position=start,
            direction=three(np.array(leaving) / np.linalg.norm(leaving)),
            straight_mm=straight_mm,
        ),
        end=Port3(name="b", position=end, direction=three(-into), straight_mm=straight_mm),
        via=via,
        bend_radius_mm=radius_mm,
        outside_dia_mm=outside_mm,
    )


def any_unit(dice: np.random.Generator) -> Point3:
    vector = dice.normal(size=3)
    return three(vector / np.linalg.norm(vector))


def any_place(dice: np.random.Generator, span: float = 900.0) -> Point3:
    return three(dice.uniform(-span, span, 3))


def any_frame(dice: np.random.Generator) -> tuple[Point3, Point3]:
    turn = Rotation.random(random_state=dice.integers(1 << 30)).as_matrix()
    return three(turn[0]), three(turn[1])


def any_obstacle(dice: np.random.Generator, form: int, name: str, span: float = 900.0) -> Obstacle3:
    kinds: tuple[ObstacleKind, ...] = ("fixed", "hot", "moving", "steering")
    kind = kinds[int(dice.integers(4))]
    u, v = any_frame(dice)
    place = any_place(dice, span)
    there = three(np.array(place) + dice.uniform(-200, 200, 3))
    if form == 0:
        return Box3(name=name, centre=place, u=u, v=v, half_mm=three(dice.uniform(10, 100, 3)), kind=kind)
    if form == 1:
        return Cylinder3(name=name, start=place, end=there, radius_mm=float(dice.uniform(10, 50)), kind=kind)
    if form == 2:
        outline = ((0.0, 0.0), (100.0, 0.0), (100.0, 30.0), (40.0, 40.0), (30.0, 100.0), (0.0, 100.0))
        return Prism3(name=name, origin=place, u=u, v=v, outline=outline, low_mm=-20, high_mm=50, kind=kind)
    limb = Limb(start=place, end=there, radius_mm=8.0)
    turn = float(dice.uniform(-0.9, 0.9))
    return Sweep3(
        name=name, pivot=any_place(dice, 50.0), axis=any_unit(dice), turn_rad=turn, limbs=(limb,), kind=kind
    )


def any_run(dice: np.random.Generator, name: str = "hose", supports: int = 1, span: float = 900.0) -> HoseRun:
    via = tuple(
        Waypoint(
            name=f"w{k}", kind="clamp", position=any_place(dice, span), axis=any_unit(dice), straight_mm=6.0
        )
        for k in range(supports)
    )
    return run(
        any_place(dice, span),
        any_unit(dice),
        any_place(dice, span),
        any_unit(dice),
        75.0,
        via,
        25.0,
        12.0,
        name,
    )


def sheet(openings: tuple = (), half: float = 400.0, thickness: float = 2.0) -> Panel3:
    """A square sheet at x = 0 facing rearward, u to the right and v up."""
    outline = ((-half, -half), (half, -half), (half, half), (-half, half))
    return Panel3(
        name="wall", origin=(0.0, 0.0, 0.0), u=(0.0, 1.0, 0.0), v=(0.0, 0.0, 1.0),
        low_mm=-thickness, high_mm=0.0, outline=outline, openings=openings,
    )  # fmt: skip


def shkel_lumelsky(x: float, y: float, leaving: float, arriving: float, radius: float) -> dict[str, float]:
    """Lengths of Dubins's six words that exist, mm.

    A. M. Shkel, V. Lumelsky, Classification of the Dubins set, Robotics and Autonomous Systems 34 (2001)
    179-202, formulas of section 3, written out from memory; each is a closed form.
    """
    far, lean = math.hypot(x, y) / radius, math.atan2(y, x)
    whole = 2 * math.pi
    a, b = (leaving - lean) % whole, (arriving - lean) % whole
    sa, ca, sb, cb, cab = math.sin(a), math.cos(a), math.sin(b), math.cos(b), math.cos(a - b)
    out: dict[str, float] = {}
    square = 2 + far * far - 2 * cab + 2 * far * (sa - sb)
    if square >= 0:
        turn = math.atan2(cb - ca, far + sa - sb)
        out["LSL"] = (turn - a) % whole + math.sqrt(square) + (b - turn) % whole
    square = 2 + far * far - 2 * cab + 2 * far * (sb - sa)
    if square >= 0:
        turn = math.atan2(ca - cb, far - sa + sb)
        out["RSR"] = (a - turn) % whole + math.sqrt(square) + (turn - b) % whole
    square = -2 + far * far + 2 * cab + 2 * far * (sa + sb)
    if square >= 0:
        p = math.sqrt(square)
        turn = math.atan2(-ca - cb, far + sa + sb) - math.atan2(-2, p)
        out["LSR"] = (turn - a) % whole + p + (turn - b) % whole
    square = -2 + far * far + 2 * cab - 2 * far * (sa + sb)
    if square >= 0:
        p = math.sqrt(square)
        turn = math.atan2(ca + cb, far - sa - sb) - math.atan2(2, p)
        out["RSL"] = (a - turn) % whole + p + (b - turn) % whole
    for word, hand, far_sine in (("RLR", 1, sa - sb), ("LRL", -1, sb - sa)):
        cosine = (6 - far * far + 2 * cab + 2 * far * far_sine) / 8
        if abs(cosine) <= 1:
            p = (whole - math.acos(cosine)) % whole
            first = math.atan2(hand * (ca - cb), far - hand * (sa - sb))
            t = (hand * (a - first) if hand > 0 else -a + first) + p / 2
            t %= whole
            out[word] = t + p + (hand * (a - b) - t + p) % whole
    return {word: length * radius for word, length in out.items()}


def joints_and_bends(path: HosePath) -> None:
    """Joined place to place and tangent to tangent; no sampled curvature above 1 / radius."""
    of = pieces([path])
    every = np.arange(len(of.length))
    assert np.allclose(places(of, every, of.length)[:-1], of.start[1:], atol=1e-6)
    assert np.allclose(directions(of, every, of.length)[:-1], of.along[1:], atol=1e-7)
    station, point, along = sampled(path, 2.0)
    apart = np.diff(station) > 1e-6
    turned = np.linalg.norm(np.diff(along, axis=0), axis=1)[apart] / np.diff(station)[apart]
    assert turned.max(initial=0.0) <= 1 / path.bend_radius_mm + 1e-7
    # the curvature of the circle through three points of the curve, from places alone
    a, b, c = point[:-2], point[1:-1], point[2:]
    area = np.linalg.norm(np.cross(b - a, c - a), axis=1)
    sides = np.linalg.norm(b - a, axis=1) * np.linalg.norm(c - b, axis=1) * np.linalg.norm(c - a, axis=1)
    wide = sides > 0.5
    assert (2 * area[wide] / sides[wide]).max(initial=0.0) <= (1 + 1e-4) / path.bend_radius_mm
    polyline = np.linalg.norm(np.diff(sampled(path, 0.5)[1], axis=0), axis=1).sum()
    assert path.length_mm == pytest.approx(polyline, rel=1e-5)
