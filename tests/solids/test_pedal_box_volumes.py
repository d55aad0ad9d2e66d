"""Twin hanger and throttle bracket: solids against areas worked out by hand here."""

from __future__ import annotations

import math
from math import pi

import pytest
from solids.hand_areas import EXACT, SQUARE_LESS_CIRCLE, bolt, cheek, circle, ring_sector

from generators.solids import kernel
from generators.solids.shapes import folded_shape


@pytest.mark.parametrize(
    ("t", "r", "balance", "tube", "columns", "tab_degrees"),
    [
        (3.0, 3.0, 64.0, 20.0, 3, 90.0),
        (3.0, 4.0, 0.0, 0.0, 2, 60.0),
        (4.0, 6.0, 70.0, 25.0, 4, 0.0),
    ],
)
def test_twin_pedal_hanger(make_plan, t, r, balance, tube, columns, tab_degrees):
    tab_angle = math.radians(tab_degrees)
    changed = {"tab_angle_rad": tab_angle} if tab_degrees else {"tab_length_mm": 0.0}
    plan = make_plan(
        "twin_pedal_hanger",
        t=t,
        r=r,
        inside_width_mm=240.0,
        mount_columns=columns,
        mount_top_mm=60.0,
        balance_spacing_mm=balance,
        balance_bore_mm=tube,
        **changed,
    )
    tab_back = math.tan(tab_angle / 2) * (r + t)
    relief = 25.4 * 3 / 16 if t <= 0.128 * 25.4 else 1.5 * t
    tall = 95.0 + 82.0 - (tab_back + relief if tab_degrees else 0.0)
    masters = 3 if balance else 2
    area = (240.0 - 2 * r) * tall - masters * circle(32.0) - (2 * masters + 2 * columns) * circle(bolt("M8"))
    area += 2 * (cheek(tall, (60.0 + 82.0, 110.0 - r - t), 24.0, t) - circle(16.0) - circle(tube))
    bends = 2 * ring_sector(pi / 2, r, t, tall)
    if tab_degrees:
        flat = 45.0 - tab_back
        corner = min(8.0, 0.4 * flat)
        area += 110.0 * relief + SQUARE_LESS_CIRCLE / 2 * (relief / 2) ** 2
        area += 110.0 * flat - SQUARE_LESS_CIRCLE / 2 * corner**2 - 2 * circle(bolt("M8"))
        bends += ring_sector(tab_angle, r, t, 110.0)
    assert kernel.volume(folded_shape(plan)) == pytest.approx(area * t + bends, rel=EXACT)


@pytest.mark.parametrize("degrees", [-30.0, 0.0, 20.0, 60.0])
@pytest.mark.parametrize("r", [0.0, 3.0])
def test_throttle_pedal_bracket(make_plan, degrees, r):
    tilt, t, corner, slot = math.radians(degrees), 3.0, 8.0, 10.0
    turn = pi / 2 - tilt
    # the bolts 60 mm along a face of 110 mm, whatever the tilt: the pad comes out lower by the same
    up = 35.0 + (60.0 - 210.0) * math.cos(tilt) - 60.0 * math.sin(tilt)
    plan = make_plan(
        "throttle_pedal_bracket",
        t=t,
        r=r,
        tilt_rad=tilt,
        offset_mm=80.0,
        brake_pad_mm=up,
        pad_height_mm=0.0,
        mount_slot_mm=slot,
    )
    back, face_back = r + t, math.tan(turn / 2) * (r + t)
    legs = (62.0 - back) + (80.0 - back - face_back) + (110.0 - face_back)
    width = bolt("M6")
    area = 90.0 * legs - SQUARE_LESS_CIRCLE * corner**2 - 3 * circle(width)
    area -= 2 * (circle(width) + width * slot)
    expected = area * t + ring_sector(pi / 2, r, t, 90.0) + ring_sector(turn, r, t, 90.0)
    assert kernel.volume(folded_shape(plan)) == pytest.approx(expected, rel=EXACT)
