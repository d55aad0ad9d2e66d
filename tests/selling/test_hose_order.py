"""The order of made-up hoses: what it says of length, tolerance and angle, and that its reader works them out."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from selling.hose_paths import LEVEL

from generators.jobs.kit.content import Content
from generators.model.hose_results import HoseLength
from generators.model.spec.fittings import HoseEnd
from generators.model.spec.lines import Hose
from generators.sheets.hose_words import HoseLine
from generators.sheets.kit.hose_order import HoseOrder, order_csv, write_hose_order
from generators.solve.hoses.made_up import MadeUp, bought_as_it_is, ordered_made_up
from generators.units import UnitSystem
from generators.verify.pdf.kit.lists import HoseWanted, read_hose_order

ELBOW = HoseEnd(angle_rad=math.radians(90), drop_mm=25.0, toward="up")
SPEC = Hose(
    name="feed",
    title="Long hose",
    service="pressure",
    from_="a.b",
    to="c.d",
    dash=4,
    from_end=ELBOW,
    to_end=ELBOW,
)
# 400 mm lies between 12 and 18 in: 3/16 in, 4.76 mm; 2.1 mm of slack are left when pressure has shortened it
MADE = MadeUp(
    spec=SPEC,
    outside_mm=9.0,
    length_mm=400.0,
    between_rad=math.radians(90),
    minus_mm=2.1,
    plus_mm=4.7625,
    usual_mm=4.7625,
    angle_mm_rad=math.radians(3),
)
WANTED = HoseWanted(
    title="Long hose",
    name="feed",
    length_mm=400.0,
    spare_mm=2.1,
    path=LEVEL,
    # near nut down, far nut at three o'clock: 90 degrees counter-clockwise
    ways=((0.0, 0.0, 1.0), (0.0, 1.0, 0.0)),
    ends=(ELBOW, ELBOW),
)


def problems(
    folder: Path, made: MadeUp, wanted: HoseWanted, sets: int = 3, units: UnitSystem = "metric"
) -> str:
    path = folder / "order.pdf"
    order = HoseOrder(hoses=(made,), titles=("Long hose",), sets=3, units=units)
    write_hose_order(
        path, order=order, facts=("For 3 kits",), subject="A job", revision="0a1b2c3", paper="A4"
    )
    read = read_hose_order(
        path, rel="o", title="A job", revision="0a1b2c3", hoses=[wanted], sets=sets, inch=units == "inch"
    )
    return "; ".join(read.problems)


@pytest.mark.parametrize("units", ["metric", "inch"])
def test_a_good_order_reads_back(tmp_path: Path, units: UnitSystem) -> None:
    assert problems(tmp_path, MADE, WANTED, units=units) == ""


@pytest.mark.parametrize("bore_mm", [3.175, 6.35, 28.575, 3.2])
def test_a_bore_in_fractions_of_an_inch_reads_back(tmp_path: Path, bore_mm: float) -> None:
    """1/8, 1/4 and 1 1/8 in are printed so, 3.2 mm as 0.126 in; 1/16 in more is another bore."""
    made = replace(MADE, bore_mm=bore_mm, rating_mpa=10.0)
    wanted = replace(WANTED, bore_mm=bore_mm, rating_mpa=10.0)
    assert problems(tmp_path, made, wanted, units="inch") == ""
    other = replace(wanted, bore_mm=bore_mm + 25.4 / 16)
    assert "gives a bore of" in problems(tmp_path, made, other, units="inch")


@pytest.mark.parametrize(
    ("made", "wanted", "problem"),
    [
        (MADE, replace(WANTED, length_mm=401.0), "does not give 401.00mm"),
        # a tenth less slack than the minus allows: the hose would be pulled tight
        (MADE, replace(WANTED, spare_mm=2.0), "gives minus 2.10 mm, 2.00 mm is right"),
        (replace(MADE, bore_mm=3.2), WANTED, "gives a bore of 3.2 mm, 0 mm is right"),
        (MADE, replace(WANTED, rating_mpa=10.0), "gives 0 MPa, 10 MPa is right"),
        (MADE, replace(WANTED, bore_mm=3.2, rating_mpa=10.0), "asks for what is"),
        (
            replace(MADE, bore_mm=3.2, rating_mpa=10.0),
            replace(WANTED, bore_mm=3.2, rating_mpa=10.1),
            "gives 10 MPa",
        ),
        (replace(MADE, plus_mm=4.9), WANTED, "gives plus 4.90 mm, 4.76 mm is right"),
        (replace(MADE, between_rad=math.radians(270)), WANTED, "gives 270° between its elbows"),
        (replace(MADE, between_rad=math.radians(92)), WANTED, "gives 92° between its elbows"),
    ],
)
def test_what_is_wrong_in_an_order_is_found(
    tmp_path: Path, made: MadeUp, wanted: HoseWanted, problem: str
) -> None:
    assert problem in problems(tmp_path, made, wanted)


def test_numbers_of_the_next_hose_are_not_this_ones(tmp_path: Path) -> None:
    # near nut down, far nut at nine o'clock: 270 degrees; its row follows the other's
    other = replace(SPEC, name="other", title="Other hose")
    hoses = (MADE, replace(MADE, spec=other, length_mm=410.0, between_rad=math.radians(270)))
    wanted = [
        WANTED,
        replace(WANTED, title="Other hose", length_mm=410.0, ways=((0.0, 0.0, 1.0), (0.0, -1.0, 0.0))),
    ]

    def read(order: list[HoseWanted]) -> str:
        path = tmp_path / "order.pdf"
        made = HoseOrder(hoses=hoses, titles=("Long hose", "Other hose"), sets=3)
        write_hose_order(path, order=made, facts=(), subject="A job", revision="0a1b2c3", paper="A4")
        return "; ".join(
            read_hose_order(
                path, rel="o", title="A job", revision="0a1b2c3", hoses=order, sets=3, inch=False
            ).problems
        )

    assert read(wanted) == ""
    swapped = [replace(wanted[0], length_mm=410.0), replace(wanted[1], length_mm=400.0)]
    assert "does not give 410.00mm for Long hose" in read(swapped)


def test_the_order_says_bore_and_pressure() -> None:
    rated = replace(MADE, bore_mm=3.2, rating_mpa=10.0, between_rad=math.radians(359.7))
    order = HoseOrder(hoses=(rated,), titles=("Long hose",), sets=1)
    # 10 MPa are 1450.4 psi (NIST SP 811)
    assert order.rows()[0][2] == "-4, 9 mm outside, 3.2 mm inside, pressure, for 10 MPa (1450 psi)"
    assert "not given: ask" in HoseOrder(hoses=(MADE,), titles=("Long hose",), sets=1).rows()[0][2]
    row = order_csv(order).splitlines()[1].split(",")
    assert row[4:6] == ["3.2", "10"]
    # a full turn is none, on the sheet and in the table
    assert (order.rows()[0][-1], row[-2]) == ("0° ± 3°", "0")


def test_the_table_for_the_supplier_is_plain_numbers() -> None:
    order = HoseOrder(hoses=(MADE,), titles=("Long hose",), sets=3)
    row = order_csv(order).splitlines()[1].split(",")
    assert row[:7] == ["feed", "3", "4", "9", "", "", "pressure"]
    # rounded down: a tolerance may be printed tighter than it is, not wider
    assert row[-5:] == ["400.0", "2.1", "4.7", "90", "3"]
    assert "(!)" in order.rows()[0][6]


def test_a_hose_pushed_on_and_a_rigid_line_are_not_ordered_made_up() -> None:
    plain = replace(SPEC, from_end=None, to_end=None)
    assert ordered_made_up(plain)
    assert not ordered_made_up(replace(plain, service="feed"))
    assert ordered_made_up(replace(plain, service="feed", to_end=ELBOW))
    feed = replace(plain, service="feed")
    line = replace(plain, kind="rigid", radius_mm=20.0)
    assert [bought_as_it_is(h) for h in (feed, plain, line)] == [False] * 3
    made_up = [replace(h, made_up_mm=380.0) for h in (feed, plain, line)]
    assert [bought_as_it_is(h) for h in made_up] == [True, False, True]


def _line(spec: Hose, why: str = "") -> HoseLine:
    length = HoseLength(path_mm=400.0, made_up_mm=400.0, cut_mm=400.0, slack_ratio=0.0, spare_mm=0.0)
    return HoseLine(spec=spec, path=None, length=length, outside_mm=9.0, radius_mm=50.0, measure_why=why)


def test_the_order_sends_nobody_to_the_cut_list_for_what_is_not_on_it() -> None:
    feed = replace(SPEC, name="pushed", service="feed", from_end=None, to_end=None)
    tube = replace(feed, name="tube", kind="rigid", service="pressure", radius_mm=20.0)
    there = "the place of slave is an estimate"
    hoses = [
        _line(feed),
        _line(replace(feed, name="late"), there),
        _line(replace(feed, name="bought", made_up_mm=400.0)),
        _line(tube),
        _line(replace(tube, name="late_tube"), there),
        _line(replace(tube, name="bought_tube", made_up_mm=400.0)),
    ]
    named = [replace(h, spec=replace(h.spec, title=h.spec.name)) for h in hoses]
    content: Any = SimpleNamespace(
        made_up=(),
        lines=SimpleNamespace(hoses=named, units="metric"),
        asked=SimpleNamespace(sets=1),
        prepared=SimpleNamespace(file=SimpleNamespace(units="metric")),
    )
    content.cut_here = vars(Content)["cut_here"].func(content)
    assert [h.title for h in content.cut_here] == ["pushed", "tube"]
    left = dict(Content.hose_order(content).left)
    assert [name for name, why in left.items() if "cut list" in why] == ["pushed", "tube"]
    assert [name for name, why in left.items() if there in why] == ["late", "late_tube"]
    assert [name for name, why in left.items() if "bought made up" in why] == ["bought", "bought_tube"]
