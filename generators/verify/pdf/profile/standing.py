"""How a profile sheet says that the part stands on it, held against the folded part.

Where the metal comes down to the paper is found here by lines laid across each flange, every half millimetre
out from its bend; the grey of the page must be there, the edges named must have that metal on them, and legs
of different length must turn as they do for who looks down on the part.
"""

from __future__ import annotations

import itertools
import math
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from shapely.geometry import LineString, Polygon

from generators.geometry.contours import polyline, segments
from generators.geometry.frames import Matrix, apply
from generators.model.plan import Bend, PartPlan
from generators.sheetmetal.folding import flat_pattern, folded_frames
from generators.verify.corners import lettered
from generators.verify.pdf.content import Content, Shape
from generators.verify.pdf.rebuild.legs import hidden, reach, span, tangent

STAND = re.compile(
    r"STAND THE PART ON ITS EDGE (?P<edges>[a-z ]+) \(letters of the drawing\), on the grey, "
    r"and hold it there\."
    r"(?P<above> White is metal above the paper: set a square up against it\.)?"
    r"(?: (?P<over>[A-Za-z0-9, ]+) hides? some of the outline from above: look in under (?:it|them), "
    r"level with the paper\.)?"
)
CUT_OUT = "THE PART DOES NOT STAND ON THIS PROFILE: print it on card"
CUT_ALONG = re.compile(
    r"cut the thick line away \((?P<side>inside|outside|upper side|lower side) of the bends?\), on to the "
    r"sheet's edges, and hold the piece (?P<how>within it into|around it over|beyond it against) the bends?, "
    r"square to the metal\."
)
FLAT_MM = 1e-9
ROOM_MM = 4.0
"""Sides whose room for a card differs by less are alike: each flange beside it has two ends. Ours."""
HOW = {"inside": "within it into", "outside": "around it over"}
THICK_MM, HALF_MM = 0.9, 0.5
"""A line wider than the one is cut away; by the other its middle lies within the metal."""
STEP_MM, OFF_MM, TOUCH_MM = 0.5, 0.8, 0.012
DIFFER_MM = 0.2
WHITE_MM = 1.0
"""So much white need not be spoken of; a finger more is a millimetre of doubt. Ours."""

HIDES_MM, DOUBT_MM = 20.0, 3.0
"""What hides so much of the line beside the metal is told of, and how near that is found here. Ours."""

Run = tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class End:
    """One end of the part: which way is down, and the runs of each leg that touch, from its nearest bend."""

    down: Matrix
    runs: dict[str, list[Run]]
    places: list[tuple[float, float]]
    legs_mm: float

    @property
    def total(self) -> float:
        """How much of the legs touches, mm."""
        return sum(long for leg in self.runs.values() for _, long in leg)


def standing_problems(
    page: Content, outline: Shape, plan: PartPlan, bends: Sequence[Bend], edges: str = ""
) -> Iterator[str]:
    """What is wrong with the words and the grey of a page; ``edges`` for bends said to stand on others."""
    said = STAND.search(page.text)
    drawn_short = "drawn short" in page.text
    ends = [e for way in (1.0, -1.0) if (e := end_at(plan, bends, way)) is not None]
    grey = _grey(page, outline, plan.thickness_mm)
    if not ends:
        if said or CUT_OUT not in page.text:
            yield "does not say that the part does not stand on the profile"
        if grey:
            yield "has grey on a profile the part does not stand on"
        yield from _card_problems(page, outline, plan, bends)
        return
    if said is None or CUT_OUT in page.text:
        yield "does not say on which edge the part stands"
        return
    most = max(e.total for e in ends)
    best = [e for e in ends if e.total > most - OFF_MM]
    problems = [list(_end_problems(said, edges, grey, outline, plan, bends, e)) for e in best]
    yield from min(problems, key=len)
    told = {n.strip().lower() for n in re.split(r", | and ", said["over"] or "") if n}
    for name, long in () if drawn_short else hidden(plan, bends):
        shown = name.replace("_", " ").lower()
        if (shown in told) != (long > HIDES_MM) and abs(long - HIDES_MM) > DOUBT_MM:
            yield f"is wrong about {shown}, which hides {long:.0f} mm of the outline from above"
        told.discard(shown)
    if told and not drawn_short:
        yield f"says that {', '.join(sorted(told))} hides the outline"


