"""Small joints: a plate on a panel, and a folded part with a bolt under its own lip."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from typing import Any

from generators.checks.joint.mating import check_joints
from generators.checks.joint.part_room import check_room
from generators.checks.joint.wedges import check_wedges
from generators.geometry.contours import polygon, rectangle
from generators.layout.mounting import PlacedPart
from generators.layout.panels import panel_layout
from generators.layout.stacking import stacked
from generators.model.findings import Finding
from generators.model.plan import Bend, Flange, Hole, PartPlan, Slot
from generators.model.spec.forms.head import JobHead
from generators.model.spec.job import ExistingHole, Job, Mount, Panel, PartSpec, Position
from generators.model.spec.shop import Positions
from generators.model.words import Face, Fit
from generators.parts.building.openings import bolt_fitting, bolt_hole
from generators.parts.pedal_hanger import PedalHanger

EXACT = Positions(cut_each_way_mm=0.0, drill_wander_ratio=0.0)
TRUE_HAND = Positions(drill_wander_ratio=0.0)
EACH_WAY = 0.4 / (2 * math.sqrt(2))
"""Off each way by so much, a hole's centre keeps within a round zone 0.4 mm wide."""
FOUR_TENTHS = Positions(cut_each_way_mm=EACH_WAY)
MIDDLE = (200.0, 150.0)


def firewall(**things: Any) -> Panel:
    """A panel 400 × 300 × 2."""
    return Panel(
        name="firewall",
        title="t",
        material="steel",
        thickness_mm=2.0,
        origin=(0.0, 0.0, 0.0),
        outline=((0.0, 0.0), (400.0, 0.0), (400.0, 300.0), (0.0, 300.0)),
        **things,
    )


def plan(
    *flanges: Flange, bends: tuple[Bend, ...] = (), name: str = "p", t: float = 3.0, **more: Any
) -> PartPlan:
    """A part of hand-made flanges."""
    return PartPlan(
        name=name,
        kind="f",
        title="t",
        material="1008 steel",
        thickness_mm=t,
        flanges=flanges,
        bends=bends,
        **more,
    )


def plate(*openings: Hole | Slot, half: float = 60.0, **more: Any) -> PartPlan:
    """A square flat plate about its origin."""
    base = Flange(
        name="base",
        contour=rectangle(-half, -half, half, half),
        holes=tuple(o for o in openings if isinstance(o, Hole)),
        slots=tuple(o for o in openings if isinstance(o, Slot)),
    )
    return plan(base, **more)


def bolt(
    name: str = "m_1",
    u: float = 0.0,
    v: float = 0.0,
    thread: str = "M8",
    fit: Fit = "medium",
    mates: bool = True,
) -> Hole:
    """A clearance hole."""
    return bolt_hole(name, u, v, thread=thread, fit=fit, purpose="bolt", mates=mates)


def slot(travel: float, angle: float, width: float) -> Slot:
    """A mating slot for an M8 bolt at the origin."""
    return Slot(
        name="s_1",
        u_mm=0.0,
        v_mm=0.0,
        width_mm=width,
        travel_mm=travel,
        angle_rad=angle,
        purpose="bolt",
        fitting=bolt_fitting("M8"),
        mates=True,
    )


def on(part: PartPlan, face: Face = "cab", at: tuple[float, float] = MIDDLE, **mount: Any) -> PlacedPart:
    """The part mounted on the firewall."""
    spec: PartSpec[Any] = PartSpec(
        name=part.name,
        kind="f",
        material="1008 steel",
        thickness_mm=part.thickness_mm,
        mount=Mount(panel="firewall", face=face, at=Position(u_mm=at[0], v_mm=at[1]), **mount),
    )
    return PlacedPart(spec=spec, plan=part)


def job_of(sheet: Panel, **things: Any) -> Job:
    """A job of one panel."""
    return Job(job=JobHead(name="j", title="j"), panel=(sheet,), **things)


