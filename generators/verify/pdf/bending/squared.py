"""The edge a square is laid along where one finger does not square a sheet: found and measured on the blank.

Its side lies square to the bend and flat on the die so far. From the die's face on, as far as the blade must
lie along that side, nothing of the blank may lie beside it, nor where the stock is, which runs away from the
sheet on a die that is long enough; what is bent by then is folded anew and must not stand there either.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Mapping, Sequence, Set

import numpy as np
import shapely
from shapely.geometry import MultiPoint, Polygon, box

from generators.geometry.contours import polyline, segments
from generators.geometry.frames import Matrix
from generators.geometry.joined import joined
from generators.model.plan import Bend, PartPlan
from generators.model.spec.tools.press import Die
from generators.sheetmetal.folding import FlatBend, FlatPattern, bend_length, flat_pattern
from generators.verify.pdf.bending.beside import pieces_mm
from generators.verify.pdf.bending.blank import in_mm, rear_side, shown
from generators.verify.pdf.bending.gauge.askew import may_be_askew_rad
from generators.verify.pdf.bending.gauged import Point, given_by, laid_points, place_along
from generators.verify.pdf.bending.instead import in_turn
from generators.verify.pdf.bending.swinging import one_plane

SQUARED = (
    r"(?P<near>They do not square it: )?"
    r"SQUARE IT BY the edge (?P<edge>[a-z]{1,2} to [a-z]{1,2}), which lies square to the bend: the stock of "
    r"a square, (?P<stock>[\d.]+) (?:mm|in) of it, against the (?P<against>front|back) face of the die, from "
    r"that edge away from the sheet, its blade "
    r"(?P<blade>back over the die|out toward you|toward you over the die) along "
    r"(?P<along>[\d.]+) (?P<along_unit>mm|in) or more of that edge, no gap there over "
    r"(?P<gap>[\d.]+) (?P<gap_unit>mm|in)"
    r"(?:, and no longer than (?P<longest>[\d.]+) (?P<longest_unit>mm|in) from the die)?\."
    r"(?: The die runs on (?P<runs>[\d.]+) (?:mm|in) (?:or more|to (?P<runs_to>[\d.]+) (?:mm|in)) past the "
    r"bend's end there, behind the stock\.)?"
)
GAP_MM, LEAST_MM = 0.05, 10.0
FINE_MM, NEAR_MM, ROUNDED_MM, SLOPE = 0.1, 0.3, 0.11, 0.002
BLADE_MM, ROOM_MM = 24.0, 130.0
"""Less than a blade is wide; more than blade and stock need, where one that could be used is looked for."""

LONGEST_MM, WIDEST_MM, AIR_MM, COMES_MM = 300.0, 26.0, 0.05, 3.0
"""Longer and wider no square's blade is; so far beside its edge, by chords so far before, a round ends one.

Common practice, no source."""

STOCK_MM, THICK_MM, DEEP_MM = 69.0, 18.0, 18.0
"""Less than a stock of 70 is long, out from the die's face, and over and under the die's top."""

WAYS = {
    ("front", "back over the die"): 1.0,
    ("front", "out toward you"): -1.0,
    ("back", "toward you over the die"): -1.0,
}
"""Toward the gauge or away from it the blade lies, by the face its stock is against."""


def squared_problems(
    steps: Sequence[re.Match[str]], letters: Mapping[str, Point], plan: PartPlan, dies: Sequence[Die]
) -> Iterator[str]:
    """What is wrong with the edges of squares; ``letters`` where the blank's picture has its corners."""
    flat = flat_pattern(plan)
    for match, bend, before in in_turn(steps, plan):
        die = next((d for d in dies if d.name == match.groupdict().get("die")), None)
        if die is not None and (match["edge"] or match["alone"]):
            yield from _step(match, letters, bend, before, plan, flat, die)


