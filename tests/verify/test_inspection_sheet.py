"""Inspection sheets: figures worked out by hand, what is written reads, and what is changed on one shows."""

from __future__ import annotations

import math
import sys
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

sys.path.insert(0, str(Path(__file__).parents[1]))
from drawing.part_cases import JOB, REVISION, make
from parts.finished_plates import angle, insert, plate
from verify.inspected_channel import BOLT, bored, by_key, hole, problems

from generators.drawing.inspection import sheet
from generators.drawing.inspection.item import Item
from generators.drawing.inspection.items import inspected
from generators.drawing.inspection.sheet import limit_words, write_inspection_sheet
from generators.model.findings import Waived
from generators.model.plan import PartPlan, Slot
from generators.parts import kind_named
from generators.parts.building.finished_holes import unbent
from generators.parts.building.pivots.pressed import with_pivots
from generators.solve.parts import sample_plan
from generators.standards import press_tolerance, thickness_off_mm
from generators.units import UnitSystem
from generators.verify.pdf.inspection import read_inspection_sheet
from generators.verify.pdf.waivers import waiver_problems


def test_distances_are_those_of_the_triangle() -> None:
    """By hand: b to c are 30-40-50 apart; each hole ±0.2 each way, as cut +0.1/0 wide.

    Over the far rims 50 + 9 = 59. At worst 0.4 across and 0.4 up, along the line (30 + 40) / 50 x 0.4 =
    0.56 less, and with both radii 0.05 larger 0.56 + 0.1 more.
    """
    items = by_key(bored())
    far = items["D1"]
    assert far.what == "hole 2 to hole 3, over the far rims"
    assert (far.nominal, far.least, far.most) == pytest.approx((59.0, 58.44, 59.66))
    # 30 across: 0.4 along it alone
    side = next(i for i in items.values() if i.what == "hole 2 to hole 1, over the far rims")
    assert (side.nominal, side.least, side.most) == pytest.approx((39.0, 38.6, 39.5))


def test_a_channel_is_measured_over_its_walls() -> None:
    """Each square bend adds R + t = 6 to the flat between: 80 + 12 over the walls, 40 + 6 outside. From both walls to
    the near rims of a 9 mm hole 36 and 56 from them."""
    items = by_key(bored())
    lengths = sorted(i.nominal for i in items.values() if i.key.startswith("L"))
    assert lengths == pytest.approx([31.5, 46.0, 46.0, 51.5, 92.0])
    angles = [i for i in items.values() if i.unit == "angle"]
    said = [math.degrees(x) for a in angles for x in (a.nominal, a.least or 0.0, a.most or 0.0)]
    assert said == pytest.approx([90.0, 89.0, 91.0] * 2)
    assert all(i.bent for i in items.values() if i.key[0] in "BL")


def test_a_fit_is_gauged_and_printed_to_a_thousandth() -> None:
    """Largest bore 18 H7 18.018 (ISO 286-1): plug gauge, three decimals; in inches 18.018 / 25.4 = 0.70937."""
    plan = bored()
    web = plan.flanges[0]
    pressed = replace(web.holes[0], diameter_mm=18.0, tolerance=press_tolerance(18.0))
    pivot = by_key(replace(plan, flanges=(replace(web, holes=(pressed, *web.holes[1:])), *plan.flanges[1:])))[
        "1"
    ]
    assert pivot.using == "plug gauge, go and not go"
    assert limit_words(pivot, "metric") == ("18.000", "18.000", "18.018")
    assert limit_words(pivot, "inch") == ("0.7087", "0.7087", "0.7094")


def test_limits_are_the_size_as_printed_with_what_it_may_be_off() -> None:
    """8.73125 +0.22/0, as the drawing has it: 8.73 to 8.95; ±0.566 of 59.006 inward: 58.44 to 59.57."""
    item = Item(key="2", what="x", using="pins", unit="length", nominal=8.73125, least=8.73125, most=8.95125)
    assert limit_words(item, "metric") == ("8.73", "8.73", "8.95")
    odd = replace(item, nominal=59.006, least=59.006 - 0.566, most=59.006 + 0.566)
    assert limit_words(odd, "metric") == ("59.01", "58.45", "59.57")


KINDS = (
    "pedal_hanger",
    "slave_bracket",
    "reservoir_bracket",
    "carried_hanger",
    "fitting_plate",
    "clamp_standoff",
)


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("units", ["metric", "inch"])
def test_what_is_written_reads(tmp_path: Path, kind: str, units: UnitSystem) -> None:
    assert problems(tmp_path / "i.pdf", make(kind), units) == ()


