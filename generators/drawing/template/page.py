"""The panel on one tile: holes, keep-outs, parts, datums and their labels, at full size."""

from __future__ import annotations

import math
from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
from shapely import geometry

from generators.drawing.paper.furniture import Live, tick_arrows
from generators.drawing.paper.pen import BLACK, GREY, MEDIUM, THICK, THIN, WHITE, Pen
from generators.drawing.paper.signs import arms, draw_sign, sign_of
from generators.drawing.template.callouts import Line, Placer
from generators.drawing.template.hole_words import LEAST
from generators.drawing.template.labels import (
    callouts,
    dimension,
    keepout_labels,
    other_labels,
    reach_labels,
    waived_mark,
    wrap_labels,
    write,
)
from generators.drawing.template.taken import Point, along, ring
from generators.drawing.template.tiles import EXISTING, MARK_ARM_MM, MARK_DIA_MM, witness_hole
from generators.drawing.template.view import SLIT, View, axis_ticks, datum_lines, shown_keepouts, slits
from generators.geometry.contours import bounds, polyline, stadium
from generators.layout.distances import Pair
from generators.model.contour import Contour
from generators.model.folds import Wrap
from generators.model.plan import PanelHole, PanelLayout
from generators.model.words import Face

HATCH_MM = 5.0
ELLIPSE_CORNERS = 72
DASH = (2.0, 1.2)
CHAIN = (8.0, 1.2, 1.2, 1.2)
CUT_DASH = (3.0, 1.0)
FOLD_DASH = (10.0, 1.5, 1.5, 1.5, 1.5, 1.5)


@dataclass(frozen=True, slots=True, kw_only=True)
class Tile:
    """All that one tile shows, and nothing that is told by another: equal tiles are drawn alike.

    ``layout`` has the holes that show and no others. ``witness`` is the number of the hole that shows a
    flipped sheet, ``cuts`` are slits in page mm, ``links`` the distances to write, between holes whose
    centres show. ``type_scale`` enlarges every label. ``waived`` puts the mark of waived rules where it
    covers nothing: a sheet may be cut to a handy size. With ``only`` these holes and the existing ones are
    drawn to work by; the others are pale rings, so that nobody drills them here a second time.
    """

    layout: PanelLayout
    view: View
    face: Face
    marks: tuple[tuple[int, int], ...]
    cuts: tuple[tuple[Point, Point], ...]
    links: tuple[Pair, ...]
    witness: str
    type_scale: float
    only: frozenset[str] | None
    waived: bool


def tile_of(
    layout: PanelLayout,
    view: View,
    face: Face,
    marks: Sequence[tuple[int, int]],
    links: Sequence[Pair],
    type_scale: float = 1.0,
    only: Collection[str] | None = None,
    waived: bool = False,
) -> Tile:
    """What a view of a panel shows; ``links`` are those of the whole panel."""
    shown = tuple(h for h in layout.holes if view.shows(h.u_mm, h.v_mm, h.final_dia_mm / 2))
    numbers = {h.number for h in _to_work_by(shown, only) if view.shows(h.u_mm, h.v_mm)}
    witness = witness_hole(layout)
    return Tile(
        # what is said of the panel as a whole stands in the furniture
        layout=replace(
            layout,
            holes=shown,
            ellipses=tuple(e for e in layout.ellipses if view.shows(e.u_mm, e.v_mm, e.major_mm)),
            bodies=(),
            notes=(),
            contact="",
            witness_hole="",
        ),
        view=view,
        face=face,
        marks=tuple(marks),
        cuts=tuple(slits(layout, view, face, marks)),
        links=tuple((a, b) for a, b in links if a.number in numbers and b.number in numbers),
        witness=witness.number if witness in shown and witness is not None else "",
        type_scale=type_scale,
        only=only if only is None else frozenset(h.number for h in shown if h.number in only),
        waived=waived,
    )


