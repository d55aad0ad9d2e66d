"""A finished flat DXF, read as the shop's program would read it, and compared with the plan.

What is expected is the form the shop asks for (``Cutting`` of ``shop.toml``): release, kinds of entities,
layers, bend lines, text, kerf.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np
from ezdxf.document import Drawing
from ezdxf.entities.dxfgfx import DXFGraphic
from ezdxf.entities.line import Line
from ezdxf.entities.lwpolyline import LWPolyline
from ezdxf.entities.mtext import MText
from ezdxf.entities.text import Text
from ezdxf.filemanagement import readfile

from generators.checks.measure import boundary_distance
from generators.geometry.contours import (
    arc_middle,
    area,
    bounds,
    counter_clockwise,
    perimeter,
    segments,
    stadium,
)
from generators.model.contour import Contour
from generators.model.plan import PartPlan, Slot
from generators.model.spec.shop import Cutting
from generators.sheetmetal.cut_file import LayerNames, cut_pattern, layer_names, lettered
from generators.sheetmetal.folding import FlatPattern, flat_pattern
from generators.sheetmetal.marking.etching import etching
from generators.sheetmetal.volume import pattern_area
from generators.verify.certificates import counted
from generators.verify.dxf.corner_letters import corner_letter_problems
from generators.verify.dxf.cut_contours import CutCircle, CutLayer, at, read_cuts
from generators.verify.dxf.etched import etch_problems
from generators.verify.dxf.faults import DXF_UNREADABLE
from generators.verify.dxf.flat_marks import (
    SAME_MM,
    Sheet,
    add_text,
    bend_problems,
    grain_problems,
    mark_problems,
    note_problems,
    off_plane,
    slot_ends,
)
from generators.verify.dxf.line_types import flat_lines, line_problems
from generators.verify.dxf.zero import heading_problems
from generators.verify.readback import Mark, ReadBack

SAME_RATIO = 1e-9
NEAR_MM = 1.0
RELEASES = {"AC1009": "R12", "AC1024": "R2010"}
UNITS = {0: "none", 1: "inches", 2: "feet", 4: "mm", 5: "cm", 6: "m"}


def read_flat_dxf(
    path: Path,
    plan: PartPlan,
    *,
    rel: str,
    job: str = "",
    cutting: Cutting | None = None,
    smallest_hole_mm: float = 0.0,
) -> ReadBack:
    """Measure a finished flat DXF against the plan; ``rel`` is the name it goes by in reports.

    With a ``job`` its notes must say that title.

    Everything wrong with the file becomes a problem. Raises only ``GeometryFault``, when the plan
    itself has no flat pattern or is too narrow for the shop's kerf.
    """
    shop = Cutting() if cutting is None else cutting
    planned = flat_pattern(plan)
    letters = etching(plan, planned) is not None
    named = lettered(shop, bent=bool(plan.bends))
    layers = layer_names(shop, grain=plan.grain != "any", etch=letters, corners=named)
    flat = cut_pattern(planned, shop.kerf_mm, smallest_hole_mm)
    problem, doc = _open(path)
    if doc is None:
        return ReadBack(path=rel, problems=(problem,))
    problems = [problem] if problem else []
    try:
        problems += _document_problems(doc, path, shop)
        problems += line_problems(doc, flat_lines(layers))
        sheet = _sorted(doc, layers)
        cuts = read_cuts(sheet.cuts)
    except DXF_UNREADABLE as fault:
        return ReadBack(path=rel, problems=(*problems, f"its entities cannot be read: {fault}"))
    problems += [*sheet.problems, *_kind_problems(sheet, shop), *cuts.problems]
    outline, inner, outline_problems = _outline(cuts, flat)
    problems += outline_problems
    if outline is not None and shop.kerf_mm is not None:
        problems += _path_problems(outline, planned, shop.kerf_mm)
    problems += _hole_problems(cuts.circles, flat)
    problems += _slot_problems(inner, flat.slots)
    marked = [h for h in planned.holes if h.diameter_mm < smallest_hole_mm]
    marked_slots = [s for s in planned.slots if s.width_mm < smallest_hole_mm]
    places = [(h.name, (h.u_mm, h.v_mm), h.diameter_mm) for h in marked]
    places += [(s.name, end, s.width_mm) for s in marked_slots for end in slot_ends(s)]
    bend_faults, left = bend_problems(sheet, planned, plan.thickness_mm, shop, layers)
    problems += bend_faults
    problems += mark_problems([line for layer, line in left if layer == layers.mark], places, sheet, shop)
    problems += [
        f"a line on {layer} at {at((line.dxf.start.x, line.dxf.start.y))} is no bend of the plan"
        for layer, line in left
        if layer != layers.mark
    ]
    problems += note_problems(sheet, shop, job)
    problems += heading_problems(sheet, planned, [x.dxf.name for x in doc.layers], layers.cut, shop)
    problems += grain_problems(sheet, plan, planned, shop)
    problems += etch_problems(sheet, plan if letters else replace(plan, etch=""), planned, layers, shop)
    problems += corner_letter_problems(sheet, planned, layers.corners)
    facts = [_release_fact(doc), _lint_fact(cuts, inner, outline)]
    if outline is not None:
        wanted = pattern_area(flat)
        net = area(outline) - sum(area(c) for c in inner)
        net -= sum(math.pi * c.diameter**2 / 4 for c in cuts.circles)
        if not math.isclose(net, wanted, rel_tol=SAME_RATIO):
            problems.append(f"the cuts enclose {net:.6f} mm2, the plan {wanted:.6f} mm2")
        u0, v0, u1, v1 = bounds(outline)
        facts.append(f"blank {u1 - u0:.2f} x {v1 - v0:.2f} mm, {net:.1f} mm2 after cutting")
    if flat.bends and shop.bend_lines:
        facts.append(f"{len(flat.bends)} bend line{'s' if len(flat.bends) > 1 else ''} with notes")
    if places:
        facts.append(f"{len(places)} centre marks to drill")
    return ReadBack(
        path=rel,
        facts=tuple(facts),
        problems=tuple(dict.fromkeys(problems)),
        certificate=certificate(doc, cuts, outline, inner, flat, shop, smallest_hole_mm),
    )


def certificate(
    doc: Drawing,
    cuts: CutLayer,
    outline: Contour | None,
    inner: Sequence[Contour],
    flat: FlatPattern,
    cutting: Cutting,
    limit_mm: float,
) -> tuple[Mark, ...]:
    """What the cutter asks of a file, measured on this one; with a kerf, openings as they will be."""
    kerf = cutting.kerf_mm or 0.0
    closed = outline is not None and cuts.open_ends == 0
    release = RELEASES.get(doc.dxfversion, doc.dxfversion)
    unit = "mm" if release == "R12" else UNITS.get(int(doc.header.get("$INSUNITS", 0)), "other")
    kept = sum(1 for contour in cuts.contours for p in contour.vertices if p.bulge)
    wanted = sum(1 for p in flat.contour.vertices if p.bulge) + 2 * len(flat.slots)
    widths = [c.diameter + kerf for c in cuts.circles] + [s.width_mm + kerf for s in flat.slots]
    marks = [
        Mark(
            key="closed",
            value=closed,
            words="closed" if closed else f"NOT closed ({cuts.open_ends} open ends)",
        ),
        Mark(key="duplicates", value=cuts.duplicates, words=f"{cuts.duplicates or 'no'} duplicates"),
        Mark(key="crossings", value=cuts.crossings, words=f"{cuts.crossings or 'no'} crossings"),
        Mark(
            key="units", value=unit, words=f"{unit} {'by name and note' if release == 'R12' else 'declared'}"
        ),
        Mark(key="release", value=release, words=f"{release} {cutting.profile}"),
        Mark(key="contours", value=len(cuts.contours), words=counted(len(cuts.contours), "contour")),
        Mark(key="holes", value=len(cuts.circles), words=counted(len(cuts.circles), "hole")),
    ]
    if widths:
        least = min(widths)
        enough = (
            f"limit {limit_mm:.2f}" if least >= limit_mm - SAME_MM else f"BELOW the limit of {limit_mm:.2f}"
        )
        marks.append(
            Mark(
                key="smallest_hole_mm",
                value=round(least, 6),
                words=f"smallest hole {least:.2f} mm ({enough})",
            )
        )
        marks.append(Mark(key="smallest_hole_limit_mm", value=round(limit_mm, 6), words=""))
    marks.append(Mark(key="arcs_kept", value=kept, words=f"{kept} of {wanted} arcs kept"))
    if outline is not None:
        u0, v0, u1, v1 = bounds(outline)
        marks.append(Mark(key="width_mm", value=round(u1 - u0, 6), words=f"{u1 - u0:.2f} x {v1 - v0:.2f} mm"))
        marks.append(Mark(key="height_mm", value=round(v1 - v0, 6), words=""))
    if cutting.kerf_mm is not None:
        marks.append(
            Mark(
                key="kerf_mm",
                value=cutting.kerf_mm,
                words=f"kerf {cutting.kerf_mm:.2f} mm offset and declared",
            )
        )
    return tuple(marks)


def _open(path: Path) -> tuple[str, Drawing | None]:
    """The document, and what was wrong on the way to it."""
    try:
        data = path.read_bytes()
    except OSError as fault:
        return f"cannot be read: {fault.strerror or fault}", None
    if not data.strip():
        return "the file is empty", None
    try:
        doc = readfile(path)
    except DXF_UNREADABLE as fault:
        return f"not a readable DXF: {fault}", None
    if data.split()[-1] != b"EOF":
        return "the file has no end mark (cut short)", doc
    return "", doc


def _document_problems(doc: Drawing, path: Path, cutting: Cutting) -> list[str]:
    problems: list[str] = []
    auditor = doc.audit()
    problems += [f"audit: {entry.message}" for entry in (*auditor.errors, *auditor.fixes)]
    release = RELEASES.get(doc.dxfversion)
    if release is None:
        return [*problems, f"DXF release {doc.dxfversion}, expected R2010 or R12"]
    if (release == "R12") != (cutting.profile == "r12"):
        problems.append(f"DXF release {release}, the shop's profile is {cutting.profile}")
    if release == "R12" and not path.stem.endswith("mm") and not cutting.notes:
        problems.append("units: an R12 file without notes must end in mm by its name")
    if release == "R2010":
        units = int(doc.header.get("$INSUNITS", 0))
        if units != 4:
            problems.append(f"units: $INSUNITS is {units} ({UNITS.get(units, 'other')}), expected 4 (mm)")
        if int(doc.header.get("$MEASUREMENT", 0)) != 1:
            problems.append("units: $MEASUREMENT does not say metric")
    return problems


def _sorted(doc: Drawing, layers: LayerNames) -> Sheet:
    sheet = Sheet()
    for layout in doc.layouts:
        if layout.name != "Model" and len(layout):
            sheet.problems.append(f"{len(layout)} entities on the paper layout {layout.name!r}")
    for entity in doc.modelspace():
        if not isinstance(entity, DXFGraphic):
            sheet.problems.append(f"an unknown entity {entity.dxftype()!r}")
            continue
        layer = entity.dxf.layer
        if layer not in layers.each_once:
            sheet.problems.append(f"{entity.dxftype()} on the unknown layer {layer!r}")
            continue
        if off_plane(entity):
            sheet.problems.append(f"{entity.dxftype()} on {layer} does not lie in the plane of the sheet")
        if isinstance(entity, Text | MText):
            add_text(sheet, layer, layers, entity)
        elif layer == layers.cut:
            sheet.cuts.append(entity)
        elif layer in (layers.bend_up, layers.bend_down, layers.mark) and isinstance(entity, Line):
            sheet.lines.append((layer, entity))
        elif layer == layers.grain and isinstance(entity, Line):
            sheet.grain.append(entity)
        elif layer == layers.etch and isinstance(entity, Line | LWPolyline):
            sheet.etch.append(entity)
        else:
            sheet.problems.append(f"{entity.dxftype()} does not belong on the layer {layer}")
    return sheet


def _kind_problems(sheet: Sheet, cutting: Cutting) -> Iterator[str]:
    """Polylines where the shop wants loose pieces, or the other way round."""
    loose = cutting.profile != "polylines"
    wrong = {
        e.dxftype() for e in sheet.cuts if e.dxftype() in (("LWPOLYLINE",) if loose else ("LINE", "ARC"))
    }
    for kind in sorted(wrong):
        yield f"{kind} on the cut layer: the shop's profile is {cutting.profile}"
    if sheet.texts and not cutting.notes:
        yield f"{len(sheet.texts)} texts, the shop asks for none"


def _path_problems(outline: Contour, planned: FlatPattern, kerf_mm: float) -> Iterator[str]:
    """The path runs half a kerf outside the plan's outline all along, measured point by point."""
    places = [(p.u, p.v) for p in outline.vertices]
    places += [arc_middle(a, b) for a, b in segments(outline) if a.bulge]
    u, v = (np.array(column) for column in zip(*places, strict=True))
    off = np.abs(boundary_distance(u, v, segments(planned.contour)) - kerf_mm / 2)
    if float(off.max()) > SAME_MM:
        worst = places[int(off.argmax())]
        yield f"the path is {float(off.max()):.6f} mm off half a kerf from the outline at {at(worst)}"
    if area(outline) < area(planned.contour):
        yield "the path runs inside the outline, where it cuts into the part"