def _card_problems(page: Content, outline: Shape, plan: PartPlan, bends: Sequence[Bend]) -> Iterator[str]:
    """Which side a card is cut for: words, thick line and the room beside the metal must agree."""
    said = CUT_ALONG.search(" ".join(page.text.split()))
    if said is None:
        yield "does not say along which line a card is cut, and how it is held"
        return
    side, one_way = said["side"], len({b.direction for b in bends}) == 1
    if one_way != (side in HOW) or said["how"] != HOW.get(side, "beyond it against"):
        ways = "one way" if one_way else "both ways"
        yield f"cuts a card for the {side} and holds it {said['how']} bends that turn {ways}"
        return
    thick = [s for s in page.shapes if s.stroked and not s.closed and s.width > THICK_MM and not s.curves]
    rim = Polygon(outline.points).buffer(0).exterior if outline.points else None
    near = [
        s
        for s in thick
        if rim is not None and all(rim.distance(_point(s.points[i])) < OFF_MM for i in (0, -1))
    ]
    if len(near) != 1:
        yield f"has {len(near)} thick lines to cut along"
        return
    t = plan.thickness_mm
    if one_way:
        out = t - HALF_MM if side == "outside" else HALF_MM
        flats = sum(_flats(plan, bends))
        arcs = sum(b.angle_rad * (b.inside_radius_mm + out) for b in bends)
        long = LineString(near[0].points).length
        if "drawn short" not in page.text and abs(long - flats - arcs) > OFF_MM:
            yield f"the thick line is {long:.1f} mm long; the {side} is {flats + arcs:.1f} mm"
    up = bends[0].direction == "up"
    upper = side == "upper side" if not one_way else (side == "inside") == up
    here, there = (_free_mm(plan, bends, upper=way) for way in (upper, not upper))
    if here < there - ROOM_MM:
        yield f"cuts a card for the {side}, where {here:.0f} mm are free; on the other are {there:.0f} mm"


def _flats(plan: PartPlan, bends: Sequence[Bend]) -> Iterator[float]:
    """How long each leg is in the flat, between its bends or from one to its end."""
    for name in sorted({n for b in bends for n in (b.parent, b.child)}):
        own = [b for b in bends if name in (b.parent, b.child)]
        yield span(plan.flange(name), own) or reach(plan.flange(name), own[0])


def _free_mm(plan: PartPlan, bends: Sequence[Bend], *, upper: bool) -> float:
    """Along how much of a bend no other flange is on that side: each is cut by planes square to the bend."""
    frames, t = folded_frames(plan), plan.thickness_mm
    chain = {n for b in bends for n in (b.parent, b.child)}
    legs: list[Matrix] = [np.array(np.linalg.inv(frames[name]), dtype=float) for name in sorted(chain)]
    into = all((b.direction == "up") == upper for b in bends)
    base, wide = frames[bends[0].child], math.dist(bends[0].start, bends[0].end)
    rims: list[Matrix] = []
    for flange in plan.flanges:
        ring = np.array(polyline(flange.contour, 0.05))
        if flange.name not in chain:
            levels = [np.column_stack([ring, np.full(len(ring), w)]) for w in (0.0, t)]
            rims += [apply(frames[flange.name], level) for level in levels]
    free = 0.0
    for k in range(int(wide / STEP_MM)):
        met = False
        for rim in rims:
            here = (rim - base[:3, 3]) @ base[:3, 0] - (k + 0.5) * STEP_MM
            after = np.roll(here, -1)
            across = (here * after <= 0) & (np.abs(after - here) > FLAT_MM)
            share = (here[across] / (here[across] - after[across]))[:, None]
            points: Matrix = np.array(
                rim[across] + share * (np.roll(rim, -1, axis=0) - rim)[across], dtype=float
            )
            lies = np.array([apply(leg, points)[:, 2] for leg in legs])
            past = lies > t + TOUCH_MM if upper else lies < -TOUCH_MM
            met |= bool((np.all(past, axis=0) if into else np.any(past, axis=0)).any())
        free += 0.0 if met else STEP_MM
    return free


def _end_problems(
    said: re.Match[str],
    edges: str,
    grey: Sequence[Run],
    outline: Shape,
    plan: PartPlan,
    bends: Sequence[Bend],
    end: End,
) -> Iterator[str]:
    named, short = edges or said["edges"], "drawn short" in said.string
    wanted = sorted(run for leg in end.runs.values() for run in leg)
    if not short:
        if len(grey) != len(wanted) or any(
            abs(g[0] - w[0]) > OFF_MM or abs(g[1] - w[1]) > OFF_MM for g, w in zip(grey, wanted, strict=True)
        ):
            yield f"grey is {_words(grey)} from the bends; the metal touches {_words(wanted)}"
        if bool(said["above"]) != (end.total < end.legs_mm - WHITE_MM) and abs(
            end.legs_mm - WHITE_MM - end.total
        ) > len(wanted):
            yield "is wrong about metal above the paper"
        if not _turned(outline, plan, bends, end.down):
            yield "shows the part as its mirror image for who looks down on it"
    elif len(grey) != len(wanted):
        yield f"has grey on {len(grey)} legs, and {len(wanted)} touch"
    sides = named_sides(plan, named)
    if sides is None:
        yield f"names an edge {named}, which the blank has not"
        return
    for place in end.places:
        if not any(LineString(side).distance(_point(place)) < OFF_MM for side in sides):
            yield f"stands on metal that is not on {named}"
            return
    for side in sides:
        if not any(LineString(side).distance(_point(place)) < OFF_MM for place in end.places):
            yield f"names an edge of {named} that does not touch"


