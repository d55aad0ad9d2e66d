"""A finished setup sheet, read from the file alone and held against the plan and the shop's tools.

Nothing of the writer or of the search is used: stops are measured on the flat blank, depth and force
are worked out anew, and the picture's legs must stand at half the bend.
"""

from __future__ import annotations

import itertools
import math
import re
from collections.abc import Iterator, Sequence, Set
from dataclasses import dataclass
from pathlib import Path

from generators.model.plan import Bend, PartPlan
from generators.model.spec.tools.folder import Folder
from generators.model.spec.tools.press import Brake, Die
from generators.sheetmetal.folding import FlatPattern, bend_length, flat_pattern
from generators.verify.pdf.bending.below import below_problems
from generators.verify.pdf.bending.beside import (
    die_beside,
    finish_problems,
    grain_problems,
    leg_problems,
    tool_problems,
)
from generators.verify.pdf.bending.blank import STOP_MM, along, edge_mm, in_mm, rear_side, shown
from generators.verify.pdf.bending.folder import FOLD, fold_problems, legs_problems
from generators.verify.pdf.bending.gauged import PAST, SLIDE, WHERE, gauge_problems, slide_problems
from generators.verify.pdf.bending.instead import instead_problems, k_problems, orders_of
from generators.verify.pdf.bending.layers import befores, page_problems
from generators.verify.pdf.bending.letters import TITLE as BLANK
from generators.verify.pdf.bending.letters import letter_problems, seen_letters, unseen_openings
from generators.verify.pdf.bending.machine import depth_mm, finger_problems, machine_problems
from generators.verify.pdf.bending.scribed import SCRIBED, SKEW, skew_problems
from generators.verify.pdf.bending.seen_from import end_problems, side_problems
from generators.verify.pdf.bending.swinging import flat_beside, open_problems
from generators.verify.pdf.content import Content, PdfFile, UnreadablePdfError, read_pdf, says
from generators.verify.pdf.inspecting.asked import asked_problems
from generators.verify.pdf.welds import LIMITED, angle_problems
from generators.verify.readback import ReadBack

BY_EYE = SCRIBED.replace("line_at", "eye_at")
TITLE = "SETUP SHEET: BENDING"
NONE_FOUND = "NO ORDER OF BENDS WAS FOUND ON THIS BRAKE"
OFFSET_DIE = "OFFSET DIE: ask for one"
CAUTION = "have the work checked by a licensed mechanic and follow local codes"
HANDS = "Hands clear of punch and die"
LEAF = "Hands clear of the clamping beam"
DEPTH_MM, FORCE_KN = 0.02, 0.6
DEGREE_DEG, DEGREE_MM = 0.06, 0.016
RADIUS_MM = 0.014
US_TON_KN = 2000 * 0.45359237 * 9.80665 / 1000
LEG_RAD = math.radians(0.2)
LONG_MM = 4.0
HEAD_MM = 4.0
STEP = re.compile(
    r"(?P<number>\d+) Bend (?P<bend>[a-z0-9 ]+)(?P<instead>, on the brake instead)?: (?P<angle>[\d.]+)°, "
    r"R (?P<radius>[\d.]+)(?P<radius_unit> in)? "
    r"(?P<over>TURN THE PART OVER\. )?Lay it with its (?P<side>upper|lower) side up, "
    r"(?P<rear>[a-z0-9 ]+) toward the gauge\.(?P<left> PICTURE FROM THE LEFT END\.)? "
    r"(?:STOP (?P<stop>[\d.]+) (?P<unit>mm|in) from the middle of the die, against the "
    r"(?P<on>straight edge|outer face)(?: (?P<corners>[a-z]{1,2} to [a-z]{1,2}))? of "
    r"(?P<flange>[a-z0-9 ]+)\.(?: (?:Two fingers, (?P<apart>[\d.]+) (?:mm|in) apart at most, both |"
    r"ONE FINGER on (?P<short>[\d.]+) (?:mm|in) of edge(?:, )?)"
    rf"(?:{WHERE})?(?:: lay a square on the die)?\.)?"
    rf"(?: {PAST})?(?: {SKEW})?|"
    rf"No straight edge to stop on[^.]*\. {BY_EYE}) "
    r"PUNCH (?P<punch>.+?): (?P<pieces>[^:]+?)(?P<punch_most>, [A-Z][^:]+ beside it)?\. "
    r"DIE (?P<die>.+?): (?P<die_pieces>[^:]+?)(?: or longer|(?P<die_most>, [A-Z][^:]+ beside it))\. "
    rf"(?:ANGLE {LIMITED} )?"
    r"DEPTH (?P<depth>[\d.]+) (?P<depth_unit>mm|in) from touching the flat sheet"
    r"(?: to (?:(?P<pressed>[\d.]+)° under load, it springs back|(?P<loaded>[\d.]+)° under load, springback "
    r"not measured); a degree more takes (?P<degree>[\d.]+) (?:mm|in))?\. "
    r"FORCE (?P<force>\d+) kN, (?P<metre>\d+) kN on a metre"
    r"(?: \((?P<tons>[\d.]+) US tons, (?P<foot>[\d.]+) on a foot\))?\."
    r"(?: OVER THE OPEN V: (?P<open>[\d, ]+), by the numbers of the drawing\. [^.]*\.)?"
    r"(?: FREE BELOW THE DIE'S TOP: (?P<below>[^:]+?\))\.)?"
    r"(?: LEG (?P<bare>[a-z0-9 ]+) DOES NOT REACH THE DIE[^:]*: [^.]*\.[^.]*\.)?"
    rf"(?: {SLIDE})?"
)