def _to_work_by(holes: Sequence[PanelHole], only: Collection[str] | None) -> list[PanelHole]:
    return [h for h in holes if only is None or h.number in only or h.status in EXISTING]


def draw_tile(pen: Pen, tile: Tile) -> tuple[str, ...]:
    """Draw one tile; returns the numbers of holes whose label found no place."""
    layout, view, face = tile.layout, tile.view, tile.face
    live = view.live
    frame = (live.x, live.y, live.x + live.width, live.y + live.height)
    placer = Placer(frame, tile.type_scale)
    with pen.clipped(live.x, live.y, live.width, live.height):
        _areas(pen, layout, view, face, placer)
        _lines(pen, layout, view, placer)
        holes = _to_work_by(layout.holes, tile.only)
        for hole in layout.holes:
            if hole not in holes:
                _pale(pen, view, hole, placer)
        for hole in holes:
            _hole(pen, view, hole, placer)
        _ellipses(pen, layout, view)
        _passing(pen, layout, view, tile.cuts, placer)
        _marks(pen, view, tile.marks, placer)
        _axes(pen, view, placer)
        _slit_words(pen, layout, view, tile.cuts, placer)
        labelled = [h for h in holes if view.shows(h.u_mm, h.v_mm)]
        for a, b in tile.links:
            placer.rather_not(along((view.point(a.u_mm, a.v_mm), view.point(b.u_mm, b.v_mm))), 0.6)
        wrap_labels(pen, layout, view, placer)
        keepout_labels(pen, layout, view, face, placer)
        reach_labels(pen, layout, view, placer)
        lost = callouts(pen, view, labelled, face, placer, tile.witness, layout.units)
        for a, b in tile.links:
            dimension(pen, view, a, b, placer, layout.units)
        other_labels(pen, layout, view, face, placer)
        if tile.waived:
            waived_mark(pen, view, placer)
    return lost


# --- what is drawn first --------------------------------------------------------------------
def _areas(pen: Pen, layout: PanelLayout, view: View, face: Face, placer: Placer) -> None:
    for keepout in shown_keepouts(layout, face):
        outline = view.contour(keepout.contour)
        if keepout.face == face:
            _hatch(pen, polyline(outline, 0.1), view.live)
            pen.stroke(THIN)
        else:
            pen.stroke(THIN, BLACK, DASH)
        pen.contour(outline)
        placer.rather_not(_rim(outline), 0.5)
    for reach in layout.reaches:
        pen.stroke(THIN, BLACK, (6.0, 1.0, 1.0, 1.0))
        for band in reach.rings:
            pen.contour(view.contour(band))
            placer.rather_not(_rim(view.contour(band)), 0.5)
    for footprint in layout.footprints:
        outline = view.contour(footprint.contour)
        pen.stroke(THIN, BLACK, None if footprint.face == face else (4.0, 1.0))
        pen.contour(outline)
        placer.rather_not(_rim(outline), 0.5)


def _rim(outline: Contour) -> np.ndarray:
    points = polyline(outline, 0.5)
    return along([*points, points[0]], 1.5)


def _hatch(pen: Pen, points: Sequence[Point], live: Live) -> None:
    """45° lines inside an outline, clipped to the live area; rising to the right."""
    page = geometry.box(live.x, live.y, live.x + live.width, live.y + live.height)
    area = geometry.Polygon(points).buffer(0).intersection(page)
    if area.is_empty:
        return
    x0, y0, x1, y1 = area.bounds
    pen.stroke(THIN, GREY)
    lines = []
    offset = math.floor((y0 - x1) / HATCH_MM) * HATCH_MM
    while offset < y1 - x0:
        lines.append(((x0, x0 + offset), (x1, x1 + offset)))
        offset += HATCH_MM
    pieces = shapely.get_parts(shapely.intersection(area, shapely.linestrings(lines)))
    shown = (shapely.get_type_id(pieces) == shapely.GeometryType.LINESTRING) & (shapely.length(pieces) > 0.1)
    first, last = (shapely.get_coordinates(shapely.get_point(pieces[shown], k)) for k in (0, -1))
    for (ax, ay), (bx, by) in zip(first.tolist(), last.tolist(), strict=True):
        pen.line(ax, ay, bx, by)