def _words(runs: Sequence[Run]) -> str:
    return ", ".join(f"{a:.1f} to {a + long:.1f}" for a, long in runs) or "nowhere"


def _point(place: tuple[float, float]) -> LineString:
    return LineString([place, place])


def end_at(plan: PartPlan, bends: Sequence[Bend], way: float) -> End | None:
    """What touches where the part stands on that end; None where a bend stays off."""
    frames, flat = folded_frames(plan), flat_pattern(plan)
    down: Matrix = way * (frames[bends[0].child][:3, :3] @ np.array([1.0, 0.0, 0.0]))
    lowest = max(float(np.max(points @ down)) for points in _everything(plan, frames))
    for bend in bends:
        ends = apply(
            frames[bend.child], np.array([(0.0, 0.0, 0.0), (math.dist(bend.start, bend.end), 0.0, 0.0)])
        )
        if float(np.max(ends @ down)) < lowest - TOUCH_MM:
            return None
    runs: dict[str, list[Run]] = {}
    places: list[tuple[float, float]] = []
    legs_mm = 0.0
    for name in sorted({n for b in bends for n in (b.parent, b.child)}):
        flange = plan.flange(name)
        own = [b for b in bends if name in (b.parent, b.child)]
        (u0, v0), (u1, v1) = tangent(flange, own[0])
        long = math.dist((u0, v0), (u1, v1))
        eu, ev = (u1 - u0) / long, (v1 - v0) / long
        far = span(flange, own) or reach(flange, own[0])
        legs_mm += far
        metal = Polygon(polyline(flange.contour, 0.01))
        hits = []
        for k in range(int(far / STEP_MM)):
            d = (k + 0.5) * STEP_MM
            # the flange lies to the left of its tangent line
            u, v = u0 - ev * d, v0 + eu * d
            across = LineString([(u - 1e4 * eu, v - 1e4 * ev), (u + 1e4 * eu, v + 1e4 * ev)]).intersection(
                metal
            )
            if across.is_empty:
                continue
            points = np.array([p for g in getattr(across, "geoms", [across]) for p in g.coords])
            there = apply(frames[name], np.column_stack([points, np.zeros(len(points))])) @ down
            if float(there.max()) > lowest - TOUCH_MM:
                hits.append(k)
                u, v = points[int(np.argmax(there))]
                places.append(flat.placements[name].apply(float(u), float(v)))
        runs[name] = []
        for _, group in itertools.groupby(enumerate(hits), key=lambda pair: pair[1] - pair[0]):
            ks = [k for _, k in group]
            low, high = ks[0] * STEP_MM, (ks[-1] + 1) * STEP_MM
            start = min(low, far - high) if len(own) > 1 else low
            runs[name].append((max(start, 0.0), high - low))
    return End(down=down, runs=runs, places=places, legs_mm=legs_mm)


def _everything(plan: PartPlan, frames: dict[str, Matrix]) -> Iterator[Matrix]:
    """Points of the folded part: faces' rims, what stands off round holes, and the outsides of bends."""
    t = plan.thickness_mm
    for flange in plan.flanges:
        rim = np.array(polyline(flange.contour, 0.05))
        for w in (0.0, t):
            yield apply(frames[flange.name], np.column_stack([rim, np.full(len(rim), w)]))
        for hole in flange.holes:
            if hole.finish is None or not hole.finish.stands_mm:
                continue
            turns = np.linspace(0.0, 2 * np.pi, 181)
            w = t + hole.finish.stands_mm if hole.finish.side == "upper" else -hole.finish.stands_mm
            u = hole.u_mm + hole.finish.wide_mm / 2 * np.cos(turns)
            v = hole.v_mm + hole.finish.wide_mm / 2 * np.sin(turns)
            yield apply(frames[flange.name], np.column_stack([u, v, np.full(len(turns), w)]))
    for bend in plan.bends:
        out, axis = (
            (0.0, bend.inside_radius_mm + t) if bend.direction == "up" else (t, -bend.inside_radius_mm)
        )
        for end, along in ((bend.start, 0.0), (bend.end, math.dist(bend.start, bend.end))):
            tip, centre = apply(frames[bend.child], np.array([(along, 0.0, out), (along, 0.0, axis)]))
            other = apply(frames[bend.parent], np.array([(*end, out)]))[0]
            a, b = tip - centre, other - centre
            half = (a + b) / np.linalg.norm(a + b) * np.linalg.norm(a) if np.linalg.norm(a + b) > 1e-6 else a
            quarters = [
                (p + q) / np.linalg.norm(p + q) * np.linalg.norm(a) for p, q in ((a, half), (half, b))
            ]
            yield np.array([tip, other, centre + half, *(centre + q for q in quarters)])


