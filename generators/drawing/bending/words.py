"""What the setup sheet says of a step: plain lines, one for each thing the operator sets."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from types import MappingProxyType

from shapely.geometry import LineString

from generators.bending.setting import Machines
from generators.bending.steps import AnyStep, Fall, FoldStep, Step
from generators.drawing.bending.blank import between
from generators.drawing.bending.figures import (
    angle_lines,
    beside,
    borne,
    force,
    least,
    length,
    most,
    pieces,
    radius,
    shown,
)
from generators.drawing.bending.folder_words import LEAF_HANDS, NOSES, fold_lines, folder_facts
from generators.drawing.bending.gauge_words import (
    UNKNOWN,
    draw_back_lines,
    lean_words,
    lift_words,
    past_ends,
    past_lines,
    slide_words,
    standing,
    swings_by_lines,
)
from generators.drawing.bending.instead import INSTEAD, k_lines
from generators.drawing.bending.machine_words import brake_facts, tool_lines
from generators.drawing.bending.scribe import scribe_line, skew_lines, square_words
from generators.drawing.bending.views.depth import from_the_left
from generators.drawing.paper.bench_sheet import part_words
from generators.figures import fixed
from generators.model.joints.ways import FinishKind
from generators.model.plan import Hole, PartPlan, Slot
from generators.model.spec.tools.machines import Machine
from generators.sheetmetal.folding import bend_length, flat_pattern
from generators.sheetmetal.grain import grain_words
from generators.units import UnitSystem

BY_EYE = "No straight edge to stop on: scribe the bend line sharply and set it under the punch by eye."
BARE = "it slips in and bends crooked. Leave it longer and trim it afterwards, or ask for a narrower V."
PULLED = (
    "What lies there may pull out of round: measure it after this bend (items R of the inspection sheet), "
    "and dress what is tight."
)
SEEN = (
    "Pictures are seen from the right end of the machine, gauge on the right, or as a step says: dashed as "
    "laid in, grey as bent, dotted what of the tools lies behind the part."
)
LEFT_END = "PICTURE FROM THE LEFT END."
STOPS = (
    "A stop is set from the middle of the die, the sheet flat; it draws back as the stroke begins. "
    "Fingers: apart by their middles, places by their edges."
)
HALVES = "Half of what S1 or S2 (inspection) is off goes on each stop at an edge."
"""So a blank's error is shared by the legs at both its ends. Common practice, no source."""

SIDES = "Upper and lower side as on the drawing: an up bend is made with the upper side up."
TOUCH_MM, MEASURED_RAD = 1e-6, 1e-6
TURN_OVER = "TURN THE PART OVER. "
HANDS = (
    "Hands clear of punch and die and of flanges that swing up; guard in place, one person at the pedal. "
    "Glasses on."
)
SCRAP = (
    "Bend a scrap of the same sheet first, and set it by its angle, not by this sheet alone. Check "
    "each bend before the next. Remove burrs before bending."
)


def machines_used(steps: Sequence[AnyStep]) -> frozenset[Machine]:
    """What the steps are made on; the brake where there are none."""
    return frozenset(step.machine for step in steps) or frozenset({"brake"})


def cautions(steps: Sequence[AnyStep]) -> tuple[str, ...]:
    """Cautions of the machines the steps are made on."""
    used = machines_used(steps)
    hands = (HANDS,) if "brake" in used else ()
    return (*hands, *((LEAF_HANDS,) if "folder" in used else ()), SCRAP)


def part_lines(
    plan: PartPlan, machines: Machines, steps: Sequence[AnyStep], units: UnitSystem
) -> Iterator[str]:
    """What is bent, how its grain lies, and on what."""
    yield part_words(plan, units)
    if said := grain_words(plan, flat_pattern(plan)):
        yield f"{said}. Look for it on the blank before the first bend."
    used = machines_used(steps)
    if "brake" in used:
        yield from brake_facts(machines.brake, steps, units)
    if "folder" in used:
        yield from folder_facts(machines.folder, units)
    yield from k_lines(plan, machines, steps, units)
    yield from finish_lines(plan)


FINISHING: Mapping[FinishKind, str] = MappingProxyType(
    {
        "countersunk": "countersink",
        "extruded": "draw the collar and tap",
        "flow_drilled": "flow-drill and form the thread",
        "tapped": "tap",
        "press_nut": "press in the nut",
        "press_stud": "press in the stud",
        "weld_nut": "weld on the nut",
        "reamed": "ream in line",
    }
)
"""What is done to a hole, by how it is finished."""


