"""Two panels that share a fold as one sheet of paper, laid out at true developed length.

Both outlines end at the sharp line in which the cab faces would meet. The metal turns earlier: it is flat
up to a tangent line, then runs round an arc. Paper on the cab face follows the cab-side radius, paper on
the engine face the other one, so each face has a layout of its own. Distances of the flats are the same on
both faces; only the arc differs.

Developed length of a fold by angle A: (a − Rc·tan(A/2)) + Rf·A + (b − Rc·tan(A/2)), a and b measured to the
sharp line of the cab faces, Rc the radius on the cab face and Rf that on the face the paper lies on
(plane geometry of two tangents to a circle).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray
from shapely import affinity
from shapely.geometry import LineString, Point, Polygon
from shapely.ops import unary_union

from generators.figures import format_short
from generators.geometry.contours import Placement, counter_clockwise, polygon, polyline, transformed
from generators.geometry.frames import apply, panel_frame
from generators.model.contour import Contour
from generators.model.folds import FoldLine, Wrap
from generators.model.plan import DatumMark, PanelHole, PanelLayout
from generators.model.spec.job import Panel
from generators.model.words import Face, MarkKind

CHECK_FLATS_MM = (40.0, 30.0, 20.0, 10.0, 5.0)  # how far the check length reaches onto either flat
BESIDE_MM = 0.5
SEAM_MM = 1e-6
OUTLINE_MM = 0.05

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Turn:
    """The fold as the paper on one face meets it: mm and radians."""

    angle: float
    tangent: float
    arc: float
    toward: Face


def wrapped_name(first: str, second: str) -> str:
    """Name of the sheet that goes round the fold; no panel can have it, for + is in no name."""
    return f"{first}+{second}"


def wrapped_layout(
    panels: tuple[Panel, Panel], layouts: tuple[PanelLayout, PanelLayout], face: Face
) -> PanelLayout:
    """Both layouts in the first panel's frame, the second one turned out round the fold.

    ``face`` is cab or engine. Holes keep their numbers, which run through the whole job. Raises
    ``ValueError`` when the layouts do not share a fold.
    """
    near, far = layouts
    line = next((f for f in near.folds if f.other == far.panel), None)
    back = next((f for f in far.folds if f.other == near.panel), None)
    if line is None or back is None:
        raise ValueError(f"{near.panel} and {far.panel} share no fold")
    turn = _turn(panels, layouts, line, back, face)
    along, out = _axes(near.contour, line)
    place = _placement(panels, layouts, line, back, out * (turn.arc - 2 * turn.tangent))
    moved = _moved(far, place)
    first = _moved(near, Placement(du=0.0, dv=0.0))
    start, end = np.array(line.start), np.array(line.end)
    tangents = [start - out * turn.tangent, end - out * turn.tangent]
    others = [p + out * turn.arc for p in tangents]
    wrap = Wrap(
        start=_pair(tangents[0]),
        end=_pair(tangents[1]),
        far_start=_pair(others[0]),
        far_end=_pair(others[1]),
        angle_rad=turn.angle,
        inside_radius_mm=line.inside_radius_mm,
        toward=turn.toward,
        check=((0.0, 0.0), (0.0, 0.0)),
    )
    contour = _union(first.contour, moved.contour, wrap, out, turn.tangent)
    wrap = replace(wrap, check=_check(contour, (*first.holes, *moved.holes), tangents, along, out, turn.arc))
    datums = (*first.datums, *moved.datums)
    sharp = [d for d in datums if _on_strip(d, wrap, turn.tangent)]
    names = ", ".join(dict.fromkeys(d.words for d in sharp))
    corner = f" {names}: the sharp corner, not on the metal." if sharp else ""
    return replace(
        first,
        panel=wrapped_name(near.panel, far.panel),
        title=f"{near.title} and {far.title}, round the fold",
        **_sheets(near, far),
        contour=contour,
        holes=(*first.holes, *moved.holes),
        keepouts=(*first.keepouts, *moved.keepouts),
        passing=(*first.passing, *moved.passing),
        footprints=(*first.footprints, *moved.footprints),
        folds=tuple(f for f in first.folds if f.other != far.panel)
        + tuple(f for f in moved.folds if f.other != near.panel),
        datums=tuple(d for d in datums if d not in sharp),
        bodies=(),
        wraps=(wrap,),
        notes=(
            *dict.fromkeys((*near.notes, *far.notes)),
            f"{_whose(near)} {_whose(far)} u and v run along the metal, from {near.title}'s origin.{corner}",
        ),
    )


def _turn(
    panels: tuple[Panel, Panel],
    layouts: tuple[PanelLayout, PanelLayout],
    line: FoldLine,
    back: FoldLine,
    face: Face,
) -> _Turn:
    """How the paper meets the fold. Two thicknesses at one fold count as their mean."""
    thickness = sum(x.thickness_mm for x in layouts) / 2
    hollow = _hollow_in_cab(panels, line, back)
    cab = line.inside_radius_mm if hollow else line.inside_radius_mm + thickness
    engine = line.inside_radius_mm + thickness if hollow else line.inside_radius_mm
    radius = cab if face == "cab" else engine
    return _Turn(
        angle=line.angle_rad,
        tangent=cab * math.tan(line.angle_rad / 2),
        arc=radius * line.angle_rad,
        toward="cab" if hollow else "engine",
    )


def _sheets(near: PanelLayout, far: PanelLayout) -> dict[str, Any]:
    """Material and thickness in words; where the two differ, each with its own thickness."""
    if (near.material, near.thickness_mm) == (far.material, far.thickness_mm):
        return {}
    if near.material == far.material and near.thickness_mm and far.thickness_mm:
        pair = [format_short(x.thickness_mm, near.units, 4) for x in (near, far)]
        thick = f"{pair[0].rpartition(' ')[0]} and {pair[1]}"
        return {"material": f"{thick} {near.material}", "thickness_mm": 0.0}
    both = (
        f"{format_short(x.thickness_mm, near.units, 4)} {x.material}" if x.thickness_mm else x.material
        for x in (near, far)
    )
    return {"material": "; ".join(both), "thickness_mm": 0.0}


def _on_strip(datum: DatumMark, wrap: Wrap, setback: float) -> bool:
    """True for a line along the fold where the metal turns: there is no such line to measure from."""
    axis = {"vertical": 0, "horizontal": 1}.get(datum.kind)
    if axis is None or abs(wrap.start[axis] - wrap.end[axis]) > SEAM_MM:
        return False
    at = (datum.u_mm, datum.v_mm)[axis]
    low, high = sorted((wrap.start[axis], wrap.far_start[axis]))
    # the sharp line of either panel lies a setback past its own tangent line
    room = max(0.0, setback - (high - low)) + SEAM_MM
    return low - room < at < high + room


def _hollow_in_cab(panels: tuple[Panel, Panel], line: FoldLine, back: FoldLine) -> bool:
    """True when the second panel turns toward the driver, so the inside of the fold is in the cab."""
    near, far = (panel_frame(p.origin, p.tilt_rad, p.turn_rad) for p in panels)
    _, out = _axes(polygon(panels[1].outline), back)
    inward = -(far[:3, :2] @ out)
    return bool(inward @ near[:3, 2] > 0)


def _axes(contour: Contour, line: FoldLine) -> tuple[Floats, Floats]:
    """Unit vectors along the fold and square to it, away from the panel's metal beside the fold."""
    start, end = np.array(line.start), np.array(line.end)
    along = (end - start) / np.linalg.norm(end - start)
    out = np.array([along[1], -along[0]])
    beside = (start + end) / 2 + out * BESIDE_MM
    return along, -out if Polygon(polyline(contour, OUTLINE_MM)).contains(Point(*beside)) else out


