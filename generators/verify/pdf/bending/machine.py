"""What a setup sheet says of the brake and its tools by figures, and of the fingers of its back gauge."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Sequence

from shapely.geometry import Polygon, box

from generators.model.plan import Bend, PartPlan
from generators.model.spec.tools.press import Brake, Die, Punch
from generators.sheetmetal.folding import bend_length
from generators.verify.pdf.bending.beside import pieces_mm
from generators.verify.pdf.bending.blank import in_mm
from generators.verify.pdf.bending.gauged import UNKNOWN

LENGTH = r"(\d+(?: \d+/\d+|/\d+)?|\d+\.\d+) (mm|in)"
PLAIN = r"(?:[\d.]+|\d+(?: \d+/\d+|/\d+)?) (?:mm|in)"
LEANING = re.compile(r"A flange at a stop: bend it within (?P<within>[\d.]+)° first\.")
ONE_BREADTH = rf"(?:{PLAIN} wide|{PLAIN} toward you and {PLAIN} back)"
BREADTH = rf"{ONE_BREADTH}(?: to {PLAIN} from the (?:punch|die), {ONE_BREADTH} beyond)?"
BRAKE = re.compile(
    rf"Brake: (.+?), or one with as much: bends {LENGTH}, (\d+) kN; open {LENGTH} from clamp to table, "
    rf"stroke {LENGTH}; clamp and ram (?P<ram>{BREADTH}), table (?P<table>{BREADTH}) or less\. "
    rf"Fingers {LENGTH} wide, {LENGTH} high, {LENGTH} long"
    rf"(?P<beam>, beam (?P<behind>{PLAIN}) behind their faces"
    rf"(?:, its top (?P<top>{PLAIN}) (?P<level>over|under) the die's)?)?"
    rf"(?:; drawn back (?P<draws>{PLAIN}) in steps? (?P<drawn>[\d, ]+))?"
    rf"(?:; lower edge (?P<asked>{PLAIN}) to (?P<low>{PLAIN}) below the die's top in steps? "
    r"(?P<lowered>[\d, ]+))?\."
)
TOOLS = re.compile(
    rf"Steps? ([\d, ]+): (.+?), ([\d.]+)°, tip R ([\d.]+)( in)?, {LENGTH} high(?:, throat [^;]+)?; "
    rf"die (.+?), open {LENGTH}, "
    rf"([\d.]+)°, shoulders R ([\d.]+)( in)?, {LENGTH} wide, {LENGTH} high, (bottoming|air bending)\."
)
THROAT = re.compile(
    rf"high, throat {LENGTH} deep from {LENGTH} to {LENGTH} over its tip, "
    r"open toward you \(the other way round: toward the gauge\);"
)
TURNED = ", the other way round"
# figures are rounded to a 64th of an inch, or 0.001 in, at worst
NEAR_MM, NEAR_DEG = 0.03, 0.01
NEAR_BEAM_MM = 0.21
FORCE_KN, BREADTH_MM = 0.6, 0.25
US_TON_KN = 2000 * 0.45359237 * 9.80665 / 1000
LEAST_EDGE_MM, ROUNDED_MM = 25.0, 0.12
FACE_MM = 5.0
"""A finger touches so much flat at least. Ours."""


def machine_problems(
    text: str, steps: Sequence[re.Match[str]], brake: Brake, dies: Sequence[Die]
) -> Iterator[str]:
    """Brake, punches and dies by their figures, each as the shop has it, and a row for every step's tools."""
    whole = " ".join(text.split())
    if (said := BRAKE.search(whole)) is None:
        yield "the sheet does not give the brake by its figures"
        return
    figures = [
        ("bends", in_mm(said[2], said[3]), brake.length_mm),
        ("kN", float(said[4]), brake.force_n / 1000),
        ("open", in_mm(said[5], said[6]), brake.open_mm),
        ("stroke", in_mm(said[7], said[8]), brake.stroke_mm),
        ("fingers' width", in_mm(said[11], said[12]), brake.gauge.finger_width_mm),
        ("fingers' height", in_mm(said[13], said[14]), brake.gauge.finger_height_mm),
        ("fingers' length", in_mm(said[15], said[16]), brake.gauge.finger_length_mm),
    ]
    for what, has, wanted in figures:
        if abs(has - wanted) > (0.51 if what == "kN" else NEAR_MM):
            yield f"the sheet has {has:g} for the brake's {what}, the shop {wanted:g}"
    for what, outline, tool in (("ram", brake.ram, "punch"), ("table", brake.table, "die")):
        yield from _breadth_problems(what, said[what], outline, tool)
    yield from _beam(said, whole, steps, brake)
    drawn = {s["number"]: in_mm(s["draws"], s["draws_unit"]) for s in steps if s["draws"]}
    told = in_mm(*said["draws"].rsplit(" ", 1)) if said["draws"] else 0.0
    if set((said["drawn"] or "").split(", ")) - {""} != {*drawn} or told != max(drawn.values(), default=0.0):
        yield f"the brake's gauge is said to draw back {told:.1f} mm; by the steps it does {drawn}"
    yield from _low(said, steps, brake)
    rows = {number.strip(): m for m in TOOLS.finditer(whole) for number in m[1].split(",")}
    for step in steps:
        row = rows.get(step["number"])
        punch = step["punch"].removesuffix(TURNED)
        if row is None or (row[2], row[8]) != (punch, step["die"]):
            yield f"no row gives the figures of punch and die of step {step['number']}"
            continue
        yield from _punch(row, next((p for p in brake.punch if p.name == row[2]), None))
        yield from _die(row, next((d for d in dies if d.name == row[8]), None))


