"""Letters on a finished flat DXF: they spell what the part asks for, and keep off edges, bends, holes, welds.

Strokes are laid on those of the alphabet by their first line; where they lie is measured here anew.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Iterator, Sequence

import numpy as np
from ezdxf.entities.dxfgfx import DXFGraphic
from ezdxf.entities.line import Line
from ezdxf.entities.lwpolyline import LWPolyline
from shapely.geometry import LineString, MultiPoint, Point, Polygon
from shapely.geometry.base import BaseGeometry

from generators.geometry.contours import polyline
from generators.geometry.frames import apply
from generators.model.plan import PartPlan
from generators.model.spec.shop import Cutting
from generators.sheetmetal.cut_file import LayerNames
from generators.sheetmetal.folding import FlatPattern, folded_frames
from generators.sheetmetal.marking.letters import strokes
from generators.verify.dxf.flat_marks import Sheet

SAME_MM = 1e-6
LEAST_HEIGHT_MM = 3.0
CLEAR_MM, CLEAR_SHEETS = 3.0, 2.0
SLACK_MM = 0.05
LEGS, WIDEST_LEG_MM = ((6.0, 3.0), (12.0, 5.0)), 6.0
"""Least legs by thickness, AWS D1.1, written down anew."""

NEAR_MM, SAMPLE_MM = 8.0, 0.25
NEVER = "MARK ONLY, NEVER CUT THROUGH"
Segment = tuple[complex, complex]


def etch_problems(
    sheet: Sheet, plan: PartPlan, flat: FlatPattern, layers: LayerNames, cutting: Cutting
) -> Iterator[str]:
    """What is wrong with the letters, their place, and the note that says that they are not cut."""
    segments = list(segments_of(sheet.etch))
    if not plan.etch:
        if segments:
            yield f"{len(segments)} lines are etched, the part asks for none"
        return
    if any(isinstance(e, LWPolyline) and e.closed for e in sheet.etch):
        yield "a closed line is etched: cut by mistake, its inside falls out"
    note = f"Layer {layers.etch}: {plan.etch} etched on the upper side. {NEVER}."
    if cutting.notes and not any(text == note for text, _ in sheet.texts):
        yield f"no note says that {plan.etch} is etched and never cut through"
    yield from letter_problems(segments, plan, flat)


def letter_problems(segments: Sequence[Segment], plan: PartPlan, flat: FlatPattern) -> Iterator[str]:
    """What is wrong with the lines of a part's letters and where they lie on its blank."""
    wanted = [
        (complex(*a), complex(*b))
        for stroke in strokes(plan.etch, 6.0)
        for a, b in itertools.pairwise(stroke)
    ]
    if len(segments) != len(wanted):
        yield f"{len(segments)} lines are etched, {plan.etch!r} has {len(wanted)}"
        return
    (a, b), (c, d) = segments[0], wanted[0]
    turn = (b - a) / (d - c)
    height = 6.0 * abs(turn)
    if any(
        abs(a + (w - c) * turn - s) > 100 * SAME_MM
        for pair, letter in zip(segments, wanted, strict=True)
        for s, w in zip(pair, letter, strict=True)
    ):
        yield f"what is etched does not spell {plan.etch!r}"
    if height < LEAST_HEIGHT_MM - SAME_MM:
        yield f"letters of {height:.2f} mm are too small to read"
    yield from _place(segments, plan, flat)


def segments_of(etched: Iterable[DXFGraphic]) -> Iterator[Segment]:
    """Lines of letters, one by one, in the order of the file."""
    for entity in etched:
        if isinstance(entity, Line):
            yield complex(entity.dxf.start.x, entity.dxf.start.y), complex(entity.dxf.end.x, entity.dxf.end.y)
        elif isinstance(entity, LWPolyline):
            points = [complex(x, y) for x, y in entity.get_points("xy")]
            yield from itertools.pairwise(points)


def _place(segments: Sequence[Segment], plan: PartPlan, flat: FlatPattern) -> Iterator[str]:
    """Nothing etched near an edge, a bend, a hole or what is welded on."""
    least = max(CLEAR_MM, CLEAR_SHEETS * plan.thickness_mm) - SLACK_MM
    face = Polygon(polyline(flat.contour, 0.01))
    bends = [Polygon([*b.near, *b.far[::-1]]) for b in flat.bends]
    finished = {h.name: h.diameter_mm for f in plan.flanges for h in f.holes}
    openings: list[tuple[str, BaseGeometry, float]] = [
        (h.name, Point(h.u_mm, h.v_mm), finished[h.name] / 2) for h in flat.holes
    ]
    for s in flat.slots:
        du, dv = (f(s.angle_rad) * s.travel_mm / 2 for f in (math.cos, math.sin))
        ends = [(s.u_mm - du, s.v_mm - dv), (s.u_mm + du, s.v_mm + dv)]
        openings.append((s.name, LineString(ends), s.width_mm / 2))
    openings += [(f"the boss of {name}", at, r) for name, at, r in _bosses(plan, flat)]
    openings += [(f"the weld of {edge} to {onto}", foot, leg) for edge, onto, foot, leg in _feet(plan, flat)]
    for a, b in segments:
        line = LineString([(a.real, a.imag), (b.real, b.imag)])
        if not face.contains(line) or face.exterior.distance(line) < least:
            yield "letters lie nearer to the edge than they may"
        if any(bend.distance(line) < least for bend in bends):
            yield "letters lie in a bend or nearer to one than they may"
        for name, spine, radius in openings:
            if spine.distance(line) < radius + least:
                yield f"letters lie nearer to {name} than they may"


def _bosses(plan: PartPlan, flat: FlatPattern) -> Iterator[tuple[str, BaseGeometry, float]]:
    """Rings round holes, with the legs of their fillets: name, middle and radius."""
    finishes = {h.name: h.finish for f in plan.flanges for h in f.holes}
    for hole in flat.holes:
        finish = finishes[hole.name]
        if finish is not None and finish.ring is not None:
            leg = finish.ring.weld_mm * math.sqrt(2) if finish.ring.welded else 0.0
            yield hole.name, Point(hole.u_mm, hole.v_mm), finish.ring.outside_mm / 2 + leg


def _feet(plan: PartPlan, flat: FlatPattern) -> Iterator[tuple[str, str, BaseGeometry, float]]:
    """Where a flange stands on the one it is welded to, on the blank, and the least leg of its fillet.

    Found from the folded part: what of the flange's outline, on either of its faces, comes near the other's.
    """
    frames = folded_frames(plan) if plan.welds else {}
    t = plan.thickness_mm
    leg = next((leg for most, leg in LEGS if t <= most), WIDEST_LEG_MM)
    for edge, onto in plan.welds:
        into = np.linalg.inv(frames[onto]) @ frames[edge]
        ring = LineString([*(o := polyline(plan.flange(edge).contour, 0.05)), o[0]])
        steps = np.arange(0.0, ring.length, SAMPLE_MM)
        outline = [(p.x, p.y) for p in map(ring.interpolate, steps)]
        points = apply(into, np.array([(*p, w) for p in outline for w in (0.0, t)]))
        near = points[(points[:, 2] > -NEAR_MM) & (points[:, 2] < t + NEAR_MM)]
        if len(near):
            place = flat.placements[onto]
            yield edge, onto, MultiPoint([place.apply(u, v) for u, v, _ in near]).convex_hull, leg
