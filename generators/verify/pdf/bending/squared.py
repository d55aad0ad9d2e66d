"""The edge a square is laid along where one finger does not square a sheet: found and measured on the blank.

Its side lies square to the bend and flat on the die so far, on one side of the die's front face; what is bent
by then is folded anew and must not stand where the blade lies.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Mapping, Sequence

import numpy as np
import shapely
from shapely.geometry import MultiPoint, Polygon, box

from generators.geometry.contours import polyline, segments
from generators.geometry.frames import Matrix
from generators.model.plan import Bend, PartPlan
from generators.model.spec.tools.press import Die
from generators.sheetmetal.folding import FlatBend, FlatPattern, bend_length, flat_pattern
from generators.verify.pdf.bending.blank import in_mm, rear_side, shown
from generators.verify.pdf.bending.gauged import Point, given_by, laid_points, place_along
from generators.verify.pdf.bending.instead import orders_of
from generators.verify.pdf.bending.swinging import one_plane

SQUARED = (
    r"SQUARE IT BY the edge (?P<edge>[a-z]{1,2} to [a-z]{1,2}), which lies square to the bend: the stock of "
    r"a square along the front face of the die, its blade (?P<blade>back over the die|out toward you) along "
    r"(?P<along>[\d.]+) (?P<along_unit>mm|in) or more of that edge\."
)
PLAY_MM, LEAST_MM = 0.1, 10.0
FINE_MM, NEAR_MM, ROUNDED_MM, SLOPE = 0.1, 0.3, 0.11, 0.002
BLADE_MM, ROOM_MM = 24.0, 130.0
"""Less than a blade is wide; more than blade and stock need, where one that could be used is looked for."""


def squared_problems(
    steps: Sequence[re.Match[str]], letters: Mapping[str, Point], plan: PartPlan, dies: Sequence[Die]
) -> Iterator[str]:
    """What is wrong with the edges of squares; ``letters`` where the blank's picture has its corners."""
    flat = flat_pattern(plan)
    for order in orders_of(steps):
        before: set[str] = set()
        for match in order:
            bend = next((b for b in plan.bends if shown(b.name) == match["bend"]), None)
            if bend is None:
                continue
            die = next((d for d in dies if d.name == match.groupdict().get("die")), None)
            if die is not None and (match["edge"] or match["alone"]):
                yield from _step(match, letters, bend, before, plan, flat, die)
            before.add(bend.name)


def _step(
    match: re.Match[str],
    letters: Mapping[str, Point],
    bend: Bend,
    before: set[str],
    plan: PartPlan,
    flat: FlatPattern,
    die: Die,
) -> Iterator[str]:
    where = f"step {match['number']}"
    need = max(PLAY_MM * bend_length(bend) / plan.bent_mm, LEAST_MM)
    printed = in_mm(match["along"] or match["alone_need"], match["along_unit"] or match["alone_unit"])
    if not need - NEAR_MM / 10 < printed < need + ROUNDED_MM:
        yield f"{where}: a square along {printed:.1f} mm, the bend's length asks for {need:.1f} mm"
    sides = list(_sides(match, bend, before, plan, flat, die))
    if not match["edge"]:
        if free := [f"{one.long_mm:.1f}" for one in sides if one.long_mm > need + 2.0 and one.clear(ROOM_MM)]:
            yield f"{where}: no edge is said to be free for a square, one of {free[0]} mm is"
        return
    ends = [given_by(x, letters, flat) for x in match["edge"].split(" to ") if x in letters]
    these = [s for s in sides if len(ends) == 2 and s.between(ends[0], ends[1])]
    these = [s for s in these if s.back == (match["blade"] == "back over the die")]
    if not these:
        yield f"{where}: {match['edge']} is no edge square to the bend for a blade {match['blade']}"
    elif max(s.long_mm for s in these) < need - NEAR_MM:
        most = max(s.long_mm for s in these)
        yield f"{where}: a square along {need:.1f} mm of {match['edge']}, {most:.1f} mm lie flat there"
    elif not any(s.clear(BLADE_MM, need) for s in these):
        yield f"{where}: the blade along {match['edge']} meets what is bent already"


