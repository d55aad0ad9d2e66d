"""Which part each outline of a nest is: told by its corners, its openings, its bends and marks, its letters.

Two parts may have one blank, and differ in nothing, in their grain, or only in which way they are bent. So an
outline may be several parts; which it is taken for is what makes the counts right, if anything does.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
from ezdxf.entities.dxfgfx import DXFGraphic
from ezdxf.entities.line import Line
from scipy.sparse import csr_array
from scipy.sparse.csgraph import maximum_bipartite_matching
from shapely import STRtree
from shapely.geometry import LineString, Point, Polygon

from generators.geometry.contours import (
    Placement,
    area,
    bounds,
    counter_clockwise,
    polyline,
    stadium,
    transformed,
)
from generators.model.contour import Contour
from generators.model.plan import PartPlan
from generators.model.spec.shop import Cutting
from generators.model.spec.tools.rates import RackSheet
from generators.sheetmetal.cut_file import LayerNames, cut_pattern
from generators.sheetmetal.folding import FlatPattern, flat_pattern
from generators.sheetmetal.marking.etching import etching
from generators.verify.dxf.cut_contours import CutCircle, at
from generators.verify.dxf.etched import letter_problems, segments_of

SAME_MM = 1e-4
SAME_RATIO = 1e-6
CHORD_MM = 0.001
GRAIN_RAD = 1e-6
MARK_ARM_MM = 1.5
Ends = tuple[tuple[float, float], tuple[float, float]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """What must be on the sheet: so many of each part, ``least_mm`` its smallest hole."""

    plan: PartPlan
    least_mm: float
    count: int

    @property
    def lettered(self) -> PartPlan:
        """The plan with its letters where there is room for them, without where there is none."""
        room = not self.plan.etch or etching(self.plan, flat_pattern(self.plan)) is not None
        return self.plan if room else replace(self.plan, etch="")


@dataclass(frozen=True, slots=True)
class Found:
    """An outline of the file with its openings, and what it is recognised as."""

    outline: Contour
    shape: Polygon
    circles: tuple[CutCircle, ...]
    inner: tuple[Contour, ...]


def sorted_out(contours: Sequence[Contour], circles: Sequence[CutCircle]) -> list[Found]:
    """Outlines that lie in no other, each with the openings inside it."""
    shapes = [Polygon(polyline(c, CHORD_MM)) for c in contours]
    tree = STRtree(shapes)
    holder: dict[int, int] = {}
    for i, shape in enumerate(shapes):
        outer = [
            int(j)
            for j in tree.query(shape.representative_point(), predicate="within")
            if int(j) != i and shapes[int(j)].area > shape.area and shapes[int(j)].contains(shape)
        ]
        if outer:
            holder[i] = outer[0]
    rings: dict[int, list[CutCircle]] = {}
    for circle in circles:
        inside = [
            int(j) for j in tree.query(Point(circle.u, circle.v), predicate="within") if int(j) not in holder
        ]
        rings.setdefault(inside[0] if inside else -1, []).append(circle)
    return [
        Found(
            contours[i],
            shape,
            tuple(rings.get(i, ())),
            tuple(contours[j] for j, outer in holder.items() if outer == i),
        )
        for i, shape in enumerate(shapes)
        if i not in holder
    ]


@dataclass(frozen=True, slots=True)
class May:
    """A part an outline may be, and how its blank lies there."""

    want: Wanted
    planned: FlatPattern
    cut: FlatPattern
    move: Placement

    @property
    def name(self) -> str:
        """The part's name."""
        return self.want.plan.name


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawn:
    """What lies on the blanks beside their cuts: lines on layers of bends and marks, and letters."""

    lines: Sequence[Line]
    etched: Sequence[DXFGraphic]


