"""The job in space as routing wants it: panels, obstacles and pedals in motion, each made from its body."""

from __future__ import annotations

from collections.abc import Container, Iterable, Iterator, Sequence

import numpy as np

from generators.geometry.frames import apply
from generators.layout.spots import point3
from generators.model.hose_path import (
    Block,
    Box3,
    ClearanceLimits,
    Cylinder3,
    Limb,
    Obstacle3,
    Opening3,
    Panel3,
    Prism3,
    Sweep3,
)
from generators.model.limits import Limits
from generators.model.plan import PanelHole, PanelLayout
from generators.model.spec.job import Job
from generators.model.words import BodyKind, ZoneKind
from generators.solve.bodies.obstacles import zones_of
from generators.space.body import Body, named
from generators.space.motion import Mover
from generators.space.pieces import Box, Hull, Piece, Rod
from generators.space.plates import Plate, Prism, Strip

OPEN_KINDS = ("grommet", "plain", "existing")
"""Holes that stay holes: what a bolt or a fitting fills has no edge to rub on."""

ROUTED_ROUND: frozenset[BodyKind] = frozenset({"panel", "part", "obstacle", "cylinder", "reservoir"})
"""What routing keeps a hose off. Rules on bodies look at bolts, clamps and fittings."""

_ON_SIDE_MM = 1e-6


def clearance_limits(limits: Limits) -> ClearanceLimits:
    """The gaps the rules ask for."""
    return ClearanceLimits(
        fixed_mm=limits.hose_clear_mm,
        moving_mm=limits.hose_moving_mm,
        hot_mm=limits.hose_hot_mm,
        steering_mm=limits.hose_steering_mm,
        face_mm=limits.hose_face_mm,
        edge_mm=limits.hose_edge_mm,
    )


def kept_name(body: Body) -> str:
    """What routing calls a body: its owner, a flange with its part."""
    flange = body.name.partition(".")[2] if body.what == "part" else ""
    return flange_word(body.owner, flange)


def flange_word(part: str, flange: str) -> str:
    """What routing calls a flange of a part, the root by the part's name alone."""
    return f"{part} {flange}" if flange else part


def panels_to_hoses(bodies: Sequence[Body], layouts: Sequence[PanelLayout]) -> tuple[Panel3, ...]:
    """Every panel's sheet with its bare openings, and the sides that go on in a fold."""
    known = named(bodies)
    strips = [
        form for body in bodies if body.what == "panel" for form in body.forms if isinstance(form, Strip)
    ]
    return tuple(_panel(known[f"panel:{layout.panel}"], layout, strips) for layout in layouts)


def _panel(body: Body, layout: PanelLayout, strips: Sequence[Strip]) -> Panel3:
    sheet = next(prism for form in body.forms if isinstance(form, Plate) for prism in form.prisms)
    pose = sheet.pose
    flat = np.array([(u, v, 0.0) for u, v in sheet.outline])
    return Panel3(
        name=body.owner,
        origin=point3(pose[:3, 3]),
        u=point3(pose[:3, 0]),
        v=point3(pose[:3, 1]),
        low_mm=sheet.low_mm,
        high_mm=sheet.high_mm,
        outline=sheet.outline,
        openings=tuple(_openings(layout.holes)),
        folded=tuple(_folded(apply(pose, flat), strips)),
    )


def _openings(holes: Iterable[PanelHole]) -> Iterator[Opening3]:
    for hole in holes:
        if hole.kind in OPEN_KINDS and hole.status != "blank":
            yield Opening3(name=hole.name, u_mm=hole.u_mm, v_mm=hole.v_mm, diameter_mm=hole.final_dia_mm)


def _folded(corners: np.ndarray, strips: Sequence[Strip]) -> Iterator[int]:
    """Sides of an outline on the cab face that lie on the first or the last row of a strip."""
    lines = [(row[0], row[2]) for strip in strips for row in (strip.rows[0], strip.rows[-1])]
    for k, (a, b) in enumerate(zip(corners, np.roll(corners, -1, axis=0), strict=True)):
        if any(_on(a, *line) and _on(b, *line) for line in lines):
            yield k