def _lines(pen: Pen, layout: PanelLayout, view: View, placer: Placer) -> None:
    if layout.edge_known:
        outline = view.contour(layout.contour)
        pen.stroke(THICK)
        pen.contour(outline)
        placer.rather_not(_rim(outline), 1.0)
    for fold in layout.folds:
        pen.stroke(MEDIUM, BLACK, FOLD_DASH)
        pen.line(*view.point(*fold.start), *view.point(*fold.end))
        placer.rather_not(along((view.point(*fold.start), view.point(*fold.end))), 1.0)
    for wrap in layout.wraps:
        _wrap(pen, wrap, view, placer)
    for _, a, b in datum_lines(layout, view):
        pen.stroke(THIN, BLACK, CHAIN)
        pen.line(*a, *b)
        placer.rather_not(along((a, b)), 1.0)
    for datum in layout.datums:
        if datum.kind == "point" and view.shows(datum.u_mm, datum.v_mm):
            x, y = view.point(datum.u_mm, datum.v_mm)
            pen.stroke(THIN)
            pen.polygon([(x, y), (x - 2.2, y - 4), (x + 2.2, y - 4)], fill=WHITE)
            placer.keep_clear(along([(x, y), (x - 2.2, y - 4), (x + 2.2, y - 4), (x, y)]))


def _wrap(pen: Pen, wrap: Wrap, view: View, placer: Placer) -> None:
    """The strip that lies on the fold, and the length across it that a tape must show."""
    ends = [view.point(*p) for p in (wrap.start, wrap.end, wrap.far_start, wrap.far_end)]
    pen.stroke(MEDIUM, BLACK, FOLD_DASH)
    pen.line(*ends[0], *ends[1])
    pen.line(*ends[2], *ends[3])
    placer.rather_not(along((ends[0], ends[1])), 1.0)
    placer.rather_not(along((ends[2], ends[3])), 1.0)
    a, b = (view.point(*p) for p in wrap.check)
    tick_arrows(pen, a, b)
    placer.keep_clear(along((a, b)))


def _pale(pen: Pen, view: View, hole: PanelHole, placer: Placer) -> None:
    """A hole that belongs to another sheet: where it will be, and nothing to set a punch on."""
    x, y = view.point(hole.u_mm, hole.v_mm)
    pen.stroke(THIN, GREY, DASH)
    pen.circle(x, y, hole.final_dia_mm)
    placer.keep_clear(ring(x, y, hole.final_dia_mm / 2))


def _hole(pen: Pen, view: View, hole: PanelHole, placer: Placer) -> None:
    """The sign of a hole, at full size: when and how it is made, pilot and final circle."""
    x, y = view.point(hole.u_mm, hole.v_mm)
    sign = sign_of(hole)
    draw_sign(pen, x, y, hole.final_dia_mm, sign)
    if hole.travel_mm:
        pen.stroke(MEDIUM, BLACK, sign.dash)
        outline = view.contour(
            stadium(hole.u_mm, hole.v_mm, hole.final_dia_mm, hole.travel_mm, hole.angle_rad)
        )
        pen.contour(outline)
        placer.keep_clear(_rim(outline))
    placer.hole(x, y, sign.reach_mm(hole.final_dia_mm))
    for ends in arms(x, y, hole.final_dia_mm, sign):
        placer.keep_clear(along(ends))


def _ellipses(pen: Pen, layout: PanelLayout, view: View) -> None:
    """Where each measured centre lies with 95 % probability, at full size."""
    pen.stroke(THIN)
    for e in layout.ellipses:
        if e.major_mm > 0 and view.shows(e.u_mm, e.v_mm, e.major_mm):
            c, s = math.cos(e.angle_rad), math.sin(e.angle_rad)
            turns = [2 * math.pi * k / ELLIPSE_CORNERS for k in range(ELLIPSE_CORNERS)]
            axes = [(e.major_mm * math.cos(t), e.minor_mm * math.sin(t)) for t in turns]
            pen.polygon([view.point(e.u_mm + c * a - s * b, e.v_mm + s * a + c * b) for a, b in axes])


