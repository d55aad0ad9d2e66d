"""Welded bosses, flanged bushes and spacer tubes at pivots: sizes by hand, solid, papers, bill, room in space."""

from __future__ import annotations

import math
import sys
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from parts.plans_in_space import plan_of

from generators.checks.part.finishing.fitted import check_fitted
from generators.checks.part.pivots import check_pivots
from generators.checks.pedal.hub import check_hubs
from generators.drawing.bending.words import finish_lines
from generators.drawing.inspection.items import inspected
from generators.drawing.inspection.sheet import write_inspection_sheet
from generators.drawing.part.drawing import write_part_drawing
from generators.errors import GeometryFault
from generators.model.changes import Change
from generators.model.findings import Severity
from generators.model.install import InstallOrder
from generators.model.plan import Hole, PartPlan
from generators.model.spec.shop import Shop
from generators.parts.building.mirror import mirrored
from generators.parts.building.pivots.pressed import pilot_mm, weld_mm, with_pivots
from generators.parts.pedal_hanger import PedalHanger
from generators.parts.twin_pedal_hanger import TwinPedalHanger
from generators.sheetmetal.in_line import pivot_note, pivot_pairs
from generators.sheetmetal.volume import folded_volume
from generators.sheets.bill import bill
from generators.sheets.hose_words import LinesSheet
from generators.solids.files.step import write_step
from generators.solve.fasteners.pivots import over_cheeks
from generators.units import UnitSystem
from generators.verify.pdf.bending.beside import finish_problems
from generators.verify.pdf.drawing import read_part_drawing
from generators.verify.pdf.inspection import read_inspection_sheet
from generators.verify.step.solid import read_step

sys.path.insert(0, str(Path(__file__).parents[1] / "hydraulics"))

from pedal_samples import clutch_pedal


def made(shaft: float | None = None, **keys: object) -> PartPlan:
    """A hanger 90 mm wide inside, of 3 mm sheet."""
    plan = plan_of("pedal_hanger", inside_width_mm=90.0, pivot_bore_mm=keys.get("pivot_bore_mm", 16.0))
    plan = with_pivots(replace(plan, shaft_mm=shaft), PedalHanger(**keys))  # type: ignore[arg-type]
    return replace(plan, notes=(*plan.notes, pivot_note(plan)))


def bossed(**keys: object) -> PartPlan:
    """With bosses 26 mm outside and 10 high."""
    sizes = {"welded_boss_outside_mm": 26.0, "welded_boss_height_mm": 10.0}
    return made(pivot_build="welded_boss", **{**sizes, **keys})  # type: ignore[arg-type]


def pivots(plan: PartPlan) -> list[Hole]:
    return [h for f in plan.flanges for h in f.holes if h.name.startswith("pivot")]


def hubs(plan: PartPlan, *widths: float | None) -> list[tuple[Severity, float]]:
    pedals = [clutch_pedal(name=f"p{i}", hub_width_mm=w) for i, w in enumerate(widths)]
    return [(f.severity, f.limit or 0.0) for f in check_hubs(plan, pedals)]


def test_a_hub_goes_between_the_bosses_at_worst() -> None:
    """90 inside less two bosses of 10: 70. The drawing holds the cheeks to that, to 0.5 as any bent length, all
    round the pivots, so 69.5 at worst, whatever their angles."""
    inside = bossed(welded_boss_side="inside")
    worst = 70.0 - 0.5
    assert hubs(inside, worst - 0.01) == []
    assert hubs(inside, worst + 0.01) == [(Severity.WARN, pytest.approx(worst, abs=1e-6))]
    assert hubs(inside, 69.99) == [(Severity.WARN, pytest.approx(worst, abs=1e-6))]
    assert hubs(inside, 70.01) == [(Severity.FAIL, pytest.approx(70.0))]
    # what is short at worst comes off the hub, or goes onto the hanger; of two hubs nobody says which
    (one,) = check_hubs(inside, [clutch_pedal(name="p", hub_width_mm=69.8)])
    steps = [s for p in one.proposals for s in p.steps if isinstance(s, Change)]
    assert [(s.path, s.by, s.rounding) for s in steps] == [
        ("pedal[p].hub_width", pytest.approx(worst - 69.8), "up"),
        (f"part[{inside.name}].parameters.inside_width", pytest.approx(69.8 - worst), "up"),
    ]
    two = [clutch_pedal(name=n, hub_width_mm=34.9) for n in "ab"]
    assert [len(f.proposals) for f in check_hubs(inside, two)] == [1]
    # bosses outside take nothing; two pedals on one shaft lie beside each other; one without a width is not judged
    assert hubs(bossed(), 80.0) == []
    assert hubs(bossed(), 50.0, 40.1) == [(Severity.FAIL, pytest.approx(90.0))]
    assert hubs(bossed(), 95.0, None) == []


