"""The holes a panel gets: from the spec, from mounted parts, and those it already has."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import replace

from shapely.geometry import LineString, Point

from generators.geometry.patterns import placed_points
from generators.layout.mounting import PlacedPart, placement
from generators.layout.tooling import shared_limits, tooled, with_limits
from generators.model.plan import BOLT_REACH_MM, BULKHEAD_REACH_MM, Fitting, Hole, PanelHole, Slot
from generators.model.spec.job import HoleSpec, Panel, PanelPattern, Position
from generators.model.spec.pattern import Pattern
from generators.model.words import OTHER, STATUS_OF, Face, FittingFace, NutFace
from generators.reading.keys.datums import position_uv, resolve_position
from generators.sheetmetal.lying import on_panel
from generators.standards import (
    bulkhead,
    clearance_hole,
    fastener,
    hole_tolerance,
    spanner_circle_mm,
)
from generators.units import UnitSystem

THREADED = ("bolt", "insert", "weld_nut", "stud", "countersunk")
ONE_WAY = ("insert", "weld_nut", "stud", "countersunk")
"""Kinds whose bolt, nut or head has one face only."""

SAME_PLACE_MM = 0.01
REUSE_MM = 0.5


def _spec_hole(panel: Panel, spec: HoleSpec, units: UnitSystem) -> PanelHole:
    """One hole of the spec, sized by what goes through it."""
    u, v, note = resolve_position(panel, spec.at, units)
    nut = spanner = shank = 0.0
    cab, engine = spec.reach_cab_mm, spec.reach_engine_mm
    nut_face = spec.nut_face
    if spec.kind == "bulkhead":
        row = bulkhead(spec.dash or 0)
        diameter, nut, spanner = row.hole_mm, row.nut_corners_mm, spanner_circle_mm(row.nut_af_mm)
        shank = row.thread_major_mm
        cab, engine = cab or BULKHEAD_REACH_MM, engine or BULKHEAD_REACH_MM
    elif spec.kind in THREADED:
        bolt = fastener(spec.thread or "")
        diameter = spec.diameter_mm or 0.0
        if spec.kind in ("bolt", "countersunk"):
            diameter = clearance_hole(spec.thread or "", spec.fit).diameter_mm
        elif spec.kind == "stud":
            diameter = bolt.major_mm
        nut_face = _turned_on(spec)
        nut, spanner = bolt.nut_corners_mm, spanner_circle_mm(bolt.nut_af_mm)
        shank = bolt.major_mm
        stand = max(BOLT_REACH_MM, bolt.nut_stand_mm)
        if spec.kind == "stud":
            stand = spec.length_mm or stand
        flush = spec.kind in ("stud", "countersunk")  # on the face away from the nut
        cab = cab or (0.0 if flush and nut_face == "engine" else stand)
        engine = engine or (0.0 if flush and nut_face == "cab" else stand)
    else:
        diameter = spec.diameter_mm or 0.0
        nut_face = "none"
    hole = PanelHole(
        number="",
        name=spec.name,
        u_mm=u,
        v_mm=v,
        final_dia_mm=diameter,
        pilot_dia_mm=0.0,
        purpose=spec.purpose,
        tool="",
        drill_face=spec.weld_face if spec.kind == "stud" else spec.drill_from,
        status="weld" if spec.kind == "stud" else "drill",
        owners=("panel",),
        kind=spec.kind,
        nut_face=nut_face,
        nut_circle_mm=nut,
        spanner_circle_mm=spanner,
        reach_cab_mm=cab,
        reach_engine_mm=engine,
        position_note=note,
        shank_mm=shank,
        thread=spec.thread or "",
        grip_mm=spec.grip_mm,
        head_mm=spec.head_mm or 0.0,
        head_angle_rad=spec.head_angle_rad if spec.head_mm else 0.0,
        dimpled=spec.dimpled,
    )
    if spec.limits_mm is not None:
        least, most = spec.limits_mm
        return replace(hole, least_mm=least, most_mm=most, tolerance="as given")
    return with_limits(hole, hole_tolerance(spec.kind, diameter, fit=spec.fit, shank_mm=shank))


def _turned_on(spec: HoleSpec) -> NutFace:
    """The face the nut, or the bolt that goes into a thread, turns on."""
    if spec.kind == "weld_nut":
        return OTHER[spec.weld_face]
    if spec.kind == "stud":
        return spec.weld_face
    return spec.drill_from if spec.kind == "insert" and spec.nut_face == "both" else spec.nut_face


def _pattern_holes(
    panel: Panel, use: PanelPattern, pattern: Pattern, units: UnitSystem
) -> Iterable[PanelHole]:
    """The holes of one shared pattern."""
    at_u, at_v = position_uv(panel, use.at)
    points = placed_points(pattern, (at_u, at_v), use.rotate_rad, flip=use.flip)
    for i, (u, v) in enumerate(points):
        at = replace(use.at, u_mm=use.at.u_mm + u - at_u, v_mm=use.at.v_mm + v - at_v)
        yield _spec_hole(
            panel,
            HoleSpec(
                name=f"{use.label or use.name}_{i + 1}",
                at=at,
                kind="bolt",
                purpose=f"{pattern.thread} bolt, {pattern.what}",
                thread=pattern.thread,
                fit=pattern.fit,
                drill_from=use.drill_from,
                nut_face=use.nut_face,
            ),
            units,
        )


def _offset_note(panel: Panel, at: Position, u: float, v: float, units: UnitSystem) -> str:
    """How to measure ``(u, v)`` from the datums the part itself is placed from."""
    at_u, at_v = position_uv(panel, at)
    there = replace(at, u_mm=at.u_mm + u - at_u, v_mm=at.v_mm + v - at_v)
    return resolve_position(panel, there, units)[2]


def _nut_face(fitting: Fitting, face: Face) -> NutFace:
    faces: dict[FittingFace, NutFace] = {"near": face, "far": OTHER[face], "both": "both"}
    return faces.get(fitting.nut_face, "none")


def _part_holes(panel: Panel, part: PlacedPart, units: UnitSystem) -> Iterable[PanelHole]:
    """The holes a mounted part asks of its panel."""
    mount = part.mount
    if mount is None or not mount.holes:
        return
    place = placement(panel, mount)
    root = on_panel(part.plan)
    wanted: list[tuple[float, Hole | Slot]] = [(h.diameter_mm, h) for h in root.holes if h.mates]
    wanted += [(s.width_mm, s) for s in root.slots if s.mates]
    for diameter, own in wanted:
        fitting = own.fitting
        u, v = place.apply(own.u_mm, own.v_mm)
        far = max(fitting.reach_mm, fitting.far_reach_mm)
        hole = PanelHole(
            number="",
            name=f"{part.spec.name}.{own.name}",
            u_mm=u,
            v_mm=v,
            final_dia_mm=diameter,
            pilot_dia_mm=0.0,
            purpose=own.purpose,
            tool="",
            drill_face=mount.drill_from or "cab",
            status="drill",
            owners=(part.spec.name,),
            kind=fitting.kind,
            nut_face=_nut_face(fitting, mount.face),
            nut_circle_mm=fitting.nut_circle_mm,
            spanner_circle_mm=fitting.spanner_circle_mm,
            reach_cab_mm=fitting.reach_mm if mount.face == "cab" else far,
            reach_engine_mm=far if mount.face == "cab" else fitting.reach_mm,
            position_note=_offset_note(panel, mount.at, u, v, units),
            shank_mm=fitting.shank_mm,
        )
        # a bolt's fit is known where its hole was planned
        tolerance = own.tolerance or hole_tolerance(fitting.kind, diameter, shank_mm=fitting.shank_mm)
        yield with_limits(hole, tolerance)


def _existing(panel: Panel) -> list[PanelHole]:
    return [
        PanelHole(
            number="",
            name=e.name,
            u_mm=e.at[0],
            v_mm=e.at[1],
            final_dia_mm=e.diameter_mm,
            pilot_dia_mm=0.0,
            purpose=e.what,
            tool="",
            drill_face="cab",
            status=STATUS_OF[e.action],
            owners=(e.serves or "existing",),
            kind="existing",
            position_note="already in the panel",
            travel_mm=max(0.0, (e.length_mm or 0.0) - e.diameter_mm),
            angle_rad=e.angle_rad if e.length_mm else 0.0,
            there_mm=e.diameter_mm,
            sigma_mm=e.sigma_mm,
        )
        for e in panel.existing
    ]


def _as_drilled(
    panel: Panel, existing: list[PanelHole], new: list[PanelHole]
) -> tuple[list[PanelHole], list[PanelHole]]:
    """Holes drilled for a part's hole by name stand in its place, however far from it they came to lie."""
    asked = {hole.name: hole for hole in new}
    kept, taken = [], set()
    for spec, old in zip(panel.existing, existing, strict=True):
        own = f"{spec.serves}.{spec.serves_hole}"
        twin = asked.get(own) if spec.serves_hole else None
        if twin is None:
            kept.append(old)
            continue
        taken.add(own)
        size = spec.open_to_mm or old.final_dia_mm
        kept.append(
            replace(
                twin,
                name=old.name,
                u_mm=old.u_mm,
                v_mm=old.v_mm,
                final_dia_mm=size,
                least_mm=size,
                most_mm=size + max(twin.most_mm - twin.final_dia_mm, 0.0),
                status="reuse",
                position_note=f"existing {'slot' if old.travel_mm else 'hole'}, {old.purpose}",
                travel_mm=old.travel_mm,
                angle_rad=old.angle_rad,
                there_mm=old.final_dia_mm,
                sigma_mm=old.sigma_mm,
                stands_for=own,
            )
        )
    return kept, [hole for hole in new if hole.name not in taken]