def standing() -> PartPlan:
    """The same channel with a hole in a wall, which is square to its web."""
    plan = bored()
    wall = plan.flanges[1]
    return replace(
        plan, flanges=(plan.flanges[0], replace(wall, holes=(hole("d", 20.0, 20.0),)), *plan.flanges[2:])
    )


CHANGES = {
    "distance": (lambda i: replace(i, nominal=i.nominal + 0.02), "D1", "by the plan"),
    "least": (lambda i: replace(i, least=i.least - 0.02), "1", "by the plan"),
    "most": (lambda i: replace(i, most=i.most + 0.02), "L1", "by the plan"),
    "angle": (lambda i: replace(i, nominal=i.nominal + math.radians(0.2)), "B1", "by the plan"),
    "other hole": (lambda i: replace(i, what=i.what.replace("hole 2", "hole 1")), "D1", "by the plan"),
    "nothing": (lambda i: replace(i, what="length of something"), "L1", "nothing of this part"),
    "purpose": (lambda i: replace(i, what=i.what.replace("M8", "M99")), "1", "by the plan"),
    "other way": (lambda i: replace(i, what=i.what.replace("up", "across")), "S2", "by the plan"),
    "another opening": (lambda i: replace(i, what=i.what.replace("4", "1")), "H4", "another opening's"),
    "tape": (lambda i: replace(i, using="steel rule or tape"), "L1", "it takes 'caliper'"),
    "jaws": (lambda i: replace(i, using="caliper"), "1", "it takes 'pins'"),
    "square": (lambda i: replace(i, using="caliper"), "B1", "it takes 'protractor or square'"),
    "too early": (lambda i: replace(i, bent=False), "L1", "before bending"),
}


@pytest.mark.parametrize("name", CHANGES)
def test_an_item_that_is_wrong_shows(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, name: str) -> None:
    change, key, said = CHANGES[name]

    def wrong(plan: PartPlan, _: object = ()) -> tuple[Item, ...]:
        return tuple(change(i) if i.key == key else i for i in inspected(plan))

    monkeypatch.setattr(sheet, "inspected", wrong)
    found = problems(tmp_path / "i.pdf", standing())
    assert any(said in p and f"item {key}" in p for p in found), found


@pytest.mark.parametrize("key", [i.key for i in inspected(standing())])
def test_an_item_left_out_shows(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, key: str) -> None:
    def less(plan: PartPlan, _: object = ()) -> tuple[Item, ...]:
        return tuple(i for i in inspected(plan) if i.key != key)

    assert problems(tmp_path / "i.pdf", standing()) == ()
    monkeypatch.setattr(sheet, "inspected", less)
    assert problems(tmp_path / "i.pdf", standing())


def test_another_part_does_not_read(tmp_path: Path) -> None:
    plan = bored()
    write_inspection_sheet(plan, tmp_path / "i.pdf", job_title=JOB, revision=REVISION)
    web = plan.flanges[0]
    moved = replace(web, holes=(replace(web.holes[0], u_mm=web.holes[0].u_mm + 0.05), *web.holes[1:]))
    other = replace(plan, flanges=(moved, *plan.flanges[1:]))
    read = read_inspection_sheet(tmp_path / "i.pdf", other, job_title=JOB, revision=REVISION, rel="x")
    assert any("by the plan" in p for p in read.problems)


def test_waived_rules_are_listed(tmp_path: Path) -> None:
    waived = (Waived(code="hole-off-panel", reason="trial part, never fitted"),)
    path = tmp_path / "i.pdf"
    write_inspection_sheet(bored(), path, job_title=JOB, revision=REVISION, waived=waived)
    assert waiver_problems(path, waived) == []


def test_a_file_that_is_none_is_a_problem(tmp_path: Path) -> None:
    path = tmp_path / "i.pdf"
    path.write_bytes(b"no PDF")
    assert read_inspection_sheet(path, bored(), job_title=JOB, revision=REVISION, rel="x").problems


def slotted() -> PartPlan:
    """The channel with a slot 6.6 wide and 9 long between its centres in its web."""
    plan = bored()
    slot = Slot(
        name="s",
        u_mm=50.0,
        v_mm=50.0,
        width_mm=6.6,
        travel_mm=9.0,
        angle_rad=0.0,
        purpose="M6 bolt",
        fitting=BOLT,
    )
    return replace(plan, flanges=(replace(plan.flanges[0], slots=(slot,)), *plan.flanges[1:]))


