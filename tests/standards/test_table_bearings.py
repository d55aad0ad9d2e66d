"""Ball bearings, their fits and circlips: tables of others, and what must hold of any row."""

from __future__ import annotations

import csv
from pathlib import Path

import bd_warehouse
import pytest

from generators.errors import LookupFault
from generators.standards import (
    HOUSING_CLASSES,
    ball_bearing,
    ball_bearing_rows,
    circlip,
    circlip_rows,
    housing_field_rows,
    housing_tolerance,
    ring_tolerance,
    shaft_tolerance,
    tolerance_width_mm,
)

LIBRARY = Path(bd_warehouse.__file__).parent / "data"

# public lists of boundary dimensions: bore, outside, width
LISTED = {
    "608": (8, 22, 7),
    "6000": (10, 26, 8),
    "6001": (12, 28, 8),
    "6003": (17, 35, 10),
    "6004": (20, 42, 12),
    "6005": (25, 47, 12),
    "6200": (10, 30, 9),
    "6201": (12, 32, 10),
    "6202": (15, 35, 11),
    "6203": (17, 40, 12),
    "6204": (20, 47, 14),
    "6205": (25, 52, 15),
}


@pytest.mark.parametrize("number", LISTED)
def test_sizes_of_public_lists(number: str) -> None:
    row = ball_bearing(number)
    assert (row.bore_mm, row.outside_mm, row.width_mm) == LISTED[number]


def test_sizes_of_a_cad_library() -> None:
    """It lists bores of up to 10 mm, with their edges."""
    with (LIBRARY / "single_row_deep_groove_ball_bearing_parameters.csv").open() as file:
        lines = list(csv.reader(file))
    at = [next(i for i, name in enumerate(lines[0]) if name.endswith(f":{key}")) for key in ("d", "D", "B")]
    edge = next(i for i, name in enumerate(lines[0]) if name.endswith(":r12"))
    name = next(i for i, heading in enumerate(lines[0]) if heading.endswith("esignation"))
    theirs = {row[name].lstrip("* "): [float(row[i]) for i in (*at, edge)] for row in lines[1:] if row[name]}
    ours = {r.number: [r.bore_mm, r.outside_mm, r.width_mm, r.chamfer_mm] for r in ball_bearing_rows()}
    shared = theirs.keys() & ours.keys()
    assert len(shared) == 8
    for number in shared:
        assert ours[number] == theirs[number]


def test_every_number_says_its_bore() -> None:
    """00 is 10 mm, 01 12, 02 15, 03 17, from 04 on five times the number."""
    for row in ball_bearing_rows():
        last = row.number[-2:]
        small = {"00": 10.0, "01": 12.0, "02": 15.0, "03": 17.0}
        if len(row.number) >= 4 and "/" not in row.number:
            assert row.bore_mm == small.get(last, 5.0 * int(last) if last.isdigit() else 0.0)
        else:
            assert row.bore_mm == float(row.number[-1])
        assert row.outside_mm > row.bore_mm + 4 * row.chamfer_mm


def test_every_bearing_has_its_circlip_of_the_library() -> None:
    with (LIBRARY / "din472.csv").open() as file:
        theirs = {float(row["d1"]): row for row in csv.DictReader(file)}
    for row in circlip_rows():
        line = theirs[row.bore_mm]
        asked = (row.thickness_mm, row.groove_mm, row.over_mm, row.wide_mm, row.edge_mm)
        assert asked == tuple(float(line[key]) for key in ("s", "d2", "d2_tol+", "m", "n"))
    for bearing in ball_bearing_rows():
        assert circlip(bearing.outside_mm).takes_mm > 2.0
        assert ring_tolerance(bearing.outside_mm).outside_lower_mm < 0


# ISO 286-1's rule for holes: the shaft's deviation turned about, and the difference of the grades added
SHAFTS = {
    "K7": (1, 1, 2, 2, 2),
    "M7": (6, 7, 8, 9, 11),
    "N7": (10, 12, 15, 17, 20),
    "P7": (15, 18, 22, 26, 32),
}


@pytest.mark.parametrize("field", SHAFTS)
def test_fields_of_housings_by_the_rule(field: str) -> None:
    for row, lowest in zip(housing_field_rows(), SHAFTS[field], strict=True):
        size = row.up_to_mm
        more = tolerance_width_mm(7, size) - tolerance_width_mm(6, size)
        assert row.upper_mm[field] == pytest.approx(more - lowest / 1000)


def test_fields_over_30_to_50_by_a_table() -> None:
    """H7 +25/0, J7 +14/-11, K7 +7/-18, M7 0/-25, N7 -8/-33, P7 -17/-42 micrometres; shaft 17 h6 0/-11."""
    wanted = ((25, 0), (14, -11), (7, -18), (0, -25), (-8, -33), (-17, -42))
    for field, (upper, lower) in zip(HOUSING_CLASSES, wanted, strict=True):
        made = housing_tolerance(35.0, field)
        assert (made.upper_mm, made.lower_mm) == pytest.approx((upper / 1000, lower / 1000))
    assert housing_tolerance(35.0, "P7").signed == "-0.017/-0.042"
    assert housing_tolerance(35.0, "M7").signed == "0/-0.025"
    assert shaft_tolerance(17.0).signed == "0/-0.011"


def test_p7_is_the_first_that_holds_every_bearing() -> None:
    for row in ball_bearing_rows():
        least = row.outside_mm + ring_tolerance(row.outside_mm).outside_lower_mm
        assert least > housing_tolerance(row.outside_mm, "P7").limits_mm(row.outside_mm)[1]
        assert least < housing_tolerance(row.outside_mm, "N7").limits_mm(row.outside_mm)[1]


def test_what_is_not_there() -> None:
    with pytest.raises(LookupFault, match="6003"):
        ball_bearing("6403")
    with pytest.raises(LookupFault):
        circlip(36.5)
    with pytest.raises(LookupFault):
        ring_tolerance(90.0)
    with pytest.raises(LookupFault):
        housing_tolerance(35.0, "R7")
