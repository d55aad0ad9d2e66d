"""Distance from points to bodies: boxes, bars, prisms, pedals on their way, panels' metal and bare edges.

Every distance is signed (negative inside) except that to an edge, and changes by no more than 1 mm per mm,
which is what the search for the least gap along a curve rests on. Closed forms are those of a convex
body's or an extruded outline's distance: outside the length of the part sticking out, inside the least
way out. What moves is in ``swept``.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from generators.model.hose_path import (
    Block,
    Box3,
    ClearanceLimits,
    Cylinder3,
    Limb,
    Obstacle3,
    Panel3,
    Point2,
    Point3,
    Prism3,
    Sweep3,
)
from generators.model.words import GapWith, KeptOff
from generators.routing.around.swept import Swept, collected, extent, to_swept
from generators.routing.paths.curves import Array, Index, unit

_CHUNK = 2_000_000
PANEL = 4
"""Form of the rows that are the metal of a panel."""


@dataclass(frozen=True, slots=True)
class Body:
    """What one row is: its name, what is measured, the kind and the least gap, mm."""

    name: str
    what: GapWith
    kind: KeptOff
    limit_mm: float


@dataclass(frozen=True, slots=True)
class Bodies:
    """Rows of bodies; ``form`` and ``row`` say where each one's numbers stand; boxes (n, 3), mm."""

    rows: tuple[Body, ...]
    form: Index
    row: Index
    low: Array
    high: Array
    boxes: tuple[Array, Array, Array]
    bars: tuple[Array, Array, Array]
    prisms: _Outlines
    limbs: Swept
    panels: _Outlines


@dataclass(frozen=True, slots=True)
class _Outlines:
    """Plane outlines in space: frames, edges padded to one count, levels and round openings.

    ``bare`` is False for sides that go on in a bend.
    """

    origin: Array
    axes: Array
    begin: Array
    end: Array
    bare: NDArray[np.bool_]
    low: Array
    high: Array
    centre: Array
    radius: Array


def collect(obstacles: Sequence[Obstacle3], panels: Sequence[Panel3], limits: ClearanceLimits) -> Bodies:
    """Everything a hose may come near, a panel twice: its metal and its bare edges."""
    rows: list[Body] = []
    form: list[int] = []
    row: list[int] = []
    boxes: list[Box3] = []
    bars: list[Cylinder3] = []
    prisms: list[Prism3] = []
    limbs: list[tuple[Sweep3, Limb | Block]] = []
    for body in obstacles:
        limit = limits.of(body.kind)
        match body:
            case Box3():
                form.append(0)
                row.append(len(boxes))
                boxes.append(body)
            case Cylinder3():
                form.append(1)
                row.append(len(bars))
                bars.append(body)
            case Prism3():
                form.append(2)
                row.append(len(prisms))
                prisms.append(body)
            case Sweep3():
                form.extend([3] * len(body.limbs))
                row.extend(range(len(limbs), len(limbs) + len(body.limbs)))
                limbs.extend((body, limb) for limb in body.limbs)
        repeat = len(body.limbs) if isinstance(body, Sweep3) else 1
        what: GapWith = "obstacle"
        if isinstance(body, Prism3) and body.what == "face":
            what, limit = "face", limits.face_mm
        rows.extend([Body(body.name, what, body.kind, limit)] * repeat)
    for number, panel in enumerate(panels):
        sides: tuple[tuple[int, GapWith, float], ...] = (
            (PANEL, "face", limits.face_mm),
            (PANEL + 1, "edge", limits.edge_mm),
        )
        for code, what, limit in sides:
            form.append(code)
            row.append(number)
            rows.append(Body(panel.name, what, "fixed", limit))
    sheets = _outlines(
        [
            (
                p.origin,
                p.u,
                p.v,
                p.outline,
                p.low_mm,
                p.high_mm,
                [(o.u_mm, o.v_mm, o.diameter_mm / 2) for o in p.openings],
            )
            for p in panels
        ]
    )
    for number, panel in enumerate(panels):
        sheets.bare[number, list(panel.folded)] = False
    solid = _outlines([(p.origin, p.u, p.v, p.outline, p.low_mm, p.high_mm, []) for p in prisms])
    box_axes = np.array([[b.u, b.v, np.cross(b.u, b.v)] for b in boxes]).reshape(-1, 3, 3)
    numbers = Bodies(
        rows=tuple(rows),
        form=np.array(form, dtype=np.intp),
        row=np.array(row, dtype=np.intp),
        low=np.empty((0, 3)),
        high=np.empty((0, 3)),
        boxes=(_points([b.centre for b in boxes]), box_axes, _points([b.half_mm for b in boxes])),
        bars=(
            _points([b.start for b in bars]),
            _points([b.end for b in bars]),
            np.array([b.radius_mm for b in bars]),
        ),
        prisms=solid,
        limbs=collected(limbs),
        panels=sheets,
    )
    low, high = _extents(numbers)
    return Bodies(
        numbers.rows,
        numbers.form,
        numbers.row,
        low,
        high,
        numbers.boxes,
        numbers.bars,
        numbers.prisms,
        numbers.limbs,
        numbers.panels,
    )


