"""Where a setup sheet has the gauge's fingers stand, and what of the part lies past the stop: measured anew.

Corners are found on the blank by the letters of its picture; what lies past a stop by folding the part anew,
flange by flange, as in ``below``.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Mapping, Sequence, Set
from functools import lru_cache

import numpy as np
import shapely
from shapely.geometry import Polygon

from generators.geometry.contours import polyline, segments
from generators.geometry.frames import Matrix, apply
from generators.model.plan import Bend, PartPlan
from generators.model.spec.tools.press import Brake
from generators.sheetmetal.folding import FlatBend, FlatPattern, bend_length, flat_pattern
from generators.verify.pdf.bending.below import leg_frame, walked
from generators.verify.pdf.bending.blank import along, corners_seen, in_mm, rear_side, shown
from generators.verify.pdf.bending.gauge.sections import of_arc, of_face
from generators.verify.pdf.bending.gauge.wider import wider_problems
from generators.verify.pdf.bending.instead import in_turn

Point = tuple[float, float]
WHERE = (
    r"(?:(?P<anywhere>anywhere on it)|"
    r"(?P<begins>[\d.]+) to (?P<ends>[\d.]+) (?P<where_unit>mm|in) from (?P<letter>[a-z]{1,2})"
    r"(?P<face> along the bend, touching it (?P<clear>[\d.]+) (?:mm|in) or more (?P<level>above|below) the "
    r"die's top)?)"
)
PAST = r"PAST THE STOP: (?P<past>[^.:]+(?:\.\d+[^.:]+)*)\."
ITEM = re.compile(
    r"(?P<flange>[a-z][a-z0-9 ]*?) (?P<mm>[\d.]+) (?P<unit>mm|in), "
    r"(?:(?P<gap>[\d.]+) (?:mm|in) beside|(?P<at>over|under|behind)) the fingers"
)
SLIDE = (
    r"The part stays round the (?P<stays>punch|fingers): (?:raise the ram (?P<raised>[\d.]+) "
    r"(?P<raised_unit>mm|in) or more first, the part held against the punch with a bar, not by hand "
    r"\((?P<hung>[a-z0-9 ]+) hangs beside the die, below its top\), and )?slide it off to (?:either side|"
    r"your "
    r"(?P<slid>left|right), the [a-z]+ out at its (?P<leaves>left|right) end; flange (?P<shuts>[a-z0-9 ]+) "
    r"closes the (?P<shut_end>left|right) one)\."
)
UNKNOWN = (
    "must pass the gauge's arms and beam too: nobody has told where they are. Where it cannot, take the "
    "gauge away and bend to the line of the drawing's BENDS, scribed on the blank."
)
BEGINS_MM, EDGE_MM = 1e-3, 0.05
TOLD_MM, FINE_MM, NEAR_MM, ROUNDED_MM = 1.0, 0.2, 0.25, 0.15
FACE_RAD = 0.04
"""How much of radius and thickness the outside of a bend may be drawn too large."""


def gauge_problems(
    steps: Sequence[re.Match[str]], letters: Mapping[str, Point], plan: PartPlan, brake: Brake
) -> Iterator[str]:
    """What is wrong with the places of fingers, and with what is said to lie past the stops."""
    flat = flat_pattern(plan)
    for match, bend, before in in_turn(steps, plan):
        if match.groupdict().get("on") and match["stop"]:
            yield from _step(match, letters, bend, before, plan, flat, brake)


def _step(
    match: re.Match[str],
    letters: Mapping[str, Point],
    bend: Bend,
    before: Set[str],
    plan: PartPlan,
    flat: FlatPattern,
    brake: Brake,
) -> Iterator[str]:
    where = f"step {match['number']}"
    span = seat_of(match, letters, bend, flat, plan)
    if isinstance(span, str):
        yield f"{where}{span}"
        return
    if match["begins"]:
        near, far = (in_mm(match[key], match["where_unit"]) for key in ("begins", "ends"))
        apart = in_mm(match["apart"], match["unit"]) if match["apart"] else 0.0
        if apart and apart + brake.gauge.finger_width_mm > far - near + ROUNDED_MM:
            yield f"{where}: two fingers {match['apart']} apart do not both stand on {far - near:.1f} mm"
        if match["clear"]:
            yield from _face(where, match, plan, flat)
    yield from _past(where, match, span, bend, before, plan, brake)
    yield from wider_problems(
        where,
        match,
        span,
        nearer(match, letters, bend, flat, span),
        laid_points(match, bend, before, plan),
        brake,
    )


def nearer(
    match: re.Match[str],
    letters: Mapping[str, Point],
    bend: Bend,
    flat: FlatPattern,
    span: tuple[float, float],
) -> bool | None:
    """True where the lower end of what is touched is nearer to the corner a finger's room is told from."""
    letter = match["nearer"] or match["farther"]
    if letter not in letters:
        return None
    this = next(b for b in flat.bends if b.bend.name == bend.name)
    at = place_along(this, given_by(letter, letters, flat))
    return abs(span[0] - at) < abs(span[1] - at)


