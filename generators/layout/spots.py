"""Where components, their ports and the clamps are in the vehicle: from the holes they sit in."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from generators.errors import GeometryFault
from generators.geometry.frames import Matrix, apply, panel_frame
from generators.layout.mounting import PlacedPart, leaning, part_matrix, placement
from generators.model.hose_path import Point3
from generators.model.plan import Hole, PanelHole, PanelLayout, PartPlan, Slot
from generators.model.spec.fittings import PortSpec
from generators.model.spec.job import Panel
from generators.model.spec.lines import Clamp, Component, Spot
from generators.model.words import PortSide, Side
from generators.reading.keys.datums import position_uv
from generators.sheetmetal.folding import folded_frames
from generators.sheetmetal.lying import lying
from generators.units import DASH_MM

WAYS: Mapping[str, Point3] = {
    "cab": (1.0, 0.0, 0.0),
    "engine": (-1.0, 0.0, 0.0),
    "right": (0.0, 1.0, 0.0),
    "left": (0.0, -1.0, 0.0),
    "up": (0.0, 0.0, 1.0),
    "down": (0.0, 0.0, -1.0),
}
SQUARE = 0.1
"""A side whose direction is this near to the sheet's own plane is no side of it."""

BAND_MM = 12.7
"""Width of a cushioned clamp's band (common practice, no source: 1/2 in)."""

CUSHION_MM = 3.0
"""Cushion and band between a clamp's inside and the sheet. No table could be read: ours."""

FASTENER_MM = 9.0
"""Fastener to the inside of a clamp's loop. No table could be read: ours."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """A sheet's hole or a free place: frame (out, right, up) in the vehicle, 4×4, mm.

    ``through_mm`` is the metal under the place along −out, 0 for a free one; ``panel`` and ``hole`` are the
    panel's own when the hole goes through it; ``holes`` are all it sits in, ``hole`` the first.
    """

    frame: Matrix
    through_mm: float = 0.0
    panel: str = ""
    hole: str = ""
    part: str = ""
    flange: str = ""
    holes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class PlacedPort:
    """One port: seat and unit direction in the vehicle, mm."""

    component: str
    name: str
    position: Point3
    direction: Point3
    dash: int | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheets:
    """What places refer to: panels, their layouts and the parts, by name."""

    panels: Mapping[str, Panel]
    layouts: Mapping[str, PanelLayout]
    parts: Mapping[str, PlacedPart]


def sheets_of(panels: Sequence[Panel], layouts: Sequence[PanelLayout], parts: Sequence[PlacedPart]) -> Sheets:
    """The look-up tables of a job."""
    return Sheets(
        panels={p.name: p for p in panels},
        layouts={x.panel: x for x in layouts},
        parts={p.spec.name: p for p in parts},
    )


def point3(values: Matrix) -> Point3:
    """Three plain floats; −0.0, which prints badly, becomes 0.0."""
    x, y, z = (float(value) + 0.0 for value in values)
    return x, y, z


def axes_frame(origin: Matrix, out: Matrix) -> Matrix:
    """Frame with columns out, right, up at ``origin``; up is the vehicle's, forward for an upright axis."""
    up = np.array([0.0, 0.0, 1.0])
    if abs(float(out @ up)) > math.cos(math.radians(5)):
        up = np.array([-1.0, 0.0, 0.0])
    up = up - (up @ out) * out
    up /= np.linalg.norm(up)
    frame = np.eye(4)
    frame[:3, 0], frame[:3, 1], frame[:3, 2] = out, np.cross(up, out), up
    frame[:3, 3] = origin
    return frame


def signed(normal: Matrix, side: Side) -> float:
    """1 where a sheet's upper face is its side of that name, else -1. Raises ``GeometryFault``."""
    along = float(normal @ np.array(WAYS[side]))
    if abs(along) < SQUARE:
        has = " and ".join(name for name, way in WAYS.items() if abs(float(normal @ np.array(way))) >= SQUARE)
        lies = f"a sheet that has no {side} side: it lies along that direction"
        raise GeometryFault(f"{lies}, its sides are {has}", "on.side")
    return math.copysign(1.0, along)


def panel_hole(sheets: Sheets, panel: str, name: str) -> PanelHole:
    """The hole of a panel by the name the spec gives it. Raises ``GeometryFault`` for none."""
    layout = sheets.layouts[panel]
    for hole in layout.holes:
        if hole.name == name:
            return hole
    for spec in sheets.panels[panel].hole:
        if spec.name == name:
            # it took the place of an existing hole, and with it that one's name
            u, v = position_uv(sheets.panels[panel], spec.at)
            return min(layout.holes, key=lambda h: math.hypot(h.u_mm - u, h.v_mm - v))
    raise GeometryFault(f"no hole {name!r} in {panel}", "on.holes")


