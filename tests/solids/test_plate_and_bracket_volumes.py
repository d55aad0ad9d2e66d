"""Blanking and reservoir plates, standoff and slave bracket: solids against areas worked out by hand."""

from __future__ import annotations

import math
from math import pi

import pytest
from solids.hand_areas import EXACT, SQUARE_LESS_CIRCLE, bolt, circle, ring_sector

from generators.solids import kernel
from generators.solids.shapes import flat_shape, folded_shape

CORNER = SQUARE_LESS_CIRCLE / 4  # what rounding one square corner of radius 1 takes away


@pytest.mark.parametrize(
    ("shape", "t", "opening", "overlap", "bolts"),
    [("round", 3.0, 38.0, 15.0, 4), ("round", 1.0, 400.0, 30.0, 8), ("rectangular", 2.0, 60.0, 20.0, 3)],
)
def test_blanking_plate(make_plan, shape, t, opening, overlap, bolts):
    plan = make_plan("blanking_plate", t=t, shape=shape, opening_mm=opening, overlap_mm=overlap, bolts=bolts)
    across = opening + 2 * overlap
    area = circle(across) if shape == "round" else across**2 - SQUARE_LESS_CIRCLE * 6.0**2
    area -= bolts * circle(bolt("M4"))
    assert kernel.volume(folded_shape(plan)) == pytest.approx(area * t, rel=EXACT)
    assert kernel.volume(flat_shape(plan)) == pytest.approx(area * t, rel=EXACT)


@pytest.mark.parametrize(("count", "rows", "outlet"), [(1, 0.0, 0.0), (2, 50.0, 22.0), (3, 0.0, 30.0)])
def test_reservoir_plate(make_plan, count, rows, outlet):
    plan = make_plan(
        "reservoir_plate", t=4.0, count=count, pattern_height_mm=rows, outlet_bore_mm=outlet, height_mm=120.0
    )
    area = ((count - 1) * 90.0 + 2 * 65.0) * 120.0 - SQUARE_LESS_CIRCLE * 8.0**2
    area -= (count * (4 if rows else 2) + 4) * circle(bolt("M6")) + count * circle(outlet)
    assert kernel.volume(folded_shape(plan)) == pytest.approx(area * 4.0, rel=EXACT)


@pytest.mark.parametrize("degrees", [45.0, 60.0, 90.0])
@pytest.mark.parametrize(("t", "r", "mounts"), [(2.0, 2.0, 1), (3.0, 0.0, 2), (3.0, 5.0, 1)])
def test_clamp_standoff(make_plan, degrees, t, r, mounts):
    a, width = math.radians(degrees), 60.0
    plan = make_plan("clamp_standoff", t=t, r=r, angle_rad=a, width_mm=width, standoff_mm=40.0, mounts=mounts)
    # both mould lines of the web: its outside length is the height between them over sin A, where the
    # lower mould line of one bend and the upper one of the other are 40 apart less the sheet's slope
    back = math.tan(a / 2) * (r + t)
    inside_back = math.tan(a / 2) * r
    # along the lower side: outside mould of the first bend to inside mould of the second
    web = (40.0 - t) / math.sin(a) - back - inside_back
    area = width * (32.0 - back + web + 32.0 - back) - SQUARE_LESS_CIRCLE * 6.0**2
    area -= (mounts + 1) * circle(bolt("M6"))
    expected = area * t + 2 * ring_sector(a, r, t, width)
    assert kernel.volume(folded_shape(plan)) == pytest.approx(expected, rel=EXACT)


@pytest.mark.parametrize(
    ("t", "r", "gussets", "mounts"),
    [(3.0, 3.0, "both", 4), (6.0, 6.0, "both", 3), (4.0, 2.0, "left", 2), (3.0, 0.0, "right", 4)],
)
def test_slave_bracket(make_plan, t, r, gussets, mounts):
    plan = make_plan("slave_bracket", t=t, r=r, gussets=gussets, mounts=mounts)
    relief = 25.4 * 3 / 16 if t <= 0.128 * 25.4 else 1.5 * t
    back = r + t
    neck = 2 * (55.0 - r - relief)
    sides = 2 if gussets == "both" else 1
    # base: 136 wide to its shoulders, then the neck; four corners of 8, two of them at the shoulders
    shoulder = min(8.0, 136.0 / 2 - neck / 2 - relief / 2)
    base = 136.0 * (104.0 - back - relief) + neck * relief
    base -= 2 * CORNER * (8.0**2 + shoulder**2) - 2 * CORNER * (relief / 2) ** 2
    base -= mounts * circle(bolt("M10"))
    # upright: a side with a gusset ends at the tangent line, one without at half the inside width
    tall = 90.0 - back
    upright = (110.0 - sides * r) * (tall - relief) + neck * relief + 2 * CORNER * (relief / 2) ** 2
    upright -= (2 - sides) * CORNER * min(8.0, relief) ** 2
    upright -= circle(30.0) + 2 * circle(bolt("M8"))
    # gusset: a rectangle down to 0.8 mm above the base, less the slope's triangle and the notch behind
    depth, top = 72.0 - back, 26.0 - back
    drop, front = r + relief - 0.8, max(10.0, 2 * t)
    height = tall - relief + drop
    run, rise = depth - top, height - front
    gusset = height * depth - run * rise / 2 - drop * relief
    slope = math.atan2(run, rise)
    round_ = min(6.0, 0.4 * top, 0.4 * front, 0.4 * math.hypot(run, rise))
    gusset -= sum(round_**2 * (math.tan(turn / 2) - turn / 2) for turn in (slope, pi / 2 - slope))
    gusset += CORNER * (min(relief, drop, depth - relief) / 2) ** 2
    bends = ring_sector(pi / 2, r, t, neck) + sides * ring_sector(pi / 2, r, t, tall - relief)
    expected = (base + upright + sides * gusset) * t + bends
    assert kernel.volume(folded_shape(plan)) == pytest.approx(expected, rel=EXACT)