BOSS = "weld on the boss and, cold, "


def finish_lines(plan: PartPlan) -> Iterator[str]:
    """Which holes are finished before the first bend, and which after the last; as on the drawing."""
    for bent, when in ((False, "BEFORE BENDING"), (True, "AFTER BENDING")):
        done: dict[str, list[str]] = {}
        for number, hole in enumerate((h for f in plan.flanges for h in f.holes), 1):
            if hole.finish is not None and hole.finish.bent == bent:
                boss = hole.finish.ring is not None and hole.finish.ring.welded
                work = f"{BOSS}{FINISHING[hole.finish.kind]}" if boss else FINISHING[hole.finish.kind]
                done.setdefault(work, []).append(str(number))
        if done:
            said = "; ".join(f"{work}: {', '.join(numbers)}" for work, numbers in done.items())
            yield f"{when}, by the numbers of the drawing: {said}."


def order_lines(
    steps: Sequence[AnyStep], machines: Machines, plan: PartPlan, units: UnitSystem
) -> Iterator[str]:
    """What holds for all steps of an order: the tools, and how words and pictures are meant."""
    yield from tool_lines(steps, machines, plan, units)
    yield from meant_lines(steps, machines, plan, units)


def meant_lines(
    steps: Sequence[AnyStep], machines: Machines, plan: PartPlan, units: UnitSystem
) -> Iterator[str]:
    """How words and pictures of the steps are meant."""
    yield SIDES
    yield SEEN
    used = machines_used(steps)
    if "brake" in used:
        unknown = machines.brake.gauge.beam_behind_mm is None
        told = unknown and any(isinstance(step, Step) and step.stop.past for step in steps)
        halves = (HALVES,) if any(isinstance(s, Step) and s.stop.on == "edge" for s in steps) else ()
        leaning = lean_words(steps, machines.brake.gauge, plan)
        yield " ".join((STOPS, *halves, *leaning, *((UNKNOWN,) if told else ())))
    if "folder" in used:
        yield NOSES


def head(
    number: int, step: AnyStep, plan: PartPlan, units: UnitSystem = "metric", *, instead: bool = False
) -> str:
    """``2  Bend left: 90°``; ``instead`` of one on the folder it says so."""
    bend = next(b for b in plan.bends if b.name == step.bend)
    angle = math.degrees(bend.angle_rad)
    name = f"{shown(step.bend)}{INSTEAD if instead else ''}"
    return f"{number}  Bend {name}: {angle:g}°, {radius(bend.inside_radius_mm, units)}"


def lines(step: AnyStep, before: AnyStep | None, plan: PartPlan, units: UnitSystem) -> Iterator[str]:
    """Lines of a step, in the order things are set."""
    side = "lower" if step.flipped else "upper"
    turned = before is not None and before.flipped != step.flipped
    over = TURN_OVER if turned else ""
    if isinstance(step, FoldStep):
        yield from fold_lines(step, f"{over}On the folder lay it with its {side} side up", plan, units)
        return
    seen = f" {LEFT_END}" if from_the_left(plan, step) else ""
    yield f"{over}Lay it with its {side} side up, {shown(step.rear)} toward the gauge.{seen}"
    stop = step.stop
    if stop.on == "line":
        yield BY_EYE
        yield scribe_line(plan, step)
    else:
        face = f"the straight edge{between(plan, step)} of" if stop.on == "edge" else "the outer face of"
        at = f"STOP {length(stop.distance_mm, units)} from the middle of the die"
        yield f"{at}, against {face} {shown(stop.flange)}. {_squared(plan, step, units)}"
        yield from past_lines(step, units)
        yield from swings_by_lines(step, units)
        yield from draw_back_lines(step, units)
        yield from skew_lines(plan, step, units)
    way = ", the other way round" if step.turned else ""
    bend = next(b for b in plan.bends if b.name == step.bend)
    punch_most = beside(step.punch_reach, bend_length(bend), "stands", units)
    yield f"PUNCH {step.punch}{way}: {pieces(step.punch_pieces_mm, units)}{punch_most}."
    die_most = beside(step.die_reach, bend_length(bend), "hangs", units) or " or longer"
    yield f"DIE {step.die}: {pieces(step.die_pieces_mm, units)}{die_most}."
    yield from angle_lines(plan, bend)
    depth = f"DEPTH {length(step.depth_mm, units)} from touching the flat sheet{_to_angle(step, units)}."
    yield f"{depth} FORCE {force(step, units)}. {borne(step, units)}"
    if numbers := over_the_v(plan, step):
        yield f"OVER THE OPEN V: {', '.join(numbers)}, by the numbers of the drawing. {PULLED}"
    if step.falls:
        yield f"FREE BELOW THE DIE'S TOP: {_free(step.falls, units)}."
    if step.bare:
        yield f"LEG {shown(step.bare)} DOES NOT REACH THE DIE all along the bend: {BARE}"
    if step.slide:
        yield slide_words(step.punch_reach, "punch", lift_words(step, units))