def recognise(
    found: Sequence[Found],
    wanted: Sequence[Wanted],
    drawn: Drawn,
    rack: RackSheet,
    *,
    cutting: Cutting,
    layers: LayerNames,
) -> tuple[list[frozenset[str]], list[str]]:
    """The parts each outline may be, by name, and everything that is wrong with the blanks."""
    flats = [
        (w, planned, cut_pattern(planned, cutting.kerf_mm, w.least_mm))
        for w in wanted
        for planned in (flat_pattern(w.plan),)
    ]
    lines, letters = list(drawn.lines), list(segments_of(drawn.etched))
    problems: list[str] = []
    names: list[frozenset[str]] = []
    for one in found:
        where = at(bounds(one.outline)[:2])
        on = [e for e in lines if one.shape.intersects(LineString(_ends(e)))]
        own = [s for s in letters if one.shape.contains(Point(s[0].real, s[0].imag))]
        lines = [e for e in lines if e not in on]
        letters = [s for s in letters if s not in own]
        mays = [May(w, p, c, move) for w, p, c in flats for move in moves_onto(c.contour, one.outline)]
        if not mays:
            problems.append(f"the outline at {where} is no blank of the job")
            names.append(frozenset())
            continue

        def by_openings(may: May, one: Found = one, where: str = where) -> str:
            lie = _openings_lie(may.cut, may.move, one)
            return "" if lie else f"the openings of the blank at {where} are not those of {may.name}"

        def by_grain(may: May, where: str = where) -> str:
            lies = _by_grain(may.want.plan, may.move, rack)
            return "" if lies else f"{may.name} at {where} does not lie by its grain"

        def by_lines(may: May, on: Sequence[Line] = on) -> str:
            return next((f"{may.name}: {p}" for p in _line_problems(may, on, cutting, layers)), "")

        def by_letters(may: May, own: Sequence[tuple[complex, complex]] = own) -> str:
            return next((f"{may.name}: {p}" for p in _letters(own, may)), "")

        for test in (by_openings, by_grain, by_lines, by_letters):
            mays, said = _those(mays, test)
            problems += said
        names.append(frozenset(may.name for may in mays))
    if lines:
        problems.append(f"{len(lines)} lines on bend and mark layers are on no blank")
    if letters:
        problems.append(f"{len(letters)} lines are etched beside the blanks")
    return names, [*problems, *_count_problems(found, names, wanted)]


def _those(mays: list[May], test: Callable[[May], str]) -> tuple[list[May], list[str]]:
    """Those that hold; where none does, all of them and what is wrong with the first."""
    said = [test(may) for may in mays]
    holding = [may for may, words in zip(mays, said, strict=True) if not words]
    return (holding, []) if holding else (mays, said[:1])


def _count_problems(
    found: Sequence[Found], names: Sequence[frozenset[str]], wanted: Sequence[Wanted]
) -> Iterator[str]:
    """Outlines given to parts so that as many as can be are: a matching, by scipy."""
    places = [w.plan.name for w in wanted for _ in range(w.count)]
    may_be = np.array([[place in own for place in places] for own in names], dtype=bool)
    seen: Counter[str] = Counter()
    if may_be.size:
        given = maximum_bipartite_matching(csr_array(may_be), perm_type="column")
        seen.update(places[i] for i in given if i >= 0)
        for one, own, i in zip(found, names, given, strict=True):
            if own and i < 0:
                yield f"{' or '.join(sorted(own))} at {at(bounds(one.outline)[:2])} is one too many"
    for want in wanted:
        if seen[want.plan.name] != want.count:
            yield f"{seen[want.plan.name]} of {want.plan.name}, {want.count} are wanted"


def _letters(own: Sequence[tuple[complex, complex]], may: May) -> Iterator[str]:
    """Letters of a blank moved back onto the part's own."""
    plan, back = may.want.lettered, may.move.inverse()
    if not plan.etch:
        if own:
            yield f"{len(own)} lines are etched, the part asks for none"
        return
    there = [(complex(*back.apply(a.real, a.imag)), complex(*back.apply(b.real, b.imag))) for a, b in own]
    yield from letter_problems(there, plan, may.planned)


def _line_problems(may: May, on: Sequence[Line], cutting: Cutting, layers: LayerNames) -> Iterator[str]:
    """Its bend lines and the centre marks of what is drilled, each once, and nothing beside them."""
    left = list(on)
    for what, layer, ends in _lines_of(may, cutting, layers):
        line = next((e for e in left if e.dxf.layer == layer and _is_line(e, ends)), None)
        if line is None:
            yield f"{what} has no line at {at(ends[0])} on {layer}"
        else:
            left.remove(line)
    if left:
        yield f"{len(left)} lines on bend and mark layers are no bend and no mark of its own"