def _joined(a: PanelHole, b: PanelHole) -> PanelHole:
    """One hole two things share: nuts on either face, all owners, the larger circles."""
    a = a if a.kind in ONE_WAY else shared_limits(a, b)
    faces = {a.nut_face, b.nut_face} - {"none"}
    face = "none" if not faces else faces.pop() if len(faces) == 1 else "both"
    if a.kind in ONE_WAY:
        # whatever lies there, it was set, welded or countersunk the way the spec says
        return replace(a, owners=tuple(dict.fromkeys((*a.owners, *b.owners))))
    return replace(
        a,
        owners=tuple(dict.fromkeys((*a.owners, *b.owners))),
        nut_face=face,
        nut_circle_mm=max(a.nut_circle_mm, b.nut_circle_mm),
        spanner_circle_mm=max(a.spanner_circle_mm, b.spanner_circle_mm),
        reach_cab_mm=max(a.reach_cab_mm, b.reach_cab_mm),
        reach_engine_mm=max(a.reach_engine_mm, b.reach_engine_mm),
        shank_mm=max(a.shank_mm, b.shank_mm),
    )


def _one_hole(a: PanelHole, b: PanelHole) -> bool:
    """True for holes of one size in one place, and for a part's bolt that a thread there takes."""
    apart = math.hypot(a.u_mm - b.u_mm, a.v_mm - b.v_mm)
    if a.kind in ("insert", "weld_nut", "stud") and b.kind == "bolt":
        return apart <= REUSE_MM and a.shank_mm == b.shank_mm
    return apart <= SAME_PLACE_MM and abs(a.final_dia_mm - b.final_dia_mm) <= SAME_PLACE_MM


