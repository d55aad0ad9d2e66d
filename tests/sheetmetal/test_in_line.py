"""A shaft through two bores of a bent part: closed form against a plane figure and against many bent parts."""

from __future__ import annotations

import math

import numpy as np
import pytest
from parts.plans_in_space import plan_of
from shapely.geometry import LineString, Polygon

from generators.sheetmetal.in_line import passing, pivot_pairs, worst_offset


@pytest.mark.parametrize("lean_deg", [0.0, 0.5, 2.0, 7.0])
def test_room_at_an_angle_by_a_plane_figure(lean_deg: float) -> None:
    """Two walls with a gap of 16 mm, 4 mm thick: a strip that wide just passes at that angle, a wider one cuts."""
    bore, t, lean = 16.0, 4.0, math.radians(lean_deg)
    walls = [
        Polygon(
            [(-t / 2, sign * bore / 2), (t / 2, sign * bore / 2), (t / 2, sign * 40), (-t / 2, sign * 40)]
        )
        for sign in (1, -1)
    ]
    line = LineString(
        [(-100 * math.cos(lean), -100 * math.sin(lean)), (100 * math.cos(lean), 100 * math.sin(lean))]
    )
    for width, free in ((passing(bore, t, lean) - 1e-6, True), (passing(bore, t, lean) + 1e-3, False)):
        strip = line.buffer(width / 2, cap_style="flat")
        assert all(strip.intersection(wall).area < 1e-9 for wall in walls) == free


def test_a_bore_shorter_than_its_lean_lets_nothing_through() -> None:
    assert passing(4.0, 50.0, math.radians(30)) == 0.0


def test_pairs_of_a_hanger() -> None:
    plan = plan_of("pedal_hanger", pivot_bore_mm=16.0, inside_width_mm=84.0)
    (pair,) = pivot_pairs(plan)
    # 84 mm between the cheeks, mid-sheet to mid-sheet one sheet more
    assert pair.apart_mm == pytest.approx(84.0 + plan.thickness_mm, abs=1e-6)
    offset = 2 * math.hypot(0.5, 0.2)
    assert pair.offset_mm == pytest.approx(offset)
    lean = math.radians(1.0) + math.atan(offset / pair.apart_mm)
    assert pair.passes_mm == pytest.approx(16.0 * math.cos(lean) - plan.thickness_mm * math.sin(lean))


def test_many_bent_parts_come_as_close_to_the_worst_as_chance_lets_them() -> None:
    """20,000 parts with every tolerance drawn at its ends or between: none is worse than the closed form, the worst
    within 5 % of its lean and offset."""
    rng = np.random.default_rng(7)
    apart, position, bent, angle = 80.0, 0.2, 0.5, math.radians(1.0)
    n = 20_000

    def drawn(limit: float, *shape: int) -> np.ndarray:
        return limit * np.clip(rng.normal(0.0, 1.0, (n, *shape)), -1.0, 1.0)

    along, across = drawn(bent, 2), drawn(position, 2)
    lean_a, lean_b = drawn(angle), drawn(angle)
    offset = np.hypot(along[:, 0] - along[:, 1], across[:, 0] - across[:, 1])
    tilt = np.arctan2(offset, apart)
    lean = np.maximum(np.abs(lean_a), np.abs(lean_b)) + tilt
    worst = worst_offset(position, bent)
    assert offset.max() <= worst + 1e-12
    assert offset.max() == pytest.approx(worst, rel=0.05)
    most = angle + math.atan2(worst, apart)
    assert lean.max() <= most + 1e-12
    assert lean.max() == pytest.approx(most, rel=0.05)
    room = 16.0 * np.cos(lean) - 4.0 * np.sin(lean)
    assert room.min() >= passing(16.0, 4.0, most) - 1e-12
