"""What is cut of a blank, by hand: openings at the machine's limit, kerf, lengths, pegs."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from drawing.part_cases import tree

from generators.errors import GeometryFault
from generators.geometry.contours import area, bounds, rectangle
from generators.model.plan import Flange, Hole, PartPlan, Peg, Slot
from generators.sheetmetal.cut_file import cut_pattern
from generators.sheetmetal.folding import flat_pattern
from generators.sheetmetal.volume import cut_length, cutting, flat_area, folded_volume, peg_volume

HOLE = tree().flange("base").holes[0]
SLOT = tree().flange("base").slots[0]


def sheet(*, holes: tuple[Hole, ...] = (), slots: tuple[Slot, ...] = ()) -> PartPlan:
    """100 × 60 × 2."""
    flange = Flange(name="plate", contour=rectangle(0, 0, 100, 60), holes=holes, slots=slots)
    return PartPlan(name="p", kind="t", title="t", material="1008 steel", thickness_mm=2.0, flanges=(flange,))


OPENED = sheet(
    holes=(replace(HOLE, diameter_mm=3.0), replace(HOLE, name="wide", u_mm=70.0, diameter_mm=8.0)),
    slots=(
        replace(SLOT, width_mm=3.0, travel_mm=10.0),
        replace(SLOT, name="broad", v_mm=40.0, width_mm=8.0, travel_mm=20.0),
    ),
)


@pytest.mark.parametrize(
    ("smallest", "holes", "slots"), [(0.0, 2, 2), (3.0, 2, 2), (3.001, 1, 1), (8.0, 1, 1), (8.001, 0, 0)]
)
def test_openings_at_the_limit_are_cut_and_below_it_marked(smallest: float, holes: int, slots: int) -> None:
    cut = cut_pattern(flat_pattern(OPENED), None, smallest)
    assert (len(cut.holes), len(cut.slots)) == (holes, slots)
    work = cutting(OPENED, smallest)
    assert (work.pierces, work.marks) == (1 + holes + slots, 4 - holes - slots)


def test_cut_lengths_by_hand() -> None:
    # outline 320; circles π d; slots π w + 2 travel
    round_holes = math.pi * (3 + 8)
    round_ends = math.pi * (3 + 8) + 2 * (10 + 20)
    assert cut_length(OPENED) == pytest.approx(320 + round_holes + round_ends)
    assert cutting(OPENED, 4.0).length_mm == pytest.approx(320 + 2 * math.pi * 8 + 40)
    net = 6000 - 2 * math.pi / 4 * (9 + 64) - (3 * 10 + 8 * 20)
    assert flat_area(OPENED) == pytest.approx(net)
    assert folded_volume(OPENED) == pytest.approx(2 * net)


def test_a_kerf_by_hand() -> None:
    # half a kerf round the outline, a whole one off every opening
    cut = cut_pattern(flat_pattern(OPENED), 0.4)
    assert bounds(cut.contour) == pytest.approx((-0.2, -0.2, 100.2, 60.2))
    assert [h.diameter_mm for h in cut.holes] == pytest.approx([2.6, 7.6])
    assert [s.width_mm for s in cut.slots] == pytest.approx([2.6, 7.6])
    assert [s.travel_mm for s in cut.slots] == [10.0, 20.0]
    assert area(cut.contour) <= 100.4 * 60.4 + 1e-9


@pytest.mark.parametrize("kerf", [3.0, 3.1])
def test_a_kerf_as_wide_as_an_opening_is_refused(kerf: float) -> None:
    with pytest.raises(GeometryFault, match="cannot cut opening"):
        cut_pattern(flat_pattern(OPENED), kerf)
    # what is only marked is not in its way
    assert cut_pattern(flat_pattern(OPENED), kerf, 4.0).holes[0].diameter_mm == pytest.approx(8 - kerf)
    only_slots = sheet(slots=OPENED.flanges[0].slots)
    with pytest.raises(GeometryFault, match="base_slot"):
        cut_pattern(flat_pattern(only_slots), kerf)


def test_a_peg_by_hand() -> None:
    # 8 round, 6 high, 1 off its tip at 45°: a cylinder of 5 and a frustum from 4 to 3 of radius, h/3 (R² + R r + r²)
    peg = Peg(
        name="p",
        u_mm=10.0,
        v_mm=10.0,
        diameter_mm=8.0,
        height_mm=6.0,
        chamfer_mm=1.0,
        hole_mm=8.2,
        purpose="t",
    )
    volume = math.pi * (16 * 5 + (16 + 12 + 9) / 3)
    assert peg_volume(peg) == pytest.approx(volume)
    plain = sheet()
    pegged = replace(plain, flanges=(replace(plain.flanges[0], pegs=(peg, peg)),))
    assert folded_volume(pegged) == pytest.approx(12_000 + 2 * volume)
