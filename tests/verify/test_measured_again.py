"""What lay over the open V of a die is measured again once bent, to the limits it is cut to."""

from __future__ import annotations

import sys
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

sys.path.insert(0, str(Path(__file__).parents[1] / "bending"))
from bent_parts import TWO, channel, order

from generators.drawing.bending.words import over_the_v, pulled
from generators.drawing.inspection import sheet
from generators.drawing.inspection.items import inspected
from generators.drawing.inspection.sheet import write_inspection_sheet
from generators.model.plan import Fitting, Hole, PartPlan
from generators.verify.pdf.inspection import read_inspection_sheet

BOLT = Fitting(kind="bolt", label="M8 bolt")


def near(v_mm: float) -> PartPlan:
    """A channel with a hole of 9 in a flange, so far from the bend's tangent, and one far off."""
    plain = channel(80.0, 40.0)
    holes = tuple(
        Hole(name=n, u_mm=u, v_mm=v, diameter_mm=9.0, purpose="M8 bolt", fitting=BOLT)
        for n, u, v in (("near", 30.0, v_mm), ("far", 70.0, 30.0))
    )
    return replace(
        plain, flanges=(plain.flanges[0], replace(plain.flanges[1], holes=holes), plain.flanges[2])
    )


# V 24 of 80 degrees, shoulders R 1.5: the flat sheet is carried from 12 + 1.5 tan 25° = 12.70 off the middle of the
# strip, 6.739 wide; a rim touches there where the hole's middle is 12.70 + 4.5 off, 13.83 from the tangent
@pytest.mark.parametrize(("v", "again"), [(13.75, ("1",)), (13.9, ())])
def test_a_rim_over_the_v_has_a_row_once_bent(v: float, again: tuple[str, ...], tmp_path: Path) -> None:
    plan = near(v)
    steps = order(plan, TWO).on_brake
    assert pulled(plan, steps) == again == tuple(n for s in steps for n in over_the_v(plan, s))
    rows = {i.key: i for i in inspected(plan, again)}
    assert ("R1" in rows) == bool(again)
    if again:
        assert (rows["R1"].least, rows["R1"].most) == (rows["1"].least, rows["1"].most) == (9.0, 9.1)
        assert rows["R1"].bent
        assert not rows["1"].bent
    path = tmp_path / "i.pdf"
    named: dict[str, Any] = {"job_title": "x", "revision": "abc1234"}
    write_inspection_sheet(plan, path, pulled=again, **named)
    assert read_inspection_sheet(path, plan, rel="x", pulled=again, **named).problems == ()
    other = () if again else ("1",)
    found = read_inspection_sheet(path, plan, rel="x", pulled=other, **named).problems
    assert any("measured again once bent" in p for p in found)


def test_a_row_that_is_wrong_shows(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    plan, path = near(13.0), tmp_path / "i.pdf"
    made = inspected(plan, ("1",))
    for change, said in (
        (lambda i: replace(i, most=i.most + 0.2), "item R1: most"),
        (lambda i: replace(i, bent=False), "item R1 stands before bending"),
        (lambda i: replace(i, what=i.what.replace("1", "2")), "item R1: "),
        (lambda i: replace(i, using="caliper"), "item R1: measured with 'caliper'"),
    ):
        wrong = tuple(change(i) if i.key == "R1" else i for i in made)
        monkeypatch.setattr(sheet, "inspected", lambda *_, wrong=wrong: wrong)
        write_inspection_sheet(plan, path, job_title="x", revision="abc1234", pulled=("1",))
        found = read_inspection_sheet(path, plan, job_title="x", revision="abc1234", rel="x", pulled=("1",))
        assert any(said in p for p in found.problems), said