PLAIN_FOLDER = Folder()


@dataclass(frozen=True, slots=True, kw_only=True)
class Tools:
    """What the sheet's figures are worked out from: brake with its punches, dies, folder, the sheet's MPa.

    ``over_rad``: how much further than it says a bend may be pressed at worst. ``opening_mm``: of the die
    that the shop's test bend of the sheet was made over.
    """

    brake: Brake
    dies: tuple[Die, ...]
    tensile_mpa: float
    folder: Folder = PLAIN_FOLDER
    over_rad: float = 0.0
    opening_mm: float | None = None


def read_setup_sheet(
    path: Path,
    plan: PartPlan,
    *,
    tools: Tools,
    job_title: str,
    revision: str,
    rel: str,
    contact: str = "",
    date: str = "",
) -> ReadBack:
    """Read a finished setup sheet; a file that cannot be read is a problem, not an exception."""
    try:
        pdf = read_pdf(path)
    except UnreadablePdfError as fault:
        return ReadBack(path=rel, problems=(str(fault),))
    steps = [m for page in pdf.pages for m in steps_in(page.text)]
    hands = hands_for(steps)
    problems = [*_words(pdf, plan, job_title, revision, hands), *grain_problems(pdf.pages[0].text, plan)]
    problems += asked_problems(pdf.pages, contact, date)
    problems += finish_problems(pdf.pages[0].text, plan)
    offset = any(OFFSET_DIE in page.text for page in pdf.pages)
    in_a_row = [(a, b) for a in plan.bends for b in plan.bends if a.child == b.parent]
    if offset and not any(a.direction != b.direction for a, b in in_a_row):
        problems.append("the sheet asks for an offset die, and no bend follows another the other way")
    if offset or any(NONE_FOUND in page.text for page in pdf.pages):
        if steps:
            problems.append("the sheet says that no order was found, and gives one")
        return ReadBack(path=rel, facts=("no order of bends",), problems=tuple(problems))
    problems += steps_problems(steps, plan, tools)
    problems += instead_problems(pdf.pages[0].text, steps)
    problems += k_problems(pdf.pages[0].text, steps, plan, tools.opening_mm)
    problems += brake_problems(pdf.pages[0].text, steps, tools)
    if steps:
        letters, wrong = _letters(pdf.pages[0], flat_pattern(plan))
        problems += [*wrong, *letter_problems(steps, letters, plan)]
        problems += gauge_problems(steps, letters, plan, tools.brake)
    for number, page in enumerate(pdf.pages, 1):
        problems += _pictures(page, steps_in(page.text), number, plan)
        here = steps_in(page.text)
        problems += page_problems(page, here, _boxes(page, here), plan, tools.dies, befores(steps))
    made = f"{len(orders_of(steps)[0])} of {len(plan.bends)} bends in order, stops measured on the blank"
    facts = (f"{made}; that nothing meets is the search's word",)
    return ReadBack(path=rel, facts=facts, problems=tuple(dict.fromkeys(problems)))