def _release_fact(doc: Drawing) -> str:
    release = RELEASES.get(doc.dxfversion, doc.dxfversion)
    return f"DXF {release}, " + ("mm by its notes" if release == "R12" else "mm declared")


def _lint_fact(cuts: CutLayer, inner: Sequence[Contour], outline: Contour | None) -> str:
    words = [
        f"{0 if outline is None else 1} outline",
        f"{len(cuts.circles)} holes",
        f"{cuts.open_ends} open ends",
        f"{cuts.duplicates} duplicates",
        f"{cuts.crossings} crossings",
    ]
    if inner:
        words.insert(2, f"{len(inner)} slots")
    if cuts.circles:
        words.append(f"smallest hole {min(c.diameter for c in cuts.circles):.2f} mm")
    arcs = sum(1 for contour in cuts.contours for p in contour.vertices if p.bulge)
    words.append(f"{arcs} arcs kept")
    return ", ".join(words)


def _outline(
    cuts: CutLayer, flat: FlatPattern
) -> tuple[Contour | None, tuple[Contour, ...], tuple[str, ...]]:
    """The outline and the contours within it, both counter-clockwise."""
    contours = sorted((counter_clockwise(c) for c in cuts.contours), key=area, reverse=True)
    if not contours:
        return None, (), ("no closed outline",)
    outline, inner = contours[0], tuple(contours[1:])
    problems: list[str] = []
    u0, v0, u1, v1 = bounds(outline)
    boxes = [bounds(c) for c in inner]
    boxes += [
        (c.u - c.diameter / 2, c.v - c.diameter / 2, c.u + c.diameter / 2, c.v + c.diameter / 2)
        for c in cuts.circles
    ]
    outside = sum(1 for b in boxes if b[0] < u0 or b[1] < v0 or b[2] > u1 or b[3] > v1)
    if outside:
        problems.append(f"{outside + 1} outlines: {outside} cuts lie outside the largest one")
    for name, found, wanted in (
        ("area", area(outline), area(flat.contour)),
        ("length", perimeter(outline), perimeter(flat.contour)),
    ):
        if not math.isclose(found, wanted, rel_tol=SAME_RATIO):
            problems.append(f"outline {name} is {found:.6f}, the plan says {wanted:.6f}")
    off = max(abs(a - b) for a, b in zip((u0, v0, u1, v1), bounds(flat.contour), strict=True))
    if off > SAME_MM:
        problems.append(f"the outline is {off:.6f} mm off its place or size")
    problems += [
        f"the outline has no corner at {at((p.u, p.v))}"
        for p in flat.contour.vertices
        if min(math.dist((p.u, p.v), (q.u, q.v)) for q in outline.vertices) > SAME_MM
    ]
    return outline, inner, tuple(problems)