def seat_of(
    match: re.Match[str], letters: Mapping[str, Point], bend: Bend, flat: FlatPattern, plan: PartPlan
) -> tuple[float, float] | str:
    """From where to where along a bend fingers touch the stop by the sheet; or what is wrong with it."""
    this = next(b for b in flat.bends if b.bend.name == bend.name)
    stop = in_mm(match["stop"], match["unit"])
    if match["anywhere"]:
        two = [place_along(this, letters[x]) for x in (match["corners"] or "").split(" to ") if x in letters]
        lines = list(_lines(match, this, flat, rear_side(this, match["rear"]), stop, plan))
        if len(two) != 2 or not lines:
            return ": no edge for fingers to stand anywhere on"
        return min(lines, key=lambda s: abs(s[0] - min(two)) + abs(s[1] - max(two)))
    if match["letter"] is None:
        return " does not say where its fingers stand"
    if match["letter"] not in letters:
        return f": no letter {match['letter']} on the blank's picture"
    corner = given_by(match["letter"], letters, flat)
    at, rear = place_along(this, corner), rear_side(this, match["rear"])
    near, far = (in_mm(match[key], match["where_unit"]) for key in ("begins", "ends"))
    touched = [
        (max(min(ends), low), min(max(ends), high))
        for ends in ((at + near, at + far), (at - near, at - far))
        for low, high in _lines(match, this, flat, rear, stop, plan)
    ]
    low, high = max(touched, key=lambda span: span[1] - span[0], default=(0.0, 0.0))
    if high - low < far - near - NEAR_MM or high - low <= 0:
        span = f"{match['begins']} to {match['ends']} from {match['letter']}"
        return f": no {match['on']} to stop on {span}"
    return low, high


def _face(where: str, match: re.Match[str], plan: PartPlan, flat: FlatPattern) -> Iterator[str]:
    """A face begins to be flat where the radius of its own bend ends.

    The outside of an up bend rises from the die's top; that of one that hangs, from the sheet's upper face.
    """
    over = plan.thickness_mm if match["level"] == "above" else 0.0
    outs = {
        b.bend.inside_radius_mm + over
        for b in flat.bends
        if match["flange"] in (shown(b.bend.parent), shown(b.bend.child))
    }
    if not any(abs(in_mm(match["clear"], match["where_unit"]) - out) < ROUNDED_MM for out in outs):
        yield f"{where}: {match['flange']} is said to be flat from {match['clear']} on"


def given_by(letter: str, letters: Mapping[str, Point], flat: FlatPattern) -> Point:
    """The point a letter of the picture stands for: letters go round the blank in turn, as its corners do.

    Of all ways to lay the one round on the other that with the letters nearest, so that two corners close
    together are not taken for each other; where a letter is missing, the corner nearest to this one.
    """
    corners, named = list(corners_seen(flat)), sorted(letters, key=lambda x: (len(x), x))
    if len(named) != len(corners):
        return min(corners, key=lambda c: math.dist(c[0], letters[letter]))[1]

    def apart(turn: int) -> float:
        turned = corners[turn:] + corners[:turn]
        return sum(math.dist(letters[x], c[0]) for x, c in zip(named, turned, strict=True))

    turn = min(range(len(corners)), key=apart)
    return corners[(named.index(letter) + turn) % len(corners)][1]


def place_along(this: FlatBend, p: Point) -> float:
    """How far along a bend's middle line a point lies, mm."""
    (au, av), (bu, bv) = this.middle
    return ((p[0] - au) * (bu - au) + (p[1] - av) * (bv - av)) / math.hypot(bu - au, bv - av)


def _lines(
    match: re.Match[str], this: FlatBend, flat: FlatPattern, rear: float, stop: float, plan: PartPlan
) -> Iterator[tuple[float, float]]:
    """From where to where along the bend there is such an edge, or face of a bent flange, at the stop."""
    for line, off in _stops(match, this, flat, rear, plan):
        if abs(off - stop) < NEAR_MM:
            ends = sorted(place_along(this, p) for p in line)
            yield ends[0], ends[1]


def _stops(
    match: re.Match[str], this: FlatBend, flat: FlatPattern, rear: float, plan: PartPlan
) -> Iterator[tuple[tuple[Point, Point], float]]:
    """Each straight edge along the bend, or face of the bent flange named: how far from its middle, mm."""
    if match["on"] == "straight edge":
        lines = [(((a.u, a.v), (b.u, b.v)), 0.0) for a, b in segments(flat.contour) if a.bulge == 0]
    else:
        lines = [
            (line, other.bend.inside_radius_mm + plan.thickness_mm)
            for other in flat.bends
            if match["flange"] in (shown(other.bend.parent), shown(other.bend.child))
            for line in (other.near, other.far)
        ]
    for line, out in lines:
        off = along(this, line)
        if off is not None:
            yield line, rear * off + out


