"""Bodies of components: cylinders and reservoirs as rods along out, bulkhead fittings with both ends."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from generators.errors import LookupFault
from generators.geometry.frames import panel_frame
from generators.layout.spots import (
    Place,
    Sheets,
    body_ends,
    component_place,
    part_opening,
    point3,
    ports_of,
)
from generators.model.plan import Hole
from generators.model.spec.lines import Component
from generators.model.spec.titles import within
from generators.model.words import BodyKind
from generators.sheetmetal.lying import lying
from generators.solve.bodies.draft import Draft, flat_word
from generators.solve.bodies.fixings.stacks import Stack, lying_on
from generators.solve.bodies.fixings.threads import thread_name
from generators.solve.fasteners.joint import bolt_name
from generators.space.body import Body
from generators.space.pieces import Box, Piece, Point3, Rod
from generators.standards import Bulkhead, bulkhead

FLANGE = ".flange"
"""What the name of a component's mounting flange ends with."""
_SQUARE = 1 - 1e-6


def words_of(name: str, title: str) -> str:
    """What a sheet calls something of the spec."""
    return within(title) if title else name.replace("_", " ")


def component_name(name: str) -> str:
    """Name of a component's body."""
    return f"component:{name}"


def component_bodies(draft: Draft, component: Component, sheets: Sheets) -> None:
    """The body of one component, if the spec gives one, and what it is fixed to.

    Raises ``GeometryFault`` for a place that is not there.
    """
    where = component_place(component, sheets)
    carriers = lying_on(where, sheets).names
    title = words_of(component.name, component.title)
    own = component_name(component.name)
    if component.kind == "bulkhead":
        _bulkhead(draft, component, where, sheets, title)
    body = component_body(component, sheets)
    what: BodyKind = "reservoir" if component.kind == "reservoir" else "cylinder"
    if body is not None:
        draft.add(own, title, what, component.name, _rod(body, component, where, sheets))
    flange = component_flange(component, sheets)
    if flange is not None:
        draft.add(f"{own}{FLANGE}", f"{title} (flange)", what, component.name, [flange])
        draft.fix(f"{own}{FLANGE}", [own, *carriers])
    draft.fix(own, carriers)
    for hole in component.on.holes:
        # what holds it goes through its foot, as in the slots of a reservoir's shelf
        draft.fix(own, _own_bolts(component, hole, where))


def component_body(component: Component, sheets: Sheets) -> Rod | None:
    """The body of a component as a rod; None where the spec gives none.

    Raises ``GeometryFault`` as ``place`` does.
    """
    ends = body_ends(component, component_place(component, sheets).frame)
    if ends is None or component.diameter_mm is None:
        return None
    return Rod(start=ends[0], end=ends[1], radius_mm=component.diameter_mm / 2)


def through_mm(where: Place, sheets: Sheets) -> float:
    """What of a panel lies between a part and a component that stands through it, mm: the component sits on
    the panel's far face. 0 where it stands on the part itself."""
    part = sheets.parts.get(where.part)
    if part is None or part.mount is None or where.panel:
        return 0.0
    if all(flange.name != where.flange for flange, _ in lying(part.plan)):
        return 0.0
    panel = sheets.panels[part.mount.panel]
    face = 1.0 if part.mount.face == "cab" else -1.0
    normal = face * panel_frame(panel.origin, panel.tilt_rad, panel.turn_rad)[:3, 2]
    away = float(normal @ where.frame[:3, 0]) > 0
    return 0.0 if away else panel.thickness_mm + part.lift_mm


def component_flange(component: Component, sheets: Sheets) -> Box | None:
    """The mounting flange of a component, flat on the face it sits on; None where the spec gives none.

    Raises ``GeometryFault`` as ``place`` does.
    """
    width, height, thick = component.flange_width_mm, component.flange_height_mm, component.flange_mm
    if width is None or height is None or thick is None:
        return None
    where = component_place(component, sheets)
    pose = where.frame.copy()
    pose[:3, 3] += pose[:3, 0] * (through_mm(where, sheets) + thick / 2)
    return Box(pose=pose, half_mm=(thick / 2, width / 2, height / 2))