def _hole_problems(circles: Sequence[CutCircle], flat: FlatPattern) -> Iterator[str]:
    left = list(circles)
    missing = []
    for hole in flat.holes:
        place = (hole.u_mm, hole.v_mm)
        best = min(left, key=lambda c: math.dist((c.u, c.v), place), default=None)
        if best is None or math.dist((best.u, best.v), place) > max(NEAR_MM, hole.diameter_mm / 2):
            missing.append(hole)
            continue
        left.remove(best)
        off = math.dist((best.u, best.v), place)
        if off > SAME_MM:
            yield f"hole {hole.name!r} is {off:.6f} mm off its place {at(place)}"
        if abs(best.diameter - hole.diameter_mm) > SAME_MM:
            yield f"hole {hole.name!r} is {best.diameter:.6f} mm wide, the plan says {hole.diameter_mm:.6f}"
    for hole in missing:
        yield f"hole {hole.name!r} is not there: no circle near {at((hole.u_mm, hole.v_mm))}"
    for circle in left:
        yield f"a circle of {circle.diameter:.3f} mm at {at((circle.u, circle.v))} is not in the plan"


def _slot_problems(inner: Sequence[Contour], slots: Sequence[Slot]) -> Iterator[str]:
    left = list(inner)
    for slot in slots:
        wanted = stadium(slot.u_mm, slot.v_mm, slot.width_mm, slot.travel_mm, slot.angle_rad)
        found = next((c for c in left if _same_contour(c, wanted)), None)
        if found is None:
            yield f"slot {slot.name!r} is not there, or not as planned, at {at((slot.u_mm, slot.v_mm))}"
        else:
            left.remove(found)
    for contour in left:
        first = contour.vertices[0]
        yield f"a closed cut at {at((first.u, first.v))} is not in the plan"


def _same_contour(a: Contour, b: Contour) -> bool:
    if len(a.vertices) != len(b.vertices) or not math.isclose(area(a), area(b), rel_tol=SAME_RATIO):
        return False
    return all(
        any(
            math.dist((p.u, p.v), (q.u, q.v)) < SAME_MM and abs(p.bulge - q.bulge) < SAME_MM
            for q in b.vertices
        )
        for p in a.vertices
    )