def test_a_pilot_through_sheet_and_boss_is_cleaned_up() -> None:
    """13 mm deep: 16 - 2 hypot(0.5, 0.2) - 13 tan 1.66 deg = 14.55, so 14.5; the sheet alone gives 14.5 as well,
    17 mm of boss on it only 14.0: 16 - 1.077 - 20 x 0.02903 = 14.34."""
    assert {h.finish.cut_mm for h in pivots(bossed()) if h.finish} == {14.5}
    assert {h.finish.cut_mm for h in pivots(bossed(welded_boss_height_mm=17.0)) if h.finish} == {14.0}
    plan = plan_of("pedal_hanger", inside_width_mm=90.0, pivot_bore_mm=16.0)
    assert pilot_mm(plan, 16.0, 20.0) == 14.0


@pytest.mark.parametrize(("one", "other", "throat"), [(3.0, 5.75, 2.0), (4.0, 6.0, 2.5), (10.0, 5.0, 3.5)])
def test_a_fillet_is_seven_tenths_of_the_thinner(one: float, other: float, throat: float) -> None:
    assert weld_mm(one, other) == throat  # in halves, rounded down


@pytest.mark.parametrize(("side", "over", "between"), [("outside", 116.0, 90.0), ("inside", 96.0, 70.0)])
def test_bosses_take_their_room(side: str, over: float, between: float) -> None:
    """90 inside and two sheets of 3: 96 over the cheeks, and two bosses of 10 outside or inside."""
    plan = bossed(welded_boss_side=side, pivot_spacer_mm=24.0)
    assert over_cheeks(plan) == pytest.approx((16.0, over, between))
    assert plan.spacer is not None
    assert plan.spacer.length_mm == pytest.approx(between)


def test_the_solid_is_one_with_its_bosses(tmp_path: Path) -> None:
    plan, plain = bossed(), made()
    ring = math.pi / 4 * (26.0**2 - 16.0**2) * 10.0
    assert folded_volume(plan) == pytest.approx(folded_volume(plain) + 2 * ring)
    path = tmp_path / "b.step"
    write_step(plan=plan, path=path, revision="abc1234", job="Toy")
    assert read_step(path, plan, rel="x").problems == ()
    assert any("ring" in p for p in read_step(path, bossed(welded_boss_side="inside"), rel="x").problems)
    assert any("ring" in p for p in read_step(path, bossed(welded_boss_height_mm=10.01), rel="x").problems)
    assert folded_volume(mirrored(plan)) == pytest.approx(folded_volume(plan))


def test_drawing_inspection_and_setup_sheet_say_it(tmp_path: Path) -> None:
    plan, path = bossed(pivot_spacer_mm=24.0), tmp_path / "d.pdf"
    write_part_drawing(plan, path, job_title="Toy", revision="abc1234")
    assert read_part_drawing(path, plan, job_title="Toy", revision="abc1234", rel="x").problems == ()
    for other in (
        bossed(welded_boss_side="inside"),
        bossed(welded_boss_outside_mm=27.0),
        made(pivot_build="reamed"),
    ):
        said = read_part_drawing(path, other, job_title="Toy", revision="abc1234", rel="x").problems
        assert any("no note says" in p or "no circle" in p for p in said)
    items = {i.key: i for i in inspected(plan)}
    assert (items["K8"].nominal, items["K8"].least, items["K8"].most) == pytest.approx((13.0, 12.5, 13.5))
    assert (items["U1"].nominal, items["U1"].least, items["U1"].most) == pytest.approx((90.0, 89.5, 90.5))
    assert items["F8"].bent
    write_inspection_sheet(plan, path, job_title="Toy", revision="abc1234")
    assert read_inspection_sheet(path, plan, job_title="Toy", revision="abc1234", rel="x").problems == ()
    assert read_inspection_sheet(path, made(), job_title="Toy", revision="abc1234", rel="x").problems
    text = " ".join(finish_lines(plan))
    assert (
        "AFTER BENDING, by the numbers of the drawing: weld on the boss and, cold, ream in line: 8, 9."
        in text
    )
    assert not list(finish_problems(text, plan))
    assert list(finish_problems(text, made(pivot_build="reamed")))


def test_bushes_with_flanges_leave_less_between_the_cheeks() -> None:
    """ISO 3547: walls of at most 1.005 mm, so flanges of that: 90 - 2 x 1.005."""
    keys = {"pivot_bore_mm": 18.0, "pivot_bush_mm": 16.0, "pivot_bush_flange_mm": 24.0}
    plan = made(pivot_spacer_mm=23.0, **keys)
    assert plan.spacer is not None
    assert plan.spacer.length_mm == pytest.approx(87.99)
    assert "flange (Ø 24 x 1.005 mm) against the inner face" in plan.notes[-1]
    with pytest.raises(GeometryFault, match="a flange of 17 mm on a bush of 18 mm"):
        made(**{**keys, "pivot_bush_flange_mm": 17.0})


def test_the_bill_has_them() -> None:
    plan = replace(bossed(pivot_spacer_mm=24.0), quantity=2)
    lines = {
        i.item: (i.quantity, i.size)
        for i in bill([plan], [], LinesSheet(order=InstallOrder(tasks=(), needs=())))
    }
    assert lines["tube or turned ring Ø 26 x Ø 14.5 inside, weldable, welded on by the shop"] == (
        4,
        "10 mm long",
    )
    tube = next(v for k, v in lines.items() if k.startswith("spacer tube Ø 24"))
    assert tube == (2, "90 mm long, faced to the bent part")


