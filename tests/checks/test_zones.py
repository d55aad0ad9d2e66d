"""What harms what in a zone, and by how much it lies in it; all by hand on a box of 100 mm."""

from __future__ import annotations

import pytest
from standing_jobs import bar, block
from zone_jobs import line, pot, solid, zoned

from generators.model.findings import Severity

FAIL, WARN, NOTE = Severity.FAIL, Severity.WARN, Severity.NOTE

ACROSS = ((-50.0, 50.0, 50.0), (150.0, 50.0, 50.0))
HOSE = line(*ACROSS)
RIGID = line(*ACROSS, kind="rigid", bare=True)
CYLINDER = solid("cylinder", bar("master", (10, 50, 50), (90, 50, 50), 30.0))
FITTING = solid("fitting", block("fitting", (40, 40, 40), (20, 20, 20), what="fitting"))
THINGS = [HOSE, RIGID, pot(90.0), CYLINDER, FITTING]


@pytest.mark.parametrize(
    ("kind", "said"),
    [
        ("stones", {"hose": WARN, "rigid": WARN, "reservoir": WARN}),
        ("spray", {"rigid": NOTE, "cap of the reservoir": WARN}),
        ("heat", {"hose": FAIL, "rigid": WARN, "reservoir": FAIL, "cylinder": WARN}),
        # the line's joints are 50 mm and more outside
        ("covering", {"hose": WARN, "fitting": WARN}),
    ],
)
def test_one_finding_for_each_thing(kind, said: dict[str, Severity]) -> None:
    found = zoned(kind, THINGS)
    assert [f.where for f in found] == [f"space: {name}, in {kind} zone" for name in said]
    assert [f.severity for f in found] == list(said.values())
    assert len({f.about for f in found}) == 1


def test_a_guard_and_a_finish_are_enough() -> None:
    things = [
        line(*ACROSS, guarded=True),
        line(*ACROSS, kind="rigid", guarded=True),
        pot(90.0, guarded=True),
    ]
    assert zoned("stones", things) == []
    assert zoned("spray", [line(*ACROSS, kind="rigid"), HOSE, pot(150.0)]) == []
    # a guard against stones keeps no heat off
    assert [f.severity for f in zoned("heat", things)] == [FAIL, WARN, FAIL]


def test_a_hose_straight_through() -> None:
    # 10 mm thick, its middle 30 mm above the floor of the box: 30 + 5 mm to the way out; 100 mm inside
    (found,) = zoned("heat", [line((-50, 50, 30), (150, 50, 30))])
    assert found.value == pytest.approx(35.0, abs=1e-3)
    assert "35.00 mm deep in it, 100.00 mm of its middle line" in found.found
    assert found.advice.endswith("there by 35.0 mm or more")


def test_a_hose_that_ends_inside() -> None:
    # from x = 30 to the side at x = 100; in the middle of the box, 50 mm and its radius from the ways out
    (found,) = zoned("stones", [line((30, 50, 50), (150, 50, 50))])
    assert "70.00 mm of its middle line" in found.found
    assert found.value == pytest.approx(55.0, abs=1e-3)


def test_a_hose_that_grazes() -> None:
    # its middle 2 mm outside, its skin 3 mm inside
    (found,) = zoned("heat", [line((-50, -2, 50), (150, -2, 50))])
    assert found.value == pytest.approx(3.0, abs=1e-3)
    assert "its middle line outside" in found.found


def test_a_cap_over_the_spray() -> None:
    # the cap is the upper 1 mm: at 101 mm it stands on the box, at 100.5 mm it is half in
    assert zoned("spray", [pot(101.0)]) == []
    (found,) = zoned("spray", [pot(100.5)])
    assert found.value == pytest.approx(0.5, abs=1e-3)


def test_joints_under_the_covering() -> None:
    # the end's rod is flat: its first joint is in by as much as it reaches past x = 0
    (found,) = zoned("covering", [line((-150, 50, 50), (12, 50, 50), kind="rigid")])
    assert found.where == "space: joint of the rigid, in covering zone"
    assert found.value == pytest.approx(12.0, abs=1e-3)