def _on_panel(sheets: Sheets, spot: Spot) -> Place:
    panel = sheets.panels[spot.panel]
    holes = [panel_hole(sheets, spot.panel, name) for name in spot.holes]
    pose = panel_frame(panel.origin, panel.tilt_rad, panel.turn_rad)
    u, v = _middle([(h.u_mm, h.v_mm) for h in holes])
    # on a panel the cab side is the one the driver sees, however far it leans
    sign = {"cab": 1.0, "engine": -1.0}.get(spot.side) or signed(pose[:3, 2], spot.side)
    w = 0.0 if sign > 0 else -panel.thickness_mm
    origin = apply(pose, np.array([[u, v, w]]))[0]
    return Place(
        frame=axes_frame(origin, sign * pose[:3, 2]),
        through_mm=panel.thickness_mm,
        panel=spot.panel,
        hole=holes[0].number,
        holes=tuple(h.number for h in holes),
    )


def _middle(points: Sequence[tuple[float, float]]) -> tuple[float, float]:
    return math.fsum(u for u, _ in points) / len(points), math.fsum(v for _, v in points) / len(points)


def part_opening(plan: PartPlan, name: str) -> tuple[str, Hole | Slot]:
    """The flange and the opening of that name. Raises ``GeometryFault``, which lists what there is."""
    known = []
    for flange in plan.flanges:
        openings: list[Hole | Slot] = [*flange.holes, *flange.slots]
        for opening in openings:
            if opening.name == name:
                return flange.name, opening
            known.append(opening.name)
    raise GeometryFault(f"no hole {name!r} in {plan.name}; it has {', '.join(known)}", "on.holes")


def _on_part(sheets: Sheets, spot: Spot) -> Place:
    part = sheets.parts[spot.part]
    if part.mount is None:
        raise GeometryFault(f"{spot.part}, which has no mount: so it has no place", "on.part")
    found = [part_opening(part.plan, name) for name in spot.holes]
    names = {flange for flange, _ in found}
    if len(names) > 1:
        raise GeometryFault(f"holes of different flanges: {', '.join(sorted(names))}", "on.holes")
    flange = names.pop()
    panel = sheets.panels[part.mount.panel]
    pose = part_matrix(panel, part.mount, part.lift_mm) @ folded_frames(part.plan)[flange]
    u, v = _middle([(o.u_mm, o.v_mm) for _, o in found])
    opening = found[0][1]
    lies = opening.mates and part.mount.holes and any(f.name == flange for f, _ in lying(part.plan))
    low = -(panel.thickness_mm + part.lift_mm) if lies else 0.0
    sign = signed(pose[:3, 2], spot.side)
    w = part.plan.thickness_mm if sign > 0 else low
    origin = apply(pose, np.array([[u, v, w]]))[0]
    return Place(
        frame=axes_frame(origin, sign * pose[:3, 2]),
        through_mm=part.plan.thickness_mm - low,
        panel=part.mount.panel if lies else "",
        hole=_number(sheets, part, opening) if lies else opening.name,
        holes=tuple(_number(sheets, part, o) if lies else o.name for _, o in found),
        part=spot.part,
        flange=flange,
    )


def _number(sheets: Sheets, part: PlacedPart, opening: Hole | Slot) -> str:
    """Number of the panel's hole that a part's opening became, as printed on the sheets."""
    mount = part.mount
    if mount is None:
        return opening.name
    own = next(p for f, p in lying(part.plan) if any(o is opening for o in f.openings))
    u, v = placement(sheets.panels[mount.panel], mount).apply(*own.apply(opening.u_mm, opening.v_mm))
    holes = sheets.layouts[mount.panel].holes
    return min(holes, key=lambda h: math.hypot(h.u_mm - u, h.v_mm - v)).number


def place(spot: Spot, sheets: Sheets) -> Place:
    """Where a spot is. Raises ``GeometryFault`` naming the key for a hole or a side that is not there."""
    if spot.panel:
        return _on_panel(sheets, spot)
    if spot.part:
        return _on_part(sheets, spot)
    origin = np.array(spot.at or (0.0, 0.0, 0.0))
    out = np.array(WAYS[spot.facing])
    if spot.toward is not None:
        out = np.array(spot.toward) - origin
        length = float(np.linalg.norm(out))
        if length == 0:
            raise GeometryFault("two points in one place give no direction", "on.toward")
        out = out / length
    return Place(frame=axes_frame(origin, out))