def joints(*parts: PlacedPart, shop: Positions = EXACT, **things: Any) -> list[Finding]:
    """Findings on the joints of parts on the firewall."""
    sheet = firewall(**things)
    placed = stacked(job_of(sheet), parts)
    return list(check_joints([sheet], placed, [panel_layout(sheet, placed, ())], shop))


def reused(aside: float, diameter: float = 8.4) -> ExistingHole:
    """An existing hole beside the middle, to take a new bolt."""
    return ExistingHole(
        name="old", at=(MIDDLE[0] + aside, MIDDLE[1]), diameter_mm=diameter, action="reuse", what="old hole"
    )


def folded(
    hole_to_bend: float = 30.0, riser: float = 40.0, lip: bool = True, r: float = 3.0, down: bool = False
) -> PartPlan:
    """A base with an M6 hole, a riser square off it, and a lip back over the hole.

    The lip's lower side is ``riser + 2 r`` above the base.
    """
    base = Flange(
        name="base",
        contour=rectangle(-40.0, -40.0, 40.0, 40.0),
        holes=(bolt("m_1", 0.0, 40.0 - hole_to_bend, thread="M6"),),
    )
    wall = Flange(name="riser", contour=polygon([(0.0, 0.0), (80.0, 0.0), (80.0, riser), (0.0, riser)]))
    top = Flange(name="lip", contour=polygon([(0.0, 0.0), (80.0, 0.0), (80.0, 60.0), (0.0, 60.0)]))

    def turn(parent: str, child: str, start: tuple[float, float], end: tuple[float, float]) -> Bend:
        return Bend(
            name=child,
            parent=parent,
            child=child,
            start=start,
            end=end,
            angle_rad=math.pi / 2,
            inside_radius_mm=r,
            direction="down" if down else "up",
            k_factor=0.42,
            k_source="test",
        )

    first = turn("base", "riser", (40.0, 40.0), (-40.0, 40.0))
    second = turn("riser", "lip", (80.0, riser), (0.0, riser))
    return plan(base, wall, *((top,) if lip else ()), bends=(first, second) if lip else (first,))


def leaning(bore_mm: float, nose_mm: float = 30.0) -> list[Finding]:
    """A hanger of 3 mm on the firewall of 2 mm, its master on a wedge of 30 degrees."""
    part = on(plate())
    parameters = PedalHanger(wedge_rad=math.radians(30), master_nose_mm=nose_mm, master_bore_mm=bore_mm)
    return list(check_wedges([firewall()], [replace(part, spec=replace(part.spec, parameters=parameters))]))


def room(part: PartPlan, mounted: bool = False) -> list[Finding]:
    """Findings on the room of one part."""
    return list(check_room(part, mounted))


# M6: nut 5.2 mm high (ISO 4032), pitch 1, so 3 + 5.2 + 2 + 4.2 = 14.4 mm of air in 3 mm sheet
JOINT_CASES: dict[str, tuple[Callable[[], list[Finding]], Callable[[], list[Finding]]]] = {
    "mating": (
        lambda: joints(on(plate(bolt(fit="fine"))), existing=(reused(0.41),)),
        lambda: joints(on(plate(bolt(fit="fine"))), existing=(reused(0.39),)),
    ),
    # nose 30 mm at 30 degrees in 3 mm: 30 / cos 30 + 2 x 3 tan 30 = 34.64 + 3.46 = 38.11 mm
    "wedge-bore": (lambda: leaning(38.0), lambda: leaning(38.2)),
    "bolt-insert": (lambda: room(folded(riser=8.3)), lambda: room(folded(riser=8.5))),
    # M6: 10 mm across flats, spanner circle 22 mm; a bend without radius stands up at its line
    "spanner-on-part": (
        lambda: room(folded(hole_to_bend=10.9, lip=False, r=0.0)),
        lambda: room(folded(hole_to_bend=11.1, lip=False, r=0.0)),
    ),
}
