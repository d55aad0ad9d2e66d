"""The panel on one tile: holes, keep-outs, parts, datums and their labels, at full size."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from shapely import geometry

from generators.drawing.callouts import LINE, PAD, Line, Placed, Placer, Point, along, ring
from generators.drawing.distances import Pair, between
from generators.drawing.furniture import Live, tick_arrows
from generators.drawing.hole_words import BODY, LEAST, callout_texts, millimetres
from generators.drawing.pen import BLACK, GREY, MEDIUM, THICK, THIN, WHITE, Pen
from generators.drawing.tiles import MARK_ARM_MM, MARK_DIA_MM, key_hole
from generators.geometry.contours import Placement, polyline, transformed
from generators.model.contour import Contour
from generators.model.plan import KeepOut, PanelHole, PanelLayout, Wrap

HATCH_MM = 5.0
ELLIPSE_CORNERS = 72
TRIES = 4
MOST_RETRIED = 60
LOST_TIER = 20
OTHER_SIDE = {"cab": "engine side", "engine": "cab side"}
OTHER_FACE = {"cab": "engine", "engine": "cab"}
DASH = (2.0, 1.2)
CHAIN = (8.0, 1.2, 1.2, 1.2)
FOLD_DASH = (10.0, 1.5, 1.5, 1.5, 1.5, 1.5)


@dataclass(frozen=True, slots=True, kw_only=True)
class View:
    """Where panel points land on the page: 1:1, mirrored in u for the engine face."""

    live: Live
    box: tuple[int, int, int, int]
    mirror: bool

    def point(self, u: float, v: float) -> Point:
        """Page mm of a panel point."""
        along_u = self.box[2] - u if self.mirror else u - self.box[0]
        return self.live.x + along_u, self.live.y + (v - self.box[1])

    def contour(self, contour: Contour) -> Contour:
        """An outline in page mm."""
        du = self.live.x + (self.box[2] if self.mirror else -self.box[0])
        return transformed(contour, Placement(du=du, dv=self.live.y - self.box[1], mirror=self.mirror))

    def shows(self, u: float, v: float, radius: float = 0.0) -> bool:
        """True when a circle there reaches into the tile."""
        b = self.box
        return b[0] - radius < u < b[2] + radius and b[1] - radius < v < b[3] + radius


def draw_tile(
    pen: Pen,
    layout: PanelLayout,
    view: View,
    face: str,
    marks: Sequence[tuple[int, int]],
    links: Sequence[Pair],
) -> tuple[str, ...]:
    """Draw one tile; ``links`` are the distances to write.

    Returns the numbers of holes whose label found no place.
    """
    live = view.live
    frame = (live.x, live.y, live.x + live.width, live.y + live.height)
    placer = Placer(frame)
    with pen.clipped(live.x, live.y, live.width, live.height):
        _areas(pen, layout, view, face, placer)
        _lines(pen, layout, view, placer)
        holes = [h for h in layout.holes if view.shows(h.u_mm, h.v_mm, h.final_dia_mm / 2)]
        for hole in holes:
            _hole(pen, view, hole, placer)
        _ellipses(pen, layout, view)
        _marks(pen, view, marks, placer)
        labelled = [h for h in holes if view.shows(h.u_mm, h.v_mm)]
        numbers = {h.number for h in labelled}
        mine = [(a, b) for a, b in links if a.number in numbers and b.number in numbers]
        for a, b in mine:
            placer.rather_not(along((view.point(a.u_mm, a.v_mm), view.point(b.u_mm, b.v_mm))), 0.6)
        _keepout_labels(pen, layout, view, face, placer)
        lost = _callouts(pen, view, labelled, face, placer, key_hole(layout))
        for a, b in mine:
            _dimension(pen, view, a, b, placer)
        _other_labels(pen, layout, view, face, placer)
    return lost


# --- what is drawn first --------------------------------------------------------------------
def _areas(pen: Pen, layout: PanelLayout, view: View, face: str, placer: Placer) -> None:
    for keepout in _shown_keepouts(layout, face):
        outline = view.contour(keepout.contour)
        if keepout.face == face:
            _hatch(pen, polyline(outline, 0.1), view.live)
            pen.stroke(THIN)
        else:
            pen.stroke(THIN, BLACK, DASH)
        pen.contour(outline)
        placer.rather_not(_rim(outline), 0.5)
    for footprint in layout.footprints:
        outline = view.contour(footprint.contour)
        pen.stroke(THIN, BLACK, None if footprint.face == face else (4.0, 1.0))
        pen.contour(outline)
        placer.rather_not(_rim(outline), 0.5)


def _shown_keepouts(layout: PanelLayout, face: str) -> list[KeepOut]:
    """All, but a bead pressed through the sheet only as it is on this face."""
    here = {(k.name, k.contour) for k in layout.keepouts if k.face == face}
    return [k for k in layout.keepouts if k.face == face or (k.name, k.contour) not in here]


def _rim(outline: Contour) -> np.ndarray:
    points = polyline(outline, 0.5)
    return along([*points, points[0]], 1.5)


def _hatch(pen: Pen, points: Sequence[Point], live: Live) -> None:
    """45° lines inside an outline, clipped to the live area; rising to the right."""
    area = geometry.Polygon(points).buffer(0)
    area = area.intersection(geometry.box(live.x, live.y, live.x + live.width, live.y + live.height))
    if area.is_empty:
        return
    x0, y0, x1, y1 = area.bounds
    pen.stroke(THIN, GREY)
    offset = math.floor((y0 - x1) / HATCH_MM) * HATCH_MM
    while offset < y1 - x0:
        line = geometry.LineString([(x0, x0 + offset), (x1, x1 + offset)])
        cut = area.intersection(line)
        for piece in getattr(cut, "geoms", [cut]):
            if piece.geom_type == "LineString" and piece.length > 0.1:
                (ax, ay), (bx, by) = piece.coords[0], piece.coords[-1]
                pen.line(ax, ay, bx, by)
        offset += HATCH_MM


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
    for _, a, b in _datum_lines(layout, view):
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


def _wrap_names(layout: PanelLayout, view: View) -> list[tuple[str, Point, Point]]:
    """Words for the strips and their check lengths, each with the line they stand beside."""
    found = []
    for wrap in layout.wraps:
        angle = millimetres(math.degrees(wrap.angle_rad), 1)
        radius = millimetres(wrap.inside_radius_mm, 1)
        words = f"fold {angle}°, inside radius {radius} mm: lay the paper round it, from this line to the other"
        found.append((words, view.point(*wrap.start), view.point(*wrap.end)))
        length = math.dist(*wrap.check)
        text = f"check {length:.1f} mm with a tape along the metal"
        found.append((text, view.point(*wrap.check[0]), view.point(*wrap.check[1])))
    return found


def _datum_lines(layout: PanelLayout, view: View) -> list[tuple[str, Point, Point]]:
    """Straight datums across the live area: words and both ends in page mm."""
    found: list[tuple[str, Point, Point]] = []
    for datum in layout.datums:
        x, y = view.point(datum.u_mm, datum.v_mm)
        live = view.live
        words = f"datum {datum.name}: {datum.what}"
        if datum.kind == "vertical" and live.x <= x <= live.x + live.width:
            found.append((words, (x, live.y), (x, live.y + live.height)))
        if datum.kind == "horizontal" and live.y <= y <= live.y + live.height:
            found.append((words, (live.x, y), (live.x + live.width, y)))
    return found


def _hole(pen: Pen, view: View, hole: PanelHole, placer: Placer) -> None:
    """Final circle (solid to drill, dashed when there already), pilot circle, centre cross."""
    x, y = view.point(hole.u_mm, hole.v_mm)
    radius = hole.final_dia_mm / 2
    pen.stroke(MEDIUM, BLACK, None if hole.status == "drill" else DASH)
    pen.circle(x, y, hole.final_dia_mm)
    pen.stroke(THIN)
    if hole.status == "drill" and 0 < hole.pilot_dia_mm < hole.final_dia_mm - 0.5:
        pen.circle(x, y, hole.pilot_dia_mm)
    arm = min(max(radius + 2.5, 4.0), 12.0)
    pen.line(x - arm, y, x + arm, y)
    pen.line(x, y - arm, x, y + arm)
    if hole.status == "blank":
        d = radius * math.sqrt(0.5)
        pen.line(x - d, y - d, x + d, y + d)
        pen.line(x - d, y + d, x + d, y - d)
        placer.keep_clear(along(((x - d, y - d), (x + d, y + d))))
        placer.keep_clear(along(((x - d, y + d), (x + d, y - d))))
    placer.keep_clear(ring(x, y, radius))
    placer.keep_clear(along(((x - arm, y), (x + arm, y))))
    placer.keep_clear(along(((x, y - arm), (x, y + arm))))


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
        _write(pen, placer.beside(x, y, MARK_ARM_MM * 0.6, (Line(f"u {u} v {v}", LEAST),)), frame=False)


# --- labels ---------------------------------------------------------------------------------
def _write(pen: Pen, label: Placed, *, frame: bool = True) -> None:
    """A label on white, so that hatching and lines do not run through its words."""
    x0, y0, x1, y1 = label.box
    pen.stroke(THIN)
    if label.leader is not None:
        pen.line(*label.leader[0], *label.leader[1])
    if not label.bare:
        pen.rect(x0, y0, x1 - x0, y1 - y0, fill=WHITE, edge=frame)
    at = 0.0
    for line in label.lines:
        at += line.size * LINE
        base = at - line.size * 0.26 + PAD / 2 - 0.3
        if label.upright:
            pen.text(x0 + base, y0 + PAD, line.text, line.size, bold=line.bold, angle_deg=90)
        else:
            pen.text(x0 + PAD, y1 - base, line.text, line.size, bold=line.bold)


def _callouts(
    pen: Pen, view: View, holes: Sequence[PanelHole], face: str, placer: Placer, key: PanelHole | None
) -> tuple[str, ...]:
    """Label the holes, crowded ones first; those that got a short text go first in the next try."""
    crowd = {h.number: sum(between(h, o) < 45 for o in holes) for h in holes}
    order = sorted(holes, key=lambda h: (-crowd[h.number], -h.v_mm, h.u_mm))
    start = placer.mark()
    best: tuple[int, list[PanelHole]] | None = None
    for _ in range(TRIES if len(holes) <= MOST_RETRIED else 1):
        labels = _placed(view, order, face, placer, key)
        score = sum(LOST_TIER if label is None else label.tier for label in labels)
        if best is None or score < best[0]:
            best = score, order
        placer.back_to(start)
        if score == 0:
            break
        short = [h for h, x in zip(order, labels, strict=True) if x is None or x.tier]
        order = [*short, *(h for h in order if h not in short)]
    lost: list[str] = []
    order = best[1] if best is not None else []
    for hole, label in zip(order, _placed(view, order, face, placer, key), strict=True):
        if label is None:
            lost.append(hole.number)
        else:
            _write(pen, label)
    return tuple(lost)


def _placed(
    view: View, holes: Sequence[PanelHole], face: str, placer: Placer, key: PanelHole | None
) -> list[Placed | None]:
    return [
        placer.callout(*view.point(h.u_mm, h.v_mm), h.final_dia_mm / 2, callout_texts(h, face, key=h is key))
        for h in holes
    ]


def _dimension(pen: Pen, view: View, a: PanelHole, b: PanelHole, placer: Placer) -> None:
    """The distance between two holes, written on the line between them, if there is room."""
    pa, pb = view.point(a.u_mm, a.v_mm), view.point(b.u_mm, b.v_mm)
    if pb < pa:
        a, b, pa, pb = b, a, pb, pa
    ra, rb = (max(h.final_dia_mm / 2, min(h.final_dia_mm / 2 + 2.5, 12.0)) for h in (a, b))
    text = Line(f"{between(a, b):.1f}", LEAST)
    middle = placer.on_line(pa, pb, ra, rb, text)
    if middle is None:
        return
    length = math.dist(pa, pb)
    du, dv = (pb[0] - pa[0]) / length, (pb[1] - pa[1]) / length
    gap = 0.5 * text.size * 0.56 * len(text.text) + 1.0
    pen.stroke(THIN)
    pen.line(pa[0] + du * (ra + 0.4), pa[1] + dv * (ra + 0.4), middle[0] - du * gap, middle[1] - dv * gap)
    pen.line(middle[0] + du * gap, middle[1] + dv * gap, pb[0] - du * (rb + 0.4), pb[1] - dv * (rb + 0.4))
    angle = math.degrees(math.atan2(dv, du))
    shift = text.size * 0.35
    pen.text(
        middle[0] + dv * shift,
        middle[1] - du * shift,
        text.text,
        text.size,
        align="centre",
        angle_deg=angle,
    )


def _spots(points: Sequence[Point], live: Live, step: float = 6.0) -> list[Point]:
    """Places inside the visible part of an area, the middle first."""
    area = geometry.Polygon(points).buffer(0)
    area = area.intersection(geometry.box(live.x, live.y, live.x + live.width, live.y + live.height))
    if area.is_empty or area.area < 40:
        return []
    x0, y0, x1, y1 = area.bounds
    middle = area.centroid
    spots = [
        (x, y)
        for x in np.arange(x0 + 1, x1, step)
        for y in np.arange(y0 + 1, y1, step / 2)
        if area.contains(geometry.Point(x, y))
    ]
    spots.sort(key=lambda p: (round(math.hypot(p[0] - middle.x, p[1] - middle.y), 3), p))
    return [(middle.x, middle.y), *spots][:600]


def _keepout_words(keepout: KeepOut, face: str) -> tuple[tuple[Line, ...], ...]:
    name = keepout.name.replace("_", " ")
    near, far = millimetres(keepout.gap_mm, 1), millimetres(keepout.gap_mm + keepout.depth_mm, 1)
    depth = f"{near} to {far} mm off the panel"
    if keepout.face == face:
        head = Line(f"KEEP OUT: {name}", BODY, True)
        movable = ", can be moved" if keepout.movable else ""
        return (head, Line(depth + movable, LEAST)), (head,), (Line(name, LEAST, True),)
    head = Line(f"{name} ({OTHER_SIDE[face]})", BODY, True)
    return (head, Line(f"behind: {depth}; a drill can hit it", LEAST)), (head, Line(depth, LEAST)), (head,)


def _keepout_labels(pen: Pen, layout: PanelLayout, view: View, face: str, placer: Placer) -> None:
    for keepout in _shown_keepouts(layout, face):
        spots = _spots(polyline(view.contour(keepout.contour), 0.5), view.live)
        label = placer.anywhere(spots, _keepout_words(keepout, face)) if spots else None
        if label is not None:
            _write(pen, label)


def _beside_line(a: Point, b: Point, live: Live, off: float) -> tuple[list[Point], bool]:
    """Places next to the visible part of a line, and whether the text stands upright."""
    line = geometry.LineString([a, b]).intersection(
        geometry.box(live.x, live.y, live.x + live.width, live.y + live.height)
    )
    if line.is_empty or line.geom_type != "LineString" or line.length < 20:
        return [], False
    (x0, y0), (x1, y1) = line.coords[0], line.coords[-1]
    upright = abs(y1 - y0) > abs(x1 - x0)
    normal = (off, 0.0) if upright else (0.0, off)
    spots: list[Point] = []
    for share in np.linspace(0.0, 1.0, 41):
        x, y = x0 + (x1 - x0) * share, y0 + (y1 - y0) * share
        spots += [(x + normal[0], y + normal[1]), (x - normal[0], y - normal[1])]
    return spots, upright


def _other_labels(pen: Pen, layout: PanelLayout, view: View, face: str, placer: Placer) -> None:
    for footprint in layout.footprints:
        side = "" if footprint.face == face else f" ({OTHER_SIDE[face]})"
        points = polyline(view.contour(footprint.contour), 0.5)
        spots = _spots(points, view.live)
        ring_points = [*points, points[0]]
        for p, q in itertools.pairwise(ring_points):
            near, upright = _beside_line(p, q, view.live, 2.6)
            if not upright:
                spots += near
        words = (Line(f"part: {footprint.part}{side}", LEAST),)
        label = placer.anywhere(spots, (words,)) if spots else None
        if label is not None:
            _write(pen, label, frame=False)
    named: list[tuple[str, Point, Point]] = [*_wrap_names(layout, view), *_datum_lines(layout, view)]
    for fold in layout.folds:
        angle = f"{math.degrees(fold.angle_rad):.1f}".rstrip("0").rstrip(".")
        radius = millimetres(fold.inside_radius_mm, 1)
        words_text = f"fold to {fold.other}, {angle}°, inside radius {radius} mm"
        named.append((words_text, view.point(*fold.start), view.point(*fold.end)))
    for text, a, b in named:
        spots, upright = _beside_line(a, b, view.live, 2.8)
        line_words = ((Line(text, LEAST),),)
        label = placer.anywhere(spots, line_words, upright=upright) if spots else None
        if label is not None:
            _write(pen, label, frame=False)
    corners = [view.point(p.u, p.v) for p in layout.contour.vertices] if layout.edge_known else []
    for p, q in zip(corners, [*corners[1:], *corners[:1]], strict=True):
        spots, upright = _beside_line(p, q, view.live, 2.8)
        label = placer.anywhere(spots, ((Line("panel edge", LEAST),),), upright=upright) if spots else None
        if label is not None:
            _write(pen, label, frame=False)
    for datum in layout.datums:
        if datum.kind == "point" and view.shows(datum.u_mm, datum.v_mm):
            x, y = view.point(datum.u_mm, datum.v_mm)
            label = placer.callout(x, y, 4.2, ((Line(f"datum {datum.name}", LEAST),),), reach=40.0)
            if label is not None:
                _write(pen, label, frame=False)