def test_sheet_and_slots_have_limits(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Over all 6.6 + 9 = 15.6; ISO 2768-1 m, over 6 to 30: ±0.2. Sheets of 2.5, 3 and 4 mm are sold; what is
    over both walls grows by twice 1 - 0.43 pi / 4 a mm of sheet: (0.5 - 0.1977 of blank, stop and bends) / 1.3246 = 0.2283."""
    items = by_key(slotted())
    assert limit_words(items["4L"], "metric") == ("15.60", "15.40", "15.80")
    assert limit_words(items["T"], "metric") == ("3.00", "2.78", "3.22")
    assert problems(tmp_path / "i.pdf", slotted()) == ()
    wide = tuple(replace(i, most=i.nominal + 0.3) if i.key == "4L" else i for i in inspected(slotted()))
    monkeypatch.setattr(sheet, "inspected", lambda *_: wide)
    assert any("item 4L: most" in p for p in problems(tmp_path / "i.pdf", slotted()))
    monkeypatch.setattr(sheet, "inspected", lambda *_: tuple(i for i in wide if i.key != "4L"))
    assert "no item gives the length of slot 4" in problems(tmp_path / "i.pdf", slotted())


@pytest.mark.parametrize("bends", [True, False])
def test_a_blank_that_is_bent_is_as_near_as_its_holes(
    bends: bool, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What legs hold is 0.5, so the blank is within 0.2; a plate alone by ISO 2768-1 m, over 120 to 400: 0.5."""
    plan = slotted() if bends else plate()
    at = by_key(plan)["S1"]
    assert bends or at.nominal == pytest.approx(300.0)
    off = 0.2 if bends else 0.5
    assert at.least is not None
    assert at.most is not None
    assert (at.nominal - at.least, at.most - at.nominal) == pytest.approx((off, off))
    assert problems(tmp_path / "i.pdf", plan) == ()
    wide = tuple(replace(i, most=i.nominal + 0.3) if i.key == "S1" else i for i in inspected(plan))
    monkeypatch.setattr(sheet, "inspected", lambda *_: wide)
    assert any("item S1: most" in p for p in problems(tmp_path / "i.pdf", plan))


@pytest.mark.parametrize(
    ("thickness", "low", "high"),
    [(3.0, 2.75, 3.5), (1.0, 0.95, 1.1), (1.897, 1.6985, 2.1985), (25.0, 22.5, 27.5), (0.5, 0.45, 0.55)],
)
def test_a_sheet_is_nearer_to_itself_than_to_the_next(thickness: float, low: float, high: float) -> None:
    """By hand from the stock list; 14 gauge, 1.897, is sold beside 2.0 as the same: its next are 1.5 and 2.5."""
    off = thickness_off_mm(thickness)
    assert (thickness + off[0], thickness + off[1]) == pytest.approx((low, high))


def test_welds_are_measured_by_their_least_leg(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """AWS D1.1's least fillet in 3 mm sheet is 3 mm (from memory): never smaller, larger does no harm."""
    plan = sample_plan("slave_bracket")[0]
    items = by_key(plan)
    legs = [items[key] for key in ("Z1", "Z2")]
    assert [(i.nominal, i.least, i.most, i.using, i.bent) for i in legs] == [
        (3.0, 3.0, None, "fillet weld gauge", True)
    ] * 2
    assert limit_words(items["Z1"], "metric") == ("3.00", "3.00", "–")
    assert problems(tmp_path / "i.pdf", plan) == ()
    less = tuple(replace(i, least=2.5) if i.key == "Z1" else i for i in inspected(plan) if i.key != "Z2")
    monkeypatch.setattr(sheet, "inspected", lambda *_: less)
    said = problems(tmp_path / "i.pdf", plan)
    assert any("item Z1: least 2.50" in p for p in said)
    assert any("no item Z2" in p for p in said)


def test_the_weld_round_a_boss_is_measured_by_its_throat(tmp_path: Path) -> None:
    """3 mm on a wall of 5.75: 0.7 x 3 = 2.1, in halves 2.0, by hand."""
    asked: dict[str, Any] = {"pivot_build": "welded_boss", "pivot_boss_mm": 50.0}
    plan = with_pivots(make("pedal_hanger", **asked), kind_named("pedal_hanger").parameters(**asked))
    items = by_key(plan)
    assert [(items[k].nominal, items[k].least, items[k].most) for k in ("A8", "A9")] == [(2.0, 2.0, None)] * 2
    assert problems(tmp_path / "i.pdf", plan) == ()


@pytest.mark.parametrize("shape", [plate, angle])
def test_a_weld_nut_stands_where_it_is_put_on(shape: Callable[..., PartPlan], tmp_path: Path) -> None:
    """A plate is never bent: what is welded on it is looked at on the plate, on an angle once that is bent."""
    nut = insert("weld_nut")
    assert nut.finish is not None
    plan = shape(nut if shape is angle else replace(nut, finish=unbent(nut.finish)))
    (item,) = [i for i in inspected(plan) if i.key.startswith("N")]
    assert item.bent == bool(plan.bends)
    assert problems(tmp_path / "i.pdf", plan) == ()
