"""A finished nest of one sheet, read as the shop's program would read it, and held against the parts alone.

Where blanks lie is not told to this reader: it finds each outline's part, and how it is turned, by carrying
the part's own corners onto it. So it knows whether a blank is the right hand, lies by its grain, keeps its
gap.
"""

from __future__ import annotations

import math
import re
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from ezdxf.document import Drawing
from ezdxf.entities.line import Line
from ezdxf.entities.text import Text
from ezdxf.filemanagement import readfile
from shapely import STRtree
from shapely.geometry import Point, Polygon

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
from generators.model.spec.tools.rates import Nesting, RackSheet
from generators.sheetmetal.cut_file import LayerNames, cut_pattern, layer_names
from generators.sheetmetal.folding import FlatPattern, flat_pattern
from generators.sheetmetal.marking.etching import etching
from generators.verify.dxf.cut_contours import CutCircle, at, read_cuts
from generators.verify.dxf.etched import Candidate, nest_letter_problems
from generators.verify.dxf.faults import DXF_UNREADABLE
from generators.verify.readback import ReadBack

SAME_MM = 1e-4
SAME_RATIO = 1e-6
CHORD_MM = 0.001
GAP_SLACK_MM = 0.004
GRAIN_RAD = 1e-6
LABEL = re.compile(r"(?P<part>[a-z][a-z0-9_]*) (?P<copy>\d+)/(?P<of>\d+)")
REMNANT = re.compile(r"REMNANT [^:]+: (?P<long>\d+) x (?P<wide>\d+) mm, .*")


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """What must be on the sheet: so many of each part, ``least_mm`` its smallest hole."""

    plan: PartPlan
    least_mm: float
    count: int


@dataclass(frozen=True, slots=True)
class _Found:
    """An outline of the file with its openings, and what it is recognised as."""

    outline: Contour
    shape: Polygon
    circles: tuple[CutCircle, ...]
    inner: tuple[Contour, ...]


def read_nest_dxf(
    path: Path,
    wanted: Sequence[Wanted],
    rack: RackSheet,
    *,
    cutting: Cutting,
    rules: Nesting,
    rel: str,
) -> ReadBack:
    """Measure a finished nest; everything wrong with it becomes a problem."""
    own = [replace(w.plan, etch="") if _unlettered(w.plan) else w.plan for w in wanted]
    layers = layer_names(cutting, etch=any(plan.etch for plan in own))
    try:
        doc = readfile(path)
        cuts = read_cuts([e for e in doc.modelspace() if e.dxf.layer == layers.cut])
        off = (layers.cut, layers.etch)
        lines = [e for e in doc.modelspace() if isinstance(e, Line) and e.dxf.layer not in off]
        etched = [e for e in doc.modelspace() if layers.etch and e.dxf.layer == layers.etch]
        texts = [e for e in doc.modelspace() if isinstance(e, Text)]
    except DXF_UNREADABLE as fault:
        return ReadBack(path=rel, problems=(f"not a readable DXF: {fault}",))
    problems = [*cuts.problems, *_layers(doc, layers, rules), *_units(doc)]
    found = _sorted(cuts.contours, cuts.circles)
    problems += _sheet_problems(lines, found, rack, rules)
    problems += _gap_problems(found, rules.gap_mm)
    count, recognised = _recognise(found, wanted, rack, cutting)
    problems += recognised
    if cutting.bend_lines:
        problems += _bends(lines, found, wanted, cutting, layers)
    problems += nest_letter_problems(etched, _candidates(found, wanted, own, cutting))
    if cutting.notes:
        problems += _labels(texts, found, wanted)
    problems += _remnant(lines, texts, found, rules, cutting)
    net = math.fsum(f.shape.area for f in found)
    facts = (
        f"{count} of {sum(w.count for w in wanted)} blanks recognised, right hand and grain",
        f"gap {rules.gap_mm:g} mm and margin {rules.margin_mm:g} mm kept",
        f"outlines fill {100 * net / (rack.length_mm * rack.width_mm):.1f} % of the sheet",
    )
    return ReadBack(path=rel, facts=facts, problems=tuple(dict.fromkeys(problems)))


def _unlettered(plan: PartPlan) -> bool:
    """True where letters are asked for and have no room."""
    return bool(plan.etch) and etching(plan, flat_pattern(plan)) is None