def _breadth_problems(
    what: str, words: str, outline: Sequence[tuple[float, float]], tool: str
) -> Iterator[str]:
    """Clamp or table said wider than the shop's is somewhere, or narrower than it is all the way."""
    shape = Polygon([(back, -up if tool == "die" else up) for back, up in outline])
    _, foot, _, top = shape.bounds
    one, step, two = words, top, ""
    if (stepped := re.fullmatch(rf"(.+) to ({PLAIN}) from the (\w+), (.+) beyond", words)) is not None:
        one, step, two = stepped[1], in_mm(*stepped[2].rsplit(" ", 1)), stepped[4]
        if stepped[3] != tool:
            yield f"the brake's {what} is measured from the {stepped[3]}, not from the {tool}"
    for part, (begins, ends) in ((one, (foot, step)), (two, (step, top))):
        told = [in_mm(*length) for length in re.findall(LENGTH, part)]
        if not told:
            continue
        near, far = (told[0] / 2, told[0] / 2) if len(told) == 1 else (told[0], told[1])
        # as rounded to a 64th of an inch at worst, and off the corners
        low, high, fine = begins + BREADTH_MM, ends - BREADTH_MM, shape.buffer(BREADTH_MM)
        if not fine.covers(box(-near, low, far, high)):
            yield f"the brake's {what} is said to be {part}; the shop's is not so wide there"
        wider = ((near + 2 * BREADTH_MM, far, "toward you"), (near, far + 2 * BREADTH_MM, "back"))
        for one_way, other_way, way in wider:
            if fine.covers(box(-one_way, low, other_way, high)):
                yield f"the brake's {what} is said to be {part}; the shop's is wider {way}"


def _beam(said: re.Match[str], whole: str, steps: Sequence[re.Match[str]], brake: Brake) -> Iterator[str]:
    """The gauge's beam as the shop has told of it; where it has not, that nobody has is said."""
    gauge = brake.gauge
    behind = None if said["behind"] is None else in_mm(*said["behind"].rsplit(" ", 1))
    top = None if said["top"] is None else in_mm(*said["top"].rsplit(" ", 1))
    top = -top if top is not None and said["level"] == "under" else top
    over = None if gauge.beam_behind_mm is None else gauge.beam_top_mm
    for what, has, wanted in (("back", behind, gauge.beam_behind_mm), ("top", top, over)):
        if (has is None) != (wanted is None) or abs((has or 0.0) - (wanted or 0.0)) > NEAR_BEAM_MM:
            yield f"the sheet has {has} for the {what} of the gauge's beam, the shop {wanted}"
    told = gauge.beam_behind_mm is None and any(step["past"] for step in steps)
    if told != (UNKNOWN in whole):
        yield "the sheet is wrong about whether anybody has told where the gauge's beam is"