def stop_mm(match: re.Match[str], bend: Bend, flat: FlatPattern, plan: PartPlan) -> float:
    """The stop as it is on the blank, unrounded; as printed where there is none."""
    this = next(b for b in flat.bends if b.bend.name == bend.name)
    stop = in_mm(match["stop"], match["unit"])
    offs = [off for _, off in _stops(match, this, flat, rear_side(this, match["rear"]), plan)]
    return min(
        (off for off in offs if abs(off - stop) < NEAR_MM), key=lambda off: abs(off - stop), default=stop
    )


def _past(
    where: str,
    match: re.Match[str],
    span: tuple[float, float],
    bend: Bend,
    before: Set[str],
    plan: PartPlan,
    brake: Brake,
) -> Iterator[str]:
    """Each flange past the stop, by how far, and none that is not; and where it lies to the fingers."""
    stop, gauge = stop_mm(match, bend, flat_pattern(plan), plan), brake.gauge
    slack = FACE_RAD * (max(b.inside_radius_mm for b in plan.bends) + plan.thickness_mm)
    said = {m["flange"]: m for m in ITEM.finditer(match["past"] or "")}
    seen = _behind(match, bend, before, plan, stop)
    low = -gauge.below_mm if match["level"] == "below" else 0.0
    zone = low, low + gauge.finger_height_mm
    # a finger may stand over the ends of what is shorter than itself
    over = max(gauge.finger_width_mm - (span[1] - span[0]), 0.0)
    yield from _beam(where, seen, stop, low, brake)
    for name, points in seen.items():
        far = float(points[:, 1].max()) - stop
        one = said.pop(name, None)
        if one is None:
            if far > TOLD_MM + ROUNDED_MM + slack:
                yield f"{where}: {name} lies {far:.1f} mm past the stop, and the sheet is silent"
            continue
        has = in_mm(one["mm"], one["unit"])
        if not far - ROUNDED_MM < has < far + ROUNDED_MM + slack:
            yield f"{where}: {name} is given {has:.1f} mm past the stop; folded it is {far:.1f} mm"
        # from where it begins to be past, but for the edge the fingers are against
        own = (points[:, 0] > span[0]) & (points[:, 0] < span[1]) & (points[:, 1] < stop + EDGE_MM)
        yield from _beside(
            where, name, one, points[(points[:, 1] > stop + BEGINS_MM) & ~own], span, zone, over
        )
    for name in said:
        yield f"{where}: {name} is said to lie past the stop, and does not"


def _beam(where: str, seen: Mapping[str, Matrix], stop: float, low: float, brake: Brake) -> Iterator[str]:
    """Flanges that come nearer than the shop's air to a beam it has told of."""
    gauge = brake.gauge
    if gauge.beam_behind_mm is None:
        return
    top = math.inf if gauge.beam_top_mm is None else gauge.beam_top_mm + low
    for name, points in seen.items():
        behind = points[points[:, 1] > stop + gauge.beam_behind_mm - brake.room_mm + NEAR_MM]
        if len(behind) and float(behind[:, 2].min()) < top + brake.room_mm - NEAR_MM:
            yield f"{where}: {name} lies in the beam of the gauge"


def _beside(
    where: str,
    name: str,
    one: re.Match[str],
    points: Matrix,
    span: tuple[float, float],
    zone: tuple[float, float],
    over: float,
) -> Iterator[str]:
    if not len(points):
        return
    level = points[(points[:, 2] > zone[0] - NEAR_MM) & (points[:, 2] < zone[1] + NEAR_MM)]
    in_way = bool(len(level)) and bool(
        np.any((level[:, 0] > span[0] + NEAR_MM) & (level[:, 0] < span[1] - NEAR_MM))
    )
    gap = float(np.maximum(points[:, 0] - span[1], span[0] - points[:, 0]).min())
    if one["gap"] is None:
        if gap > NEAR_MM:
            yield f"{where}: {name} is said to be {one['at']} the fingers, it is {gap:.1f} mm beside them"
        elif one["at"] != "behind" and in_way:
            yield f"{where}: {name} is said to be {one['at']} the fingers, and is at their level"
        return
    if in_way:
        yield f"{where}: {name} stands where the fingers are said to"
    has = in_mm(one["gap"], one["unit"])
    # a round begins between two points of a rim, nearer than the first of them past the stop
    if not gap - over - FINE_MM - NEAR_MM < has < gap + NEAR_MM:
        yield f"{where}: {name} is said to be {has:.1f} mm beside the fingers, it is {gap:.1f} mm"