def _placement(
    panels: tuple[Panel, Panel],
    layouts: tuple[PanelLayout, PanelLayout],
    line: FoldLine,
    back: FoldLine,
    shift: Floats,
) -> Placement:
    """The second panel's frame laid flat beside the first, its fold edge on the first one's, then shifted.

    Both are seen by the driver, so no mirror is needed; the ends of the edge are matched in space.
    """
    space = []
    for panel, fold in zip(panels, (line, back), strict=True):
        flat = np.array([(*fold.start, 0.0), (*fold.end, 0.0)])
        space.append(apply(panel_frame(panel.origin, panel.tilt_rad, panel.turn_rad), flat))
    same = np.linalg.norm(space[0][0] - space[1][0]) < np.linalg.norm(space[0][0] - space[1][1])
    ends = (back.start, back.end) if same else (back.end, back.start)
    target = np.array(line.end) - np.array(line.start)
    source = np.array(ends[1]) - np.array(ends[0])
    angle = math.atan2(target[1], target[0]) - math.atan2(source[1], source[0])
    c, s = math.cos(angle), math.sin(angle)
    # by the middles: outlines meet within a millimetre only, and neither end is better than the other
    middle = np.mean([line.start, line.end], axis=0)
    turned = np.array([[c, -s], [s, c]]) @ np.mean(ends, axis=0)
    du, dv = middle + shift - turned
    return Placement(du=float(du), dv=float(dv), angle=angle)


def _whose(layout: PanelLayout) -> str:
    """Which holes are this panel's: their numbers and letters run without a gap."""
    new = [h.number for h in layout.holes if h.number.isdigit()]
    old = [h.number for h in layout.holes if not h.number.isdigit()]
    runs = [run[0] if len(run) == 1 else f"{run[0]} to {run[-1]}" for run in (new, old) if run]
    return f"{layout.title}: {'holes ' + ' and '.join(runs) if runs else 'no holes'}."