def _low(said: re.Match[str], steps: Sequence[re.Match[str]], brake: Brake) -> Iterator[str]:
    """How low fingers go by the shop, and how low by the steps: what is flat there, and so much to touch."""
    wanted = {s["number"]: in_mm(s["clear"], s["where_unit"]) for s in steps if s["level"] == "below"}
    numbers = set((said["lowered"] or "").split(", ")) - {""}
    if numbers != {*wanted}:
        yield f"fingers are said to go below the die's top in steps {numbers}; by the steps in {[*wanted]}"
    if not said["low"] or not wanted:
        return
    low, asked = (in_mm(*said[key].rsplit(" ", 1)) for key in ("low", "asked"))
    if abs(low - brake.gauge.below_mm) > NEAR_BEAM_MM:
        yield f"fingers are said to go {low:.1f} mm below the die's top, by the shop {brake.gauge.below_mm:g}"
    least = max(wanted.values()) + FACE_MM
    if not least - ROUNDED_MM < asked < least + ROUNDED_MM or asked > low + NEAR_BEAM_MM:
        yield f"{asked:.1f} mm below are asked of fingers that go {low:.1f}; it is {least:.1f} mm"


def lean_problems(text: str, steps: Sequence[re.Match[str]], brake: Brake, plan: PartPlan) -> Iterator[str]:
    """How near to its angle a flange is that a stop is against: leaning so, it is out by half of what a bent
    length may be off at a finger's top; nothing is said where the angle's own limits keep it nearer."""
    high = brake.gauge.finger_height_mm
    degrees = math.degrees(math.atan(plan.bent_mm / 2 / high))
    wanted = degrees < math.degrees(plan.bent_rad) and any(m["on"] == "outer face" for m in steps)
    said = LEANING.search(" ".join(text.split()))
    if (said is not None) != wanted:
        yield "the sheet does not say rightly how near to its angle a flange is that a stop is against"
    elif said is not None and not degrees - min(0.1, degrees / 2) < float(said["within"]) <= degrees + 1e-3:
        yield f"a flange at a stop is bent within {said['within']}° first, it is {degrees:.2f}°"


def _punch(row: re.Match[str], punch: Punch | None) -> Iterator[str]:
    if punch is None:
        yield f"the shop has no punch {row[2]!r}"
        return
    radius = in_mm(row[4], (row[5] or "mm").strip())
    for what, has, wanted, near in (
        ("angle", float(row[3]), math.degrees(punch.angle_rad), NEAR_DEG),
        ("tip", radius, punch.tip_radius_mm, NEAR_MM),
        ("height", in_mm(row[6], row[7]), punch.height_mm, NEAR_MM),
    ):
        if abs(has - wanted) > near:
            yield f"punch {punch.name}: {what} {has:g}, the shop has {wanted:g}"
    yield from _throat(THROAT.search(row[0]), punch)


def _throat(said: re.Match[str] | None, punch: Punch) -> Iterator[str]:
    """A gooseneck's throat by its figures and the side it is open to; no other punch has one."""
    necked = punch.neck_depth_mm > 0 and punch.neck_from_mm is not None and not punch.profile
    if (said is not None) != necked:
        yield f"punch {punch.name}: {'no figures of its throat' if necked else 'a throat it does not have'}"
    if said is None or not necked:
        return
    top = punch.height_mm - 45.0 if punch.neck_to_mm is None else punch.neck_to_mm
    for index, (what, wanted) in enumerate(
        (("depth", punch.neck_depth_mm), ("foot", punch.neck_from_mm or 0.0), ("top", top))
    ):
        has = in_mm(said[2 * index + 1], said[2 * index + 2])
        if abs(has - wanted) > 0.21:
            yield f"punch {punch.name}: its throat's {what} {has:g}, the shop has {wanted:g}"


def _die(row: re.Match[str], die: Die | None) -> Iterator[str]:
    if die is None:
        yield f"the shop has no die {row[8]!r}"
        return
    radius = in_mm(row[12], (row[13] or "mm").strip())
    for what, has, wanted, near in (
        ("opening", in_mm(row[9], row[10]), die.opening_mm, NEAR_MM),
        ("angle", float(row[11]), math.degrees(die.angle_rad), NEAR_DEG),
        ("shoulders", radius, die.shoulder_radius_mm, NEAR_MM),
        ("width", in_mm(row[14], row[15]), die.width_mm, NEAR_MM),
        ("height", in_mm(row[16], row[17]), die.height_mm, NEAR_MM),
    ):
        if abs(has - wanted) > near:
            yield f"die {die.name}: {what} {has:g}, the shop has {wanted:g}"
    if (row[18] == "bottoming") != (die.way == "bottom"):
        yield f"die {die.name}: {row[18]}, the shop has it for {die.way}"