def brake_problems(text: str, steps: Sequence[re.Match[str]], tools: Tools) -> list[str]:
    """What is wrong with the figures of the brake and the tools of the steps made on it."""
    on_brake = [m for m in steps if m.re is STEP]
    return list(machine_problems(text, on_brake, tools.brake, tools.dies)) if on_brake else []


def _letters(page: Content, flat: FlatPattern) -> tuple[dict[str, tuple[float, float]], list[str]]:
    """Letters in the box of the blank's picture, which begins at its title and ends at the first step."""
    top = max((w.box[3] for w in page.words if says(w.text, BLANK)), default=0.0)
    heads = [w.box[3] for w in page.words if re.match(r"1\s+Bend ", w.text)]
    low = max(heads, default=0.0) + HEAD_MM
    rings = [
        s.points for s in page.shapes if s.filled and all(low <= y <= top + HEAD_MM for _, y in s.points)
    ]
    words = [
        (w.text.strip(), ((w.box[0] + w.box[2]) / 2, (w.box[1] + w.box[3]) / 2))
        for w in page.words
        if low <= w.box[1] <= top + HEAD_MM
    ]
    letters, wrong = seen_letters(rings, words, flat)
    return letters, wrong or unseen_openings(rings, flat)


def steps_in(text: str) -> list[re.Match[str]]:
    """Every step of a text, on either machine, in the order it stands there."""
    found = [*STEP.finditer(text), *FOLD.finditer(text)]
    return sorted(found, key=lambda m: m.start())


def steps_problems(steps: Sequence[re.Match[str]], plan: PartPlan, tools: Tools) -> Iterator[str]:
    """What is wrong with the words of all steps, as ``steps_in`` finds them, whatever they were read from."""
    first = 1
    for order in orders_of(steps):
        yield from _steps(order, first, plan, tools)
        first += len(order)


def _steps(steps: Sequence[re.Match[str]], first: int, plan: PartPlan, tools: Tools) -> Iterator[str]:
    """What is wrong with one order, whose steps begin at a number."""
    yield from _order(steps, first, plan)
    flat = flat_pattern(plan)
    before: set[str] = set()
    for match in steps:
        bend = next((b for b in plan.bends if shown(b.name) == match["bend"]), None)
        if bend is not None:
            yield from _bend(match, bend, plan)
            if match.re is FOLD:
                yield from fold_problems(match, bend, plan, flat, tools.folder, tools.tensile_mpa)
            else:
                yield from _step(match, bend, before, plan, flat, tools)
            before.add(bend.name)


def _words(
    pdf: PdfFile, plan: PartPlan, job_title: str, revision: str, hands: Sequence[str]
) -> Iterator[str]:
    for number, page in enumerate(pdf.pages, 1):
        text = page.text
        for what, word in (
            ("title", TITLE),
            ("job", job_title),
            ("part", f"part {plan.name}"[:40]),
            ("revision", revision),
            ("caution", CAUTION),
            *(("caution", word) for word in hands),
            ("count", f"sheet {number} of {len(pdf.pages)}"),
        ):
            if not says(text, word):
                yield f"sheet {number} does not give the {what} {word!r}"
    if not any(plan.material in page.text for page in pdf.pages):
        yield f"no sheet gives the material {plan.material!r}"


def hands_for(steps: Sequence[re.Match[str]]) -> list[str]:
    """The cautions there must be for the machines the steps are made on."""
    said = [LEAF] if any(m.re is FOLD for m in steps) else []
    return said + ([HANDS] if any(m.re is not FOLD for m in steps) or not steps else [])


def _order(steps: Sequence[re.Match[str]], first: int, plan: PartPlan) -> Iterator[str]:
    if [m["number"] for m in steps] != [str(i + first) for i in range(len(plan.bends))]:
        yield f"the steps are numbered {[m['number'] for m in steps]}, for {len(plan.bends)} bends"
    named = sorted(m["bend"] for m in steps)
    if named != sorted(shown(b.name) for b in plan.bends):
        yield f"the steps make {named}, the part has {sorted(shown(b.name) for b in plan.bends)}"
    side = ""
    for match in steps:
        if bool(match["over"]) != bool(side and side != match["side"]):
            yield f"step {match['number']} is wrong about turning the part over"
        side = match["side"]


