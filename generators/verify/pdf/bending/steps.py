"""Each step of a setup sheet, worked out anew: order, stop, tools, depth and force."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Sequence, Set

from generators.model.plan import Bend, PartPlan
from generators.model.spec.tools.press import Die
from generators.sheetmetal.folding import FlatPattern, bend_length, flat_pattern
from generators.verify.pdf.bending.below import below_problems
from generators.verify.pdf.bending.beside import (
    die_beside,
    leg_problems,
    tool_problems,
)
from generators.verify.pdf.bending.blank import STOP_MM, along, edge_mm, in_mm, rear_side, shown
from generators.verify.pdf.bending.folder import FOLD, fold_problems
from generators.verify.pdf.bending.gauge.raised import raise_problems
from generators.verify.pdf.bending.gauged import slide_problems
from generators.verify.pdf.bending.instead import in_turn, orders_of
from generators.verify.pdf.bending.machine import depth_mm, finger_problems, force_problems, worst_rad
from generators.verify.pdf.bending.pictures.seen_from import end_problems
from generators.verify.pdf.bending.scribed import scribe_problems, skew_problems
from generators.verify.pdf.bending.swinging import does_problems, flat_beside, open_problems
from generators.verify.pdf.bending.tools import Tools
from generators.verify.pdf.welds import angle_problems, middle_deg

DEPTH_MM, FORCE_KN = 0.02, 0.6
DEGREE_DEG, DEGREE_MM = 0.06, 0.016
RADIUS_MM = 0.014


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
    for match, bend, before in in_turn(steps, plan):
        yield from _bend(match, bend, plan)
        if match.re is FOLD:
            yield from fold_problems(match, bend, plan, flat, tools.folder, tools.tensile_mpa)
        else:
            yield from _step(match, bend, before, plan, flat, tools)


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
    this = next(b for b in flat.bends if b.bend.name == bend.name)
    if match["eye_at"]:
        yield from scribe_problems(where, match, this, flat)
    if match["stop"]:
        edge = _stop_mm(match, bend, plan, flat)
        if not edge:
            yield f"{where}: nothing to stop on at {match['stop']} {match['unit']} on the blank"
        else:
            yield from finger_problems(where, match, edge, tools.brake.gauge.finger_width_mm)
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
    # where springback is measured, else bent to that angle itself; a die's own ground makes the bend's
    loaded = match["pressed"] or match["loaded"]
    pressed = math.radians(float(loaded)) if loaded else bend.angle_rad
    r, t = bend.inside_radius_mm, plan.thickness_mm
    worst = worst_rad(match, bend, die, tools.over_rad)
    yield from end_problems(where, match, bend, before, plan)
    yield from does_problems(where, match, bend, before, plan)
    yield from slide_problems(where, match, match["punch_most"], bend, {*before}, plan)
    yield from below_problems(
        where, match["below"], bend, before, plan, die, worst, lambda a: t - depth_mm(die, a, r, t)
    )
    yield from raise_problems(
        where, match, bend, before, plan, die, tools.brake, worst, lambda a: t - depth_mm(die, a, r, t)
    )
    depth = depth_mm(die, pressed, bend.inside_radius_mm, plan.thickness_mm)
    # a pressed angle is printed to a tenth of a degree
    slack = DEPTH_MM + (0.05 if loaded else 0.0) * die.opening_mm / 25
    if abs(in_mm(match["depth"], match["depth_unit"]) - depth) > slack:
        yield f"{where}: {match['depth']} {match['depth_unit']} deep; by the die it is {depth:.2f} mm"
    yield from _degree(where, match, bend, plan, die, pressed, tools.springback_rad)
    factor = 1.42 * (4 if die.way == "bottom" else 1)
    force = factor * tools.tensile_mpa * bend_length(bend) * plan.thickness_mm**2 / die.opening_mm / 1000
    if abs(float(match["force"]) - force) > FORCE_KN:
        yield f"{where}: {match['force']} kN; by the formula it is {force:.1f} kN"
    yield from force_problems(where, match, bend, force, tools.brake, die)


def _degree(
    where: str,
    match: re.Match[str],
    bend: Bend,
    plan: PartPlan,
    die: Die,
    pressed: float,
    springback_rad: float | None,
) -> Iterator[str]:
    """For which angle the depth is said to be, and what a degree more is said to take."""
    if die.way == "bottom":
        if match["degree"]:
            yield f"{where}: a degree more is said of a die that makes the angle"
        return
    if not match["degree"]:
        yield f"{where} does not say for which angle its depth is, and what a degree more takes"
        return
    wanted = middle_deg(bend, plan)
    if match["back"] and abs(float(match["back"]) - wanted) > DEGREE_DEG:
        yield f"{where}: it springs back to {match['back']}°; the middle of its limits is {wanted:.1f}°"
    if springback_rad is not None:
        # what a square test bend lost, others lose in proportion
        said = float(match["pressed"] or match["loaded"])
        load = wanted * (1 + springback_rad / (math.pi / 2))
        if abs(said - load) > DEGREE_DEG or bool(match["pressed"]) != (springback_rad > 0):
            yield f"{where}: {said:g}° under load; by the shop's test bend it is {load:.1f}°"
    if match["loaded"] and abs(float(match["loaded"]) - wanted) > DEGREE_DEG:
        yield f"{where}: {match['loaded']}° under load; the middle of its limits is {wanted:.1f}°"
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