def _grey(page: Content, outline: Shape, thickness_mm: float) -> list[Run]:
    """Grey spans of legs: how far each begins from the nearest end of a bend, and how long it is."""
    rounds = [p for c in outline.curves for p in (c[0], c[3])]
    found = []
    for shape in page.shapes:
        ring = list(dict.fromkeys(shape.points))
        if not shape.filled or shape.stroked or shape.curves or len(ring) != 4:
            continue
        sides = [math.dist(a, b) for a, b in zip(ring, [*ring[1:], ring[0]], strict=True)]
        if min(abs(s - thickness_mm) for s in sides) > 0.03 or not Polygon(outline.points).buffer(
            0.05
        ).contains(Polygon(ring)):
            continue
        long = sides[0] if abs(sides[1] - thickness_mm) < 0.03 else sides[1]
        found.append((min(math.dist(p, q) for p in ring for q in rounds), long))
    return sorted(found)


def _turned(outline: Shape, plan: PartPlan, bends: Sequence[Bend], down: Matrix) -> bool:
    """True where the outline turns from the one leg of each bend to the other as it does seen from above."""
    frames = folded_frames(plan)
    arcs = list(_arcs(outline))
    seen: list[tuple[list[float], float]] = []
    for bend in bends:
        flats: list[float] = []
        ways: list[Matrix] = []
        for name, sign in ((bend.parent, -1.0), (bend.child, 1.0)):
            flange = plan.flange(name)
            (u0, v0), (u1, v1) = tangent(flange, bend)
            long = math.dist((u0, v0), (u1, v1))
            out = np.array([(v0 - v1) / long, (u1 - u0) / long, 0.0])
            ways.append(sign * (frames[name][:3, :3] @ out))
            flats.append(span(flange, [b for b in bends if name in (b.parent, b.child)]) or 0.0)
        wanted = math.copysign(1.0, float(np.cross(ways[0], ways[1]) @ -down))
        seen.append((flats, wanted))
    for flats, wanted in seen:
        alike = [
            f
            for f, _ in seen
            if max(abs(a - b) for a, b in zip(sorted(f), sorted(flats), strict=True)) < DIFFER_MM
        ]
        # two bends between like legs, or like legs at one, show nothing
        if len(alike) > 1 or abs(flats[0] - flats[1]) < DIFFER_MM:
            continue
        for before, after, turn in arcs:
            for one, two, sign in ((*flats, 1.0), (*flats[::-1], -1.0)):
                if abs(before - one) < 0.05 and abs(after - two) < 0.05 and turn * sign * wanted < 0:
                    return False
    return True


def _arcs(outline: Shape) -> Iterator[tuple[float, float, float]]:
    """Each turn of an outline: the straight side before it, the one after it, and 1 for a left one."""
    points = list(outline.points)
    if math.dist(points[0], points[-1]) > 1e-6:
        points.append(points[0])
    curved = {(c[0], c[3]) for c in outline.curves}
    pieces = [((a, b) in curved, a, b) for a, b in itertools.pairwise(points) if math.dist(a, b) > 1e-6]
    start = next(i for i, piece in enumerate(pieces) if not piece[0])
    pieces = pieces[start:] + pieces[:start]
    straight = [i for i, piece in enumerate(pieces) if not piece[0]]
    for i, j in zip(straight, [*straight[1:], straight[0]], strict=True):
        if j == i + 1 or (j == 0 and i == len(pieces) - 1):
            continue
        (_, a, b), (_, c, d) = pieces[i], pieces[j]
        turn = (b[0] - a[0]) * (d[1] - c[1]) - (b[1] - a[1]) * (d[0] - c[0])
        yield math.dist(a, b), math.dist(c, d), math.copysign(1.0, turn)


def named_sides(plan: PartPlan, edges: str) -> list[list[tuple[float, float]]] | None:
    """The straight sides of the blank between the named corners; None where one is none."""
    flat = flat_pattern(plan)
    letters = lettered(flat)
    straight = [[(a.u, a.v), (b.u, b.v)] for a, b in segments(flat.contour) if not a.bulge]
    out = []
    for edge in edges.split(" and "):
        one, _, two = edge.partition(" to ")
        if one not in letters or two not in letters:
            return None
        names = list(letters)
        if two != names[(names.index(one) + 1) % len(names)]:
            return None
        a, b = letters[one], letters[two]
        out.append(min(straight, key=lambda s: math.dist(s[0], a) + math.dist(s[1], b)))
    return out
