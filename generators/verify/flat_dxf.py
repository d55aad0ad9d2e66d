"""A finished flat DXF, read as the shop's program would read it, and compared with the plan."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from ezdxf.document import Drawing
from ezdxf.entities.circle import Circle
from ezdxf.entities.dxfentity import DXFEntity
from ezdxf.entities.dxfgfx import DXFGraphic
from ezdxf.entities.line import Line
from ezdxf.entities.lwpolyline import LWPolyline
from ezdxf.entities.mtext import MText
from ezdxf.entities.text import Text
from ezdxf.filemanagement import readfile

from generators.geometry.contours import area, bounds, counter_clockwise, perimeter, stadium
from generators.model.contour import Contour
from generators.model.plan import PartPlan, Slot
from generators.sheetmetal.allowance import deduction
from generators.sheetmetal.folding import FlatBend, FlatPattern, flat_pattern
from generators.sheetmetal.volume import flat_area
from generators.verify.cut_contours import CutCircle, CutLayer, at, read_cuts
from generators.verify.dxf_faults import DXF_UNREADABLE
from generators.verify.readback import ReadBack

SAME_MM = 1e-6
SAME_RATIO = 1e-9
NEAR_MM = 1.0
LABEL_NEAR_MM = 6.0
RELEASES = {"AC1009": "R12", "AC1024": "R2010"}
LAYERS = ("CUT", "BEND_UP", "BEND_DOWN", "MARK", "NOTES")
UNITS = {0: "none", 1: "inches", 2: "feet", 4: "mm", 5: "cm", 6: "m"}
BEND_NOTE = re.compile(
    r"bend (?P<name>\w+): (?P<direction>UP|DOWN) (?P<angle>[\d.]+) deg, inside R (?P<radius>[\d.]+) mm, "
    r"K (?P<k>[\d.]+), allowance (?P<allowance>[\d.]+) mm, deduction (?:(?P<deduction>-?[\d.]+) mm|none .*)"
)


@dataclass(slots=True)
class _Sheet:
    """The model space, sorted by layer."""

    cuts: list[DXFEntity] = field(default_factory=list)
    bends: list[tuple[str, Line]] = field(default_factory=list)
    marks: list[Line] = field(default_factory=list)
    texts: list[tuple[str, tuple[float, float]]] = field(default_factory=list)
    problems: list[str] = field(default_factory=list)


def read_flat_dxf(path: Path, plan: PartPlan, *, rel: str, smallest_hole_mm: float = 0.0) -> ReadBack:
    """Measure a finished flat DXF against the plan; ``rel`` is the name it goes by in reports.

    Everything wrong with the file becomes a problem. Raises only ``GeometryFault``, when the plan
    itself has no flat pattern.
    """
    flat = flat_pattern(plan)
    problem, doc = _open(path)
    if doc is None:
        return ReadBack(path=rel, problems=(problem,))
    problems = [problem] if problem else []
    try:
        problems += _document_problems(doc)
        sheet = _sorted(doc)
        cuts = read_cuts(sheet.cuts)
    except DXF_UNREADABLE as fault:
        return ReadBack(path=rel, problems=(*problems, f"its entities cannot be read: {fault}"))
    problems += [*sheet.problems, *cuts.problems]
    outline, inner, outline_problems = _outline(cuts, flat)
    problems += outline_problems
    marked_holes = [h for h in flat.holes if h.diameter_mm < smallest_hole_mm]
    marked_slots = [s for s in flat.slots if s.width_mm < smallest_hole_mm]
    problems += _hole_problems(cuts.circles, flat, smallest_hole_mm)
    problems += _slot_problems(inner, [s for s in flat.slots if s.width_mm >= smallest_hole_mm])
    places = [(h.name, (h.u_mm, h.v_mm), h.diameter_mm) for h in marked_holes]
    places += [(s.name, end, s.width_mm) for s in marked_slots for end in _slot_ends(s)]
    problems += _mark_problems(sheet, places)
    problems += _bend_problems(sheet, flat, plan.thickness_mm)
    facts = [_release_fact(doc), _lint_fact(cuts, inner, outline)]
    if outline is not None:
        kept = sum(math.pi * h.diameter_mm**2 / 4 for h in marked_holes)
        kept += sum(math.pi * s.width_mm**2 / 4 + s.width_mm * s.travel_mm for s in marked_slots)
        wanted = flat_area(plan) + kept
        net = area(outline) - sum(area(c) for c in inner)
        net -= sum(math.pi * c.diameter**2 / 4 for c in cuts.circles)
        if not math.isclose(net, wanted, rel_tol=SAME_RATIO):
            problems.append(f"the cuts enclose {net:.6f} mm2, the plan {wanted:.6f} mm2")
        u0, v0, u1, v1 = bounds(outline)
        facts.append(f"blank {u1 - u0:.2f} x {v1 - v0:.2f} mm, {net:.1f} mm2 after cutting")
    if flat.bends:
        facts.append(f"{len(sheet.bends)} bend line{'s' if len(sheet.bends) > 1 else ''} with notes")
    if places:
        facts.append(f"{len(places)} centre marks to drill")
    return ReadBack(path=rel, facts=tuple(facts), problems=tuple(dict.fromkeys(problems)))


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


def _document_problems(doc: Drawing) -> list[str]:
    problems: list[str] = []
    auditor = doc.audit()
    problems += [f"audit: {entry.message}" for entry in (*auditor.errors, *auditor.fixes)]
    release = RELEASES.get(doc.dxfversion)
    if release is None:
        return [*problems, f"DXF release {doc.dxfversion}, expected R2010 or R12"]
    if release == "R2010":
        units = int(doc.header.get("$INSUNITS", 0))
        if units != 4:
            problems.append(f"units: $INSUNITS is {units} ({UNITS.get(units, 'other')}), expected 4 (mm)")
        if int(doc.header.get("$MEASUREMENT", 0)) != 1:
            problems.append("units: $MEASUREMENT does not say metric")
    return problems


def _sorted(doc: Drawing) -> _Sheet:
    sheet = _Sheet()
    for layout in doc.layouts:
        if layout.name != "Model" and len(layout):
            sheet.problems.append(f"{len(layout)} entities on the paper layout {layout.name!r}")
    for entity in doc.modelspace():
        if not isinstance(entity, DXFGraphic):
            sheet.problems.append(f"an unknown entity {entity.dxftype()!r}")
            continue
        layer = entity.dxf.layer
        if layer not in LAYERS:
            sheet.problems.append(f"{entity.dxftype()} on the unknown layer {layer!r}")
            continue
        if _off_plane(entity):
            sheet.problems.append(f"{entity.dxftype()} on {layer} does not lie in the plane of the sheet")
        if layer == "NOTES" and isinstance(entity, Text | MText):
            insert = entity.dxf.insert
            content = entity.dxf.text if isinstance(entity, Text) else entity.text
            sheet.texts.append((content, (insert.x, insert.y)))
        elif layer == "CUT" and not isinstance(entity, Text | MText):
            sheet.cuts.append(entity)
        elif layer in ("BEND_UP", "BEND_DOWN") and isinstance(entity, Line):
            sheet.bends.append((layer, entity))
        elif layer == "MARK" and isinstance(entity, Line):
            sheet.marks.append(entity)
        else:
            sheet.problems.append(f"{entity.dxftype()} does not belong on the layer {layer}")
    if not any("UNITS: mm" in text for text, _ in sheet.texts):
        sheet.problems.append("no note says that the units are mm")
    return sheet


def _off_plane(entity: DXFEntity) -> bool:
    """True for an entity above or below the sheet, or drawn looking from behind (mirrored)."""
    heights: list[float] = []
    if isinstance(entity, Circle):  # arcs too
        heights = [entity.dxf.center.z]
    elif isinstance(entity, Line):
        heights = [entity.dxf.start.z, entity.dxf.end.z]
    elif isinstance(entity, LWPolyline):
        heights = [entity.dxf.get("elevation", 0.0)]
    elif isinstance(entity, Text | MText):
        heights = [entity.dxf.insert.z]
    flipped = entity.dxf.hasattr("extrusion") and not entity.dxf.extrusion.isclose((0, 0, 1))
    return flipped or any(abs(h) > SAME_MM for h in heights)


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


def _hole_problems(circles: Sequence[CutCircle], flat: FlatPattern, smallest_mm: float) -> Iterator[str]:
    left = list(circles)
    missing = []
    for hole in (h for h in flat.holes if h.diameter_mm >= smallest_mm):
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


def _slot_ends(slot: Slot) -> tuple[tuple[float, float], tuple[float, float]]:
    du = math.cos(slot.angle_rad) * slot.travel_mm / 2
    dv = math.sin(slot.angle_rad) * slot.travel_mm / 2
    return (slot.u_mm - du, slot.v_mm - dv), (slot.u_mm + du, slot.v_mm + dv)


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


def _mark_problems(sheet: _Sheet, places: Iterable[tuple[str, tuple[float, float], float]]) -> Iterator[str]:
    """Each centre mark is two short lines that cross in the middle, with a note for the drill."""
    middles = [((m.dxf.start.x + m.dxf.end.x) / 2, (m.dxf.start.y + m.dxf.end.y) / 2) for m in sheet.marks]
    used: set[int] = set()
    for name, place, diameter in places:
        here = [i for i, m in enumerate(middles) if math.dist(m, place) < SAME_MM]
        used.update(here)
        if len(here) != 2:
            yield f"opening {name!r}: no centre mark of two lines at {at(place)}"
        if not any(f" {name}: centre mark" in t and f"drill {diameter:.2f} mm" in t for t, _ in sheet.texts):
            yield f"opening {name!r}: no note says to drill {diameter:.2f} mm"
    for i, middle in enumerate(middles):
        if i not in used:
            yield f"a mark at {at(middle)} is not in the plan"


def _bend_problems(sheet: _Sheet, flat: FlatPattern, thickness_mm: float) -> Iterator[str]:
    left = list(sheet.bends)
    notes = {m["name"]: m for text, _ in sheet.texts if (m := BEND_NOTE.fullmatch(text))}
    for strip in flat.bends:
        bend = strip.bend
        found = next((item for item in left if _same_line(item[1], strip.middle)), None)
        if found is None:
            yield f"bend {bend.name!r}: no bend line at {at(strip.middle[0])} to {at(strip.middle[1])}"
        else:
            left.remove(found)
            if found[0] != f"BEND_{bend.direction.upper()}":
                yield f"bend {bend.name!r} is on {found[0]}, the plan bends it {bend.direction}"
        label = f"{bend.name} {bend.direction.upper()} "
        labels = (place for text, place in sheet.texts if text.startswith(label))
        if not any(_distance(place, strip.middle) < LABEL_NEAR_MM for place in labels):
            yield f"bend {bend.name!r} has no text beside its line"
        note = notes.get(bend.name)
        if note is None:
            yield f"bend {bend.name!r} has no note with angle, radius, K and deduction"
        else:
            yield from _note_problems(note, strip, thickness_mm)
    for layer, line in left:
        yield f"a line on {layer} at {at((line.dxf.start.x, line.dxf.start.y))} is no bend of the plan"


def _note_problems(note: re.Match[str], strip: FlatBend, thickness_mm: float) -> Iterator[str]:
    bend = strip.bend
    checks = [
        ("angle", math.degrees(bend.angle_rad), 0.005),
        ("radius", bend.inside_radius_mm, 0.00501),
        ("k", bend.k_factor, 0.0000501),
        ("allowance", strip.allowance_mm, 0.00501),
    ]
    if bend.angle_rad < math.pi:
        takes = deduction(bend.angle_rad, bend.inside_radius_mm, thickness_mm, bend.k_factor)
        checks.append(("deduction", takes, 0.00501))
    if note["direction"] != bend.direction.upper():
        yield f"bend {bend.name!r}: the note says {note['direction']}, the plan bends it {bend.direction}"
    for group, wanted, within in checks:
        said = note[group]
        if said is None or abs(float(said) - wanted) > within:
            yield f"bend {bend.name!r}: the note gives {group} {said}, the plan {wanted:.4f}"


def _same_line(line: Line, wanted: tuple[tuple[float, float], tuple[float, float]]) -> bool:
    a, b = (line.dxf.start.x, line.dxf.start.y), (line.dxf.end.x, line.dxf.end.y)
    return any(
        math.dist(p, wanted[0]) < SAME_MM and math.dist(q, wanted[1]) < SAME_MM for p, q in ((a, b), (b, a))
    )


def _distance(point: tuple[float, float], line: tuple[tuple[float, float], tuple[float, float]]) -> float:
    (u0, v0), (u1, v1) = line
    du, dv = u1 - u0, v1 - v0
    t = ((point[0] - u0) * du + (point[1] - v0) * dv) / (du * du + dv * dv)
    t = min(1.0, max(0.0, t))
    return math.dist(point, (u0 + t * du, v0 + t * dv))
