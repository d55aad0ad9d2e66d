"""One finished hole just outside each limit, and just inside it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from joint_jobs import firewall, on
from parts.finished_plates import angle, insert, plate
from parts.plans_in_space import plan_of

from generators.checks.joint.welds import check_stands
from generators.checks.part.finishing.bearings import BearingLoad, check_bearing_loads
from generators.checks.part.finishing.fitted import check_fitted
from generators.checks.part.pivots import check_pivots
from generators.layout.panels import panel_layout
from generators.model.findings import Finding
from generators.model.joints.ways import SheetSide
from generators.model.plan import Hole, PartPlan
from generators.model.spec.job import ExistingHole
from generators.model.spec.shop import Shop
from generators.parts.building.finished_holes import (
    countersunk_hole,
    extruded_hole,
    flow_drilled_hole,
)
from generators.parts.building.pivots.pressed import with_pivots
from generators.parts.pedal_hanger import PedalHanger


def looked(plan: PartPlan) -> list[Finding]:
    """Findings on one part."""
    return list(check_fitted(replace(plan, name="p"), Shop()))


def collar(away_mm: float) -> PartPlan:
    """A collar for M6 in 2 mm, so far from an edge."""
    keys = {"thread": "M6", "side": "upper", "purpose": "x", "thickness_mm": 2.0}
    return plate(extruded_hole("c", 0.0, 40.0 - away_mm, **keys), t=2.0)  # type: ignore[arg-type]


def flow(t: float) -> PartPlan:
    """A flow-drilled hole for M6, Ø 5.5, in sheet so thick."""
    hole = flow_drilled_hole("f", 0.0, 0.0, thread="M6", side="upper", purpose="x", thickness_mm=t)
    return plate(hole, t=t)


def hung(**keys: object) -> PartPlan:
    """A hanger with its pivots as the keys ask."""
    plan = replace(plan_of("pedal_hanger", inside_width_mm=90.0), shaft_mm=12.0, name="p")
    return with_pivots(plan, PedalHanger(**keys))  # type: ignore[arg-type]


def boss(outside_mm: float) -> PartPlan:
    """A boss on a cheek that is 24 mm round its pivot."""
    return hung(pivot_build="welded_boss", welded_boss_outside_mm=outside_mm)


def tube(outside_mm: float) -> list[Finding]:
    """A spacer tube over bores of 16 mm."""
    return list(check_pivots(hung(pivot_spacer_mm=outside_mm)))


def borne(boss_mm: float) -> PartPlan:
    """A bearing 17 x 35 x 10 of C0 3 kN in 3 mm sheet with such a boss; 9.4 mm of it are straight."""
    plan = plan_of("pedal_hanger", inside_width_mm=90.0, pivot_bore_mm=35.0, pivot_boss_mm=30.0)
    keys = PedalHanger(
        pivot_bore_mm=35.0,
        pivot_bearing="6003",
        pivot_bearing_static_load_n=3000.0,
        pivot_build="welded_boss",
        welded_boss_height_mm=boss_mm,
    )
    return with_pivots(replace(plan, name="p"), keys)


def pressed_on(across_n: float) -> BearingLoad:
    """A pedal at its limit load."""
    return BearingLoad(hole="pivot_left", pedal="p", kind="limit", across_n=across_n, along_n=0.0)


def on_wall(wide_mm: float, off_mm: float = 0.0) -> list[Finding]:
    """A weld nut M6, 12.02 across, under a plate, over a hole of the panel so wide and so far beside it."""
    there = ExistingHole(name="there", at=(200.0 + off_mm, 150.0), diameter_mm=wide_mm, what="there already")
    wall = firewall(existing=(there,))
    part = on(replace(plate(insert("weld_nut", side="lower"), half=60.0), name="p"))
    return list(check_stands([wall], [part], [panel_layout(wall, [part], ())]))


def over_a_bolt(hole: Hole) -> list[Finding]:
    """A plate with such a hole in its middle, over a hole of the panel for an M6."""
    there = ExistingHole(name="there", at=(200.0, 150.0), diameter_mm=6.6, what="there already")
    wall = firewall(existing=(there,))
    part = on(replace(plate(hole, half=60.0, t=4.0), name="p"))
    return list(check_stands([wall], [part], [panel_layout(wall, [part], ())]))


def sunk(side: SheetSide) -> Hole:
    """A countersink for an M6."""
    return countersunk_hole(
        "s", 0.0, 0.0, thread="M6", fit="medium", side=side, purpose="x", thickness_mm=4.0
    )


FINISH_CASES: dict[str, tuple[Callable[[], list[Finding]], Callable[[], list[Finding]]]] = {
    "insert-sheet": (
        lambda: looked(plate(insert("press_stud"), t=1.59)),
        lambda: looked(plate(insert("press_stud"), t=1.6)),
    ),
    "insert-edge": (
        lambda: looked(plate(insert("press_stud", v=32.11))),
        lambda: looked(plate(insert("press_stud", v=32.09))),
    ),
    "collar-edge": (lambda: looked(collar(8.49)), lambda: looked(collar(8.51))),
    "flow-sheet": (lambda: looked(flow(2.76)), lambda: looked(flow(2.75))),
    "weld-nut-metal": (
        lambda: looked(plate(insert("weld_nut"), material="5052-H32")),
        lambda: looked(plate(insert("weld_nut"))),
    ),
    "stands-at-bend": (
        lambda: looked(angle(insert("press_nut", v=-25.0), up=False)),
        lambda: looked(angle(insert("press_nut", v=-20.0), up=False)),
    ),
    "boss-room": (lambda: looked(boss(42.4)), lambda: looked(boss(42.3))),
    "bearing-seat": (lambda: list(check_pivots(borne(6.39))), lambda: list(check_pivots(borne(6.4)))),
    "bearing-load": (
        lambda: list(check_bearing_loads(borne(7.0), [pressed_on(2000.1)])),
        lambda: list(check_bearing_loads(borne(7.0), [pressed_on(2000.0)])),
    ),
    "spacer-seat": (lambda: tube(19.9), lambda: tube(20.0)),
    "finish-side": (lambda: over_a_bolt(sunk("lower")), lambda: over_a_bolt(sunk("upper"))),
    "stands-in-panel": (lambda: on_wall(12.0), lambda: on_wall(12.1)),
}