def _bend(match: re.Match[str], bend: Bend, plan: PartPlan) -> Iterator[str]:
    """Angle, radius, side up and what lies behind."""
    where = f"step {match['number']}"
    degrees = math.degrees(bend.angle_rad)
    if (
        abs(float(match["angle"]) - degrees) > 0.005
        or abs(in_mm(match["radius"], (match["radius_unit"] or "mm").strip()) - bend.inside_radius_mm)
        > RADIUS_MM
    ):
        has = f"{degrees:g}°, R {bend.inside_radius_mm:g}"
        yield f"{where} is {match['angle']}°, R {match['radius']}; the bend has {has}"
    if (match["side"] == "upper") != (bend.direction == "up"):
        yield f"{where} lays the {match['side']} side up, and the bend goes {bend.direction}"
    yield from angle_problems(where, match, bend, plan)
    if match["rear"] not in (shown(bend.parent), shown(bend.child)):
        yield f"{where} has {match['rear']} toward the gauge, which is none of the bend's flanges"


def _step(
    match: re.Match[str],
    bend: Bend,
    before: Set[str],
    plan: PartPlan,
    flat: FlatPattern,
    tools: Tools,
) -> Iterator[str]:
    where = f"step {match['number']}"
    if match["stop"]:
        edge = _stop_mm(match, bend, plan, flat)
        if not edge:
            yield f"{where}: nothing to stop on at {match['stop']} {match['unit']} on the blank"
        else:
            yield from finger_problems(where, match, edge, tools.brake.gauge.finger_width_mm)
            this = next(b for b in flat.bends if b.bend.name == bend.name)
            yield from skew_problems(where, match, bend, plan, this, flat)
    yield from tool_problems(where, "punch", match["pieces"], match["punch_most"], bend, plan)
    yield from tool_problems(where, "die", match["die_pieces"], match["die_most"], bend, plan)
    die = next((d for d in tools.dies if d.name == match["die"]), None)
    if die is None:
        yield f"{where}: the shop has no die {match['die']!r}"
        return
    yield from die_beside(where, match["die_most"], bend, before, flat, die)
    yield from flat_beside(where, match["die_most"], bend, before, flat, die, plan)
    yield from leg_problems(where, match["bare"], bend, plan, die)
    yield from open_problems(where, match["open"], bend, before, flat, die, plan)
    pressed = math.radians(float(match["pressed"])) if match["pressed"] else bend.angle_rad
    r, t = bend.inside_radius_mm, plan.thickness_mm
    over = 0.0 if die.way == "bottom" else min(tools.over_rad, math.pi - die.angle_rad - pressed)
    worst = pressed + max(over, 0.0)
    yield from end_problems(where, match, bend, before, plan)
    yield from slide_problems(where, match, match["punch_most"], bend, {*before}, plan)
    yield from below_problems(
        where, match["below"], bend, before, plan, die, worst, lambda a: t - depth_mm(die, a, r, t)
    )
    depth = depth_mm(die, pressed, bend.inside_radius_mm, plan.thickness_mm)
    # a pressed angle is printed to a tenth of a degree
    slack = DEPTH_MM + (0.05 if match["pressed"] else 0.0) * die.opening_mm / 25
    if abs(in_mm(match["depth"], match["depth_unit"]) - depth) > slack:
        yield f"{where}: {match['depth']} {match['depth_unit']} deep; by the die it is {depth:.2f} mm"
    yield from _degree(where, match, bend, plan, die, pressed)
    factor = 1.42 * (4 if die.way == "bottom" else 1)
    force = factor * tools.tensile_mpa * bend_length(bend) * plan.thickness_mm**2 / die.opening_mm / 1000
    if abs(float(match["force"]) - force) > FORCE_KN:
        yield f"{where}: {match['force']} kN; by the formula it is {force:.1f} kN"
    for what, factor_to, slack in (
        ("metre", 1000 / bend_length(bend), FORCE_KN),
        ("tons", 1 / US_TON_KN, 0.06),
        ("foot", 304.8 / bend_length(bend) / US_TON_KN, 0.06),
    ):
        if match[what] and abs(float(match[what]) - force * factor_to) > slack:
            yield f"{where}: {match[what]} for {what}; by the formula it is {force * factor_to:.1f}"