def _candidates(
    found: Sequence[_Found], wanted: Sequence[Wanted], own: Sequence[PartPlan], cutting: Cutting
) -> Iterator[tuple[Polygon, list[Candidate]]]:
    """Each outline with every part it may be, and how that lies there."""
    flats = [(w, cut_pattern(flat_pattern(w.plan), cutting.kerf_mm, w.least_mm)) for w in wanted]
    for one in found:
        yield (
            one.shape,
            [
                (plan, flat_pattern(plan), move)
                for plan, (_, flat) in zip(own, flats, strict=True)
                for move in moves_onto(flat.contour, one.outline)
                if _openings_lie(flat, move, one)
            ],
        )


def _layers(doc: Drawing, layers: LayerNames, rules: Nesting) -> Iterator[str]:
    known = {*layers.each_once, rules.sheet_layer, rules.remnant_layer}
    for layer in sorted({e.dxf.layer for e in doc.modelspace()} - known):
        yield f"something is on the unknown layer {layer!r}"


def _units(doc: Drawing) -> Iterator[str]:
    if doc.dxfversion != "AC1009" and int(doc.header.get("$INSUNITS", 0)) != 4:
        yield "the file does not say that its units are mm"


def _sorted(contours: Sequence[Contour], circles: Sequence[CutCircle]) -> list[_Found]:
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
        _Found(
            contours[i],
            shape,
            tuple(rings.get(i, ())),
            tuple(contours[j] for j, outer in holder.items() if outer == i),
        )
        for i, shape in enumerate(shapes)
        if i not in holder
    ]


def _sheet_problems(
    lines: Sequence[Line], found: Sequence[_Found], rack: RackSheet, rules: Nesting
) -> Iterator[str]:
    edges = [e for e in lines if e.dxf.layer == rules.sheet_layer]
    points = {(round(p.x, 4), round(p.y, 4)) for e in edges for p in (e.dxf.start, e.dxf.end)}
    wanted = {(u, v) for u in (0.0, round(rack.length_mm, 4)) for v in (0.0, round(rack.width_mm, 4))}
    if len(edges) != 4 or points != wanted:
        yield f"the sheet's edges are not {rack.length_mm:g} x {rack.width_mm:g} mm"
    m = rules.margin_mm - SAME_MM
    for one in found:
        u0, v0, u1, v1 = bounds(one.outline)
        if u0 < m or v0 < m or u1 > rack.length_mm - m or v1 > rack.width_mm - m:
            yield f"a blank at {at((u0, v0))} lies within {rules.margin_mm:g} mm of the sheet's edge"


def _gap_problems(found: Sequence[_Found], gap_mm: float) -> Iterator[str]:
    """Every two outlines keep the gap; shapely's distance is 0 where they overlap."""
    shapes = [f.shape for f in found]
    tree = STRtree(shapes)
    for i, shape in enumerate(shapes):
        for j in tree.query(shape, predicate="dwithin", distance=gap_mm):
            if int(j) <= i:
                continue
            apart = shape.distance(shapes[int(j)])
            if apart < gap_mm - GAP_SLACK_MM:
                where = at((shape.centroid.x, shape.centroid.y))
                what = "overlap" if shape.intersects(shapes[int(j)]) else f"are {apart:.3f} mm apart"
                yield f"two blanks {what} at {where}; the gap is {gap_mm:g} mm"


def _recognise(
    found: Sequence[_Found], wanted: Sequence[Wanted], rack: RackSheet, cutting: Cutting
) -> tuple[int, list[str]]:
    """How many outlines are blanks of the job, all told, and what is wrong."""
    problems: list[str] = []
    seen: Counter[str] = Counter()
    flats = [(w, cut_pattern(flat_pattern(w.plan), cutting.kerf_mm, w.least_mm)) for w in wanted]
    for one in found:
        part, faults = _which(one, flats, rack)
        if part:
            seen[part] += 1
        problems += faults
    for want in wanted:
        if seen[want.plan.name] != want.count:
            problems.append(f"{seen[want.plan.name]} of {want.plan.name}, {want.count} are wanted")
    return sum(seen.values()), problems


def _which(
    one: _Found, flats: Sequence[tuple[Wanted, FlatPattern]], rack: RackSheet
) -> tuple[str, list[str]]:
    where = at(bounds(one.outline)[:2])
    problems: list[str] = []
    for want, flat in flats:
        moves = list(moves_onto(flat.contour, one.outline))
        if not moves:
            continue
        whole = [m for m in moves if _openings_lie(flat, m, one)]
        if not whole:
            problems.append(f"the openings of the blank at {where} are not those of {want.plan.name}")
        elif not any(_by_grain(want.plan, m, rack) for m in whole):
            problems.append(f"{want.plan.name} at {where} does not lie by its grain")
            return want.plan.name, problems
        else:
            return want.plan.name, []
    return "", problems or [f"the outline at {where} is no blank of the job"]


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


