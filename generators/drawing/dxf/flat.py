"""The blank as a file for the cutting machine: what to cut, where to bend, and nothing else.

The form is the shop's (``Cutting`` of ``shop.toml``): one of three profiles, layers by operation or one
for cuts and one for marks, bend lines and text or not. Text is never on a layer that is cut. No kerf
offset unless the shop asks for it, and then the file says so.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable
from pathlib import Path

from ezdxf.layouts.layout import Modelspace

from generators.drawing.dxf.corner_letters import corner_letters, corner_note
from generators.drawing.dxf.file import (
    CHAIN,
    CONTINUOUS_NARROW,
    CONTINUOUS_WIDE,
    DASHED,
    DxfLayer,
    new_dxf,
    save_dxf,
)
from generators.drawing.metal import metal_words
from generators.drawing.part.tables.datums import find_datums
from generators.figures import fixed
from generators.geometry.contours import arc_of, bounds, segments, stadium
from generators.model.contour import Contour
from generators.model.plan import Hole, PartPlan, Slot
from generators.model.spec.shop import Cutting
from generators.sheetmetal.allowance import deduction
from generators.sheetmetal.cut_file import LayerNames, cut_pattern, layer_names, lettered
from generators.sheetmetal.folding import FlatBend, FlatPattern, flat_pattern
from generators.sheetmetal.grain import grain_arrow, grain_words
from generators.sheetmetal.marking.etching import etching
from generators.sheetmetal.marking.letters import Stroke

BURRS = "Cut with the upper side up: burrs come on the lower side. Deburr that side first, then all edges."
NO_BEND_LINES = "Bend lines are not in this file: see the drawing."
RELEASES = {"polylines": "R2010", "exploded": "R2010", "r12": "R12"}
MARK_ARM_MM = 1.5
# text as high as suits the blank: readable when the whole part fills a screen
NOTE_SHARE = 1 / 70
NOTE_RANGE_MM = (2.0, 10.0)
LINE_STEP = 1.6
FIRST_LINE = 4.0
SMALLEST_LABEL_MM = 1.0
# width of a capital against its height in the plain stroke font, rounded up
LETTER_ASPECT = 1.0


def write_flat_dxf(
    plan: PartPlan,
    path: Path,
    *,
    revision: str,
    job: str = "",
    cutting: Cutting | None = None,
    smallest_hole_mm: float = 0.0,
) -> None:
    """Write the blank of a plan in the form a shop takes, in mm, in the root flange's frame.

    An opening narrower than ``smallest_hole_mm`` becomes centre marks and a drill note. Without a
    ``cutting`` the file is R2010, closed polylines, layers by operation. ``job`` is the job's title.

    Raises ``GeometryFault`` when the plan has no flat pattern or is too narrow for the kerf, and
    ``ExportError`` when the file cannot be written.
    """
    shop = Cutting() if cutting is None else cutting
    letters_on = etching(plan, flat_pattern(plan))
    named = lettered(shop, bent=bool(plan.bends))
    layers = layer_names(shop, grain=plan.grain != "any", etch=letters_on is not None, corners=named)
    planned = flat_pattern(plan)
    flat = cut_pattern(planned, shop.kerf_mm, smallest_hole_mm)
    doc = new_dxf(RELEASES[shop.profile], layer_list(layers))
    msp = doc.modelspace()
    notes = [
        *([job_note(job)] if job else []),
        *_heading(plan, revision, shop),
        origin_note(planned),
        *uncut_notes(layers),
        *draw_cuts(msp, planned, flat, shop, layers, smallest_hole_mm),
    ]
    u0, v0, u1, v1 = bounds(flat.contour)
    letters = min(max(max(u1 - u0, v1 - v0) * NOTE_SHARE, NOTE_RANGE_MM[0]), NOTE_RANGE_MM[1])
    for strip in flat.bends:
        if shop.bend_lines:
            bend_line(msp, strip, layers)
            if shop.notes:
                _bend_label(msp, strip, letters, layers.notes)
        notes.append(bend_note(strip, plan.thickness_mm))
    for line in grain_arrow(plan, flat):
        msp.add_line(*line, dxfattribs={"layer": layers.grain})
    if letters_on is not None:
        for stroke in letters_on.strokes:
            etch_line(msp, stroke, layers.etch, whole=shop.profile == "polylines")
        notes.append(etch_note(letters_on.text, layers.etch))
    if named:
        strokes = () if letters_on is None else letters_on.strokes
        for letter in corner_letters(planned, strokes):
            msp.add_text(
                letter.text,
                height=letter.height_mm,
                dxfattribs={"layer": layers.corners, "insert": letter.at},
            )
        notes.append(corner_note(layers.corners))
    said = grain_words(plan, planned)
    if said:
        notes.append(f"{said}.")
    if shop.notes:
        _notes(msp, notes, u0, v0, letters, layers.notes)
    comments = [f"{plan.name}, revision {revision}, units mm", *([said] if said else [])]
    save_dxf(doc, path, (u0, v0, u1, v1), comments=comments)


def draw_cuts(
    msp: Modelspace,
    planned: FlatPattern,
    flat: FlatPattern,
    shop: Cutting,
    layers: LayerNames,
    smallest_hole_mm: float,
) -> list[str]:
    """All cuts of a blank and the marks of what is drilled later; what is said of those in notes.

    ``planned`` is the blank, ``flat`` the path of the cutter on it.
    """
    draw = _polyline if shop.profile == "polylines" else _pieces
    draw(msp, flat.contour, layers.cut)
    for hole in flat.holes:
        msp.add_circle((hole.u_mm, hole.v_mm), hole.diameter_mm / 2, dxfattribs={"layer": layers.cut})
    for slot in flat.slots:
        contour = stadium(slot.u_mm, slot.v_mm, slot.width_mm, slot.travel_mm, slot.angle_rad)
        draw(msp, contour, layers.cut)
    notes: list[str] = []
    for hole in planned.holes:
        if hole.diameter_mm < smallest_hole_mm:
            _centre_mark(msp, hole.u_mm, hole.v_mm, layers.mark)
            notes.append(f"{drill_note(hole)} at X {fixed(hole.u_mm, 2)} Y {fixed(hole.v_mm, 2)}")
    for slot in planned.slots:
        if slot.width_mm < smallest_hole_mm:
            du, dv = (
                math.cos(slot.angle_rad) * slot.travel_mm / 2,
                math.sin(slot.angle_rad) * slot.travel_mm / 2,
            )
            _centre_mark(msp, slot.u_mm - du, slot.v_mm - dv, layers.mark)
            _centre_mark(msp, slot.u_mm + du, slot.v_mm + dv, layers.mark)
            notes.append(f"{slot_note(slot)} at X {fixed(slot.u_mm, 2)} Y {fixed(slot.v_mm, 2)}")
    return notes


def layer_list(layers: LayerNames) -> list[DxfLayer]:
    """Every layer once: cuts wide, bends up in chain lines and down dashed; a layer that bends up share with
    bends down or with marks is continuous and narrow, as marks and text are."""
    lines = {layers.cut: CONTINUOUS_WIDE, layers.bend_up: CHAIN}
    lines[layers.bend_down] = CONTINUOUS_NARROW if layers.bend_down in lines else DASHED
    marks = (layers.mark, layers.notes, layers.grain, layers.etch, layers.corners)
    lines |= dict.fromkeys(marks, CONTINUOUS_NARROW)
    return [DxfLayer(name=name, line=lines[name]) for name in layers.each_once]


def origin_note(planned: FlatPattern) -> str:
    """Where the zero of the drawing's X and Y lies in this file, which has the part's own origin."""
    datums = find_datums(planned)
    x, y = fixed(datums.u_mm, 2), fixed(datums.v_mm, 2)
    return f"The drawing's X 0 ({datums.u_words}) is X {x} of this file, its Y 0 ({datums.v_words}) is Y {y}."


def uncut_notes(layers: LayerNames) -> list[str]:
    """Every layer that is not cut, by its name."""
    others = [name for name in layers.each_once if name != layers.cut]
    return [f"NEVER CUT what is on {', '.join(others)}."] if others else []


def etch_note(text: str, layer: str) -> str:
    """What the file says of letters."""
    return f"Layer {layer}: {text} etched on the upper side. MARK ONLY, NEVER CUT THROUGH."


def kerf_note(kerf_mm: float | None) -> str:
    """What the file says of a kerf offset."""
    if kerf_mm is None:
        return "No kerf offset."
    return (
        f"KERF OFFSET APPLIED for a cut {fixed(kerf_mm, 2)} mm wide: outline {fixed(kerf_mm / 2, 3)} mm out, "
        f"openings {fixed(kerf_mm, 2)} mm narrower. Switch the machine's own offset off."
    )


def job_note(title: str) -> str:
    """Which job the part is of: another job may have a part and a file of the same name."""
    return f"Job: {title}"


def _heading(plan: PartPlan, revision: str, shop: Cutting) -> list[str]:
    lines = [
        f"{plan.title} ({plan.name}), revision {revision}",
        f"{metal_words(plan)}, thickness {plan.thickness_mm:g} mm, quantity {plan.quantity}",
        f"UNITS: mm. Cut layer: {shop.cut_layer}. Upper side shown: UP bends come toward you.",
        BURRS,
        kerf_note(shop.kerf_mm),
    ]
    if plan.bends and not shop.bend_lines:
        lines.append(NO_BEND_LINES)
    return lines


def drill_note(hole: Hole) -> str:
    """What is drilled where only a centre mark is."""
    return f"hole {hole.name}: centre mark only, drill {fixed(hole.diameter_mm, 2)} mm"


def slot_note(slot: Slot) -> str:
    """What is drilled and filed where only centre marks are."""
    return f"slot {slot.name}: centre marks only, drill {fixed(slot.width_mm, 2)} mm at both and file out"


def bend_note(strip: FlatBend, thickness_mm: float) -> str:
    """All a press brake needs for one bend, in one line of plain letters."""
    bend = strip.bend
    takes = (
        f"{fixed(deduction(bend.angle_rad, bend.inside_radius_mm, thickness_mm, bend.k_factor), 2)} mm"
        if bend.angle_rad < math.pi
        else "none (mould lines do not meet)"
    )
    return (
        f"bend {bend.name}: {bend.direction.upper()} {math.degrees(bend.angle_rad):.5g} deg, "
        f"inside R {fixed(bend.inside_radius_mm, 2)} mm, K {bend.k_factor:.4f}, "
        f"allowance {fixed(strip.allowance_mm, 2)} mm, deduction {takes}"
    )


def _polyline(msp: Modelspace, contour: Contour, layer: str) -> None:
    points = [(p.u, p.v, p.bulge) for p in contour.vertices]
    msp.add_lwpolyline(points, format="xyb", close=True, dxfattribs={"layer": layer})


def _pieces(msp: Modelspace, contour: Contour, layer: str) -> None:
    for a, b in segments(contour):
        if a.bulge == 0:
            msp.add_line((a.u, a.v), (b.u, b.v), dxfattribs={"layer": layer})
            continue
        arc = arc_of(a, b)
        start, end = math.degrees(arc.start), math.degrees(arc.start + arc.sweep)
        if arc.sweep < 0:  # a DXF arc always turns left
            start, end = end, start
        msp.add_arc((arc.cu, arc.cv), arc.radius, start, end, dxfattribs={"layer": layer})


def etch_line(msp: Modelspace, stroke: Stroke, layer: str, *, whole: bool) -> None:
    """A line of a letter, in one piece or several."""
    if whole:
        msp.add_lwpolyline(stroke, close=False, dxfattribs={"layer": layer})
        return
    for a, b in itertools.pairwise(stroke):
        msp.add_line(a, b, dxfattribs={"layer": layer})


def _centre_mark(msp: Modelspace, u: float, v: float, layer: str) -> None:
    attributes = {"layer": layer}
    msp.add_line((u - MARK_ARM_MM, v), (u + MARK_ARM_MM, v), dxfattribs=attributes)
    msp.add_line((u, v - MARK_ARM_MM), (u, v + MARK_ARM_MM), dxfattribs=attributes)


def bend_line(msp: Modelspace, strip: FlatBend, layers: LayerNames) -> None:
    """The middle line of a bend on the layer of its direction."""
    start, end = strip.middle
    msp.add_line(start, end, dxfattribs={"layer": layers.bend(strip.bend.direction)})


def _bend_label(msp: Modelspace, strip: FlatBend, largest_mm: float, layer: str) -> None:
    bend = strip.bend
    (u0, v0), (u1, v1) = strip.middle
    label = f"{bend.name} {bend.direction.upper()} {math.degrees(bend.angle_rad):.5g} deg"
    length = math.hypot(u1 - u0, v1 - v0)
    height = max(SMALLEST_LABEL_MM, min(largest_mm, 0.8 * length / (len(label) * LETTER_ASPECT)))
    angle = math.atan2(v1 - v0, u1 - u0)
    if not -math.pi / 2 + 1e-9 < angle <= math.pi / 2 + 1e-9:  # never upside down
        angle = math.remainder(angle + math.pi, 2 * math.pi)
        u0, v0 = u1, v1
    inset, lift = 0.08 * length, 0.4 * height
    c, s = math.cos(angle), math.sin(angle)
    msp.add_text(
        label,
        height=height,
        rotation=math.degrees(angle),
        dxfattribs={
            "layer": layer,
            "insert": (u0 + c * inset - s * lift, v0 + s * inset + c * lift),
        },
    )


def _notes(msp: Modelspace, lines: Iterable[str], u: float, v: float, height: float, layer: str) -> None:
    for i, line in enumerate(lines):
        msp.add_text(
            line,
            height=height,
            dxfattribs={"layer": layer, "insert": (u, v - (FIRST_LINE + i * LINE_STEP) * height)},
        )


def marked_openings(flat: FlatPattern, smallest_hole_mm: float) -> tuple[str, ...]:
    """Names of the openings too small to cut, which become centre marks."""
    return tuple(h.name for h in flat.holes if h.diameter_mm < smallest_hole_mm) + tuple(
        s.name for s in flat.slots if s.width_mm < smallest_hole_mm
    )