def component_place(component: Component, sheets: Sheets) -> Place:
    """Where a component is; a master on a hanger with a wedge leans with it. Raises as ``place`` does.

    The axis runs through the middle of its holes on the panel's face, and its place is where that axis leaves
    the metal, as it is without a wedge.
    """
    where = place(component.on, sheets)
    part = sheets.parts.get(where.part)
    if component.kind != "master" or part is None or part.mount is None:
        return where
    if where.flange != part.plan.flanges[0].name:
        return where
    pose = part_matrix(sheets.panels[part.mount.panel], part.mount, part.lift_mm)
    square = where.frame[:3, 0]
    axis = leaning(-pose[:3, 2], pose[:3, 1], part)
    axis = axis if float(axis @ square) > 0 else -axis
    # along the square axis, from the panel's face to where the component's face is
    face = pose[:3, 3] - part.lift_mm * pose[:3, 2]
    high = float((where.frame[:3, 3] - face) @ square)
    start = where.frame[:3, 3] - high * square
    return replace(where, frame=axes_frame(start + axis * high / float(axis @ square), axis))


def _way(frame: Matrix, side: PortSide) -> Matrix:
    out, right, up = frame[:3, 0], frame[:3, 1], frame[:3, 2]
    ways = {"out": out, "back": -out, "right": right, "left": -right, "up": up, "down": -up}
    return np.asarray(ways[side])


def body_ends(component: Component, frame: Matrix) -> tuple[Point3, Point3] | None:
    """Both ends of a component's body, its foot first; None where the spec gives no body."""
    if component.length_mm is None:
        return None
    foot = apply(frame, np.array([component.body_at or (0.0, 0.0, 0.0)]))[0]
    return point3(foot), point3(foot + component.length_mm * _way(frame, component.body_along))


def _port(component: str, spec: PortSpec, frame: Matrix) -> PlacedPort:
    seat = apply(frame, np.array([spec.at]))[0]
    way = _way(frame, spec.facing)
    if spec.toward is not None:
        way = apply(frame, np.array([spec.toward]))[0] - seat
        way = way / np.linalg.norm(way)
    return PlacedPort(
        component=component, name=spec.name, position=point3(seat), direction=point3(way), dash=spec.dash
    )


def _bulkhead_ports(component: Component, where: Place, panel: Panel | None) -> tuple[PlacedPort, ...]:
    """Ports cab and engine of a bulkhead, along the panel's normal or turned by its elbows."""
    out = where.frame[:3, 0]
    cab_first = _faces_cab(out, panel)
    ports = []
    for face, seat in (("cab", component.seat_cab_mm), ("engine", component.seat_engine_mm)):
        near = (face == "cab") == cab_first
        way = out if near else -out
        position = where.frame[:3, 3] + way * (seat if near else seat + where.through_mm)
        elbow = next((e for e in component.elbows if e.face == face), None)
        if elbow is not None:
            # up and right in the panel's own plane, as the driver sees it
            plane = panel_frame(panel.origin, panel.tilt_rad, panel.turn_rad) if panel else np.eye(4)
            u, v = plane[:3, 0], plane[:3, 1]
            way = {"up": v, "down": -v, "right": u, "left": -u}[elbow.toward]
            position = position + way * elbow.leg_mm
        ports.append(
            PlacedPort(
                component=component.name,
                name=face,
                position=point3(position),
                direction=point3(way),
                dash=component.dash,
            )
        )
    return tuple(ports)


def _faces_cab(out: Matrix, panel: Panel | None) -> bool:
    if panel is None:
        return bool(out[0] > 0)
    return bool(out @ panel_frame(panel.origin, panel.tilt_rad, panel.turn_rad)[:3, 2] > 0)


def ports_of(component: Component, sheets: Sheets) -> tuple[PlacedPort, ...]:
    """A component's ports in the vehicle. Raises ``GeometryFault`` as ``place`` does."""
    where = component_place(component, sheets)
    if component.kind == "bulkhead":
        return _bulkhead_ports(component, where, sheets.panels.get(where.panel))
    return tuple(_port(component.name, port, where.frame) for port in component.port)


def clamp_size(clamp: Clamp) -> tuple[float, float]:
    """Sheet to the middle of the hose, and fastener to the middle of the hose, mm."""
    half = clamp.dash * DASH_MM / 2
    off = half + CUSHION_MM if clamp.stand_off_mm is None else clamp.stand_off_mm
    aside = half + FASTENER_MM if clamp.aside_by_mm is None else clamp.aside_by_mm
    return off, aside


def clamp_place(clamp: Clamp, sheets: Sheets) -> tuple[Point3, Point3 | None, Place]:
    """Middle of the hose in a clamp, the hose's axis there (None: any), and where its fastener is.

    Raises ``GeometryFault`` as ``place`` does, and for a run along the fastener.
    """
    where = place(clamp.on, sheets)
    off, aside = clamp_size(clamp)
    out = where.frame[:3, 0]
    middle = where.frame[:3, 3] + off * out + aside * _way(where.frame, clamp.aside)
    if clamp.run == "any":
        return point3(middle), None, where
    run = np.array(WAYS[clamp.run])
    run = run - (run @ out) * out
    length = float(np.linalg.norm(run))
    if length < SQUARE:
        raise GeometryFault("a hose that runs along the clamp's bolt or screw", "run")
    return point3(middle), point3(run / length), where