@pytest.mark.parametrize(
    ("boss", "severity"),
    # the cheek is 24 mm round its pivot; a fillet a2 has a foot of 2.83: 2 (24 - 2.828) = 42.34
    [(42.3, None), (42.4, Severity.WARN), (47.9, Severity.WARN), (48.1, Severity.FAIL)],
)
def test_a_boss_has_room_for_its_weld(boss: float, severity: Severity | None) -> None:
    found = [f for f in check_fitted(bossed(welded_boss_outside_mm=boss), Shop()) if "edge" in f.where]
    assert {(f.code, f.severity) for f in found} == ({("boss-room", severity)} if severity else set())


@pytest.mark.parametrize("units", ["metric", "inch"])
@pytest.mark.parametrize(
    ("wide", "bent", "using"),
    [
        (299.0, 1.0, "long caliper"),
        (320.0, 0.995, "600 mm caliper"),
        (320.0, 1.0, "steel rule or tape"),
        (480.0, 1.5, "steel rule or tape"),
    ],
)
def test_what_the_cheeks_are_measured_between_with(
    wide: float, bent: float, using: str, units: UnitSystem, tmp_path: Path
) -> None:
    """Over 300 mm a tape reads near enough where lengths may be off by 1 mm; read-back wanted a caliper always."""
    plan = plan_of("twin_pedal_hanger", inside_width_mm=wide, mount_spacing_mm=188.0)
    plan = with_pivots(plan, TwinPedalHanger(inside_width_mm=wide, pivot_spacer_mm=24.0))
    plan = replace(plan, bent_mm=bent)
    assert next(i.using for i in inspected(plan) if i.key == "U1") == using
    path = tmp_path / "i.pdf"
    write_inspection_sheet(plan, path, job_title="Toy", revision="abc1234", units=units)
    told = read_inspection_sheet(path, plan, job_title="Toy", revision="abc1234", rel="x", units=units)
    assert told.problems == ()


@pytest.mark.parametrize(("tube", "severity"), [(20.0, None), (19.9, Severity.WARN), (15.9, Severity.FAIL)])
def test_a_spacer_tube_has_a_seat(tube: float, severity: Severity | None) -> None:
    """2 mm all round a bore of 16."""
    found = [
        f.severity for f in check_pivots(made(shaft=12.0, pivot_spacer_mm=tube)) if f.code == "spacer-seat"
    ]
    assert found == ([severity] if severity else [])


@pytest.mark.parametrize(
    ("keys", "seat"),
    [
        # a tube far wider than the flange it stands on is held by the flange alone: (24 - 16.2) / 2 = 3.9
        (
            {
                "pivot_bore_mm": 18.0,
                "pivot_bush_mm": 16.0,
                "pivot_bush_flange_mm": 24.0,
                "pivot_spacer_mm": 40.0,
            },
            None,
        ),
        # (19.5 - 16.2) / 2
        (
            {
                "pivot_bore_mm": 18.0,
                "pivot_bush_mm": 16.0,
                "pivot_bush_flange_mm": 19.5,
                "pivot_spacer_mm": 40.0,
            },
            1.65,
        ),
        # a shaft of 16 in a bore of 16 wants a tube of 16.2 inside: (20.1 - 16.2) / 2
        ({"shaft": 16.0, "pivot_spacer_mm": 20.1}, 1.95),
        ({"shaft": 16.0, "pivot_spacer_mm": 20.2}, None),
        # (20 - 16.2) / 2 on a boss inside
        (
            {
                "shaft": 16.0,
                "pivot_build": "welded_boss",
                "welded_boss_side": "inside",
                "welded_boss_outside_mm": 20.0,
                "pivot_spacer_mm": 40.0,
            },
            1.9,
        ),
    ],
)
def test_a_tube_is_held_by_the_ring_in_touch(keys: dict[str, Any], seat: float | None) -> None:
    found = [f.value for f in check_pivots(made(**keys)) if f.code == "spacer-seat"]
    assert found == ([pytest.approx(seat)] if seat is not None else [])


def test_the_shaft_passes_both_reamed_bosses() -> None:
    (pair,) = pivot_pairs(bossed())
    assert pair.reamed
    assert pair.passes_mm == pytest.approx(16.0)
    assert not [f for f in check_pivots(bossed(shaft=16.0)) if f.code == "pivot-in-line"]


@pytest.mark.parametrize(
    ("keys", "said"),
    [
        ({"welded_boss_outside_mm": 19.9}, "the wall is less than 2 mm"),
        ({"pivot_bore_mm": 4.0, "welded_boss_height_mm": 60.0}, "no pilot"),
        ({"shaft": 14.0, "pivot_spacer_mm": 16.0}, "its wall is less than 1 mm"),
    ],
)
def test_what_cannot_be_made_is_refused(keys: dict[str, object], said: str) -> None:
    with pytest.raises(GeometryFault, match=said):
        bossed(**keys)