class _Side:
    """A stretch of a side as the part lies on the die: at ``x`` along the bend, its run toward the gauge."""

    def __init__(
        self, ends: tuple[Point, Point], run: tuple[float, float], back: bool, out: float, seen: _Seen
    ) -> None:
        self.ends, self.low, self.high, self.back = ends, *run, back
        self._out, self._seen = out, seen
        self.x = (seen.at(ends[0])[0] + seen.at(ends[1])[0]) / 2

    @property
    def long_mm(self) -> float:
        return self.high - self.low

    def between(self, one: Point, two: Point) -> bool:
        """True where the whole side lies between two corners, which are given where its rounds would meet."""
        line = shapely.LineString([one, two])
        return all(line.distance(shapely.Point(end)) < NEAR_MM for end in self.ends)

    def clear(self, wide_mm: float, need_mm: float | None = None) -> bool:
        """True where nothing of the part lies beside it, over so much of it, or all of it, and so wide."""
        x0, x1 = sorted((self.x + self._out * NEAR_MM, self.x + self._out * wide_mm))
        if need_mm is None:
            # the stock, too, wherever it lies before the die
            points = self._seen.standing
            near = np.abs(points[:, 0] - self.x) < wide_mm
            if bool(np.any(near)):
                return False
            return not self._seen.blank.intersects(box(x0, self.low, x1, self.high))
        taken = self._seen.blank.intersection(box(x0, self.low, x1, self.high))
        points = self._seen.standing
        thick = self._seen.thickness
        level = points[(points[:, 2] > NEAR_MM) & (points[:, 2] < thick - NEAR_MM)]
        inside = level[(level[:, 0] > x0) & (level[:, 0] < x1)]
        stops = [self.low, *inside[:, 1], self.high]
        for part in getattr(taken, "geoms", [taken]):
            if not part.is_empty:
                stops += [part.bounds[1], part.bounds[3]]
        within = np.array(sorted(s for s in stops if self.low <= s <= self.high))
        return bool(np.diff(within).max() > need_mm - 2 * NEAR_MM)


class _Seen:
    """The blank and what stands of the part, laid in for a bend: along it, to the gauge, up."""

    def __init__(
        self,
        match: re.Match[str],
        bend: Bend,
        before: set[str],
        plan: PartPlan,
        flat: FlatPattern,
    ) -> None:
        self.this: FlatBend = next(b for b in flat.bends if b.bend.name == bend.name)
        self.rear = rear_side(self.this, match["rear"])
        self.thickness = plan.thickness_mm
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
        self.blank = shapely.union_all([r.buffer(0.0) for r in [*rings, *strips]])
        clouds = [
            points
            for name, points in laid_points(match, bend, before, plan).items()
            if name not in {shown(n) for n in lying}
        ]
        self.standing: Matrix = np.concatenate([*clouds, np.empty((0, 3))])

    def at(self, p: Point) -> Point:
        (au, av), (bu, bv) = self.this.middle
        long = math.hypot(bu - au, bv - av)
        off = ((p[0] - au) * (bv - av) - (p[1] - av) * (bu - au)) / long
        return place_along(self.this, p), self.rear * off


def _sides(
    match: re.Match[str], bend: Bend, before: set[str], plan: PartPlan, flat: FlatPattern, die: Die
) -> Iterator[_Side]:
    """Every stretch of a straight side, square to the bend and flat on the die, on one side of its face."""
    seen = _Seen(match, bend, before, plan, flat)
    face = -die.width_mm / 2
    for a, b in segments(flat.contour):
        one, two = (a.u, a.v), (b.u, b.v)
        (ax, ay), (bx, by) = seen.at(one), seen.at(two)
        if a.bulge != 0 or abs(by - ay) < LEAST_MM / 2 or abs(bx - ax) > SLOPE * abs(by - ay):
            continue
        count = max(int(abs(by - ay) / FINE_MM), 2)
        points = [(ax + (bx - ax) * k / count, ay + (by - ay) * k / count) for k in range(count + 1)]
        # the blank lies to the left of its outline; which way that is on the machine shows a point beside it
        middle = ((ax + bx) / 2, (ay + by) / 2)
        whole = Polygon([seen.at(p) for p in polyline(flat.contour, 0.01)])
        out = -1.0 if whole.covers(shapely.Point(middle[0] + NEAR_MM / 3, middle[1])) else 1.0
        for back in (True, False):
            run: list[float] = []
            for x, y in [*points, (math.nan, math.nan)]:
                lies = not math.isnan(y) and (y >= face) == back
                if lies and seen.blank.distance(shapely.Point(x, y)) < 0.05:
                    run.append(y)
                    continue
                if len(run) > 1:
                    yield _Side((one, two), (min(run), max(run)), back, out, seen)
                run = []