def _merged(new: list[PanelHole]) -> list[PanelHole]:
    """Holes of the same size in the same place become one (a plate and its doubler, say)."""
    cells: dict[tuple[int, int], list[int]] = {}
    out: list[PanelHole] = []
    for hole in new:
        cu, cv = round(hole.u_mm), round(hole.v_mm)
        near = (i for du in (-1, 0, 1) for dv in (-1, 0, 1) for i in cells.get((cu + du, cv + dv), ()))
        twin = next(
            (i for i in near if _one_hole(out[i], hole)),
            None,
        )
        if twin is None:
            cells.setdefault((cu, cv), []).append(len(out))
            out.append(hole)
        else:
            out[twin] = _joined(out[twin], hole)
    return out


def _with_reuse(existing: list[PanelHole], new: list[PanelHole]) -> tuple[list[PanelHole], list[PanelHole]]:
    """A new hole that falls on an existing one meant for reuse takes its place."""
    kept: list[PanelHole] = []
    left = list(new)
    for old in existing:
        twin = next(
            (
                n
                for n in left
                if old.status == "reuse"
                and n.status == "drill"
                and LineString(old.ends).distance(Point(n.u_mm, n.v_mm)) <= REUSE_MM
            ),
            None,
        )
        if twin is None:
            kept.append(old)
            continue
        left.remove(twin)
        opened = (twin.least_mm or twin.final_dia_mm) > old.final_dia_mm + SAME_PLACE_MM
        size = twin.final_dia_mm if opened else old.final_dia_mm
        # one that was drilled for a part already has that part's bolt; this one shares it
        both = twin if old.kind == "existing" else _joined(twin, old)
        kept.append(
            replace(
                both,
                name=old.name,
                u_mm=old.u_mm,
                v_mm=old.v_mm,
                final_dia_mm=size,
                status="reuse",
                position_note=f"existing {'slot' if old.travel_mm else 'hole'}, {old.purpose}",
                travel_mm=old.travel_mm,
                angle_rad=old.angle_rad,
                there_mm=old.final_dia_mm,
                sigma_mm=old.sigma_mm,
            )
        )
    return kept, left


def letters(index: int) -> str:
    """A, B, … Z, AA, AB, …"""
    out = ""
    index += 1
    while index:
        index, rest = divmod(index - 1, 26)
        out = chr(65 + rest) + out
    return out


def panel_holes(
    panel: Panel,
    parts: Iterable[PlacedPart],
    patterns: Iterable[Pattern] = (),
    units: UnitSystem = "metric",
) -> tuple[PanelHole, ...]:
    """All openings of a panel: new ones numbered from the top left, existing ones lettered.

    Each has the tool of a size one can buy where people measure in ``units``.
    """
    new = [_spec_hole(panel, spec, units) for spec in panel.hole]
    known = {p.name: p for p in patterns}
    for use in panel.pattern:
        new.extend(_pattern_holes(panel, use, known[use.name], units))
    for part in parts:
        new.extend(_part_holes(panel, part, units))
    existing, new = _as_drilled(panel, _existing(panel), new)
    existing, new = _with_reuse(existing, _merged(new))
    new.sort(key=lambda h: (-round(h.v_mm, 3), round(h.u_mm, 3)))
    existing.sort(key=lambda h: (-round(h.v_mm, 3), round(h.u_mm, 3)))
    numbered = [replace(h, number=str(i + 1)) for i, h in enumerate(new)]
    lettered = [replace(h, number=letters(i)) for i, h in enumerate(existing)]
    return tuple(tooled(h, panel.thickness_mm, panel.material, units) for h in numbered + lettered)