def _step(
    match: re.Match[str],
    letters: Mapping[str, Point],
    bend: Bend,
    before: Set[str],
    plan: PartPlan,
    flat: FlatPattern,
    die: Die,
) -> Iterator[str]:
    where = f"step {match['number']}"
    need = max(GAP_MM / may_be_askew_rad(plan)[bend.name], LEAST_MM)
    printed = in_mm(match["along"] or match["alone_need"], match["along_unit"] or match["alone_unit"])
    if not need - NEAR_MM / 10 < printed < need + ROUNDED_MM:
        yield f"{where}: a square along {printed:.1f} mm, the bend asks for {need:.1f} mm"
    if match["gap"] and abs(in_mm(match["gap"], match["gap_unit"]) - GAP_MM) > ROUNDED_MM / 10:
        yield f"{where}: a gap of {match['gap']} {match['gap_unit']} at the blade, {GAP_MM} mm may be"
    sides = list(_sides(match, bend, before, plan, flat, die))
    if not match["edge"]:
        free = [f"{one.long_mm:.1f}" for one in sides if one.long_mm > need + 2.0 and one.free(match, die)]
        if free and not match["die_most"]:
            yield f"{where}: no edge is said to be free for a square, one of {free[0]} mm is"
        return
    ends = [given_by(x, letters, flat) for x in match["edge"].split(" to ") if x in letters]
    these = [s for s in sides if len(ends) == 2 and s.between(ends[0], ends[1])]
    these = [s for s in these if s.lies == (match["against"], match["blade"])]
    words = f"a blade {match['blade']} from the {match['against']} face"
    if not these:
        yield f"{where}: {match['edge']} is no edge square to the bend for {words}"
        return
    side = max(these, key=lambda s: s.long_mm)
    if side.long_mm < need - NEAR_MM:
        said = f"{where}: a square along {need:.1f} mm of {match['edge']}, "
        yield f"{said}{side.long_mm:.1f} mm lie flat there"
    elif bool(match["near"]) != bool(match["apart"]):
        yield f"{where}: it is not said rightly whether its fingers square it"
    elif (problem := side.longest_problem(match, need)) is not None:
        yield f"{where}: {problem}"
    elif not side.clear(BLADE_MM, need):
        yield f"{where}: the blade along {match['edge']}, {words}, meets the part on its way"
    if not side.stock_clear():
        yield f"{where}: the stock at {match['edge']}, against the {match['against']} face, meets the part"
    yield from _die_problems(where, match, bend, side)


def _die_problems(where: str, match: re.Match[str], bend: Bend, side: _Side) -> Iterator[str]:
    """A die that does not go on behind all the stock, by words or pieces, or meets the part there."""
    stock, unit, long = in_mm(match["stock"], match["along_unit"]), match["along_unit"], bend_length(bend)
    if stock < STOCK_MM:
        yield f"{where}: {stock:.1f} mm of a square's stock hold it against nothing"
    past = side.end(stock) - long if side.out > 0 else -side.end(stock)
    said = in_mm(match["runs"], unit) if match["runs"] else 0.0
    if not max(past, 0.0) - NEAR_MM < said < max(past, 0.0) + NEAR_MM:
        yield f"{where}: the die is said to run on {said:.1f} mm; for the stock it is {max(past, 0.0):.1f} mm"
    try:
        whole = math.fsum(pieces_mm(match["die_pieces"])[0])
    except (ValueError, ZeroDivisionError):
        return  # said where the pieces are judged
    if whole < long + said - ROUNDED_MM:
        yield f"{where}: {whole:g} mm of die, the bend and the stock of its square take {long + said:.1f} mm"
    to = in_mm(match["runs_to"], unit) if match["runs_to"] else math.inf
    if to < said - ROUNDED_MM or not side.die_clear(
        long, min(to, said + STOCK_MM) if match["runs"] else said
    ):
        yield f"{where}: the die behind the stock at {match['edge']} may not run on so far there"
    if not side.die_clear(long, said):
        yield f"{where}: the die behind the stock at {match['edge']} meets what is bent already"


