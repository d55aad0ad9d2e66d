"""Rules on one folded part: bolts put in and nuts turned between its own flanges."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from generators.checks.joint.folded_room import SIDES, TOUCH_MM, Patch, around, free_height
from generators.checks.rule import SAME_MM, Rule, finding, mm, more
from generators.model.findings import Finding, Severity
from generators.model.plan import Hole, PartPlan, Slot
from generators.model.words import FlangeSide
from generators.sheetmetal.lying import lying
from generators.standards import Fastener, fastener_rows

HEAD = 0.7
"""Head height over diameter of a hexagon bolt (common practice)."""

PITCHES = 2.0
"""Thread past the nut, in pitches (common practice)."""

RIDE = 0.3
"""Of a nut's height, how far off the face a spanner may ride, over the start of a bend (common practice)."""


BOLT_INSERT = Rule(
    code="bolt-insert",
    title="Bolt cannot be put in",
    meaning=(
        "A bolt goes in along its axis: over one side of the joint there must be as much air as the bolt is "
        "long with its head, and as wide as the head, clear of the part's own flanges, other parts and "
        "obstacles. Bolt length is grip, nut and two pitches; the head counts 0.7 of the diameter high, "
        "and as wide as the nut's corners. It fails where not even a bolt flush with its nut goes in."
    ),
    formula="air on one side >= grip + nut height + 2 P + 0.7 D",
    source="geometry; two pitches past the nut and the head's height are common practice, no source",
    trust="CP",
    mend="Put the hole further from the flange, make the flange shorter, or use a stud or a weld nut.",
)

SPANNER_ON_PART = Rule(
    code="spanner-on-part",
    title="Nut or spanner meets a folded flange",
    meaning=(
        "Folded up, another flange or a bend of the part, or a flange or bend of another part, stands in the "
        "circle of the nut's corners (the nut cannot turn: a fail) or in the circle a spanner's head sweeps "
        "(a warning) below the nut's top, on each side where the nut could be. A spanner may ride 0.3 of the "
        "nut's height off the face. Against another part, head, nut and shank are bodies in space."
    ),
    formula="air over the circle >= nut height; circle = corners, or 2.2 x across flats for the spanner",
    source="geometry; spanner circle is common practice, no source",
    trust="CP",
    mend="Move the hole away from the flange, use a socket, or take a smaller bolt.",
)

RULES = (
    BOLT_INSERT,
    SPANNER_ON_PART,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Room:
    """What a bolt of one size needs, mm: air to put it in, at best and at least, and over its nut."""

    bolt_mm: float
    least_mm: float
    nut_mm: float
    head_radius_mm: float
    spanner_radius_mm: float


def bolt_of(opening: Hole | Slot) -> Fastener | None:
    """The bolt that goes through, by its diameter; None where it is no bolt of the tables."""
    fitting = opening.fitting
    if fitting.kind != "bolt":
        return None
    return next((row for row in fastener_rows() if abs(row.major_mm - fitting.shank_mm) < SAME_MM), None)


def room_for(bolt: Fastener, opening: Hole | Slot, grip_mm: float) -> Room:
    """What that bolt needs in a joint of ``grip_mm``."""
    least = grip_mm + bolt.nut_height_mm + HEAD * bolt.major_mm
    return Room(
        bolt_mm=least + PITCHES * bolt.pitch_mm,
        least_mm=least,
        nut_mm=bolt.nut_height_mm,
        head_radius_mm=opening.fitting.nut_circle_mm / 2,
        spanner_radius_mm=opening.fitting.spanner_circle_mm / 2,
    )


def insert_finding(where: str, hole: str, air_mm: float, room: Room, what: str) -> Finding | None:
    """A finding where the most air on either side is too little for the bolt."""
    if air_mm >= room.bolt_mm - SAME_MM:
        return None
    return finding(
        BOLT_INSERT,
        Severity.FAIL if air_mm < room.least_mm - SAME_MM else Severity.WARN,
        where,
        value=air_mm,
        found=f"{mm(air_mm)} of air under {what}",
        limit=room.bolt_mm,
        advice=f"leave {more(room.bolt_mm - air_mm)} more air along the axis of hole {hole}, or use a stud",
    )


def check_room(plan: PartPlan, mounted: bool) -> Iterator[Finding]:
    """Findings on every bolt of a part. Mating bolts of a ``mounted`` part are put in from either face of
    the panel, which is looked at with the panel; here only what turns on them is."""
    if not plan.bends:
        return
    below = {flange.name for flange, _ in lying(plan)}
    for flange in plan.flanges:
        patches: tuple[Patch, ...] | None = None
        for opening in flange.openings:
            bolt = bolt_of(opening)
            if bolt is None:
                continue
            patches = around(plan, flange.name) if patches is None else patches
            where = f"part:{plan.name} flange {flange.name}, hole {opening.name}"
            room = room_for(bolt, opening, plan.thickness_mm)
            on_panel = flange.name in below and opening.mates
            yield from _turning(plan, patches, opening, room, where, on_panel)
            if not (on_panel and mounted):
                # what lies under a loose part's root is unknown: its bolts come from the part's own side
                sides = ("upper",) if on_panel else SIDES
                air = max(_air(plan, patches, opening, room.head_radius_mm, side) for side in sides)
                found = insert_finding(where, opening.name, air, room, "the part's own flange")
                if found is not None:
                    yield found


def _air(
    plan: PartPlan,
    patches: tuple[Patch, ...],
    opening: Hole | Slot,
    radius: float,
    side: FlangeSide,
    ignore_mm: float = TOUCH_MM,
) -> float:
    return free_height(patches, plan.thickness_mm, (opening.u_mm, opening.v_mm), radius, side, ignore_mm)


def _turning(
    plan: PartPlan, patches: tuple[Patch, ...], opening: Hole | Slot, room: Room, where: str, on_panel: bool
) -> Iterator[Finding]:
    if opening.fitting.nut_face == "none" or (on_panel and opening.fitting.nut_face == "far"):
        return
    sides = ("upper",) if on_panel else SIDES
    for radius, severity, what, ignore in (
        (room.head_radius_mm, Severity.FAIL, "nut", TOUCH_MM),
        (room.spanner_radius_mm, Severity.WARN, "spanner", RIDE * room.nut_mm),
    ):
        air = max(_air(plan, patches, opening, radius, side, ignore) for side in sides)
        if air < room.nut_mm - SAME_MM:
            socket = "" if what == "nut" else "use a socket, or "
            yield finding(
                SPANNER_ON_PART,
                severity,
                where,
                value=air,
                found=f"{mm(air)} of air in the {what}'s circle",
                limit=room.nut_mm,
                advice=f"{socket}move hole {opening.name} away from the flange beside it",
            )
            return