def _degree(
    where: str, match: re.Match[str], bend: Bend, plan: PartPlan, die: Die, pressed: float
) -> Iterator[str]:
    """For which angle the depth is said to be, and what a degree more is said to take."""
    if die.way == "bottom":
        if match["degree"]:
            yield f"{where}: a degree more is said of a die that makes the angle"
        return
    if not match["degree"]:
        yield f"{where} does not say for which angle its depth is, and what a degree more takes"
        return
    if match["loaded"] and abs(float(match["loaded"]) - math.degrees(bend.angle_rad)) > DEGREE_DEG:
        yield f"{where}: {match['loaded']}° under load; the bend has {math.degrees(bend.angle_rad):.1f}°"
    now, then = (
        depth_mm(die, angle, bend.inside_radius_mm, plan.thickness_mm)
        for angle in (pressed, pressed + math.radians(1))
    )
    if abs(in_mm(match["degree"], match["depth_unit"]) - (then - now)) > DEGREE_MM:
        yield f"{where}: {match['degree']} {match['depth_unit']} for a degree; it is {then - now:.2f} mm"


def _stop_mm(match: re.Match[str], bend: Bend, plan: PartPlan, flat: FlatPattern) -> float:
    """How long a straight side the blank has, or the tangent line of another bend, at that distance; 0: none.

    On the side of the flange that lies toward the gauge: an edge as far away on the other leg is none.
    """
    this = next(b for b in flat.bends if b.bend.name == bend.name)
    rear = rear_side(this, match["rear"])
    distance = in_mm(match["stop"], match["unit"])
    if match["on"] == "straight edge":
        return edge_mm(this, flat, rear, distance)
    for other in flat.bends:
        flanges = (shown(other.bend.parent), shown(other.bend.child))
        if other.bend.name == bend.name or match["flange"] not in flanges:
            continue
        out = other.bend.inside_radius_mm + plan.thickness_mm
        lines = [rear * off for line in (other.near, other.far) if (off := along(this, line)) is not None]
        if lines and abs(min(lines) + out - distance) < STOP_MM:
            return bend_length(other.bend)
    return 0.0


def _pictures(page: Content, steps: Sequence[re.Match[str]], number: int, plan: PartPlan) -> Iterator[str]:
    """Every step's picture, in its own box, has two legs at half its bend: filled outlines so inclined.

    A tool's flanks are as steep at most; punch and die are known by an edge that stands upright.
    """
    for match, (low, high) in zip(steps, _boxes(page, steps), strict=True):
        yield from side_problems(match, plan, [w for w in page.words if low <= w.box[1] <= high])
        if match.re is FOLD:
            rings = [s.points for s in page.shapes if s.filled]
            here = [r for r in rings if low <= sum(p[1] for p in r) / len(r) <= high]
            yield from legs_problems(here, match, f"sheet {number}")
            continue
        seen = [
            angle
            for shape in page.shapes
            if shape.filled and len(shape.points) >= 4
            for ring in [[*shape.points, shape.points[0]]]
            if low <= sum(p[1] for p in shape.points) / len(shape.points) <= high and not _is_tool(ring)
            for a, b in itertools.pairwise(ring)
            if math.dist(a, b) > LONG_MM
            for angle in [math.atan2(b[1] - a[1], b[0] - a[0]) % math.pi]
        ]
        half = math.radians(float(match["pressed"] or match["angle"])) / 2
        for angle in (half, math.pi - half):
            if not any(abs(s - angle) < LEG_RAD for s in seen):
                leg = f"a leg at {math.degrees(angle):.1f}° for step {match['number']}"
                yield f"sheet {number}: no picture shows {leg}"


def _is_tool(ring: Sequence[tuple[float, float]]) -> bool:
    """Tools have a side that stands upright; a leg half bent, and what hangs on it, has none so long."""
    return any(abs(a[0] - b[0]) < 1e-3 and abs(a[1] - b[1]) > LONG_MM for a, b in itertools.pairwise(ring))


def _boxes(page: Content, steps: Sequence[re.Match[str]]) -> list[tuple[float, float]]:
    """From where to where on the page each step's box goes: between its head line and the next one's."""
    tops = []
    for match in steps:
        head = f"{match['number']} Bend {match['bend']}{match.groupdict().get('instead') or ''}:"
        heads = [w.box[3] for w in page.words if " ".join(w.text.split()).startswith(head)]
        tops.append(max(heads, default=0.0) + HEAD_MM)
    # a page may have no step that can be read
    return list(zip([*tops, 0.0][1:], tops, strict=True))