def _openings_lie(flat: FlatPattern, move: Placement, one: _Found) -> bool:
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


def _bends(
    lines: Sequence[Line],
    found: Sequence[_Found],
    wanted: Sequence[Wanted],
    cutting: Cutting,
    layers: LayerNames,
) -> Iterator[str]:
    """On every recognised blank its bend lines, and no line on a bend layer beside them."""
    own = {layers.bend_up, layers.bend_down}
    left = [e for e in lines if e.dxf.layer in own]
    flats = [(w, cut_pattern(flat_pattern(w.plan), cutting.kerf_mm, w.least_mm)) for w in wanted]
    marks = 0
    for one in found:
        for want, flat in flats:
            move = next(
                (m for m in moves_onto(flat.contour, one.outline) if _openings_lie(flat, m, one)), None
            )
            if move is None:
                continue
            planned = flat_pattern(want.plan)
            marks += 2 * sum(h.diameter_mm < want.least_mm for h in planned.holes)
            marks += 4 * sum(s.width_mm < want.least_mm for s in planned.slots)
            for strip in flat.bends:
                ends = [move.apply(*p) for p in strip.middle]
                line = next(
                    (
                        e
                        for e in left
                        if _is_line(e, ends) and e.dxf.layer == layers.bend(strip.bend.direction)
                    ),
                    None,
                )
                if line is None:
                    yield f"bend {strip.bend.name} of {want.plan.name} has no line at {at(ends[0])}"
                else:
                    left.remove(line)
            break
    shared = layers.mark in own
    if len(left) != (marks if shared else 0):
        yield f"{len(left)} lines on bend layers are no bend of a blank"


def _is_line(line: Line, ends: Sequence[tuple[float, float]]) -> bool:
    a, b = (line.dxf.start.x, line.dxf.start.y), (line.dxf.end.x, line.dxf.end.y)
    return any(math.dist(a, p) < SAME_MM and math.dist(b, q) < SAME_MM for p, q in (ends, ends[::-1]))


def _labels(texts: Sequence[Text], found: Sequence[_Found], wanted: Sequence[Wanted]) -> Iterator[str]:
    said = [(m["part"], e) for e in texts if (m := LABEL.fullmatch(e.dxf.text))]
    counts = Counter(part for part, _ in said)
    for want in wanted:
        if counts[want.plan.name] != want.count:
            yield f"{counts[want.plan.name]} blanks are named {want.plan.name}, {want.count} are wanted"
    boxes = [bounds(f.outline) for f in found]
    for part, text in said:
        u, v = text.dxf.insert.x, text.dxf.insert.y
        if not any(b[1] <= v <= b[3] and b[0] - text.dxf.height <= u <= b[2] for b in boxes):
            yield f"the name {part} at {at((u, v))} stands on no blank"


def _remnant(
    lines: Sequence[Line], texts: Sequence[Text], found: Sequence[_Found], rules: Nesting, cutting: Cutting
) -> Iterator[str]:
    """The remnant is a box that meets no blank, as large as its name says."""
    edges = [e for e in lines if e.dxf.layer == rules.remnant_layer]
    said = [m for e in texts if (m := REMNANT.fullmatch(e.dxf.text))]
    if cutting.notes and len(said) != bool(edges):
        yield f"{len(said)} remnants are named, {len(edges)} lines are drawn round one"
    if not edges:
        return
    us = [p.x for e in edges for p in (e.dxf.start, e.dxf.end)]
    vs = [p.y for e in edges for p in (e.dxf.start, e.dxf.end)]
    box = Polygon([(min(us), min(vs)), (max(us), min(vs)), (max(us), max(vs)), (min(us), max(vs))])
    if len(edges) != 4:
        yield "the remnant is no box of four lines"
    for one in found:
        if one.shape.distance(box) < rules.gap_mm - GAP_SLACK_MM:
            yield f"the remnant comes within the gap of the blank at {at(bounds(one.outline)[:2])}"
    sides = max(us) - min(us), max(vs) - min(vs)
    for m in said:
        if not all(
            0 <= side - float(word) < 1 for side, word in zip(sides, (m["long"], m["wide"]), strict=True)
        ):
            is_so = f"{sides[0]:.1f} x {sides[1]:.1f} mm"
            yield f"the remnant is {is_so}, its name says {m['long']} x {m['wide']}"
