"""What the setup sheet says of a step: plain lines, one for each thing the operator sets."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from types import MappingProxyType

from generators.bending.steps import Reach, Step
from generators.drawing.bending.side_view import tools_of
from generators.drawing.paper.bench_sheet import part_words
from generators.figures import fixed, format_short, nearest_64th
from generators.model.joints.ways import FinishKind
from generators.model.plan import PartPlan
from generators.model.spec.tools.press import Brake
from generators.sheetmetal.folding import bend_length, flat_pattern
from generators.sheetmetal.grain import grain_words
from generators.units import UnitSystem

BY_EYE = "No straight edge to stop on: scribe the bend line sharply and set it under the punch by eye."
BARE = "it slips in and bends crooked. Leave it longer and trim it afterwards, or ask for a narrower V."
SLIDE = "The part stays round the punch: slide it off sideways."
MARKED = "Before bending compare the force on a metre of each step with what is marked on punch and die."
SEEN = (
    "Pictures are seen from the right end of the brake, gauge on the right: dashed as laid in, grey as bent."
)
STOPS = "A stop is set from the middle of the die, the sheet flat; it draws back as the stroke begins."
SIDES = "Upper and lower side as on the drawing: an up bend is made with the upper side up."
US_TON_N = 8896.443
"""2000 lbf (pound-force 4.4482216 N, NIST SP 811)."""

TURN_OVER = "TURN THE PART OVER. "
CAUTIONS = (
    "Hands clear of punch and die and of flanges that swing up; guard in place, one person at the pedal. "
    "Glasses on.",
    "Bend a scrap of the same sheet first, and set the depth by its angle, not by this sheet alone. Check "
    "each bend before the next. Remove burrs before bending.",
)


def shown(name: str) -> str:
    """A flange or bend as it is written for people."""
    return name.replace("_", " ")


def part_lines(plan: PartPlan, brake: Brake, units: UnitSystem) -> Iterator[str]:
    """What is bent, how its grain lies, and on which brake."""
    yield part_words(plan, units)
    if said := grain_words(plan, flat_pattern(plan)):
        yield f"{said}. Look for it on the blank before the first bend."
    yield f"Brake: {brake.name or 'a plain one (ours, invented)'}."
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


def finish_lines(plan: PartPlan) -> Iterator[str]:
    """Which holes are finished before the first bend, and which after the last; as on the drawing."""
    for bent, when in ((False, "BEFORE BENDING"), (True, "AFTER BENDING")):
        done: dict[str, list[str]] = {}
        for number, hole in enumerate((h for f in plan.flanges for h in f.holes), 1):
            if hole.finish is not None and hole.finish.bent == bent:
                done.setdefault(FINISHING[hole.finish.kind], []).append(str(number))
        if done:
            said = "; ".join(f"{work}: {', '.join(numbers)}" for work, numbers in done.items())
            yield f"{when}, by the numbers of the drawing: {said}."


def order_lines(
    steps: Sequence[Step], brake: Brake, opening_mm: float | None, plan: PartPlan, units: UnitSystem
) -> Iterator[str]:
    """What holds for all steps of an order: the tools, and how words and pictures are meant."""
    yield from tool_lines(steps, brake, opening_mm, plan, units)
    yield f"{SIDES} {SEEN}"
    yield STOPS


def pieces(lengths: Sequence[float], units: UnitSystem) -> str:
    """``100 + 20 + 15 mm = 135 mm`` of a tool made up, longest first, or its one length.

    Pieces are called what they are called in the shop: inches only where all are whole sixteenths.
    """
    if units == "inch" and all(abs(p / 25.4 * 16 - round(p / 25.4 * 16)) < 1e-6 for p in lengths):
        unit, names, total = (
            "in",
            [nearest_64th(p / 25.4) for p in lengths],
            nearest_64th(math.fsum(lengths) / 25.4),
        )
    else:
        unit, names, total = "mm", [f"{p:g}" for p in lengths], f"{math.fsum(lengths):g}"
    return f"{' + '.join(names)} {unit}" + (f" = {total} {unit}" if len(lengths) > 1 else "")


def head(number: int, step: Step, plan: PartPlan, units: UnitSystem = "metric") -> str:
    """``2  Bend left: 90°``."""
    bend = next(b for b in plan.bends if b.name == step.bend)
    angle = math.degrees(bend.angle_rad)
    return f"{number}  Bend {shown(step.bend)}: {angle:g}°, {radius(bend.inside_radius_mm, units)}"


def lines(step: Step, before: Step | None, plan: PartPlan, units: UnitSystem) -> Iterator[str]:
    """Lines of a step, in the order things are set."""
    side = "lower" if step.flipped else "upper"
    turned = before is not None and before.flipped != step.flipped
    over = TURN_OVER if turned else ""
    yield f"{over}Lay it with its {side} side up, {shown(step.rear)} toward the gauge."
    stop = step.stop
    if stop.on == "line":
        yield BY_EYE
    else:
        face = "the straight edge of" if stop.on == "edge" else "the outer face of"
        at = f"STOP {length(stop.distance_mm, units)} from the middle of the die"
        yield f"{at}, against {face} {shown(stop.flange)}."
    way = ", the other way round" if step.turned else ""
    bend = next(b for b in plan.bends if b.name == step.bend)
    punch_most = beside(step.punch_reach, bend_length(bend), "stands", units)
    yield f"PUNCH {step.punch}{way}: {pieces(step.punch_pieces_mm, units)}{punch_most}."
    die_most = beside(step.die_reach, bend_length(bend), "hangs", units) or " or longer"
    yield f"DIE {step.die}: {pieces(step.die_pieces_mm, units)}{die_most}."
    pressed = math.degrees(step.pressed_rad)
    more = f" to {pressed:.1f}°, it springs back" if step.pressed_rad - step.angle_rad > 1e-6 else ""
    depth = f"DEPTH {length(step.depth_mm, units)} from touching the flat sheet{more}."
    yield f"{depth} FORCE {force(step.force_n, bend_length(bend), units)}."
    if step.bare:
        yield f"LEG {shown(step.bare)} DOES NOT REACH THE DIE all along the bend: {BARE}"
    if step.slide:
        yield SLIDE


def beside(reach: Reach, long: float, does: str, units: UnitSystem) -> str:
    """What a tool must not be longer than, for flanges bent earlier beside the bend; empty where none is.

    ``, NO LONGER THAN 109.4 mm, front and back hang beside it``. With one of them, how far the tool may reach
    past that end of the bend; rounded to what is shorter.
    """
    if reach.left and reach.right:
        names = f"flange {shown(reach.left)}"
        if reach.left != reach.right:
            names, does = f"flanges {shown(reach.left)} and {shown(reach.right)}", does[:-1]
        return f", NO LONGER THAN {_outward(reach.most_mm, units, -1)}, {names} {does} beside it"
    if not reach.left and not reach.right:
        return ""
    over, name = (-reach.low, reach.left) if reach.left else (reach.high - long, reach.right)
    where = f"the bend's end where flange {shown(name)} {does} beside it"
    if over < 0:
        return f", ITS END {_outward(-over, units, 1)} SHORT OF {where}"
    return f", NO MORE THAN {_outward(over, units, -1)} PAST {where}"


def _outward(mm: float, units: UnitSystem, way: int) -> str:
    """A limit to 0.1 mm or 0.001 in, rounded up (``way`` 1) or down (-1), whichever leaves more air."""
    places, one = (1, 1.0) if units == "metric" else (3, 25.4)
    scaled = mm / one * 10**places
    whole = math.ceil(scaled - 1e-6) if way > 0 else math.floor(scaled + 1e-6)
    return f"{fixed(whole / 10**places, places)} {'mm' if units == 'metric' else 'in'}"


def force(newton: float, long: float, units: UnitSystem) -> str:
    """``48 kN, 356 kN on a metre`` of a bend so long; with inches also US tons, and those on a foot."""
    on_a_metre = newton / long * 1000
    said = f"{fixed(newton / 1000, 0)} kN, {fixed(on_a_metre / 1000, 0)} kN on a metre"
    if units == "metric":
        return said
    tons, on_a_foot = newton / US_TON_N, on_a_metre * 0.3048 / US_TON_N
    return f"{said} ({fixed(tons, 1)} US tons, {fixed(on_a_foot, 1)} on a foot)"


def radius(mm: float, units: UnitSystem) -> str:
    """``R 3``, or ``R 0.118 in``."""
    return f"R {mm:g}" if units == "metric" else f"R {fixed(mm / 25.4, 3)} in"


def length(mm: float, units: UnitSystem) -> str:
    """A length as it is set on a machine: to 0.01 mm, or 0.001 in, rounded once."""
    return f"{fixed(mm, 2)} mm" if units == "metric" else f"{fixed(mm / 25.4, 3)} in"


def tool_lines(
    steps: Sequence[Step],
    brake: Brake,
    opening_mm: float | None,
    plan: PartPlan,
    units: UnitSystem = "metric",
) -> Iterator[str]:
    """Every tool that is put in, with the steps it is for."""
    unmarked = False
    seen: dict[tuple[str, str], list[int]] = {}
    for number, step in enumerate(steps, 1):
        seen.setdefault((step.punch, step.die), []).append(number)
    for (_, _), numbers in seen.items():
        punch, die = tools_of(steps[numbers[0] - 1], brake, opening_mm, plan.thickness_mm)
        word = "Steps" if len(numbers) > 1 else "Step"
        yield (
            f"{word} {', '.join(map(str, numbers))}: {punch.name}, {math.degrees(punch.angle_rad):g}°, tip "
            f"{radius(punch.tip_radius_mm, units)}, {format_short(punch.height_mm, units)} high; "
            f"die {die.name}, "
            f"{math.degrees(die.angle_rad):g}°, {'bottoming' if die.way == 'bottom' else 'air bending'}."
        )
        unmarked = unmarked or punch.force_per_m_n is None or die.force_per_m_n is None
    if unmarked:
        yield MARKED