def finger_problems(where: str, match: re.Match[str], edge_mm: float, finger_mm: float) -> Iterator[str]:
    """Two fingers that do not both stand on the edge, or one where nothing is said of squaring."""
    wanted = max(2 * finger_mm, LEAST_EDGE_MM)
    if match["apart"]:
        long = in_mm(match["apart"], match["unit"]) + finger_mm
        if long > edge_mm + ROUNDED_MM:
            yield f"{where}: two fingers {match['apart']} {match['unit']} apart, the edge is {edge_mm:.1f} mm"
        if long < wanted - ROUNDED_MM:
            yield f"{where}: two fingers on {long:.1f} mm of edge, that takes {wanted:g}"
    elif not match["short"] or bool(match["edge"]) == bool(match["alone"]):
        yield f"{where} does not say what squares the sheet on its stop"
    elif in_mm(match["short"], match["unit"]) > min(edge_mm, wanted) + ROUNDED_MM:
        yield f"{where}: one finger on {match['short']} {match['unit']}, the edge is {edge_mm:.1f} mm"


def force_problems(
    where: str, match: re.Match[str], bend: Bend, force_kn: float, brake: Brake, die: Die
) -> Iterator[str]:
    """Force on a metre of what is loaded, by the punch's pieces, and what both tools may take."""
    try:
        punch_mm = math.fsum(pieces_mm(match["pieces"])[0])
    except (ValueError, ZeroDivisionError):
        return  # said where the pieces are judged
    long = min(bend_length(bend), punch_mm)
    for what, factor, slack in (
        ("metre", 1000 / long, FORCE_KN),
        ("tons", 1 / US_TON_KN, 0.06),
        ("foot", 304.8 / long / US_TON_KN, 0.06),
    ):
        if match[what] and abs(float(match[what]) - force_kn * factor) > slack:
            yield f"{where}: {match[what]} for {what}; by the formula it is {force_kn * factor:.1f}"
    punch = next((p for p in brake.punch if p.name == match["punch"].removesuffix(TURNED)), None)
    asked = (match["untold"] or "").replace(" and the ", " ").split()
    for tool, most_n in (
        ("punch", None if punch is None else punch.force_per_m_n),
        ("die", die.force_per_m_n),
    ):
        has = match[f"{tool}_may"]
        if (most_n is None) != (tool in asked) or (most_n is None) != (has is None):
            yield f"{where} is wrong about whether anybody has told what the {tool} may take"
        elif most_n is not None and has is not None:
            if not 0 <= most_n / 1000 - float(has) < 1:
                yield f"{where}: the {tool} may take {has} kN on a metre, the shop has {most_n / 1000:g}"
            foot = most_n / 1000 * 0.3048 / US_TON_KN
            if match[f"{tool}_foot"] and not -1e-9 <= foot - float(match[f"{tool}_foot"]) < 0.1001:
                has = f"{match[f'{tool}_foot']} US tons on a foot"
                yield f"{where}: the {tool} may take {has}, the shop has {foot:.2f}"
            if force_kn * 1000 / long > most_n / 1000 + 1e-6:
                yield f"{where} asks {force_kn * 1000 / long:.0f} kN on a metre, the {tool} may take {has}"


def depth_mm(die: Die, angle: float, radius: float, thickness: float) -> float:
    """From touching the flat sheet to where the bend is inside when its legs lie on the shoulders, mm."""
    h, r = angle / 2, die.shoulder_radius_mm
    slope = math.pi / 2 - die.angle_rad / 2
    centre = die.opening_mm / 2 + r * math.tan(slope / 2)
    mould = (r - (centre * math.sin(h) + r * math.cos(h))) / math.cos(h)
    inside = mould + (radius + thickness) / math.cos(h) - radius
    return thickness - inside


def worst_rad(match: re.Match[str], bend: Bend, die: Die, over_rad: float) -> float:
    """How far a bend may be pressed at worst by its step: on a die that makes its angle, no further."""
    # where springback is measured, else bent to that angle itself; a die's own ground makes the bend's
    loaded = match["pressed"] or match["loaded"]
    pressed = math.radians(float(loaded)) if loaded else bend.angle_rad
    over = 0.0 if die.way == "bottom" else min(over_rad, math.pi - die.angle_rad - pressed)
    return pressed + max(over, 0.0)
