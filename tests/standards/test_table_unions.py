"""Nuts of 37 degree unions against AN818 Rev 20, and what a flare takes by hand."""

from __future__ import annotations

import math
from fractions import Fraction

import pytest

from generators.errors import LookupFault
from generators.standards import bulkhead_rows, union37, union37_rows

# dash: tube, thread, across flats C, inch. AN818 Rev 20, 16 February 2010, read as the text of a scan; the same
# across flats stand for SAE J514 swivel nuts in a machine's manual.
AN818 = {
    3: (0.188, "3/8-24", 0.437),
    4: (0.250, "7/16-20", 0.562),
    5: (0.313, "1/2-20", 0.625),
    6: (0.375, "9/16-18", 0.687),
    8: (0.500, "3/4-16", 0.875),
    10: (0.625, "7/8-14", 1.000),
}


@pytest.mark.parametrize("dash", AN818)
def test_an818(dash: int) -> None:
    row = union37(dash)
    tube, thread, flats = AN818[dash]
    assert (row.tube_od_mm, row.nut_af_mm) == pytest.approx((25.4 * tube, 25.4 * flats))
    assert row.thread.split()[0] == thread
    # the spanner is the next sixteenth at or over the sheet's rounded figure
    spanner = float(Fraction(row.nut_af_text.removesuffix(" in")))
    assert 0 <= spanner - flats < 0.001


def test_threads_are_those_of_the_bulkheads() -> None:
    for row in bulkhead_rows():
        assert union37(row.dash).thread == row.thread


def test_a_flare_takes_the_side_of_its_cone_less_its_height() -> None:
    """1/4 tube flared to 0.359: 0.0545 in of radius; side 0.0906, height 0.0723, so 0.0182 in or 0.463 mm."""
    row = union37(4)
    out = (0.359 - 0.250) / 2
    side, height = out / math.sin(math.radians(37)), out / math.tan(math.radians(37))
    assert (side, height) == pytest.approx((0.0906, 0.0723), abs=5e-5)
    assert row.flare_takes_mm == pytest.approx(25.4 * (side - height))
    assert row.flare_takes_mm == pytest.approx(0.463, abs=5e-4)


def test_a_flare_is_wider_than_its_tube_and_goes_through_its_nut() -> None:
    for row in union37_rows():
        assert row.tube_od_mm < row.flare_mm < row.nut_af_mm


def test_no_such_size() -> None:
    with pytest.raises(LookupFault, match="37 degree union"):
        union37(7)
