"""The words on one tile: labels of holes, keep-outs, parts, edges and folds, and written distances."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence

import numpy as np
import shapely
from shapely import geometry

from generators.drawing.paper.furniture import Live
from generators.drawing.paper.pen import THIN, WHITE, Pen
from generators.drawing.paper.signs import sign_of
from generators.drawing.paper.waived import MARK
from generators.drawing.template.callouts import LINE, PAD, Line, Placed, Placer
from generators.drawing.template.hole_words import BODY, LEAST, callout_texts
from generators.drawing.template.taken import Point
from generators.drawing.template.view import View, datum_lines, shown_keepouts, wrap_names
from generators.figures import fixed, format_short
from generators.geometry.contours import polyline
from generators.layout.distances import at_rim, between, checked
from generators.model.plan import KeepOut, PanelHole, PanelLayout
from generators.model.spec.titles import within
from generators.model.words import Face
from generators.units import INCH_MM, UnitSystem

TRIES = 4
LEAST_NAMED_MM2 = 25.0
MOST_RETRIED = 60
LOST_TIER = 20
MARK_SIZES_MM = (12.0, 10.0, 8.0, 6.0, 4.5)
MARK_GREY = 0.7
MOST_SPOTS = 700
MOST_INSIDE = 600
OTHER_SIDE = {"cab": "engine side", "engine": "cab side"}


def write(pen: Pen, label: Placed, *, frame: bool = True) -> None:
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


def callouts(
    pen: Pen,
    view: View,
    holes: Sequence[PanelHole],
    face: Face,
    placer: Placer,
    witness: str,
    units: UnitSystem = "metric",
) -> tuple[str, ...]:
    """Label the holes, crowded ones first; those that got a short text go first in the next try."""
    crowd = {h.number: sum(between(h, o) < 45 for o in holes) for h in holes}
    order = sorted(holes, key=lambda h: (-crowd[h.number], -h.v_mm, h.u_mm))
    start = placer.mark()
    best: tuple[int, list[tuple[PanelHole, Placed | None]]] | None = None
    for _ in range(TRIES if len(holes) <= MOST_RETRIED else 1):
        labels = list(zip(order, _placed(view, order, face, placer, witness, units), strict=True))
        score = sum(LOST_TIER if label is None else label.tier for _, label in labels)
        if best is None or score < best[0]:
            best = score, labels
        placer.back_to(start)
        if score == 0:
            break
        short = [h for h, x in labels if x is None or x.tier]
        order = [*short, *(h for h in order if h not in short)]
    lost: list[str] = []
    for hole, label in best[1] if best is not None else []:
        if label is None:
            lost.append(hole.number)
        else:
            placer.put(label)
            write(pen, label)
    return tuple(lost)


def _placed(
    view: View,
    holes: Sequence[PanelHole],
    face: Face,
    placer: Placer,
    witness: str,
    units: UnitSystem,
) -> list[Placed | None]:
    return [
        placer.callout(
            *view.point(h.u_mm, h.v_mm),
            sign_of(h).reach_mm(h.final_dia_mm),
            callout_texts(h, face, witness=h.number == witness, units=units),
        )
        for h in holes
    ]


def dimension(
    pen: Pen, view: View, a: PanelHole, b: PanelHole, placer: Placer, units: UnitSystem = "metric"
) -> None:
    """The distance between two holes, written on the line between them, if there is room.

    From the rim of a hole that is there already, as everywhere else: its middle cannot be measured from.
    """
    pa, pb = view.point(a.u_mm, a.v_mm), view.point(b.u_mm, b.v_mm)
    if pb < pa:
        a, b, pa, pb = b, a, pb, pa
    ra, rb = (max(r, min(r + 2.5, 12.0)) for r in (sign_of(h).reach_mm(h.final_dia_mm) for h in (a, b)))
    apart = checked(a, b).mm
    said = fixed(apart, 1) if units == "metric" else f"{fixed(apart / INCH_MM, 2)} in"
    if at_rim(a) or at_rim(b):
        said += " rim to rim" if at_rim(a) and at_rim(b) else " to the rim"
    text = placer.sized(Line(said, LEAST))
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
    page = geometry.box(live.x, live.y, live.x + live.width, live.y + live.height)
    area = geometry.Polygon(points).buffer(0).intersection(page)
    if area.is_empty or area.area < 40:
        return []
    x0, y0, x1, y1 = area.bounds
    middle = area.centroid
    xs, ys = np.arange(x0 + 1, x1, step), np.arange(y0 + 1, y1, step / 2)
    x, y = np.repeat(xs, len(ys)), np.tile(ys, len(xs))
    there = shapely.contains_xy(area, x, y)
    x, y = x[there], y[there]
    order = np.lexsort((y, x, np.round(np.hypot(x - middle.x, y - middle.y), 3)))[: MOST_INSIDE - 1]
    spots = zip(x[order].tolist(), y[order].tolist(), strict=True)
    return [(middle.x, middle.y), *spots]


def _keepout_words(keepout: KeepOut, face: Face, units: UnitSystem) -> tuple[tuple[Line, ...], ...]:
    name = keepout.reason
    far = format_short(keepout.gap_mm + keepout.depth_mm, units, 1)
    near = format_short(keepout.gap_mm, units, 1)
    depth = f"{near.rpartition(' ')[0]} to {far} off the panel"
    if keepout.face == face:
        head = Line(f"KEEP OUT: {name}", BODY, True)
        movable = ", can be moved" if keepout.movable else ""
        return (head, Line(depth + movable, LEAST)), (head,), (Line(name, LEAST, True),)
    head = Line(f"{name} ({OTHER_SIDE[face]})", BODY, True)
    return (head, Line(f"behind: {depth}; a drill can hit it", LEAST)), (head, Line(depth, LEAST)), (head,)


def keepout_labels(pen: Pen, layout: PanelLayout, view: View, face: Face, placer: Placer) -> None:
    """Name each keep-out inside it, with how deep it is."""
    for keepout in shown_keepouts(layout, face):
        spots = _spots(polyline(view.contour(keepout.contour), 0.5), view.live)
        words = _keepout_words(keepout, face, layout.units)
        label = placer.anywhere(spots, words) if spots else None
        middle = _seen_middle(polyline(view.contour(keepout.contour), 0.5), view.live)
        if label is None and middle is not None:
            # no room inside: led out, for a thing nobody names may be taken for a line to cut
            label = placer.callout(*middle, 1.0, words[:-1], reach=60.0)
        if label is not None:
            write(pen, label)


def _seen_middle(points: Sequence[Point], live: Live) -> Point | None:
    """The middle of what shows of an area, if more than a sliver does."""
    page = geometry.box(live.x, live.y, live.x + live.width, live.y + live.height)
    area = geometry.Polygon(points).buffer(0).intersection(page)
    if area.area < LEAST_NAMED_MM2:
        return None
    spot = area.representative_point()
    return float(spot.x), float(spot.y)


def reach_labels(pen: Pen, layout: PanelLayout, view: View, placer: Placer) -> None:
    """Say beside each reach band what may lie in it."""
    for reach in layout.reaches:
        for ring in reach.rings:
            points = polyline(view.contour(ring), 2.0)
            inside = [p for p in points if view.live.x < p[0] < view.live.x + view.live.width]
            few = inside[:: max(1, len(inside) // 40)]
            spots = [(x, y + off) for off in (3.0, -3.0, 6.0, -6.0) for x, y in few]
            label = placer.anywhere(spots, ((Line(reach.words, LEAST),),)) if spots else None
            if label is not None:
                write(pen, label)
                break


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


def wrap_labels(pen: Pen, layout: PanelLayout, view: View, placer: Placer) -> None:
    """Say what the strip on a fold is and how long the check across it; before the holes take the room."""
    for text, a, b in wrap_names(layout, view):
        spots, upright = _beside_line(a, b, view.live, 2.8 * placer.type_scale)
        short = text.split(" with ")[0].split(":")[0]
        # between marks and the fold itself there may be room for no more than the figure
        texts = tuple((Line(words, LEAST),) for words in (text, short, short.split(" from ")[0]))
        label = placer.anywhere(spots, texts, upright=upright) if spots else None
        if label is not None:
            write(pen, label, frame=False)


def waived_mark(pen: Pen, view: View, placer: Placer) -> None:
    """The mark of waived rules, as large as there is room for beside all else; the head has it anyway."""
    live = view.live
    step = max(6.0, math.sqrt(live.width * live.height / MOST_SPOTS))
    spots = [
        (float(x), float(y))
        for y in np.arange(live.y + step / 2, live.y + live.height, step)
        for x in np.arange(live.x + step / 2, live.x + live.width, step)
    ]
    texts = tuple((Line(MARK, size / placer.type_scale, True),) for size in MARK_SIZES_MM)
    label = placer.anywhere(spots, texts)
    if label is not None:
        line = label.lines[0]
        low = label.box[3] - PAD / 2 - line.size
        middle = (label.box[0] + label.box[2]) / 2
        pen.text(middle, low, line.text, line.size, bold=True, align="centre", grey=MARK_GREY)


def other_labels(pen: Pen, layout: PanelLayout, view: View, face: Face, placer: Placer) -> None:
    """Name parts, folds, datums and edges, where there is room beside them."""
    for footprint in layout.footprints:
        side = "" if footprint.face == face else f" ({OTHER_SIDE[face]})"
        points = polyline(view.contour(footprint.contour), 0.5)
        spots = _spots(points, view.live)
        ring_points = [*points, points[0]]
        for p, q in itertools.pairwise(ring_points):
            near, upright = _beside_line(p, q, view.live, 2.6 * placer.type_scale)
            if not upright:
                spots += near
        words = (Line(f"part: {footprint.words}{side}", LEAST),)
        label = placer.anywhere(spots, (words,)) if spots else None
        if label is not None:
            write(pen, label, frame=False)
    named: list[tuple[str, Point, Point]] = [*datum_lines(layout, view)]
    for fold in layout.folds:
        angle = f"{math.degrees(fold.angle_rad):.1f}".rstrip("0").rstrip(".")
        radius = format_short(fold.inside_radius_mm, layout.units, 1)
        other = within(fold.words)
        words_text = f"this panel ends here, trim: fold to the {other}, {angle}°, inside radius {radius}"
        named.append((words_text, view.point(*fold.start), view.point(*fold.end)))
    for text, a, b in named:
        spots, upright = _beside_line(a, b, view.live, 2.8 * placer.type_scale)
        line_words = ((Line(text, LEAST),),)
        label = placer.anywhere(spots, line_words, upright=upright) if spots else None
        if label is not None:
            write(pen, label, frame=False)
    if layout.edge_known:
        _edge_labels(pen, layout, view, placer)
    for datum in layout.datums:
        if datum.kind == "point" and view.shows(datum.u_mm, datum.v_mm):
            x, y = view.point(datum.u_mm, datum.v_mm)
            label = placer.callout(x, y, 4.2, ((Line(f"datum {datum.words}", LEAST),),), reach=40.0)
            if label is not None:
                write(pen, label, frame=False)


def _edge_labels(pen: Pen, layout: PanelLayout, view: View, placer: Placer) -> None:
    """Name the panel's edges; one that goes on in a fold is no edge to cut at."""
    corners = [view.point(p.u, p.v) for p in layout.contour.vertices]
    folded = [{view.point(*f.start), view.point(*f.end)} for f in layout.folds]
    for p, q in zip(corners, [*corners[1:], *corners[:1]], strict=True):
        if {p, q} in folded:
            continue
        spots, upright = _beside_line(p, q, view.live, 2.8 * placer.type_scale)
        label = placer.anywhere(spots, ((Line("panel edge", LEAST),),), upright=upright) if spots else None
        if label is not None:
            write(pen, label, frame=False)
