"""Regions of a panel as named bounds, and their rings in and out of shapely."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import partial

import numpy as np
import shapely
from shapely.geometry import Point, Polygon
from shapely.geometry.base import BaseGeometry

from generators.model.hose_path import HoseRun, Panel3, Point2, Point3, Port3, Waypoint
from generators.model.hose_results import Ring
from generators.routing.paths.curves import Array, point3

_CIRCLE_QUARTER = 32


@dataclass(frozen=True, slots=True, kw_only=True)
class Bound:
    """A named region in (u, v), mm: one must stay inside it, or with ``inside`` False out of it."""

    name: str
    ring: Ring
    inside: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class Seat:
    """A port that moves over a panel: its place and direction in the panel's frame when it sits at (0, 0).

    ``offset_mm`` is (u, v, w) from the place marked on the panel to the port's seat, ``direction`` in
    (u, v, w), unit. ``port`` gives name, straight run, cut-off and body.
    """

    panel: Panel3
    port: Port3
    offset_mm: tuple[float, float, float]
    direction: tuple[float, float, float]

    def at(self, place: Point2) -> Port3:
        """The port when it sits at (u, v)."""
        (du, dv, dw), (a, b, c) = self.offset_mm, self.direction
        (ox, oy, oz), (ux, uy, uz), (vx, vy, vz) = self.panel.origin, self.panel.u, self.panel.v
        wx, wy, wz = normal(self.panel)
        u, v = place[0] + du, place[1] + dv
        x, y, z = (
            ox + u * ux + v * vx + dw * wx,
            oy + u * uy + v * vy + dw * wy,
            oz + u * uz + v * vz + dw * wz,
        )
        dx, dy, dz = a * ux + b * vx + c * wx, a * uy + b * vy + c * wy, a * uz + b * vz + c * wz
        return Port3(
            name=self.port.name,
            position=(x, y, z),
            direction=(dx, dy, dz),
            straight_mm=self.port.straight_mm,
            cutoff_mm=self.port.cutoff_mm,
            body=self.port.body,
        )


def normal(panel: Panel3) -> Point3:
    """The unit vector u × v of a panel."""
    (a, b, c), (d, e, f) = panel.u, panel.v
    return b * f - c * e, c * d - a * f, a * e - b * d


def ending_at(run: HoseRun, seat: Seat) -> Callable[[Point2], tuple[HoseRun]]:
    """The run with its end in the seat, by place."""
    return lambda place: (replace(run, end=seat.at(place)),)


def joined_at(
    first: HoseRun, near: Seat, second: HoseRun, far: Seat
) -> Callable[[Point2], tuple[HoseRun, HoseRun]]:
    """Two runs that meet at a bulkhead: ``first`` ends in ``near`` and ``second`` starts in ``far``."""
    return lambda place: (replace(first, end=near.at(place)), replace(second, start=far.at(place)))


def clamp_row(
    run: HoseRun, before: int, line: tuple[Array, Array], count: int, straight_mm: float
) -> Callable[[Point2], tuple[HoseRun]]:
    """The run with ``count`` clamps evenly spaced along a line in space, the first and the last by place.

    The place is (a, b): mm along the line from its first end to the first and the last clamp. They come
    after ``before`` of the run's own supports.
    """
    return partial(_row_at, run, before, line, count, straight_mm)


def _row_at(
    run: HoseRun, before: int, line: tuple[Array, Array], count: int, straight_mm: float, place: Point2
) -> tuple[HoseRun]:
    along = (line[1] - line[0]) / np.linalg.norm(line[1] - line[0])
    row = tuple(
        Waypoint(
            name=f"clamp {k + 1}",
            kind="clamp",
            position=point3(line[0] + s * along),
            axis=point3(along),
            straight_mm=straight_mm,
        )
        for k, s in enumerate(np.linspace(place[0], place[1], count))
    )
    return (replace(run, via=(*run.via[:before], *row, *run.via[before:])),)


def row_bounds(length_mm: float, count: int, least_mm: float, spacing_mm: float) -> tuple[Bound, ...]:
    """Bounds of a clamp row on a line: its ends, and clamps ``least_mm`` to ``spacing_mm`` apart."""
    big = 2.0 * length_mm + spacing_mm * count
    gaps = max(count - 1, 1)
    inner, outer = least_mm * gaps, spacing_mm * gaps
    corners = ((-big, -big + inner), (big, big + inner), (big, 3 * big), (-big, 3 * big))
    spread = ((-big, -3 * big), (big, -3 * big), (big, big + outer), (-big, -big + outer))
    return (
        Bound(name="start of the line", ring=Ring(outer=((0.0, -big), (big, -big), (big, big), (0.0, big)))),
        Bound(
            name="end of the line",
            ring=Ring(outer=((-big, -big), (big, -big), (big, length_mm), (-big, length_mm))),
        ),
        Bound(name="least clamp spacing", ring=Ring(outer=corners)),
        Bound(name="support spacing", ring=Ring(outer=spread)),
    )


def panel_bounds(
    panel: Panel3, edge_mm: float, ligament_mm: float, keepouts: Sequence[Bound]
) -> tuple[Bound, ...]:
    """The panel's own bounds for a place: its outline drawn in, its openings grown, and the keep-outs."""
    inset = shapely.make_valid(Polygon(panel.outline)).buffer(-edge_mm, join_style="mitre")
    edge = [Bound(name="edge distance", ring=ring) for ring in rings(inset)]
    holes = [
        Bound(
            name=f"opening {o.name}",
            ring=rings(Point(o.u_mm, o.v_mm).buffer(o.diameter_mm / 2 + ligament_mm, _CIRCLE_QUARTER))[0],
            inside=False,
        )
        for o in panel.openings
    ]
    return (*edge, *holes, *keepouts)


def polygon(ring: Ring) -> Polygon:
    """The ring as a shapely polygon."""
    return Polygon(ring.outer, ring.holes)


def rings(shape: BaseGeometry) -> tuple[Ring, ...]:
    """Every polygon of a shape, the largest first."""
    parts = [p for p in shapely.get_parts(shape) if isinstance(p, Polygon) and not p.is_empty]
    parts.sort(key=lambda p: (-p.area, p.bounds))
    return tuple(
        Ring(
            outer=_corners(part.exterior),
            holes=tuple(_corners(hole) for hole in part.interiors),
        )
        for part in parts
    )


def _corners(line: shapely.LinearRing) -> tuple[Point2, ...]:
    return tuple((float(u), float(v)) for u, v in list(line.coords)[:-1])


def within(bounds: Sequence[Bound]) -> BaseGeometry:
    """The region that meets every bound; those of one name that hold inside are taken together."""
    inside: dict[str, list[Polygon]] = {}
    for bound in bounds:
        if bound.inside:
            inside.setdefault(bound.name, []).append(polygon(bound.ring))
    shape: BaseGeometry | None = None
    for parts in inside.values():
        whole = shapely.union_all(parts)
        shape = whole if shape is None else shape.intersection(whole)
    if shape is None:
        return Polygon()
    return shape.difference(shapely.union_all([polygon(b.ring) for b in bounds if not b.inside]))