class _Side:
    """A stretch of a side as the part lies on the die, ``run`` toward the gauge at ``x`` along the bend.

    ``lies``: the die's face the stock is against, and which way the blade lies from there.
    """

    def __init__(
        self,
        ends: tuple[Point, Point],
        run: tuple[float, float],
        lies: tuple[str, str],
        half: float,
        out: float,
        seen: Seen,
    ) -> None:
        self.ends, self.lies, self.out, self._half, self._seen = ends, lies, out, half, seen
        self.x = (seen.at(ends[0])[0] + seen.at(ends[1])[0]) / 2
        self._face = -half if lies[0] == "front" else half
        self._way = WAYS[lies]
        from_face = sorted(self._way * (y - self._face) for y in run)
        self._begins, self._ends = max(from_face[0], 0.0), from_face[1]

    @property
    def long_mm(self) -> float:
        return self._ends - self._begins

    def end(self, stock_mm: float) -> float:
        """Where along the bend the stock ends."""
        return self.x + self.out * stock_mm

    def between(self, one: Point, two: Point) -> bool:
        """True where the whole side lies between two corners, which are given where its rounds would meet."""
        line = shapely.LineString([one, two])
        return all(line.distance(shapely.Point(end)) < NEAR_MM for end in self.ends)

    def clear(self, wide_mm: float, need_mm: float) -> bool:
        """True where nothing of the part lies on the blade's way from the face to the end of its length."""
        return self._reaches(wide_mm, self._begins + need_mm)

    def longest_problem(self, match: re.Match[str], need_mm: float) -> str | None:
        """What is wrong with how long a blade may be; None where it is right."""
        said = in_mm(match["longest"], match["longest_unit"]) if match["longest"] else math.inf
        if said < self._begins + need_mm - NEAR_MM:
            return f"a blade of {said:.1f} mm from the die does not lie along {need_mm:.1f} mm of the edge"
        if not self._reaches(BLADE_MM, min(said, LONGEST_MM)):
            return f"a blade of {min(said, LONGEST_MM):.1f} mm from the die meets the part"
        if said < math.inf and not self._in_way(said + COMES_MM):
            return f"a blade may be longer than {said:.1f} mm from the die"
        return None

    def _in_way(self, far_mm: float) -> bool:
        """True where anything may be in a blade's way so far from the face: a flange is taken for its box."""
        x0, x1 = sorted((self.x + self.out * AIR_MM, self.x + self.out * WIDEST_MM))
        y0, y1 = sorted((self._face, self._face + self._way * far_mm))
        if self._seen.blank.intersects(box(x0, y0, x1, y1)):
            return True
        low, high = np.array([x0, y0, 0.0]), np.array([x1, y1, self._seen.thickness])
        return any(np.all(most > low) and np.all(least < high) for least, most in self._seen.boxes)

    def _reaches(self, wide_mm: float, far_mm: float) -> bool:
        y0, y1 = sorted(self._face + self._way * w for w in (NEAR_MM, far_mm - NEAR_MM))
        near = min(NEAR_MM, self._seen.thickness / 4)
        return self._empty(wide_mm, (y0, y1), (near, self._seen.thickness - near))

    def stock_clear(self) -> bool:
        """True where nothing of the part is where the stock lies."""
        out = -1.0 if self.lies[0] == "front" else 1.0
        y0, y1 = sorted((self._face + out * NEAR_MM, self._face + out * THICK_MM))
        return self._empty(STOCK_MM, (y0, y1), (-DEEP_MM, DEEP_MM))

    def die_clear(self, long: float, runs: float) -> bool:
        """True where nothing hangs beside the bend's end as far as the die runs on there."""
        points, half = self._seen.standing, self._half - NEAR_MM
        past = points[:, 0] - long if self.out > 0 else -points[:, 0]
        hangs = (points[:, 2] < -NEAR_MM) & (np.abs(points[:, 1]) < half)
        return not bool(np.any(hangs & (past > -NEAR_MM) & (past < runs - NEAR_MM)))

    def free(self, match: re.Match[str], die: Die) -> bool:
        """True where a square could be used beyond doubt: nothing stands near, the die is long enough."""
        if np.any(np.abs(self._seen.standing[:, 0] - self.x) < ROOM_MM):
            return False
        back = self.lies[0] == "back"
        if back and match["stop"] and in_mm(match["stop"], match["unit"]) < self._half + 2 * THICK_MM:
            return False
        if die.segments_mm and math.fsum(die.segments_mm) < self._seen.long + ROOM_MM:
            return False
        return self.clear(ROOM_MM, self.long_mm) and self.stock_clear()

    def _empty(self, wide_mm: float, ys: tuple[float, float], zs: tuple[float, float]) -> bool:
        x0, x1 = sorted((self.x + self.out * NEAR_MM, self.x + self.out * wide_mm))
        if self._seen.blank.intersects(box(x0, ys[0], x1, ys[1])):
            return False
        low, high = np.array([x0, ys[0], zs[0]]), np.array([x1, ys[1], zs[1]])
        points = self._seen.standing
        return not bool(np.any(np.all((points > low) & (points < high), axis=1)))


