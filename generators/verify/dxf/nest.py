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
from dataclasses import dataclass
from pathlib import Path

from ezdxf.document import Drawing
from ezdxf.entities.line import Line
from ezdxf.entities.text import Text
from ezdxf.filemanagement import readfile
from shapely import STRtree
from shapely.geometry import Polygon

from generators.figures import fixed
from generators.geometry.contours import bounds
from generators.model.spec.shop import Cutting
from generators.model.spec.tools.rates import Nesting, RackSheet
from generators.sheetmetal.cut_file import LayerNames, layer_names
from generators.sheetmetal.folding import flat_pattern
from generators.verify.dxf.cut_contours import at, read_cuts
from generators.verify.dxf.etched import NEVER
from generators.verify.dxf.faults import DXF_UNREADABLE
from generators.verify.dxf.flat_marks import Sheet, note_problems
from generators.verify.dxf.nest_blanks import SAME_MM, Drawn, Found, Wanted, recognise, sorted_out
from generators.verify.readback import ReadBack

GAP_SLACK_MM = 0.004
REMNANT_MM = 0.01
LABEL = re.compile(r"(?P<part>[a-z][a-z0-9_]*) (?P<copy>\d+)/(?P<of>\d+)")
REMNANT = re.compile(r"REMNANT (?P<name>[^:]+): (?P<long>\d+) x (?P<wide>\d+) mm, (?P<stock>.*)")
COUNT = re.compile(r"(?P<count>\d+) x (?P<part>[a-z][a-z0-9_]*)")
BURRS = "burrs come on the lower side"
Box = tuple[float, float, float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class NestHead:
    """What a sheet of a nest says of itself: its job, its revision, which of how many sheets it is."""

    job: str
    revision: str
    number: int
    sheets: int


def read_nest_dxf(
    path: Path,
    wanted: Sequence[Wanted],
    rack: RackSheet,
    *,
    head: NestHead,
    cutting: Cutting,
    rules: Nesting,
    rel: str,
) -> ReadBack:
    """Measure a finished nest; everything wrong with it becomes a problem."""
    layers = layer_names(cutting, etch=any(w.lettered.etch for w in wanted))
    try:
        doc = readfile(path)
        cuts = read_cuts([e for e in doc.modelspace() if e.dxf.layer == layers.cut])
        off = (layers.cut, layers.etch)
        others = [e for e in doc.modelspace() if e.dxf.layer not in off]
        lines = [e for e in others if isinstance(e, Line)]
        etched = [e for e in doc.modelspace() if layers.etch and e.dxf.layer == layers.etch]
        texts = [e for e in doc.modelspace() if isinstance(e, Text)]
    except DXF_UNREADABLE as fault:
        return ReadBack(path=rel, problems=(f"not a readable DXF: {fault}",))
    problems = [*cuts.problems, *_layers(doc, layers, rules), *_units(doc)]
    strange = Counter((e.dxftype(), e.dxf.layer) for e in others if not isinstance(e, (Line, Text)))
    problems += [
        f"{n} {kind} on layer {layer!r}, where lines and texts are" for (kind, layer), n in strange.items()
    ]
    found = sorted_out(cuts.contours, cuts.circles)
    problems += _sheet_problems(lines, found, rack, rules)
    problems += _gap_problems(found, rules.gap_mm)
    marks = (layers.bend_up, layers.bend_down, layers.mark)
    drawn = Drawn(lines=[e for e in lines if e.dxf.layer in marks], etched=etched)
    names, recognised = recognise(found, wanted, drawn, rack, cutting=cutting, layers=layers)
    problems += recognised
    if cutting.notes:
        problems += _labels(texts, found, names, wanted)
        problems += _notes([e.dxf.text for e in texts], wanted, rack, head, cutting, rules, layers)
    problems += _remnant(lines, texts, found, rack, rules, cutting, head)
    net = math.fsum(f.shape.area for f in found)
    facts = (
        f"{sum(map(bool, names))} of {sum(w.count for w in wanted)} blanks recognised, right hand and grain",
        f"gap {rules.gap_mm:g} mm and margin {rules.margin_mm:g} mm kept",
        f"outlines fill {100 * net / (rack.length_mm * rack.width_mm):.1f} % of the sheet",
    )
    return ReadBack(path=rel, facts=facts, problems=tuple(dict.fromkeys(problems)))


def _layers(doc: Drawing, layers: LayerNames, rules: Nesting) -> Iterator[str]:
    known = {*layers.each_once, rules.sheet_layer, rules.remnant_layer}
    for layer in sorted({e.dxf.layer for e in doc.modelspace()} - known):
        yield f"something is on the unknown layer {layer!r}"


def _units(doc: Drawing) -> Iterator[str]:
    if doc.dxfversion != "AC1009" and int(doc.header.get("$INSUNITS", 0)) != 4:
        yield "the file does not say that its units are mm"


def _sheet_problems(
    lines: Sequence[Line], found: Sequence[Found], rack: RackSheet, rules: Nesting
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


def _gap_problems(found: Sequence[Found], gap_mm: float) -> Iterator[str]:
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


def _labels(
    texts: Sequence[Text], found: Sequence[Found], names: Sequence[frozenset[str]], wanted: Sequence[Wanted]
) -> Iterator[str]:
    """Every blank has its name on it, and no name stands on a blank of another part."""
    said = [(m["part"], e) for e in texts if (m := LABEL.fullmatch(e.dxf.text))]
    counts = Counter(part for part, _ in said)
    for want in wanted:
        if counts[want.plan.name] != want.count:
            yield f"{counts[want.plan.name]} blanks are named {want.plan.name}, {want.count} are wanted"
    boxes = [bounds(f.outline) for f in found]
    for part, text in said:
        u, v = text.dxf.insert.x, text.dxf.insert.y
        under = [
            own
            for b, own in zip(boxes, names, strict=True)
            if b[1] <= v <= b[3] and b[0] - text.dxf.height <= u <= b[2]
        ]
        if not under:
            yield f"the name {part} at {at((u, v))} stands on no blank"
        elif not any(part in own for own in under):
            yield f"the name {part} at {at((u, v))} stands on a blank of another part"


def _notes(
    texts: Sequence[str],
    wanted: Sequence[Wanted],
    rack: RackSheet,
    head: NestHead,
    cutting: Cutting,
    rules: Nesting,
    layers: LayerNames,
) -> Iterator[str]:
    """What the text under a sheet must say: of the job, the metal, the pieces, and what must not be cut."""
    named = f" ({rack.name})" if rack.name else ""
    lines = [
        f"Nest of {head.job}, sheet {head.number} of {head.sheets}, revision {head.revision}",
        f"{_stock(rack, named)}, {rack.length_mm:g} x {rack.width_mm:g} mm, {_grain(rack)}",
        f"UNITS: mm. Cut layer: {cutting.cut_layer}. Gap {rules.gap_mm:g} mm, margin {rules.margin_mm:g} mm. "
        "Upper side shown.",
    ]
    for want in wanted:
        part, flat = want.plan.name, flat_pattern(want.plan)
        if want.lettered.etch:
            lines.append(f"{part}: layer {layers.etch}: {want.plan.etch} etched on the upper side. {NEVER}.")
        small = [("hole", h.name, h.diameter_mm, "") for h in flat.holes]
        small += [("slot", s.name, s.width_mm, "s") for s in flat.slots]
        lines += [
            f"{part}: {what} {name}: centre mark{many} only, drill {fixed(size, 2)} mm"
            + (" at both and file out" if many else "")
            for what, name, size, many in small
            if size < want.least_mm
        ]
    if not cutting.bend_lines and any(w.plan.bends for w in wanted):
        lines.append("Bend lines are not in this file: see the drawing.")
    yield from (f"no note says {line!r}" for line in lines if line not in texts)
    if not any(BURRS in text for text in texts):
        yield "no note says on which side the burrs come"
    yield from note_problems(Sheet(texts=[(text, (0.0, 0.0)) for text in texts]), cutting)
    said = Counter({m["part"]: int(m["count"]) for text in texts if (m := COUNT.fullmatch(text))})
    if said != Counter({w.plan.name: w.count for w in wanted}):
        yield f"the notes count {dict(said)}, wanted are { {w.plan.name: w.count for w in wanted} }"


def _stock(rack: RackSheet, named: str = "") -> str:
    return f"{rack.material}, {rack.thickness_mm:g} mm{named}"


def _grain(rack: RackSheet) -> str:
    return f"grain along {'X' if rack.grain == 'length' else 'Y'}"


def left_boxes(found: Sequence[Found], rack: RackSheet, rules: Nesting) -> list[Box]:
    """What a straight cut a gap off the blanks leaves, across and along the sheet, where it is large enough
    to keep; the larger first."""
    boxes = [bounds(f.outline) for f in found]
    right = max((b[2] for b in boxes), default=0.0) + rules.gap_mm
    top = max((b[3] for b in boxes), default=0.0) + rules.gap_mm
    whole = [(right, 0.0, rack.length_mm, rack.width_mm), (0.0, top, rack.length_mm, rack.width_mm)]
    kept = [b for b in whole if min(b[2] - b[0], b[3] - b[1]) >= rules.remnant_mm - REMNANT_MM]
    return sorted(kept, key=_area, reverse=True)


def _area(box: Box) -> float:
    return (box[2] - box[0]) * (box[3] - box[1])


def _remnant(
    lines: Sequence[Line],
    texts: Sequence[Text],
    found: Sequence[Found],
    rack: RackSheet,
    rules: Nesting,
    cutting: Cutting,
    head: NestHead,
) -> Iterator[str]:
    """The remnant is the larger of what a straight cut leaves, as its name says, and there is one where any
    is worth keeping."""
    edges = [e for e in lines if e.dxf.layer == rules.remnant_layer]
    said = [m for e in texts if (m := REMNANT.fullmatch(e.dxf.text))]
    if cutting.notes and len(said) != bool(edges):
        yield f"{len(said)} remnants are named, {len(edges)} lines are drawn round one"
    left = left_boxes(found, rack, rules)
    if not edges:
        # a side as long as the shortest that is kept may be either
        if left and min(left[0][2] - left[0][0], left[0][3] - left[0][1]) > rules.remnant_mm + REMNANT_MM:
            yield f"no remnant is drawn, {_sides(left[0])} are left"
        return
    us = [p.x for e in edges for p in (e.dxf.start, e.dxf.end)]
    vs = [p.y for e in edges for p in (e.dxf.start, e.dxf.end)]
    box = (min(us), min(vs), max(us), max(vs))
    area = Polygon([(box[0], box[1]), (box[2], box[1]), (box[2], box[3]), (box[0], box[3])])
    if len(edges) != 4:
        yield "the remnant is no box of four lines"
    for one in found:
        if one.shape.distance(area) < rules.gap_mm - GAP_SLACK_MM:
            yield f"the remnant comes within the gap of the blank at {at(bounds(one.outline)[:2])}"
    slack = REMNANT_MM * (rack.length_mm + rack.width_mm)
    largest = [b for b in left if _area(b) > _area(left[0]) - slack]
    if not any(all(abs(x - y) < REMNANT_MM for x, y in zip(box, b, strict=True)) for b in largest):
        kept = _sides(left[0]) if left else "nothing"
        yield f"the remnant drawn is {_sides(box)} from {at(box[:2])}, what is left of the sheet is {kept}"
    sides = box[2] - box[0], box[3] - box[1]
    for m in said:
        if not all(
            0 <= side + SAME_MM - float(word) < 1 + SAME_MM
            for side, word in zip(sides, (m["long"], m["wide"]), strict=True)
        ):
            yield f"the remnant is {_sides(box)}, its name says {m['long']} x {m['wide']}"
        if m["name"] != f"{head.job}-{head.number}" or m["stock"] != f"{_stock(rack)}, {_grain(rack)}":
            yield f"the remnant is named {m['name']}, {m['stock']}"


def _sides(box: Box) -> str:
    return f"{box[2] - box[0]:.1f} x {box[3] - box[1]:.1f} mm"