def _squared(plan: PartPlan, step: Step, units: UnitSystem) -> str:
    """What keeps the sheet square on its stop: two fingers, or on a short edge a square against the die."""
    where = standing(plan, step, units)
    if step.stop.apart_mm > 0:
        two = f"Two fingers, {most(step.stop.apart_mm, units)} apart at most, both{where.removeprefix(',')}."
        return f"{two}{square_words(plan, step, units)}"
    long, over = most(step.stop.long_mm, units), past_ends(plan, step, units)
    one = f"ONE FINGER {'bears ' if over else ''}on {long} of edge{where}{over}."
    return f"{one}{square_words(plan, step, units)}"


def _free(falls: Sequence[Fall], units: UnitSystem) -> str:
    """``33.0 mm from 45.4 mm off its middle on (left brim); 95.3 mm beside its ends (base)``."""
    said = []
    for beside_it in (False, True):
        these = [fall for fall in falls if (fall.near_mm == 0) == beside_it]
        if these:
            near = most(min(fall.near_mm for fall in these), units)
            where = "beside its ends" if beside_it else f"from {near} off its middle on"
            names = ", ".join(shown(fall.flange) for fall in these)
            said.append(f"{least(max(fall.deep_mm for fall in these), units)} {where} ({names})")
    return "; ".join(said)


def _to_angle(step: Step, units: UnitSystem) -> str:
    """For which angle a depth is, and how much a degree more takes; empty for a die that makes the angle."""
    if step.degree_mm <= 0:
        return ""
    pressed = f"{fixed(math.degrees(step.pressed_rad), 1).removesuffix('.0')}°"
    if step.pressed_rad - step.angle_rad > MEASURED_RAD:
        bent = f"{fixed(math.degrees(step.angle_rad), 1).removesuffix('.0')}°"
        back = f" to {pressed} under load, it springs back to {bent} by the shop's test bend"
    else:
        back = f" to {pressed} under load, springback not measured"
    return f"{back}; a degree more takes {length(step.degree_mm, units)}"


def over_the_v(plan: PartPlan, step: Step) -> tuple[str, ...]:
    """Numbers, as on the drawing, of the openings that reach over the open V of the die.

    They are nearer to the middle of the flat bend than where the rounded shoulders begin to carry the sheet.
    """
    flat, lies = flat_pattern(plan), _lying_with(plan, step)
    owners = [f.name for f in plan.flanges for _ in f.holes] + [f.name for f in plan.flanges for _ in f.slots]
    middle = next(strip.middle for strip in flat.bends if strip.bend.name == step.bend)
    zone = LineString(middle).buffer(step.carried_mm, cap_style="flat")
    items: list[Hole | Slot] = [*flat.holes, *flat.slots]
    out = []
    for number, (owner, item) in enumerate(zip(owners, items, strict=True), 1):
        wide, half = (
            (item.diameter_mm, 0.0) if isinstance(item, Hole) else (item.width_mm, item.travel_mm / 2)
        )
        turn = 0.0 if isinstance(item, Hole) else item.angle_rad
        du, dv = half * math.cos(turn), half * math.sin(turn)
        spine = LineString([(item.u_mm - du, item.v_mm - dv), (item.u_mm + du, item.v_mm + dv)])
        if owner in lies and spine.distance(zone) < wide / 2 - TOUCH_MM:
            out.append(str(number))
    return tuple(out)


def pulled(plan: PartPlan, steps: Sequence[AnyStep]) -> tuple[str, ...]:
    """Numbers of the openings that lie over the open V at any step: they are measured again."""
    found = {n for step in steps if isinstance(step, Step) for n in over_the_v(plan, step)}
    return tuple(sorted(found, key=int))


def _lying_with(plan: PartPlan, step: Step) -> frozenset[str]:
    """The flanges that still lie flat with either leg of a step."""
    bend = next(b for b in plan.bends if b.name == step.bend)
    found = [bend.parent, bend.child]
    for name in found:
        for other in plan.bends:
            if other.name not in step.done and name in (other.parent, other.child):
                found += [x for x in (other.parent, other.child) if x not in found]
    return frozenset(found)