def _moved(layout: PanelLayout, place: Placement) -> PanelLayout:
    def hole(h: PanelHole) -> PanelHole:
        u, v = place.apply(h.u_mm, h.v_mm)
        return replace(h, u_mm=u, v_mm=v)

    square = abs(math.sin(2 * place.angle)) < SEAM_MM
    quarter = abs(math.sin(place.angle)) > 0.5
    swapped: dict[MarkKind, MarkKind] = {"vertical": "horizontal", "horizontal": "vertical"}
    datums = []
    for d in layout.datums:
        if d.kind != "point" and not square:
            continue  # a line along u or v of its panel runs askew here: the panel's own sheet shows it
        u, v = place.apply(d.u_mm, d.v_mm)
        datums.append(replace(d, u_mm=u, v_mm=v, kind=swapped.get(d.kind, d.kind) if quarter else d.kind))
    return replace(
        layout,
        contour=counter_clockwise(transformed(layout.contour, place)),
        holes=tuple(hole(h) for h in layout.holes),
        keepouts=tuple(replace(k, contour=transformed(k.contour, place)) for k in layout.keepouts),
        passing=tuple(replace(p, contour=transformed(p.contour, place)) for p in layout.passing),
        footprints=tuple(replace(f, contour=transformed(f.contour, place)) for f in layout.footprints),
        folds=tuple(replace(f, start=place.apply(*f.start), end=place.apply(*f.end)) for f in layout.folds),
        datums=tuple(datums),
    )


def _union(first: Contour, second: Contour, wrap: Wrap, out: Floats, setback: float) -> Contour:
    """The developed outline: both flats up to their tangent lines, and the arc between them.

    What of a panel reaches past its fold beside it (a leg) stays flat, so only what lies straight under
    the fold is taken off it.
    """
    shapes = []
    for contour, ends, sign in (
        (first, (wrap.start, wrap.end), 1.0),
        (second, (wrap.far_start, wrap.far_end), -1.0),
    ):
        shape = Polygon(polyline(contour, OUTLINE_MM))
        a, b = (np.array(p) for p in ends)
        reach = float(np.hypot(shape.bounds[2] - shape.bounds[0], shape.bounds[3] - shape.bounds[1])) + 1.0
        past = out * sign * reach
        beyond = Polygon([a, b, b + past, a + past])
        aside = (b - a) / np.linalg.norm(b - a) * reach
        half = Polygon([a - aside, b + aside, b + aside + past, a - aside + past])
        # without legs the whole half-plane goes, so that a slanting side leaves no sliver
        deep = affinity.translate(half, *(out * sign * (setback + BESIDE_MM)))
        shapes.append(shape.difference(beyond if shape.intersects(deep) else half))
    band = Polygon([wrap.start, wrap.end, wrap.far_end, wrap.far_start])
    whole = unary_union([s.buffer(SEAM_MM, join_style="mitre") for s in (*shapes, band)])
    whole = whole.buffer(-SEAM_MM, join_style="mitre").simplify(SEAM_MM)
    outer = max(getattr(whole, "geoms", [whole]), key=lambda g: g.area)
    return counter_clockwise(polygon([(float(u), float(v)) for u, v in list(outer.exterior.coords)[:-1]]))


def _check(
    contour: Contour,
    holes: Sequence[PanelHole],
    tangents: Sequence[Floats],
    along: Floats,
    out: Floats,
    arc: float,
) -> tuple[tuple[float, float], tuple[float, float]]:
    """Both ends of the length to lay a tape on: square across the fold, on the metal, clear of the holes.

    It reaches 40 mm onto either flat; less where the metal is narrower, so that it always ends on metal.
    """
    length = float(np.linalg.norm(tangents[1] - tangents[0]))
    discs = [(np.array((h.u_mm, h.v_mm)), h.final_dia_mm / 2) for h in holes]
    middle = np.mean([h for h, _ in discs], axis=0) if discs else (tangents[0] + tangents[1]) / 2
    wanted = float(np.clip((middle - tangents[0]) @ along, 0.1 * length, 0.9 * length))
    metal = Polygon(polyline(contour, OUTLINE_MM))

    def ends(share: float, flat: float) -> tuple[Floats, Floats]:
        foot = tangents[0] + along * share
        return foot - out * flat, foot + out * (arc + flat)

    def clearance(share: float, flat: float) -> float:
        a, _ = ends(share, flat)
        gaps = [1e9]
        for centre, radius in discs:
            t = float(np.clip((centre - a) @ out, 0.0, arc + 2 * flat))
            gaps.append(float(np.linalg.norm(centre - a - out * t)) - radius)
        return min(gaps)

    shares = [float(s) for s in np.linspace(0.1 * length, 0.9 * length, 81)]
    flat, on_metal = CHECK_FLATS_MM[-1], shares
    for flat in CHECK_FLATS_MM:
        on_metal = [s for s in shares if metal.contains(LineString(ends(s, flat)))]
        if on_metal:
            break
    on_metal = on_metal or shares
    free = [s for s in on_metal if clearance(s, flat) > 12.0] or [
        max(on_metal, key=lambda s: clearance(s, flat))
    ]
    a, b = ends(min(free, key=lambda s: abs(s - wanted)), flat)
    return _pair(a), _pair(b)


def _pair(point: Floats) -> tuple[float, float]:
    return float(point[0]), float(point[1])