def fix_flanges(draft: Draft) -> None:
    """Flanges are fixed to the bolts that go through them, those of their own part among others."""
    bolts = [body for body in draft.bodies if body.what in ("bolt", "room")]
    for flange in [body for body in draft.bodies if body.name.endswith(FLANGE)]:
        (box,) = flange.pieces
        if isinstance(box, Box):
            draft.fix(flange.name, [bolt.name for bolt in bolts if _through(bolt, box)])


def _through(bolt: Body, box: Box) -> bool:
    """True where the axis of a bolt, or of the room over its nut, goes square through a flange."""
    for piece in bolt.pieces:
        if isinstance(piece, Rod):
            at = (np.array(piece.start) - box.pose[:3, 3]) @ box.pose[:3, :3]
            square = abs(float(piece.pose[:3, 2] @ box.pose[:3, 0])) > _SQUARE
            if square and abs(at[1]) < box.half_mm[1] and abs(at[2]) < box.half_mm[2]:
                return True
    return False


def _rod(body: Rod, component: Component, where: Place, sheets: Sheets) -> list[Piece]:
    """The body along out; where it stands through a panel its part drills no hole in, with its nose first."""
    start, end = np.array(body.start), np.array(body.end)
    part, past = sheets.parts.get(where.part), through_mm(where, sheets)
    aside = component.body_at is not None or component.body_along != "out"
    if part is None or aside or not past or past >= float(np.linalg.norm(end - start)):
        return [body]
    _flange, opening = part_opening(part.plan, component.on.holes[0])
    wide = opening.diameter_mm if isinstance(opening, Hole) else opening.width_mm
    shoulder = point3(start + past * where.frame[:3, 0])
    return [
        Rod(start=body.start, end=shoulder, radius_mm=min(body.radius_mm, wide / 2)),
        Rod(start=shoulder, end=body.end, radius_mm=body.radius_mm),
    ]


def _own_bolts(component: Component, hole: str, where: Place) -> Iterator[str]:
    if where.part:
        yield bolt_name(where.part, hole)
    if where.panel:
        bolt = bolt_name(where.panel, where.hole)
        yield bolt
        yield thread_name(bolt)


def _bulkhead(draft: Draft, component: Component, where: Place, sheets: Sheets, title: str) -> None:
    """Thread through the sheet, a hexagon on either face, the way to each seat, and the leg of an elbow.

    The hexagons are the nut's: its thickness and corner circle, on both faces, as the body's own hexagon
    stands there (AN924); how far the seats stand off is the spec's.
    """
    try:
        row = bulkhead(component.dash or 0)
    except LookupFault:
        return  # a size the table does not have is found when its hole is sized
    own = component_name(component.name)
    out, origin = where.frame[:3, 0], where.frame[:3, 3]
    pieces: list[Piece] = [*_hexagons(row, lying_on(where, sheets))]
    leg: list[Piece] = []
    for port in ports_of(component, sheets):
        seat = np.array(port.position)
        along = float((seat - origin) @ out)
        corner = origin + along * out
        radius = row.thread_major_mm / 2
        bent = float(np.linalg.norm(seat - corner)) > 1e-6
        pieces.append(Rod(start=point3(origin), end=point3(corner), radius_mm=radius, round_ends=bent))
        if bent:
            leg.append(Rod(start=point3(corner), end=port.position, radius_mm=radius))
    words = [flat_word(where.panel)] if where.panel else []
    draft.add(own, title, "fitting", component.name, pieces, words)
    draft.add(f"{own}.leg", f"{title} (leg)", "fitting", component.name, leg)
    draft.fix(f"{own}.leg", [own])
    draft.fix(own, [own])


def _hexagons(row: Bulkhead, stack: Stack) -> Iterator[Piece]:
    for face, away in ((stack.high, stack.out), (stack.low, -stack.out)):
        start = np.array(face)
        yield Rod(
            start=face,
            end=point3(start + away * row.nut_thickness_mm),
            radius_mm=row.nut_corners_mm / 2,
        )


def bulkhead_in(row: Bulkhead, stack: Stack) -> list[Piece]:
    """A bulkhead fitting of which only its hole is known: thread and hexagons."""
    ends: tuple[Point3, Point3] = (stack.low, stack.high)
    return [*_hexagons(row, stack), Rod(start=ends[0], end=ends[1], radius_mm=row.thread_major_mm / 2)]