def _marks(pen: Pen, view: View, marks: Sequence[tuple[int, int]], placer: Placer) -> None:
    """Registration marks: a target with two black quarters, labelled with its panel point."""
    for u, v in marks:
        x, y = view.point(u, v)
        pen.stroke(THIN)
        pen.quadrants(x, y, MARK_DIA_MM)
        pen.circle(x, y, MARK_DIA_MM)
        pen.line(x - MARK_ARM_MM, y, x + MARK_ARM_MM, y)
        pen.line(x, y - MARK_ARM_MM, x, y + MARK_ARM_MM)
        placer.keep_clear(ring(x, y, MARK_DIA_MM / 2))
        placer.keep_clear(along(((x - MARK_ARM_MM, y), (x + MARK_ARM_MM, y))))
        placer.keep_clear(along(((x, y - MARK_ARM_MM), (x, y + MARK_ARM_MM))))
    for u, v in marks:
        x, y = view.point(u, v)
        write(pen, placer.beside(x, y, MARK_ARM_MM * 0.6, (Line(f"u {u} v {v}", LEAST),)), frame=False)


def _axes(pen: Pen, view: View, placer: Placer) -> None:
    """The panel's u = 0 and v = 0 where they leave the sheet: a tick at either side, with its words."""
    for words, ticks in axis_ticks(view):
        pen.stroke(MEDIUM)
        for a, b in ticks:
            pen.line(*a, *b)
            placer.keep_clear(along((a, b)))
        for _, (x, y) in ticks:
            write(pen, placer.beside(x, y, 0.8, (Line(words, LEAST),)), frame=False)


def _passing(
    pen: Pen, layout: PanelLayout, view: View, cuts: Sequence[tuple[Point, Point]], placer: Placer
) -> None:
    """The outline of what goes through the panel, and the lines the paper is slit along to get round it."""
    for thing in layout.passing:
        outline = view.contour(thing.contour)
        pen.stroke(THIN, BLACK, CUT_DASH)
        pen.contour(outline)
        placer.rather_not(_rim(outline), 0.5)
    for a, b in cuts:
        pen.stroke(THIN, BLACK, CUT_DASH)
        pen.line(*a, *b)
        placer.keep_clear(along((a, b)))


def _slit_words(
    pen: Pen, layout: PanelLayout, view: View, cuts: Sequence[tuple[Point, Point]], placer: Placer
) -> None:
    """What each slit is, beside it, and what is cut out."""
    for a, b in cuts:
        spots = [
            (a[0] + (b[0] - a[0]) * share + du, a[1] + (b[1] - a[1]) * share + dv)
            for share in (0.5, 0.3, 0.7)
            for du, dv in ((0, 2.6), (0, -2.6), (9.0, 0), (-9.0, 0))
        ]
        label = placer.anywhere(spots, ((Line(SLIT, LEAST, True),),))
        if label is None:
            label = placer.beside((a[0] + b[0]) / 2, (a[1] + b[1]) / 2, 1.0, (Line(SLIT, LEAST, True),))
        write(pen, label, frame=False)
    for thing in layout.passing:
        x0, y0, x1, y1 = bounds(view.contour(thing.contour))
        middle = ((x0 + x1) / 2, (y0 + y1) / 2)
        text = (Line(f"cut out: {thing.words}", LEAST),)
        live = view.live
        if live.x < middle[0] < live.x + live.width and live.y < middle[1] < live.y + live.height:
            label = placer.anywhere([middle], (text,)) or placer.callout(*middle, (x1 - x0) / 2, (text,))
            if label is not None:
                write(pen, label, frame=False)