def _points(rows: Sequence[Point3]) -> Array:
    return np.array(rows, dtype=float).reshape(-1, 3)


def _outlines(
    shapes: list[
        tuple[Point3, Point3, Point3, tuple[Point2, ...], float, float, list[tuple[float, float, float]]]
    ],
) -> _Outlines:
    """Padded with edges of no length, which neither come nearer nor change a parity, and openings of none."""
    edges = max((len(s[3]) for s in shapes), default=1)
    holes = max((len(s[6]) for s in shapes), default=0)
    begin, end = np.empty((len(shapes), edges, 2)), np.empty((len(shapes), edges, 2))
    centre, radius = np.zeros((len(shapes), holes, 2)), np.full((len(shapes), holes), -np.inf)
    for k, (_, _, _, outline, _, _, openings) in enumerate(shapes):
        corners = np.array(outline)
        begin[k], end[k] = corners[0], corners[0]
        begin[k, : len(corners)], end[k, : len(corners)] = corners, np.roll(corners, -1, axis=0)
        for h, (u, v, r) in enumerate(openings):
            centre[k, h], radius[k, h] = (u, v), r
    return _Outlines(
        origin=_points([s[0] for s in shapes]),
        axes=np.array([[s[1], s[2], np.cross(s[1], s[2])] for s in shapes]).reshape(-1, 3, 3),
        begin=begin,
        end=end,
        bare=np.ones((len(shapes), edges), dtype=bool),
        low=np.array([s[4] for s in shapes]),
        high=np.array([s[5] for s in shapes]),
        centre=centre,
        radius=radius,
    )


def _extents(of: Bodies) -> tuple[Array, Array]:
    """Boxes round every row, lower and upper corners (n, 3)."""
    low, high = np.empty((len(of.rows), 3)), np.empty((len(of.rows), 3))
    for k, (form, row) in enumerate(zip(of.form, of.row, strict=True)):
        low[k], high[k] = _extent(of, int(form), int(row))
    return low, high


def _extent(of: Bodies, form: int, row: int) -> tuple[Array, Array]:
    if form == 0:
        centre, axes, half = (a[row] for a in of.boxes)
        reach = half @ np.abs(axes)
        return centre - reach, centre + reach
    if form == 1:
        start, end, radius = (a[row] for a in of.bars)
        along = unit(end - start)
        reach = radius * np.sqrt(np.maximum(1.0 - along * along, 0.0))
        return np.minimum(start, end) - reach, np.maximum(start, end) + reach
    if form == 3:
        return extent(of.limbs, row)
    shape = of.prisms if form == 2 else of.panels
    flat = shape.begin[row]
    corners = np.vstack(
        [np.column_stack([flat, np.full(len(flat), w)]) for w in (shape.low[row], shape.high[row])]
    )
    space = shape.origin[row] + corners @ shape.axes[row]
    return space.min(axis=0), space.max(axis=0)


def distances(of: Bodies, points: Array, which: Index) -> Array:
    """Distance of each point (m, 3) to the body row ``which`` (m,), mm."""
    out = np.empty(len(points))
    form = of.form[which]
    for code, measure in enumerate((_to_box, _to_bar, _to_prism, _to_limb, _to_face, _to_edge)):
        here = np.flatnonzero(form == code)
        if len(here):
            out[here] = measure(of, points[here], of.row[which[here]])
    return out


