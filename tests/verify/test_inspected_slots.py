"""Slots on the inspection sheet: where they lie on the blank, and how high once bent, from both their ends."""

from __future__ import annotations

import math
import sys
from dataclasses import replace
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parents[1] / "bending"))
from bent_parts import channel

from generators.drawing.inspection import sheet
from generators.drawing.inspection.item import Item
from generators.drawing.inspection.items import inspected
from generators.drawing.inspection.sheet import limit_words, write_inspection_sheet
from generators.geometry.contours import bounds
from generators.model.plan import Fitting, PartPlan, Slot
from generators.sheetmetal.folding import flat_pattern
from generators.verify.pdf.inspection import read_inspection_sheet

BOLT = Fitting(kind="bolt", label="M6 bolt")


def slotted(angle_deg: float, flange: int = 1) -> PartPlan:
    """A channel with a slot 6.6 wide, 8 between its centres, in a flange, at that angle to the bend."""
    plain = channel(80.0, 40.0)
    slot = Slot(
        name="s",
        u_mm=30.0,
        v_mm=20.0,
        width_mm=6.6,
        travel_mm=8.0,
        angle_rad=math.radians(angle_deg),
        purpose="M6 bolt",
        fitting=BOLT,
    )
    flanges = tuple(replace(f, slots=(slot,)) if i == flange else f for i, f in enumerate(plain.flanges))
    return replace(plain, flanges=flanges)


def by_what(plan: PartPlan) -> dict[str, Item]:
    return {item.what: item for item in inspected(plan)}


def problems(path: Path, plan: PartPlan) -> tuple[str, ...]:
    write_inspection_sheet(plan, path, job_title="x", revision="abc1234")
    return read_inspection_sheet(path, plan, job_title="x", revision="abc1234", rel="x").problems


def test_a_slot_is_placed_from_the_edges_by_hand(tmp_path: Path) -> None:
    """In the web along X: its far rim is 8 / 2 + 6.6 / 2 = 7.3 right of its middle and 3.3 over it. It is 14.6 over
    all, by ISO 2768-1 m within 0.2, so 0.1 at its one end; its width is +0.1/0. Its place may be off by 0.2.
    """
    plan = slotted(0.0, flange=0)
    flat = flat_pattern(plan)
    u0, v0, _, _ = bounds(flat.contour)
    rows, (slot,) = by_what(plan), flat.slots
    across = rows["far rim of slot 1 from the left edge of the blank"]
    up = rows["far rim of slot 1 from the lower edge of the blank"]
    assert across.nominal == pytest.approx(slot.u_mm - u0 + 7.3)
    assert (across.least, across.most) == pytest.approx((across.nominal - 0.3, across.nominal + 0.3))
    assert up.nominal == pytest.approx(slot.v_mm - v0 + 3.3)
    assert (up.least, up.most) == pytest.approx((up.nominal - 0.2, up.nominal + 0.25))
    assert not across.bent
    assert across.using == "height gauge, edge down"
    assert problems(tmp_path / "i.pdf", plan) == ()


@pytest.mark.parametrize("angle_deg", [0.0, 37.0, 90.0])
def test_a_slot_that_stands_is_measured_at_both_its_ends(tmp_path: Path, angle_deg: float) -> None:
    """20 over the bend tangent and R + t = 6 under it: its middle is 26 up, however it is turned."""
    plan = slotted(angle_deg)
    item = next(i for i in inspected(plan) if i.key == "H1")
    root = plan.flanges[0].name.replace("_", " ")
    ends = "its lowest rim and its highest, the mean of both"
    assert item.what == f"centre of slot 1 above the lower side of {root}: {ends}"
    assert item.using == "height gauge, both rims"
    assert limit_words(item, "metric") == ("26.00", "25.50", "26.50")
    assert problems(tmp_path / "i.pdf", plan) == ()


def test_what_is_wrong_of_a_slot_shows(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    plan, path = slotted(90.0), tmp_path / "i.pdf"
    made = inspected(plan)
    edge = next(i for i in made if i.what.startswith("far rim of slot"))
    lies = (
        (lambda i: replace(i, using="height gauge, pin in hole"), "H1", "it takes 'height gauge, both rims'"),
        (lambda i: replace(i, what=i.what.partition(":")[0]), "H1", "taken from both its ends"),
        (lambda i: replace(i, nominal=i.nominal + 0.1), edge.key, "by the plan"),
        (lambda i: replace(i, most=i.nominal + 0.5), edge.key, "by the plan"),
        (lambda i: replace(i, using="caliper"), edge.key, "it takes 'height gauge"),
    )
    for change, key, said in lies:
        wrong = tuple(change(i) if i.key == key else i for i in made)
        with monkeypatch.context() as patch:
            patch.setattr(sheet, "inspected", lambda *_, wrong=wrong: wrong)
            assert any(said in p for p in problems(path, plan)), (key, said)
    monkeypatch.setattr(sheet, "inspected", lambda *_: tuple(i for i in made if i.key != edge.key))
    assert any("slot 1 is not measured from the" in p for p in problems(path, plan))
    assert "its lowest rim and its highest, the mean of both" in next(i.what for i in made if i.key == "H1")