class Seen:
    """The blank and what stands of the part, laid in for a bend: along it, to the gauge, up."""

    def __init__(
        self,
        match: re.Match[str],
        bend: Bend,
        before: Set[str],
        plan: PartPlan,
        flat: FlatPattern,
    ) -> None:
        self.this: FlatBend = next(b for b in flat.bends if b.bend.name == bend.name)
        self.rear = rear_side(self.this, match["rear"])
        self.thickness, self.long = plan.thickness_mm, bend_length(bend)
        made = {*before, bend.name}
        lying = {*one_plane(bend.parent, made, plan), *one_plane(bend.child, made, plan)}
        rings = [
            Polygon([self.at(flat.placements[name].apply(*p)) for p in polyline(contour, 0.01)])
            for name in sorted(lying)
            for contour in (plan.flange(name).contour,)
        ]
        strips = [
            MultiPoint([self.at(p) for p in (*b.near, *b.far)]).convex_hull
            for b in flat.bends
            if b.bend.name not in before and {b.bend.parent, b.bend.child} <= lying
        ]
        self.blank = joined([r.buffer(0.0) for r in [*rings, *strips]])
        clouds = [
            points
            for name, points in laid_points(match, bend, before, plan).items()
            if name not in {shown(n) for n in lying}
        ]
        self.boxes = [(points.min(axis=0), points.max(axis=0)) for points in clouds]
        self.standing: Matrix = np.concatenate([*clouds, np.empty((0, 3))])

    def at(self, p: Point) -> Point:
        """A point of the blank, so."""
        (au, av), (bu, bv) = self.this.middle
        long = math.hypot(bu - au, bv - av)
        off = ((p[0] - au) * (bv - av) - (p[1] - av) * (bu - au)) / long
        return place_along(self.this, p), self.rear * off


def _sides(
    match: re.Match[str], bend: Bend, before: Set[str], plan: PartPlan, flat: FlatPattern, die: Die
) -> Iterator[_Side]:
    """Stretches of straight sides, square to the bend and flat on the die, for each way of a blade."""
    seen = Seen(match, bend, before, plan, flat)
    half = die.width_mm / 2
    whole = Polygon([seen.at(p) for p in polyline(flat.contour, 0.01)])
    shapely.prepare([whole, seen.blank])
    for a, b in segments(flat.contour):
        one, two = (a.u, a.v), (b.u, b.v)
        (ax, ay), (bx, by) = seen.at(one), seen.at(two)
        if a.bulge != 0 or abs(by - ay) < LEAST_MM / 2 or abs(bx - ax) > SLOPE * abs(by - ay):
            continue
        count = max(int(abs(by - ay) / FINE_MM), 2)
        points = [(ax + (bx - ax) * k / count, ay + (by - ay) * k / count) for k in range(count + 1)]
        # the blank lies to the left of its outline; which way that is on the machine shows a point beside it
        middle = ((ax + bx) / 2, (ay + by) / 2)
        out = -1.0 if whole.covers(shapely.Point(middle[0] + NEAR_MM / 3, middle[1])) else 1.0
        on = (shapely.distance(seen.blank, shapely.points(points)) < 0.05).tolist()
        for lies, way in WAYS.items():
            face = -half if lies[0] == "front" else half
            run: list[float] = []
            for (_, y), lying in zip([*points, (math.nan, math.nan)], [*on, False], strict=True):
                if lying and way * (y - face) >= 0:
                    run.append(y)
                    continue
                if len(run) > 1:
                    yield _Side((one, two), (min(run), max(run)), lies, half, out, seen)
                run = []
