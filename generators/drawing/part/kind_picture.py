"""A picture of a kind: its default part with the parameters' names beside the dimensions they set."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from shapely.geometry import LineString

from generators.drawing.paper.dimensions import (
    Clutter,
    Point,
    arrow,
    centre_cross,
)
from generators.drawing.paper.pdf_pen import PdfPen
from generators.drawing.paper.pen import GREY, MEDIUM, THIN, Pen, fit_text, wrap_text
from generators.drawing.paper.sheet_layout import Cell, arrange
from generators.drawing.paper.svg_pen import SvgPen
from generators.drawing.part.body import Body, folded_body, opening_contours
from generators.drawing.part.flat_view import name_flanges
from generators.drawing.part.folded_view import PAPER_STEP_MM, draw_strokes, folded_views
from generators.drawing.part.named_sizes import ORIGIN, Label, NamedSizes, Span, leg_outside
from generators.drawing.part.named_view import Dim, NamedView, Note
from generators.drawing.part.pedal_view import WORDS, pedal_view
from generators.drawing.part.profile import inside_arc_middle
from generators.drawing.part.views import BOTTOM, FRONT, LEFT, RIGHT, TOP, Camera, extent, view
from generators.errors import GeometryFault
from generators.geometry.contours import bounds, polyline, transformed
from generators.geometry.frames import Matrix, apply
from generators.model.plan import PartPlan
from generators.sheetmetal.folding import bend_axis, flat_pattern, folded_frames

PAGE_MM, MARGIN_MM = 297.0, 10.0
LOW_MM, TALL_MM = (70.0, 90.0, 110.0, 130.0, 150.0), (180.0, 220.0, 260.0)
LARGE, SMALL = (1.5, 1.0, 0.8, 0.6, 0.5, 0.4), (0.3, 0.25, 0.2, 0.15, 0.1)
ROW_MM = 4.3
COLUMNS_MM = (34.0, 24.0, 54.0, 34.0)
AXIS_MM = 7.0
HEADS = ("parameter", "default", "limits", "in the picture", "meaning")
SMALL_MM = 2.4
PARALLEL = 1e-6
FLAT = "FLAT BLANK"
ENDINGS = (".pdf", ".svg")


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """A parameter as the table lists it."""

    key: str
    default: str
    limits: str
    meaning: str


def write_kind_picture(
    plan: PartPlan,
    sizes: NamedSizes,
    rows: Sequence[Row],
    path: Path,
    *,
    summary: str,
    origin: str,
    pivot: Point | None = None,
) -> None:
    """Write the picture as ``.pdf`` or ``.svg``, by the name of ``path``.

    ``plan`` is the kind's default part, ``sizes`` what its parameters set there, ``pivot`` of a kind that
    carries a pedal its pivot (up, out), mm: then the frame of that pedal is drawn, too. Raises
    ``GeometryFault`` when it is too large to draw, ``ValueError`` for another ending.
    """
    ending = path.suffix.lower()
    if ending not in ENDINGS:
        raise ValueError(f"a picture is a .pdf or .svg, not {path.suffix!r}")
    views = _views(plan, sizes)
    if pivot is not None:
        views.append(pedal_view(folded_body(plan), pivot, plan.pedal))
    scale, cells, height = _arranged(views)
    said = wrap_text(f"{summary}. mount.at places {origin}.", 3.0, PAGE_MM - 2 * MARGIN_MM) + wrap_text(
        "A name stands at a dimension that follows it one for one. Grey arrows: u and v of each flange.",
        SMALL_MM,
        PAGE_MM - 2 * MARGIN_MM,
    )
    if pivot is not None:
        said += wrap_text(WORDS, SMALL_MM, PAGE_MM - 2 * MARGIN_MM)
    head = 11.0 + 4.2 * len(said)
    total = head + height + ROW_MM * (len(rows) + 1) + 2 * MARGIN_MM + 4.0
    pen = _pen(path, ending, total, title=f"{plan.kind}: parameters", subject=summary)
    pen.text(MARGIN_MM, total - MARGIN_MM - 5.0, plan.kind, 5.0, bold=True)
    pen.text(
        PAGE_MM - MARGIN_MM,
        total - MARGIN_MM - 5.0,
        f"default part in {plan.material}, {plan.thickness_mm:g} mm; not to scale",
        SMALL_MM,
        align="right",
    )
    for i, line in enumerate(said):
        pen.text(MARGIN_MM, total - MARGIN_MM - 11.0 - 4.2 * i, line, 3.0 if i == 0 else SMALL_MM)
    low = total - MARGIN_MM - head - height
    for item in views:
        cell = cells[item.name]
        item.put(pen, scale, Cell(MARGIN_MM + cell.x, low + cell.y, cell.width, cell.height))
    _table(pen, rows, _where(sizes, views), low - 2.0)
    pen.close()


def views_svg(plan: PartPlan, sizes: NamedSizes, pivot: Point | None = None) -> str:
    """The views alone, without words or table about them, as the text of an SVG picture.

    Arguments as for ``write_kind_picture``. Raises ``GeometryFault`` when it is too large to draw.
    """
    views = _views(plan, sizes)
    if pivot is not None:
        views.append(pedal_view(folded_body(plan), pivot, plan.pedal))
    scale, cells, height = _arranged(views)
    pen = SvgPen(Path(), PAGE_MM - 2 * MARGIN_MM, height, title=plan.kind, subject="")
    for item in views:
        item.put(pen, scale, cells[item.name])
    return pen.drawn()


def _pen(path: Path, ending: str, height_mm: float, *, title: str, subject: str) -> Pen:
    """A pen on the one page of the picture."""
    if ending == ".svg":
        return SvgPen(path, PAGE_MM, height_mm, title=title, subject=subject)
    pen = PdfPen(path, title=title, subject=subject)
    pen.page(PAGE_MM, height_mm)
    return pen


def _arranged(views: Sequence[NamedView]) -> tuple[float, dict[str, Cell], float]:
    """The largest scale at which the views fit, a cell for each, and the height they take."""
    width = PAGE_MM - 2 * MARGIN_MM
    for heights, scales in ((LOW_MM, LARGE), ((*LOW_MM, *TALL_MM), (*LARGE, *SMALL))):
        for scale in scales:
            blocks = [v.block(scale) for v in views]
            for height in heights:
                cells = arrange(blocks, width, height)
                if cells is not None:
                    return scale, cells, height
    raise GeometryFault("the kind's default part is too large to draw")


# --------------------------------------------------------------------------------- views
def _views(plan: PartPlan, sizes: NamedSizes) -> list[NamedView]:
    body = folded_body(plan)
    frames = folded_frames(plan)
    folded = bool(plan.bends)
    cameras: tuple[Camera, ...] = (FRONT,)
    if folded:
        group = folded_views(plan, body, 1.0)
        cameras, boxes = group.cameras, group.boxes
    else:
        boxes = (extent(body, FRONT),)
    outlines = {c.name: b for c, b in zip(cameras, boxes, strict=True)}
    dims: dict[str, list[Dim]] = {c.name: [] for c in cameras}
    skew: dict[str, list[Dim]] = {c.name: [] for c in cameras}
    flat_dims: list[Dim] = []
    flat_skew: list[Dim] = []
    flat = flat_pattern(plan)
    middles = {name: ((b[0] + b[2]) / 2, (b[1] + b[3]) / 2) for name, b in outlines.items()}
    for span in sizes.spans:
        if span.axis in "xyz":
            camera = _camera_for(span, cameras, frames)
            dims[camera.name].append(_axis_dim(span, camera, middles[camera.name]))
        elif span.axis == "leg":
            outside = leg_outside(plan, span)
            along = np.array(span.end.place) - np.array(span.start.place)
            true = [c for c in cameras if max(abs(float(c.toward @ d)) for d in (outside, along)) < PARALLEL]
            camera = (true or list(cameras))[0]
            ends = _on(camera, span.start.place), _on(camera, span.end.place)
            away = camera.project(outside[None, :])[0].tolist()
            skew[camera.name].append(Dim(ends=ends, away=(away[0], away[1]), text=span.text))
        else:
            place = flat.placements[span.start.flange]
            ends = place.apply(*span.start.place), place.apply(*span.end.place)
            away = _square_to(span, place.angle)
            (flat_dims if max(map(abs, away)) > 1 - PARALLEL else flat_skew).append(
                Dim(ends=_rising(ends), away=_snapped(away), text=span.text)
            )
    views = []
    for camera in cameras:
        views.append(
            NamedView(
                name=camera.name,
                box=outlines[camera.name],
                draw=_folded_drawing(plan, body, camera),
                dims=tuple(dims[camera.name]),
                notes=tuple(_angle_notes(plan, sizes.labels, camera, cameras)),
                skew=tuple(skew[camera.name]),
            )
        )
    notes = tuple(
        Note(place=flat.placements[x.flange].apply(*x.place), radius=x.radius_mm, text=x.text)
        for x in sizes.labels
        if not x.bend
    )
    if folded:
        views.append(
            NamedView(
                name=FLAT,
                box=bounds(flat.contour),
                draw=lambda pen, clutter, s, shift: _draw_flat(pen, clutter, plan, s, shift),
                dims=tuple(flat_dims),
                notes=notes,
                skew=tuple(flat_skew),
            )
        )
        return views
    only = views[0]
    return [
        NamedView(
            name="PLATE" if not plan.printed else "BLOCK",
            box=only.box,
            draw=only.draw,
            dims=(*only.dims, *flat_dims),
            notes=notes,
            skew=(*only.skew, *flat_skew),
        )
    ]


def _on(camera: Camera, place: Sequence[float]) -> Point:
    x, y = camera.project(np.array([place]))[0].tolist()
    return x, y


def _camera_for(span: Span, cameras: Sequence[Camera], frames: dict[str, Matrix]) -> Camera:
    """The view that shows a length in true size and, if it can, its flange face on."""
    axis = np.eye(3)["xyz".index(span.axis)]
    true = [c for c in cameras if abs(float(c.toward @ axis)) < PARALLEL]
    ends = sorted((span.start, span.end), key=lambda s: s.rank)
    flange = next((s.flange for s in ends if s.rank != ORIGIN), ends[0].flange)
    normal = frames[flange][:3, 2]
    face_on = [c for c in true if abs(abs(float(c.toward @ normal)) - 1) < PARALLEL]
    return (face_on or true or list(cameras))[0]


def _axis_dim(span: Span, camera: Camera, middle: Point) -> Dim:
    ends = _rising((_on(camera, span.start.place), _on(camera, span.end.place)))
    axis = np.eye(3)["xyz".index(span.axis)]
    level = abs(float(camera.right @ axis)) > 0.5
    across = 1 if level else 0
    side = 1.0 if (ends[0][across] + ends[1][across]) / 2 > middle[across] + PARALLEL else -1.0
    return Dim(ends=ends, away=(0.0, side) if level else (side, 0.0), text=span.text)


def _rising(ends: tuple[Point, Point]) -> tuple[Point, Point]:
    return (ends[0], ends[1]) if ends[0] <= ends[1] else (ends[1], ends[0])


def _square_to(span: Span, angle: float) -> Point:
    """Unit vector on the blank square to a length of a flange whose frame is turned by ``angle``."""
    if span.axis == "apart":
        (u0, v0), (u1, v1) = span.start.place, span.end.place
        angle += math.atan2(v1 - v0, u1 - u0)
    elif span.axis == "v":
        angle += math.pi / 2
    return math.sin(angle), -math.cos(angle)


def _snapped(away: Point) -> Point:
    x, y = (round(c) + 0.0 if abs(c - round(c)) < PARALLEL else c for c in away)
    return x, y


def _angle_notes(
    plan: PartPlan, labels: Sequence[Label], camera: Camera, cameras: Sequence[Camera]
) -> list[Note]:
    """Angles, in the first view that looks along their bend."""
    frames = folded_frames(plan)
    notes = []
    for label in labels:
        if not label.bend:
            continue
        bend = next(b for b in plan.bends if b.name == label.bend)
        axis = bend_axis(frames, bend)
        along = [c for c in cameras if abs(abs(float(c.toward @ axis)) - 1) < PARALLEL]
        if (along or list(cameras))[0] is camera:
            middle = inside_arc_middle(frames, bend, plan.thickness_mm)
            notes.append(Note(place=_on(camera, middle.tolist()), radius=0.0, text=label.text))
    return notes


# ------------------------------------------------------------------------------- drawing
def _folded_drawing(
    plan: PartPlan, body: Body, camera: Camera
) -> Callable[[Pen, Clutter, float, Point], None]:
    def draw(pen: Pen, clutter: Clutter, scale: float, shift: Point) -> None:
        seen = view(body, camera, PAPER_STEP_MM / scale)
        draw_strokes(pen, seen, scale, shift, clutter=clutter)
        frames = folded_frames(plan)
        for flange in plan.flanges:
            if abs(abs(float(frames[flange.name][:3, 2] @ camera.toward)) - 1) > PARALLEL:
                continue
            for hole in flange.holes:
                place = apply(frames[flange.name], np.array([(hole.u_mm, hole.v_mm, 0.0)]))[0]
                x, y = _on(camera, place.tolist())
                centre_cross(
                    pen, clutter, x * scale + shift[0], y * scale + shift[1], hole.diameter_mm * scale
                )
        if camera is FRONT:
            _axes(pen, shift, 0.0)
        elif camera in (LEFT, RIGHT, TOP, BOTTOM):
            pen.stroke(THIN, GREY)
            pen.circle(*shift, 2.0)
            pen.text(shift[0] + 1.5, shift[1] - 3.0, "origin", SMALL_MM, grey=GREY)

    return draw


def _draw_flat(pen: Pen, clutter: Clutter, plan: PartPlan, scale: float, shift: Point) -> None:
    flat = flat_pattern(plan)

    def page(p: Point) -> Point:
        return p[0] * scale + shift[0], p[1] * scale + shift[1]

    pen.stroke(THIN, GREY, dash=(3.0, 1.0))
    for strip in flat.bends:
        line = page(strip.middle[0]), page(strip.middle[1])
        pen.line(*line[0], *line[1])
        clutter.add_line(line, 0.6)
    pen.stroke(MEDIUM)
    outlines = [flat.contour]
    for flange in plan.flanges:
        move = flat.placements[flange.name]
        outlines += [transformed(c, move) for c in opening_contours(flange)]
    for outline in outlines:
        points = [page(p) for p in polyline(outline, 0.05 / scale)]
        pen.stroke(MEDIUM)
        pen.polygon(points)
        clutter.add(LineString([*points, points[0]]), 1.5)
    for flange in plan.flanges:
        move = flat.placements[flange.name]
        _axes(pen, page((move.du, move.dv)), move.angle)
    name_flanges(pen, clutter, plan, flat, lambda u, v: page((u, v)))


def _axes(pen: Pen, at: Point, angle: float) -> None:
    """Small arrows along u and v from the origin of a frame."""
    for name, turn in (("u", 0.0), ("v", math.pi / 2)):
        c, s = math.cos(angle + turn), math.sin(angle + turn)
        tip = at[0] + AXIS_MM * c, at[1] + AXIS_MM * s
        pen.stroke(THIN, GREY)
        pen.line(*at, *tip)
        arrow(pen, tip, angle + turn)
        pen.text(tip[0] + 1.6 * c - 0.6, tip[1] + 1.6 * s - 0.8, name, SMALL_MM, grey=GREY)


# --------------------------------------------------------------------------------- table
def _where(sizes: NamedSizes, views: Sequence[NamedView]) -> dict[str, str]:
    """For each parameter where its name stands, in words."""
    out = dict.fromkeys(sizes.unseen, "no single dimension")
    texts = {s.key: s.text for s in sizes.spans} | {x.key: x.text for x in sizes.labels}
    for item in views:
        shown = {d.text for d in (*item.dims, *item.skew)} | {n.text for n in item.notes}
        for key, text in texts.items():
            if text in shown:
                out[key] = item.name.lower()
    return out


def _table(pen: Pen, rows: Sequence[Row], where: dict[str, str], top: float) -> None:
    edges = [MARGIN_MM]
    for width in COLUMNS_MM:
        edges.append(edges[-1] + width)
    widths = (*COLUMNS_MM, PAGE_MM - MARGIN_MM - edges[-1])
    lines = [HEADS, *((r.key, r.default, r.limits, where.get(r.key, ""), r.meaning) for r in rows)]
    y = top
    for i, line in enumerate(lines):
        y -= ROW_MM
        for x, width, text in zip(edges, widths, line, strict=True):
            pen.text(
                x + 0.5, y + 1.1, fit_text(text, SMALL_MM, width - 1.5, bold=i == 0), SMALL_MM, bold=i == 0
            )
        pen.stroke(THIN, 0.7)
        pen.line(MARGIN_MM, y, PAGE_MM - MARGIN_MM, y)
