"""Steps of a setup sheet that are made on the folder, held against the blank and the folder's own figures."""

from __future__ import annotations

import itertools
import math
import re
from collections.abc import Iterator, Sequence

from generators.model.plan import Bend, PartPlan
from generators.model.spec.tools.folder import Folder
from generators.sheetmetal.folding import FlatPattern, bend_length
from generators.verify.pdf.bending.beside import limit_mm, pieces_mm
from generators.verify.pdf.bending.blank import along, edge_at, in_mm, rear_side, shown
from generators.verify.pdf.bending.scribed import SCRIBED, scribe_problems
from generators.verify.pdf.welds import LIMITED, middle_deg

FOLD = re.compile(
    r"(?P<number>\d+) Bend (?P<bend>[a-z0-9 ]+): (?P<angle>[\d.]+)°, "
    r"R (?P<radius>[\d.]+)(?P<radius_unit> in)? "
    r"(?P<over>TURN THE PART OVER\. )?On the folder lay it with its (?P<side>upper|lower) side up, "
    r"(?P<rear>[a-z0-9 ]+) under the fingers, (?P<front>[a-z0-9 ]+) over the leaf\. "
    r"(?:STOP (?P<stop>[\d.]+) (?P<unit>mm|in) behind the front of the fingers, against the straight edge"
    r"(?: (?P<corners>[a-z]{1,2} to [a-z]{1,2}))? of "
    r"(?P<flange>[a-z0-9 ]+)\.|No straight edge the stop reaches[^.]*\.) "
    rf"{SCRIBED} "
    r"LINE: the scribed bend line lies (?P<line>[\d.]+) (?P<line_unit>mm|in) (?P<way>in front of|behind) the "
    r"front of the fingers\. FINGERS (?P<pieces>[^:]+?)(?P<most>, [A-Z][^:]+ beside it)?\. "
    r"SET BACK (?P<back>[\d.]+) (?P<back_unit>mm|in) from [^.]*\. "
    r"SET DOWN the leaf (?P<down>[\d.]+) (?P<down_unit>mm|in): so far its face lies below the axis it turns "
    r"about\. "
    rf"(?:ANGLE {LIMITED} )?"
    r"LEAF to (?P<pressed>[\d.]+)°, (?P<back_words>it springs back as the test bend on the brake|"
    r"springback not measured)\."
)
SAME_MM, LEG_RAD = 0.02, math.radians(0.2)
LONG_MM = 1.5
"""Sides of a picture this long have a slope that can be read."""

ANGLE_DEG = 0.051


def fold_problems(
    match: re.Match[str], bend: Bend, plan: PartPlan, flat: FlatPattern, folder: Folder, tensile_mpa: float
) -> Iterator[str]:
    """What is wrong with a step on the folder, beyond what every step says."""
    where, t = f"step {match['number']}", plan.thickness_mm
    if match["front"] == match["rear"] or match["front"] not in (shown(bend.parent), shown(bend.child)):
        yield f"{where} has {match['front']} over the leaf, which is not the bend's other flange"
    this = next(b for b in flat.bends if b.bend.name == bend.name)
    # the bend begins under the nose, half the strip behind its middle line
    half = abs(along(this, this.far) or 0.0)
    front = half - folder.nose_radius_mm
    if match["stop"]:
        away = in_mm(match["stop"], match["unit"]) + front
        if not edge_at(this, flat, rear_side(this, match["rear"]), away):
            yield f"{where}: nothing to stop on at {match['stop']} {match['unit']} on the blank"
    line = in_mm(match["line"], match["line_unit"]) * (1 if match["way"] == "in front of" else -1)
    if abs(line - front) > SAME_MM:
        yield f"{where}: its line {line:.2f} mm before the fingers; by the blank it is {front:.2f} mm"
    back = bend.inside_radius_mm + t - folder.nose_radius_mm
    if abs(in_mm(match["back"], match["back_unit"]) - back) > SAME_MM:
        said = f"{match['back']} {match['back_unit']}"
        yield f"{where}: set back {said}; by radius and sheet it is {back:.2f} mm"
    down = bend.inside_radius_mm + t
    if abs(in_mm(match["down"], match["down_unit"]) - down) > SAME_MM:
        yield f"{where}: set down {match['down']} {match['down_unit']}; radius and sheet are {down:.2f} mm"
    yield from scribe_problems(where, match, this, flat)
    pressed, wanted = float(match["pressed"]), middle_deg(bend, plan)
    if not wanted - ANGLE_DEG <= pressed <= math.degrees(folder.leaf_angle_rad) + ANGLE_DEG:
        yield f"{where}: the leaf to {pressed:g}° for a bend of {wanted:g}°"
    if (pressed - wanted > ANGLE_DEG) != match["back_words"].startswith("it springs back"):
        yield f"{where}: {match['back_words']} at {pressed:g}° for a bend of {wanted:g}°"
    yield from _fingers(where, match, bend, folder, t)
    as_thick = t * math.sqrt(tensile_mpa / folder.tensile_mpa)
    long = bend_length(bend)
    if not any(c.thickness_mm > as_thick - 1e-6 and c.length_mm > long - 1e-6 for c in folder.capacities):
        yield f"{where}: the folder does not bend {t:g} mm of {tensile_mpa:.0f} MPa over {long:.0f} mm"


def _fingers(where: str, match: re.Match[str], bend: Bend, folder: Folder, thickness: float) -> Iterator[str]:
    try:
        parts, whole = pieces_mm(match["pieces"])
    except (ValueError, ZeroDivisionError):
        yield f"{where}: {match['pieces']!r} is no widths of fingers"
        return
    total, long = math.fsum(parts), bend_length(bend)
    if abs(total - whole) > SAME_MM:
        yield f"{where}: the fingers {match['pieces']} do not add up"
    if total < long - 2 * thickness - 0.05:
        yield f"{where}: {total:g} mm of fingers for a bend of {long:.1f} mm"
    left = list(folder.fingers)
    for part in parts:
        found = next((f for f in left if abs(f - part) < 0.05), None)
        if found is None:
            yield f"{where}: the folder has no finger of {part:g} mm more"
        else:
            left.remove(found)
    if match["most"]:
        limit = limit_mm(match["most"], long)
        if limit is None:
            yield f"{where}: {match['most'].strip(', ')!r} is no limit of fingers"
        elif "NO LONGER" in match["most"] and total > limit + 0.05:
            yield f"{where}: {total:g} mm of fingers, and no more than {limit:.1f} mm may go in"


def legs_problems(
    rings: Sequence[Sequence[tuple[float, float]]], match: re.Match[str], page: str
) -> Iterator[str]:
    """A step's picture has a leg and the leaf under it at the leaf's angle, and a leg that lies flat."""
    turned = math.pi - math.radians(float(match["pressed"]))
    at = sum(any(abs(s - turned % math.pi) < LEG_RAD for s in slopes(ring)) for ring in rings)
    if at < 2:
        leg = f"leg and leaf at {math.degrees(turned):.1f}° for step {match['number']}"
        yield f"{page}: no picture shows {leg}"
    if not any(min(s, math.pi - s) < LEG_RAD for ring in rings for s in slopes(ring)):
        yield f"{page}: no picture shows a leg under the fingers for step {match['number']}"


def slopes(ring: Sequence[tuple[float, float]]) -> Iterator[float]:
    """Slopes of the long sides of an outline, rad from 0 to pi."""
    for a, b in itertools.pairwise([*ring, ring[0]]):
        if math.dist(a, b) > LONG_MM:
            yield math.atan2(b[1] - a[1], b[0] - a[0]) % math.pi
