"""A second sketch of the bent part: heights over its root and lengths along its folds, seen from one side."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from shapely.geometry import box

from generators.drawing.inspection.item import Item
from generators.drawing.paper.dimensions import TEXT_MM, Clutter, Point, place_label
from generators.drawing.paper.pen import GREY, THIN, Pen, text_width
from generators.drawing.paper.sheet_layout import Cell
from generators.drawing.part.body import Body
from generators.drawing.part.folded_view import COARSE_STEP_MM, PAPER_STEP_MM, draw_strokes
from generators.drawing.part.views import BOTTOM, LEFT, RIGHT, TOP, Camera, extent, view
from generators.geometry.frames import Matrix, apply
from generators.model.plan import Hole, PartPlan, Slot
from generators.sheetmetal.askew.ties import ties_of
from generators.sheetmetal.folding import folded_frames

EDGE_ON = 1e-6
CAPTION_MM, AIR_MM, PAD_MM = 5.0, 0.7, 7.0
SHORT_MM = 1.0
"""What is shorter shows nothing on a sketch: its words have to do."""

LEAST_MM = 18.0
"""A view whose longer side is shorter than that on paper says less than the words do. Ours."""

HEIGHTS, ALONG = "H over the {root}", "M along folds"


@dataclass(frozen=True, slots=True, kw_only=True)
class Span:
    """What a mark of the sketch stands for: from ``start`` to ``end`` in the root's frame, mm.

    ``end`` is at the hole that is reached, ``level`` the centre of the one that an ``M`` is read from.
    """

    key: str
    start: Matrix
    end: Matrix
    level: Matrix


def spans(plan: PartPlan, items: Sequence[Item]) -> Iterator[Span]:
    """Heights of openings in upright flanges, and ties along folds, of those that the sheet asks for."""
    keys = {item.key for item in items}
    frames = folded_frames(plan)
    owned: list[tuple[str, Hole | Slot]] = [(f.name, h) for f in plan.flanges for h in f.holes]
    owned += [(f.name, s) for f in plan.flanges for s in f.slots]
    for number, (name, opening) in enumerate(owned, 1):
        if f"H{number}" in keys and abs(float(frames[name][2, 2])) < EDGE_ON:
            middle = np.array([[opening.u_mm, opening.v_mm, plan.thickness_mm / 2]])
            end = apply(frames[name], middle)[0]
            start = end * np.array([1.0, 1.0, 0.0])
            yield Span(key=f"H{number}", start=start, end=end, level=start)
    for tie in ties_of(plan):
        along = float((tie.own.centre - tie.first.centre) @ tie.axis)
        start = tie.own.centre - along * tie.axis
        yield Span(key=f"M{tie.own.number}", start=start, end=tie.own.centre, level=tie.first.centre)


def side_of(plan: PartPlan, items: Sequence[Item], body: Body) -> tuple[Camera, tuple[Span, ...]] | None:
    """The side that shows most of them in true length, and those; None where there is none to show.

    Of sides that show as many the one that hides less is taken.
    """
    every = tuple(s for s in spans(plan, items) if float(np.linalg.norm(s.end - s.start)) >= SHORT_MM)
    found = []
    for camera in (RIGHT, LEFT, BOTTOM, TOP):
        seen = tuple(s for s in every if abs(float((s.end - s.start) @ camera.toward)) < EDGE_ON)
        hidden = round(view(body, camera, COARSE_STEP_MM).hidden_length)
        found.append((-len(seen), hidden, camera, seen))
    best = min(found, key=lambda f: f[:2])
    return (best[2], best[3]) if best[3] else None


def draw_side(
    pen: Pen, plan: PartPlan, body: Body, cell: Cell, side: tuple[Camera, tuple[Span, ...]], largest: float
) -> None:
    """Draw the view into a cell with a thin line for each span and its mark; spans alike share one."""
    camera, shown = side
    x0, y0, x1, y1 = extent(body, camera)
    scale = side_scale((x0, y0, x1, y1), cell, largest)
    shift = (
        cell.x + (cell.width - (x0 + x1) * scale) / 2,
        cell.y + CAPTION_MM + (cell.height - CAPTION_MM - (y0 + y1) * scale) / 2,
    )
    clutter = Clutter()
    draw_strokes(pen, view(body, camera, PAPER_STEP_MM / scale), scale, shift, hidden=False, clutter=clutter)

    def paper(point: Matrix) -> Point:
        x, y = camera.project(point[None, :])[0]
        return float(x) * scale + shift[0], float(y) * scale + shift[1]

    groups: dict[tuple[float, ...], list[Span]] = {}
    for span in shown:
        ends = camera.project(np.array([span.start, span.end])).round(3) + 0.0
        groups.setdefault((*ends.ravel().tolist(), span.key[0] == "H"), []).append(span)
    for alike in groups.values():
        start, end, level = (paper(p) for p in (alike[0].start, alike[0].end, alike[0].level))
        if level != start:
            pen.stroke(THIN, GREY)
            pen.line(*level, *start)
            clutter.add_line([level, start], 0.3)
        pen.stroke(THIN, GREY, dash=(1.2, 0.8))
        pen.line(*start, *end)
        clutter.add_line([start, end], 0.3)
        pen.stroke(THIN)
        pen.circle(*end, 1.0, fill=0.0)
    room = box(cell.x, cell.y + CAPTION_MM, cell.x + cell.width, cell.y + cell.height)
    for alike in groups.values():
        start, end = paper(alike[0].start), paper(alike[0].end)
        middle = ((start[0] + end[0]) / 2, (start[1] + end[1]) / 2)
        text = ", ".join(span.key for span in alike)
        place_label(pen, clutter, middle, 0.0, text, bold=True, within=room, air=AIR_MM)
    pen.text(cell.x + cell.width / 2, cell.y + 1.0, _title(plan, camera, shown), TEXT_MM, align="centre")


def side_scale(extent: tuple[float, float, float, float], cell: Cell, largest: float) -> float:
    """The largest scale at which the view with its marks has room in a cell."""
    wide, high = extent[2] - extent[0], extent[3] - extent[1]
    return min(largest, (cell.width - 2 * PAD_MM) / wide, (cell.height - CAPTION_MM - 2 * PAD_MM) / high)


def side_mm(
    plan: PartPlan, body: Body, cell: Cell, side: tuple[Camera, tuple[Span, ...]], largest: float
) -> float:
    """How long the view's longer side is in a cell, mm of the page; 0 where its caption has no room."""
    camera, shown = side
    extent = view(body, camera, COARSE_STEP_MM).bounds
    if text_width(_title(plan, camera, shown), TEXT_MM) > cell.width:
        return 0.0
    return max(extent[2] - extent[0], extent[3] - extent[1]) * side_scale(extent, cell, largest)


def _title(plan: PartPlan, camera: Camera, shown: Sequence[Span]) -> str:
    """Which side it is, and what the letters on it are."""
    letters = {span.key[0] for span in shown}
    root = plan.flanges[0].name.replace("_", " ")
    said = [words for letter, words in (("H", HEIGHTS.format(root=root)), ("M", ALONG)) if letter in letters]
    return f"{camera.name.capitalize()}, once bent: {', '.join(said)}"
