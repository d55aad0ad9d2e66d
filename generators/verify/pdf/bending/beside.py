"""Tools made up on a setup sheet, and what the sheet says they must keep clear of beside the bend.

A flange bent earlier the other way hangs beside the bend; a die that reaches under it would press it flat.
Where such a flange stands square to the bend is known from the flat blank alone: its tangent line.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Iterator

from generators.model.plan import Bend, Hole, PartPlan
from generators.model.spec.tools.press import Die
from generators.sheetmetal.folding import FlatBend, FlatPattern, bend_length, flat_pattern

INCH_MM = 25.4
SAME_MM = 0.05
SQUARE = 0.02
"""Bend lines within about a degree of square to the bend are measured."""

DOES = "(?:hangs?|stands?|(?:hangs? or )?swings? down)"
NO_LONGER = re.compile(rf"NO LONGER THAN ([\d.]+) (mm|in), flanges? ([a-z0-9 ]+?) {DOES} beside it")
PAST = re.compile(
    rf"NO MORE THAN ([\d.]+) (mm|in) PAST the bend's end where flange ([a-z0-9 ]+?) {DOES} beside it"
)
SHORT_OF = re.compile(
    rf"ITS END ([\d.]+) (mm|in) SHORT OF the bend's end where flange ([a-z0-9 ]+?) {DOES} beside it"
)


def pieces_mm(said: str) -> tuple[list[float], float]:
    """Lengths of the pieces of ``100 + 20 mm = 120 mm`` or ``4 + 1 1/2 in = 5 1/2 in``, and the sum said, mm.

    Raises ``ValueError`` for what is neither.
    """
    one, _, whole = said.partition(" = ")
    unit = one.rsplit(" ", 1)[-1]
    factor = {"mm": 1.0, "in": INCH_MM}.get(unit)
    if factor is None or (whole and not whole.endswith(f" {unit}")):
        raise ValueError(f"{said!r} is not pieces of a tool")
    parts = [_number(p) * factor for p in one[: -len(unit)].split(" + ")]
    return parts, _number(whole[: -len(unit)]) * factor if whole else math.fsum(parts)


def _number(text: str) -> float:
    total = 0.0
    for word in text.split():
        over, _, under = word.partition("/")
        total += float(over) / float(under) if under else float(over)
    return total


def tool_problems(
    where: str, tool: str, said: str, most: str | None, bend: Bend, plan: PartPlan
) -> Iterator[str]:
    """A punch or die that is not as long as the bend wants it, or longer than the sheet itself allows."""
    try:
        parts, whole = pieces_mm(said)
    except (ValueError, ZeroDivisionError):
        yield f"{where}: {said!r} is not the length of a {tool}"
        return
    long = bend_length(bend)
    if abs(math.fsum(parts) - whole) > SAME_MM:
        yield f"{where}: the pieces {said} do not add up"
    least = long - 2 * plan.thickness_mm if tool == "punch" else long
    if math.fsum(parts) < least - SAME_MM:
        yield f"{where}: {math.fsum(parts):g} mm of {tool} for a bend of {long:.1f} mm"
    if not most:
        return
    limit = limit_mm(most, long)
    if limit is None:
        yield f"{where}: {most.strip(', ')!r} is no limit of a {tool}"
        return
    # where one end alone is limited it may reach out at the other one
    if NO_LONGER.search(most) and math.fsum(parts) > limit + SAME_MM:
        yield f"{where}: {math.fsum(parts):g} mm of {tool}, and no more than {limit:.1f} mm may go in"
    shown = {f.name.replace("_", " ") for f in plan.flanges}
    named = _named(most)
    if named not in shown and not any(f"{a} and {b}" == named for a in shown for b in shown):
        yield f"{where}: no flange {named!r} can stand beside it"


def limit_mm(most: str, long: float) -> float | None:
    """The longest tool by what the sheet says, mm, flush with the bend at the end nothing is said of."""
    for pattern, way in ((NO_LONGER, 0.0), (PAST, 1.0), (SHORT_OF, -1.0)):
        if match := pattern.search(most):
            value = float(match[1]) * (INCH_MM if match[2] == "in" else 1.0)
            return long + way * value if way else value
    return None


def _named(most: str) -> str:
    match = NO_LONGER.search(most) or PAST.search(most) or SHORT_OF.search(most)
    return match[3] if match else ""


def die_beside(
    where: str, most: str | None, bend: Bend, before: Iterable[str], flat: FlatPattern, die: Die
) -> Iterator[str]:
    """A flange bent before the other way, square beside the bend, that the die might reach under.

    ``before``: names of the bends made earlier. Only what the sheet says stands against the blank.
    """
    this = next(b for b in flat.bends if b.bend.name == bend.name)
    long = bend_length(bend)
    ends = [
        end
        for other in flat.bends
        if other.bend.name in before
        and other.bend.direction != bend.direction
        and {other.bend.parent} & {bend.parent, bend.child}
        and (end := _beside(this, other, die.width_mm / 2)) is not None
    ]
    left, right = (min((gap for side, gap in ends if side == way), default=math.inf) for way in (-1, 1))
    if math.isinf(left) and math.isinf(right):
        return
    limit = limit_mm(most or "", long)
    free = long + (0.0 if math.isinf(left) else left) + (0.0 if math.isinf(right) else right)
    if limit is None or (limit > free + SAME_MM):
        yield (
            f"{where}: flanges hang beside the bend, {free:.1f} mm are free for the die, and the sheet says "
            + (f"{limit:.1f} mm" if limit is not None else "nothing of it")
        )


def leg_problems(where: str, bare: str | None, bend: Bend, plan: PartPlan, die: Die) -> Iterator[str]:
    """A flange shorter than V/2 / cos(A/2) from its mould line lies on no shoulder: the sheet must say so."""
    if bare:
        if bare not in (bend.parent.replace("_", " "), bend.child.replace("_", " ")):
            yield f"{where} says that {bare} does not reach the die, which is none of the bend's flanges"
        return
    half = bend.angle_rad / 2
    need = die.opening_mm / 2 / math.cos(half) - (bend.inside_radius_mm + plan.thickness_mm) * math.tan(half)
    # what is bent on at its edge makes a flange longer while that is flat
    deep = max(v.v for v in plan.flange(bend.child).contour.vertices)
    if deep < need - SAME_MM and not any(b.parent == bend.child for b in plan.bends):
        yield f"{where}: {bend.child} is {deep:.1f} mm deep, {need:.1f} are wanted, and the sheet is silent"


def _beside(this: FlatBend, other: FlatBend, half_die: float) -> tuple[int, float] | None:
    """At which end of a bend (-1, 1) another crosses the die square to it, and how far away, mm."""
    (au, av), (bu, bv) = this.middle
    long = math.dist((au, av), (bu, bv))
    eu, ev = (bu - au) / long, (bv - av) / long

    def local(p: tuple[float, float]) -> tuple[float, float]:
        return (p[0] - au) * eu + (p[1] - av) * ev, (p[0] - au) * ev - (p[1] - av) * eu

    lines = [tuple(map(local, line)) for line in (other.near, other.far)]
    for (ax, ay), (bx, by) in lines:
        if abs(bx - ax) > SQUARE * abs(by - ay):
            return None
    across = [y for line in lines for _, y in line]
    if min(across) > half_die or max(across) < -half_die:
        return None
    along = [x for line in lines for x, _ in line]
    if max(along) <= SAME_MM:
        return -1, -max(along)
    if min(along) >= long - SAME_MM:
        return 1, min(along) - long
    return None


GRAIN = re.compile(
    r"Grain \(rolling direction\) along (?P<axis>[XY]) of the blank"
    r"(?:: bends? (?P<across>[a-z0-9 ,]+) across it)?(?:[:;] bends? (?P<along>[a-z0-9 ,]+) along it)?\."
)


def grain_problems(text: str, plan: PartPlan) -> Iterator[str]:
    """What the sheet says of the grain, held against the part and its bend lines on the blank."""
    said = GRAIN.search(text)
    axis = {"along_u": "X", "along_v": "Y"}.get(plan.grain, "")
    found = said["axis"] if said else ""
    if found != axis:
        yield f"the sheet gives the grain along {found or 'nothing'}, the part {axis or 'none'}"
    if said is None or not axis:
        return
    wanted: dict[str, list[str]] = {"across": [], "along": []}
    for strip in flat_pattern(plan).bends:
        (u0, v0), (u1, v1) = strip.middle
        run = abs(u1 - u0) if axis == "X" else abs(v1 - v0)
        square = run <= math.hypot(u1 - u0, v1 - v0) * math.sin(math.radians(1))
        wanted["across" if square else "along"].append(strip.bend.name.replace("_", " "))
    for lie, names in wanted.items():
        if sorted((said[lie] or "").split(", ")) != sorted(names or [""]):
            yield f"the sheet has bends {said[lie] or 'none'} {lie} the grain; on the blank: {names}"


WORK = (
    ("BEFORE", "countersunk", "countersink"),
    ("BEFORE", "extruded", "draw the collar and tap"),
    ("BEFORE", "flow_drilled", "flow-drill and form the thread"),
    ("BEFORE", "tapped", "tap"),
    ("BEFORE", "press_nut", "press in the nut"),
    ("BEFORE", "press_stud", "press in the stud"),
    ("AFTER", "weld_nut", "weld on the nut"),
    ("AFTER", "reamed", "ream in line"),
    ("AFTER", "boss", "weld on the boss and, cold, ream in line"),
)
"""What is done to which holes, before the first bend or after the last."""


def _done(hole: Hole) -> str:
    """What is done to a hole; a bore with a ring round it that is no collar has a boss."""
    if hole.finish is None:
        return ""
    return "boss" if hole.finish.kind == "reamed" and hole.finish.ring is not None else hole.finish.kind


def finish_problems(text: str, plan: PartPlan) -> Iterator[str]:
    """Holes whose finishing does not stand on a sheet, or on the wrong side of bending."""
    whole = " ".join(text.split())
    holes = [h for f in plan.flanges for h in f.holes]
    for when, kind, words in WORK:
        numbers = [str(n) for n, h in enumerate(holes, 1) if _done(h) == kind]
        row = re.search(rf"{when} BENDING, by the numbers of the drawing: ([^.]*)\.", whole)
        said = {} if row is None else dict(p.split(": ", 1) for p in row[1].split("; ") if ": " in p)
        found = [n.strip() for n in said.get(words, "").split(",") if n.strip()]
        if found != numbers:
            yield (
                f"{when.lower()} bending the sheet says {words} of holes {', '.join(found) or 'none'}, the "
                f"plan has {', '.join(numbers) or 'none'}"
            )
