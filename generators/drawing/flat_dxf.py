"""The blank as a file for the cutting machine: what to cut, where to bend, and nothing else.

Layers by operation: ``CUT`` (outline and openings), ``BEND_UP`` and ``BEND_DOWN`` (middle lines),
``MARK`` (centre marks of holes too small to cut), ``NOTES`` (all text). No kerf offset: the
machine's own program applies it (common practice, no source).
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from pathlib import Path

from ezdxf.layouts.layout import Modelspace

from generators.drawing.dxf_file import DxfLayer, new_dxf, save_dxf
from generators.geometry.contours import arc_of, bounds, segments, stadium
from generators.model.contour import Contour
from generators.model.plan import PartPlan
from generators.sheetmetal.allowance import deduction
from generators.sheetmetal.folding import FlatBend, FlatPattern, flat_pattern

PROFILES = {"polylines": "R2010", "exploded": "R2010", "r12": "R12"}
LAYERS = (
    DxfLayer(name="CUT", color=1),
    DxfLayer(name="BEND_UP", color=5),
    DxfLayer(name="BEND_DOWN", color=6),
    DxfLayer(name="MARK", color=3),
    DxfLayer(name="NOTES", color=8),
)
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
    profile: str = "polylines",
    smallest_hole_mm: float = 0.0,
) -> None:
    """Write the blank of a plan, in mm, in the root flange's frame.

    ``profile`` is ``polylines`` (R2010, closed polylines with arcs), ``exploded`` (R2010, loose
    lines and arcs) or ``r12`` (R12, loose lines and arcs). An opening narrower than
    ``smallest_hole_mm`` becomes centre marks and a drill note.

    Raises ``GeometryFault`` when the plan has no flat pattern, ``ValueError`` for an unknown
    profile and ``ExportError`` when the file cannot be written.
    """
    if profile not in PROFILES:
        raise ValueError(f"no profile {profile!r}; known: {', '.join(PROFILES)}")
    flat = flat_pattern(plan)
    doc = new_dxf(PROFILES[profile], LAYERS)
    msp = doc.modelspace()
    draw = _polyline if profile == "polylines" else _pieces
    draw(msp, flat.contour)
    notes = _heading(plan, revision)
    for hole in flat.holes:
        if hole.diameter_mm < smallest_hole_mm:
            _centre_mark(msp, hole.u_mm, hole.v_mm)
            notes.append(
                f"hole {hole.name}: centre mark only, drill {hole.diameter_mm:.2f} mm "
                f"at X {hole.u_mm:.2f} Y {hole.v_mm:.2f}"
            )
        else:
            msp.add_circle((hole.u_mm, hole.v_mm), hole.diameter_mm / 2, dxfattribs={"layer": "CUT"})
    for slot in flat.slots:
        if slot.width_mm < smallest_hole_mm:
            du, dv = (
                math.cos(slot.angle_rad) * slot.travel_mm / 2,
                math.sin(slot.angle_rad) * slot.travel_mm / 2,
            )
            _centre_mark(msp, slot.u_mm - du, slot.v_mm - dv)
            _centre_mark(msp, slot.u_mm + du, slot.v_mm + dv)
            notes.append(
                f"slot {slot.name}: centre marks only, drill {slot.width_mm:.2f} mm at both and file out "
                f"at X {slot.u_mm:.2f} Y {slot.v_mm:.2f}"
            )
        else:
            draw(msp, stadium(slot.u_mm, slot.v_mm, slot.width_mm, slot.travel_mm, slot.angle_rad))
    u0, v0, u1, v1 = bounds(flat.contour)
    letters = min(max(max(u1 - u0, v1 - v0) * NOTE_SHARE, NOTE_RANGE_MM[0]), NOTE_RANGE_MM[1])
    for strip in flat.bends:
        _bend_line(msp, strip, letters)
        notes.append(bend_note(strip, plan.thickness_mm))
    _notes(msp, notes, u0, v0, letters)
    save_dxf(doc, path, (u0, v0, u1, v1))


def _heading(plan: PartPlan, revision: str) -> list[str]:
    return [
        f"{plan.title} ({plan.name}), revision {revision}",
        f"{plan.material}, thickness {plan.thickness_mm:g} mm, quantity {plan.quantity}",
        "UNITS: mm. No kerf offset. Cut layer: CUT. Upper side shown: UP bends come toward you.",
    ]


def bend_note(strip: FlatBend, thickness_mm: float) -> str:
    """All a press brake needs for one bend, in one line of plain letters."""
    bend = strip.bend
    takes = (
        f"{deduction(bend.angle_rad, bend.inside_radius_mm, thickness_mm, bend.k_factor):.2f} mm"
        if bend.angle_rad < math.pi
        else "none (mould lines do not meet)"
    )
    return (
        f"bend {bend.name}: {bend.direction.upper()} {math.degrees(bend.angle_rad):.5g} deg, "
        f"inside R {bend.inside_radius_mm:.2f} mm, K {bend.k_factor:.4f}, "
        f"allowance {strip.allowance_mm:.2f} mm, deduction {takes}"
    )


def _polyline(msp: Modelspace, contour: Contour) -> None:
    points = [(p.u, p.v, p.bulge) for p in contour.vertices]
    msp.add_lwpolyline(points, format="xyb", close=True, dxfattribs={"layer": "CUT"})


def _pieces(msp: Modelspace, contour: Contour) -> None:
    for a, b in segments(contour):
        if a.bulge == 0:
            msp.add_line((a.u, a.v), (b.u, b.v), dxfattribs={"layer": "CUT"})
            continue
        arc = arc_of(a, b)
        start, end = math.degrees(arc.start), math.degrees(arc.start + arc.sweep)
        if arc.sweep < 0:  # a DXF arc always turns left
            start, end = end, start
        msp.add_arc((arc.cu, arc.cv), arc.radius, start, end, dxfattribs={"layer": "CUT"})


def _centre_mark(msp: Modelspace, u: float, v: float) -> None:
    attributes = {"layer": "MARK"}
    msp.add_line((u - MARK_ARM_MM, v), (u + MARK_ARM_MM, v), dxfattribs=attributes)
    msp.add_line((u, v - MARK_ARM_MM), (u, v + MARK_ARM_MM), dxfattribs=attributes)


def _bend_line(msp: Modelspace, strip: FlatBend, largest_mm: float) -> None:
    bend = strip.bend
    (u0, v0), (u1, v1) = strip.middle
    msp.add_line((u0, v0), (u1, v1), dxfattribs={"layer": f"BEND_{bend.direction.upper()}"})
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
            "layer": "NOTES",
            "insert": (u0 + c * inset - s * lift, v0 + s * inset + c * lift),
        },
    )


def _notes(msp: Modelspace, lines: Iterable[str], u: float, v: float, height: float) -> None:
    for i, line in enumerate(lines):
        msp.add_text(
            line,
            height=height,
            dxfattribs={"layer": "NOTES", "insert": (u, v - (FIRST_LINE + i * LINE_STEP) * height)},
        )


def marked_openings(flat: FlatPattern, smallest_hole_mm: float) -> tuple[str, ...]:
    """Names of the openings too small to cut, which become centre marks."""
    return tuple(h.name for h in flat.holes if h.diameter_mm < smallest_hole_mm) + tuple(
        s.name for s in flat.slots if s.width_mm < smallest_hole_mm
    )
