"""Lines a bender scribes by a setup sheet, and bends two near fingers do not square: worked out anew."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator

from generators.model.plan import Bend, PartPlan
from generators.sheetmetal.folding import FlatBend, FlatPattern, bend_length
from generators.verify.pdf.bending.blank import corners_seen, edge_mm, in_mm
from generators.verify.pdf.bending.gauge.askew import may_be_askew_rad

SCRIBED = (
    r"SCRIBE the bend line first, on the side that lies up, never on the other: (?P<line_at>.+?), in mm as "
    r"in the drawing's BENDS\. The cut blank does not have it\."
)
SKEW = (
    r"NOT SQUARE BY (?:ITS FINGERS: (?P<play>[\d.]+) (?:mm|in) between them is (?P<skew>[\d.]+) "
    r"(?P<skew_unit>mm|in) from end to end of the bend, (?P<may>[\d.]+) (?:mm|in) may be\.|"
    r"(?P<alone>ONE FINGER), and no straight edge square to the bend is free for a square along "
    r"(?P<alone_need>[\d.]+) (?P<alone_unit>mm|in)\.) "
    rf"{SCRIBED} Both its ends lie under the tip of the punch, one no more than (?P<off>[\d.]+) "
    r"(?P<off_unit>mm|in) off against the other\."
)
FROM_SIDE = re.compile(r"(?P<off>[\d.]+) from (?P<side>[a-z]{1,2}.[a-z]{1,2}), [XY] .+")
SIDE = "along [a-z]{1,2}.[a-z]{1,2}"
ALONG = re.compile(rf"(?P<far>[\d.]+) {SIDE}(?:, (?P<second>[\d.]+) {SIDE})?, [XY] .+")
FINGER_MM, ROUNDED_MM, SKEW_MM, LINE_MM, POINT_MM = 0.1, 0.013, 0.06, 0.006, 0.008


def scribe_problems(where: str, match: re.Match[str], this: FlatBend, flat: FlatPattern) -> Iterator[str]:
    """A line to be scribed at a distance from a side where the blank has none, or through points off it."""
    words = match["line_at"] or match.groupdict().get("eye_at") or ""
    if (along := ALONG.fullmatch(words)) is not None:
        yield from _points_problems(where, along, this, flat)
    said = FROM_SIDE.fullmatch(words)
    if said is None:
        return
    off = float(said["off"])
    near = [off + by * LINE_MM for by in (-1, 0, 1)]
    if not any(edge_mm(this, flat, side, mm) for side in (1.0, -1.0) for mm in near):
        yield f"{where}: its line is scribed {said['off']} mm from {said['side']}, no side is so far off"


def _points_problems(where: str, said: re.Match[str], this: FlatBend, flat: FlatPattern) -> Iterator[str]:
    """Points of a line, each so far along some side from a corner: on the line, one at either half."""
    (au, av), (bu, bv) = this.middle
    long = math.dist((au, av), (bu, bv))
    places = [place for _, place in corners_seen(flat)]
    at: list[list[float]] = []
    for far in (said["far"], said["second"]):
        if far is None:
            continue
        found = []
        for one, two in zip(places, [*places[1:], *places[:1]], strict=True):
            for (u, v), (x, y) in ((one, two), (two, one)):
                share = float(far) / (math.dist(one, two) or math.inf)
                du, dv = u + share * (x - u) - au, v + share * (y - v) - av
                if share < 1 and abs(du * (bv - av) - dv * (bu - au)) / long < POINT_MM:
                    found.append((du * (bu - au) + dv * (bv - av)) / long)
        at.append(found)
        if not found:
            yield f"{where}: its line is scribed {far} along a side, where no side meets it"
    if len(at) > 1 and all(at) and not any(abs(a - b) > long / 2 for a in at[0] for b in at[1]):
        yield f"{where}: both points of its line lie at one end of it"


def skew_problems(
    where: str, match: re.Match[str], bend: Bend, plan: PartPlan, this: FlatBend, flat: FlatPattern
) -> Iterator[str]:
    """A bend that two near fingers leave further askew than it may be, and no square is laid."""
    skew, may = 0.0, may_be_askew_rad(plan)[bend.name] * bend_length(bend)
    if match["apart"]:
        skew = FINGER_MM / in_mm(match["apart"], match["unit"]) * bend_length(bend)
    # the distance of the fingers is printed to 0.1 mm, rounded down
    near = SKEW_MM * max(skew, may) / plan.bent_mm
    if abs(skew - may) > near and (skew > may) != bool(match["skew"] or (match["edge"] and match["apart"])):
        yield f"{where} does not say rightly what squares it: {skew:.2f} mm end to end, {may:.2f} may be"
    if not match["off"]:
        return
    if match["skew"] and abs(in_mm(match["skew"], match["skew_unit"]) - skew) > SKEW_MM:
        yield f"{where}: {match['skew']} {match['skew_unit']} out of square; by its fingers {skew:.2f} mm"
    said = [match[key] for key in ("may", "off") if match[key]]
    # rounded down to a hundredth of a millimetre or a thousandth of an inch, but never to nothing
    most = max(may, 2 * ROUNDED_MM) + ROUNDED_MM / 10
    if any(not may - 2 * ROUNDED_MM < in_mm(has, match["off_unit"]) < most for has in said):
        yield f"{where} lets its ends be {', '.join(said)} off; they may {may:.2f}"
    yield from scribe_problems(where, match, this, flat)