def _on(point: np.ndarray, start: np.ndarray, end: np.ndarray) -> bool:
    along = (end - start) / np.linalg.norm(end - start)
    off = point - start
    return bool(np.linalg.norm(off - (off @ along) * along) < _ON_SIDE_MM)


def obstacles_to_hoses(bodies: Sequence[Body], movers: Sequence[Mover] = ()) -> tuple[Obstacle3, ...]:
    """Everything a hose may not touch, but for the flat of the panels."""
    found: list[Obstacle3] = []
    for body in bodies:
        if body.what in ROUTED_ROUND:
            found += _of_body(body)
    by_pedal: dict[str, list[Mover]] = {}
    for mover in movers:
        if mover.motion.axis is not None:
            by_pedal.setdefault(mover.body.owner, []).append(mover)
    found += [_sweep(pedal, ways) for pedal, ways in by_pedal.items()]
    return tuple(found)


def _of_body(body: Body) -> Iterator[Obstacle3]:
    name = kept_name(body)
    for form in body.forms:
        match form:
            case Rod():
                # a round end is kept clear of as a flat one that far out
                out = form.radius_mm * np.array(form.axis) if form.round_ends else np.zeros(3)
                yield Cylinder3(
                    name=name,
                    start=point3(np.array(form.start) - out),
                    end=point3(np.array(form.end) + out),
                    radius_mm=form.radius_mm,
                    kind=body.kept,
                )
            case Box():
                yield Box3(
                    name=name,
                    centre=point3(form.pose[:3, 3]),
                    u=point3(form.pose[:3, 0]),
                    v=point3(form.pose[:3, 1]),
                    half_mm=form.half_mm,
                    kind=body.kept,
                )
            case Strip():
                yield from (_prism(prism, name, body) for prism in form.prisms)
            case Plate():
                # a panel's flat has openings a hose goes through: it is told apart
                if body.what != "panel":
                    yield from (_prism(prism, name, body) for prism in form.prisms)
            case _:
                raise TypeError(f"no hose can be led round the {type(form).__name__} of {body.name}")


def _prism(prism: Prism, name: str, body: Body) -> Prism3:
    return Prism3(
        name=name,
        origin=point3(prism.pose[:3, 3]),
        u=point3(prism.pose[:3, 0]),
        v=point3(prism.pose[:3, 1]),
        outline=prism.outline,
        low_mm=prism.low_mm,
        high_mm=prism.high_mm,
        kind=body.kept,
        what="face" if body.what == "panel" else "obstacle",
    )


def _sweep(pedal: str, ways: Sequence[Mover]) -> Sweep3:
    """Arm and pad of a pedal through their way from rest to its end."""
    motion = ways[0].motion
    if motion.about is None or motion.axis is None:
        raise ValueError("a pedal that turns about no axis")
    return Sweep3(
        name=f"{pedal} pedal",
        pivot=motion.about,
        axis=motion.axis,
        turn_rad=motion.end_rad,
        limbs=tuple(_limb(piece) for way in ways for piece in way.body.pieces),
    )


def _limb(piece: Piece) -> Limb | Block:
    match piece:
        case Rod():
            flat = not piece.round_ends
            return Limb(start=piece.start, end=piece.end, radius_mm=piece.radius_mm, flat_ends=flat)
        case Box():
            return Block(
                centre=point3(piece.pose[:3, 3]),
                u=point3(piece.pose[:3, 0]),
                v=point3(piece.pose[:3, 1]),
                half_mm=piece.half_mm,
            )
        case Hull():
            raise ValueError("a pedal is made of boxes and rods")


def zone_obstacles(job: Job, kinds: Container[ZoneKind]) -> tuple[Obstacle3, ...]:
    """Zones of some kinds as room to stay out of. Raises ``GeometryFault`` for an outline without area."""
    return tuple(obstacle for zone in zones_of(job) if zone.kind in kinds for obstacle in _of_body(zone.body))