def _outside(q: Array) -> Array:
    """Distance from the amounts by which a point sticks out past each pair of faces, (m, k)."""
    out: Array = np.linalg.norm(np.maximum(q, 0.0), axis=1) + np.minimum(q.max(axis=1), 0.0)
    return out


def _to_box(of: Bodies, points: Array, row: Index) -> Array:
    centre, axes, half = of.boxes
    local = np.einsum("mij,mj->mi", axes[row], points - centre[row])
    return _outside(np.abs(local) - half[row])


def _to_bar(of: Bodies, points: Array, row: Index) -> Array:
    start, end, radius = of.bars
    middle, along = (start[row] + end[row]) / 2.0, unit(end[row] - start[row])
    off = points - middle
    up = np.einsum("ij,ij->i", off, along)
    aside = np.linalg.norm(off - up[:, None] * along, axis=1)
    half = np.linalg.norm(end[row] - start[row], axis=1) / 2.0
    return _outside(np.stack([aside - radius[row], np.abs(up) - half], axis=1))


def _local(shape: _Outlines, points: Array, row: Index) -> tuple[Array, Array]:
    """Plane coordinates (m, 2) and how far each point is beyond the nearer level (m,)."""
    local = np.einsum("mij,mj->mi", shape.axes[row], points - shape.origin[row])
    beyond = np.maximum(shape.low[row] - local[:, 2], local[:, 2] - shape.high[row])
    return local[:, :2], beyond


def _to_outline(shape: _Outlines, flat: Array, row: Index, bare_only: bool = False) -> Array:
    """Signed distance in the plane to the outline (or to its bare sides), negative inside, (m,)."""
    out = np.empty(len(flat))
    step = max(1, _CHUNK // shape.begin.shape[1])
    for first in range(0, len(flat), step):
        part = slice(first, first + step)
        begin, end = shape.begin[row[part]], shape.end[row[part]]
        side, off = end - begin, flat[part][:, None, :] - begin
        size = np.einsum("mej,mej->me", side, side)
        at = np.clip(np.einsum("mej,mej->me", off, side) / np.where(size > 0, size, 1.0), 0.0, 1.0)
        apart = np.linalg.norm(off - at[:, :, None] * side, axis=2)
        near = (np.where(shape.bare[row[part]], apart, np.inf) if bare_only else apart).min(axis=1)
        v = flat[part][:, 1][:, None]
        spans = (begin[:, :, 1] > v) != (end[:, :, 1] > v)
        rise = np.where(spans, side[:, :, 1], 1.0)
        right = off[:, :, 0] < side[:, :, 0] * off[:, :, 1] / rise
        inside = np.count_nonzero(spans & right, axis=1) % 2 == 1
        out[part] = np.where(inside, -near, near)
    return out


def _to_prism(of: Bodies, points: Array, row: Index) -> Array:
    flat, beyond = _local(of.prisms, points, row)
    return _outside(np.stack([_to_outline(of.prisms, flat, row), beyond], axis=1))


def _rims(shape: _Outlines, flat: Array, row: Index) -> Array:
    """How deep each point lies inside each opening, negative outside, (m, h)."""
    out: Array = shape.radius[row] - np.linalg.norm(flat[:, None, :] - shape.centre[row], axis=2)
    return out


def _to_face(of: Bodies, points: Array, row: Index) -> Array:
    """Openings are taken to lie inside the outline and apart from each other."""
    flat, beyond = _local(of.panels, points, row)
    plane = _to_outline(of.panels, flat, row)
    plane = np.maximum(plane, _rims(of.panels, flat, row).max(axis=1, initial=-np.inf))
    return _outside(np.stack([plane, beyond], axis=1))


def _to_edge(of: Bodies, points: Array, row: Index) -> Array:
    flat, beyond = _local(of.panels, points, row)
    rims = np.abs(_rims(of.panels, flat, row)).min(axis=1, initial=np.inf)
    plane = np.minimum(np.abs(_to_outline(of.panels, flat, row, bare_only=True)), rims)
    out: Array = np.hypot(plane, np.maximum(beyond, 0.0))
    return out


def _to_limb(of: Bodies, points: Array, row: Index) -> Array:
    return to_swept(of.limbs, points, row)