def _behind(
    match: re.Match[str], bend: Bend, before: Set[str], plan: PartPlan, stop: float
) -> dict[str, Matrix]:
    """Points of each flange, and of the bends already made to it, past a stop: along, back, up."""
    every = laid_points(match, bend, before, plan)
    return {n: points for n, points in every.items() if float(points[:, 1].max()) > stop + TOLD_MM / 2}


def laid_points(match: re.Match[str], bend: Bend, before: Set[str], plan: PartPlan) -> dict[str, Matrix]:
    """Points of each flange, and of the bends already made to it, the part laid in: along, back, up, mm."""
    out: dict[str, list[Matrix]] = {}
    for name, points, rear in leg_points(match, bend, before, plan):
        out.setdefault(shown(name), []).append(points * np.array([1.0, 1.0 if rear else -1.0, 1.0]))
    return {name: np.concatenate(clouds) for name, clouds in out.items()}


def leg_points(
    match: re.Match[str], bend: Bend, before: Set[str], plan: PartPlan, at: Sequence[float] = ()
) -> Iterator[tuple[str, Matrix, bool]]:
    """The same of each leg by itself: along, out to the leg's own side, up; whether it is at the gauge.

    With points within its faces and bends that are so far along as ``at`` has it, mm.
    """
    for child in (True, False):
        first = bend.child if child else bend.parent
        arcs: list[tuple[str, Matrix]] = []
        frame = leg_frame(plan, bend, child)

        def placed(points: Matrix, child: bool = child) -> Matrix:
            # a child's own along runs from the end of the bend to its start
            out: Matrix = points * np.array([-1.0 if child else 1.0, 1.0, 1.0])
            out[:, 0] += bend_length(bend) if child else 0.0
            return out

        for name, there, _ in walked(plan, first, frame, bend, before, arcs):
            points = placed(apply(there, _faces(plan, name)))
            cuts = [of_face(face, at) for face in np.split(points, 2)]
            yield name, np.concatenate([points, *cuts]), match["rear"] == shown(first)
        for name, arc in arcs:
            points = placed(arc)
            # at each angle the ends of two lines, one on either face
            ends = points.reshape(-1, 2, 2, 3)
            cut = of_arc(ends[:, 0].reshape(-1, 3), ends[:, 1].reshape(-1, 3), at)
            yield name, np.concatenate([points, cut]), match["rear"] == shown(first)


@lru_cache(maxsize=64)
def _faces(plan: PartPlan, name: str) -> Matrix:
    """Points of a flange's rim in order, close to one another, on either face; asked for at each step."""
    rim = Polygon(polyline(plan.flange(name).contour, 0.05)).segmentize(FINE_MM).exterior
    ring = shapely.get_coordinates(rim)[:-1]
    return np.concatenate([np.column_stack([ring, np.full(len(ring), w)]) for w in (0.0, plan.thickness_mm)])


def slide_problems(
    where: str, match: re.Match[str], most: str | None, bend: Bend, before: Set[str], plan: PartPlan
) -> Iterator[str]:
    """A part that is to be slid off over a flange that stands at that end, by the tool's own limit."""
    if match["stays"] is None:
        return
    named = re.findall(r"flanges? ([a-z0-9 ]+?) (?:hang|stand|swing)", most or "")
    if not named:
        if match["slid"]:
            yield f"{where}: slid to one side only, and nothing is said to stand beside the bend"
        return
    if match["slid"] is None:
        yield f"{where}: slid to either side, and {named[0]} stands at one of them"
        return
    if (
        match["shuts"] != named[0]
        or match["slid"] != match["shut_end"]
        or match["leaves"] == match["shut_end"]
    ):
        has = f"{match['shuts']} at the {match['shut_end']}"
        yield f"{where}: slid to the {match['slid']}, {has}, and {named[0]} stands beside it"
    middle = _middle(match, bend, before, plan)
    if middle is not None and (middle < bend_length(bend) / 2) != (match["shut_end"] == "left"):
        yield f"{where}: {match['shuts']} does not stand at the {match['shut_end']} end"


def _middle(match: re.Match[str], bend: Bend, before: Set[str], plan: PartPlan) -> float | None:
    """Where the flange that shuts an end lies along the machine, left to right as one faces the gauge."""
    for child in (True, False):
        first = bend.child if child else bend.parent
        rear = match["rear"] == shown(first)
        arcs: list[tuple[str, Matrix]] = []
        for name, there, _ in walked(plan, first, leg_frame(plan, bend, child), bend, before, arcs):
            if shown(name) == match["shuts"]:
                middle = float(apply(there, _faces(plan, name))[:, 0].mean())
                # a leg's own along, off and up are right-handed with the upper side up, as the machine's are
                return middle if rear == (bend.direction == "up") else bend_length(bend) - middle
    return None