def _lines_of(may: May, cutting: Cutting, layers: LayerNames) -> Iterator[tuple[str, str, Ends]]:
    if cutting.bend_lines:
        for strip in may.cut.bends:
            a, b = (may.move.apply(*p) for p in strip.middle)
            yield f"bend {strip.bend.name}", layers.bend(strip.bend.direction), (a, b)
    middles = [(h.name, h.u_mm, h.v_mm) for h in may.planned.holes if h.diameter_mm < may.want.least_mm]
    for s in may.planned.slots:
        if s.width_mm < may.want.least_mm:
            for half in (-s.travel_mm / 2, s.travel_mm / 2):
                du, dv = half * math.cos(s.angle_rad), half * math.sin(s.angle_rad)
                middles.append((s.name, s.u_mm + du, s.v_mm + dv))
    for name, own_u, own_v in middles:
        u, v = may.move.apply(own_u, own_v)
        for du, dv in ((MARK_ARM_MM, 0.0), (0.0, MARK_ARM_MM)):
            yield f"the centre mark of {name}", layers.mark, ((u - du, v - dv), (u + du, v + dv))


def _ends(line: Line) -> Ends:
    return (line.dxf.start.x, line.dxf.start.y), (line.dxf.end.x, line.dxf.end.y)


def _is_line(line: Line, ends: Ends) -> bool:
    a, b = _ends(line)
    return any(math.dist(a, p) < SAME_MM and math.dist(b, q) < SAME_MM for p, q in (ends, ends[::-1]))


def moves_onto(own: Contour, there: Contour) -> Iterator[Placement]:
    """Every turn and shift, without mirroring, that carries one outline onto the other."""
    a, b = counter_clockwise(own).vertices, counter_clockwise(there).vertices
    if len(a) != len(b) or not math.isclose(area(own), area(there), rel_tol=SAME_RATIO):
        return
    longest = max(range(len(a)), key=lambda i: math.dist((a[i - 1].u, a[i - 1].v), (a[i].u, a[i].v)))
    p, q = a[longest - 1], a[longest]
    for k in range(len(b)):
        r, s = b[k - 1], b[k]
        if abs(math.dist((p.u, p.v), (q.u, q.v)) - math.dist((r.u, r.v), (s.u, s.v))) > SAME_MM:
            continue
        turn = math.atan2(s.v - r.v, s.u - r.u) - math.atan2(q.v - p.v, q.u - p.u)
        u, v = Placement(0.0, 0.0, turn).apply(p.u, p.v)
        move = Placement(r.u - u, r.v - v, turn)
        pairs = zip(
            (a[(longest - 1 + i) % len(a)] for i in range(len(a))),
            (b[(k - 1 + i) % len(b)] for i in range(len(b))),
            strict=True,
        )
        if all(
            math.dist(move.apply(x.u, x.v), (y.u, y.v)) < SAME_MM and abs(x.bulge - y.bulge) < SAME_MM
            for x, y in pairs
        ):
            yield move


def _openings_lie(flat: FlatPattern, move: Placement, one: Found) -> bool:
    left = list(one.circles)
    for hole in flat.holes:
        place = move.apply(hole.u_mm, hole.v_mm)
        here = [
            c
            for c in left
            if math.dist((c.u, c.v), place) < SAME_MM and abs(c.diameter - hole.diameter_mm) < SAME_MM
        ]
        if not here:
            return False
        left.remove(here[0])
    inner = list(one.inner)
    for slot in flat.slots:
        wanted = transformed(
            stadium(slot.u_mm, slot.v_mm, slot.width_mm, slot.travel_mm, slot.angle_rad), move
        )
        same = [c for c in inner if next(moves_onto(wanted, c), None) is not None and _near(wanted, c)]
        if not same:
            return False
        inner.remove(same[0])
    return not left and not inner


def _near(one: Contour, other: Contour) -> bool:
    return all(abs(a - b) < SAME_MM for a, b in zip(bounds(one), bounds(other), strict=True))


def _by_grain(plan: PartPlan, move: Placement, rack: RackSheet) -> bool:
    """True where the grain ordered lies along the sheet's rolling direction, either way round."""
    if plan.grain == "any":
        return True
    own = 0.0 if plan.grain == "along_u" else math.pi / 2
    rolled = 0.0 if rack.grain == "length" else math.pi / 2
    return abs(math.sin(own + move.angle - rolled)) < GRAIN_RAD
