"""Which values of the spec move a thing the user placed."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any

from generators.errors import LookupFault
from generators.model.changes import Change, Shift
from generators.model.spec.job import Job
from generators.model.spec.lines import Spot
from generators.reading.toml.named import pattern_of, row_of

LEAST_LEAN = 0.2
"""A sheet that lies flatter than this (cosine of its tilt) raises nothing by a move along it."""


def changes_of(shift: Shift, job: Job, table: dict[str, Any]) -> tuple[Change, ...]:
    """The values that make a shift, in order. Raises ``LookupFault`` where the spec has none that do."""
    kind, _, name = shift.thing.partition(":")
    if kind == "part":
        return tuple(_along(f"part[{name}].mount.at", shift.u, shift.v))
    if kind == "hole":
        panel, _, hole = name.partition("/")
        return tuple(_hole(panel, hole, shift.u, shift.v, table))
    if kind == "obstacle":
        panel, _, own = name.partition("/")
        return tuple(_aside(panel, own, shift.u, shift.v, table))
    return tuple(_raised(kind, name, shift, job, table))


PLACES = ("corner", "centre", "start", "end")
"""Keys of an obstacle that say where it is; of a polygon each corner does."""


def _aside(panel: str, name: str, u_mm: float, v_mm: float, table: dict[str, Any]) -> Iterator[Change]:
    """An obstacle of a panel's face, which only who measured it moves."""
    spec: dict[str, Any] = next((one for one in table.get("panel", []) if one.get("name") == panel), {})
    entry = next((one for one in spec.get("obstacle", []) if one.get("name") == name), None)
    if entry is None:
        raise LookupFault("obstacle", name, [])
    yield from _each(f"panel[{panel}].obstacle[{name}]", entry, (u_mm, v_mm))


def _each(path: str, entry: dict[str, Any], by_mm: tuple[float, ...]) -> Iterator[Change]:
    places = [key for key in PLACES if key in entry]
    places += [f"outline[{k}]" for k in range(len(entry.get("outline", ())))]
    for place in places:
        for axis, by in enumerate(by_mm):
            if by:
                yield Change(path=f"{path}.{place}[{axis}]", by=by)


def carried(thing: str, by_mm: tuple[float, float, float], table: dict[str, Any]) -> tuple[Change, ...]:
    """The values that carry a thing that stands free in the vehicle (x, y, z, mm), in order.

    ``clamp:NAME``, ``component:NAME`` or ``obstacle:NAME``. Raises ``LookupFault`` for what the spec does not
    place so.
    """
    kind, _, name = thing.partition(":")
    if kind not in ("clamp", "component", "obstacle"):
        raise LookupFault("free thing", thing, [])
    entry = next((one for one in table.get(kind, []) if one.get("name") == name), None)
    if entry is not None and kind == "obstacle":
        return tuple(_each(f"obstacle[{name}]", entry, by_mm))
    ends = [f"{kind}[{name}].on.at"] if entry is not None and "at" in entry.get("on", {}) else []
    if entry is None and kind == "clamp":
        row = table["clamp_row"][row_of(table, name)]
        ends = [f"clamp_row[{row['name']}].{end}" for end in ("start_at", "end_at") if end in row]
    if not ends:
        raise LookupFault(f"free {kind}", name, [])
    return tuple(Change(path=f"{end}[{axis}]", by=by) for end in ends for axis, by in enumerate(by_mm) if by)


def _along(path: str, u_mm: float, v_mm: float) -> Iterator[Change]:
    if u_mm:
        yield Change(path=f"{path}.u", by=u_mm)
    if v_mm:
        yield Change(path=f"{path}.v", by=v_mm)


def _hole(panel: str, hole: str, u_mm: float, v_mm: float, table: dict[str, Any]) -> Iterator[Change]:
    owner, _, inner = hole.partition(".")
    if inner:
        yield from _along(f"part[{owner}].mount.at", u_mm, v_mm)
        return
    spec = next((entry for entry in table.get("panel", []) if entry.get("name") == panel), None)
    if spec is None:
        raise LookupFault("panel", panel, [])
    if any(entry.get("name") == hole for entry in spec.get("hole", [])):
        yield from _along(f"panel[{panel}].hole[{hole}].at", u_mm, v_mm)
        return
    try:
        row = table["clamp_row"][row_of(table, hole)]
    except LookupFault:
        use = spec["pattern"][pattern_of(spec, hole)]
        yield from _along(f"panel[{panel}].pattern[{use.get('label') or use['name']}].at", u_mm, v_mm)
        return
    if "start" not in row:
        raise LookupFault("end of the row", hole, [])
    for end in ("start", "end"):
        for axis, by in enumerate((u_mm, v_mm)):
            if by:
                yield Change(path=f"clamp_row[{row['name']}].{end}[{axis}]", by=by)


def _raised(kind: str, name: str, shift: Shift, job: Job, table: dict[str, Any]) -> Iterator[Change]:
    """What raises a clamp or a component by ``shift.up``, or moves it along its sheet."""
    things = {c.name: c.on for c in (job.clamp if kind == "clamp" else job.component)}
    if name not in things:
        raise LookupFault(kind, name, [*things])
    spot: Spot = things[name]
    if spot.at is not None:
        if not shift.up:
            raise LookupFault("sheet under", name, [])
        if kind == "clamp" and all(entry.get("name") != name for entry in table.get("clamp", [])):
            row = table["clamp_row"][row_of(table, name)]["name"]
            yield from (
                Change(path=f"clamp_row[{row}].{end}[2]", by=shift.up) for end in ("start_at", "end_at")
            )
            return
        yield Change(path=f"{kind}[{name}].on.at[2]", by=shift.up)
        return
    panel = spot.panel
    if spot.part:
        mount = next(p for p in job.part if p.name == spot.part).mount
        if mount is None:
            raise LookupFault("mount of part", spot.part, [])
        panel = mount.panel
    lean = math.cos(next(p for p in job.panel if p.name == panel).tilt_rad)
    if shift.up and abs(lean) < LEAST_LEAN:
        raise LookupFault("upright sheet under", name, [])
    v_mm = shift.v + shift.up / lean if shift.up else shift.v
    if spot.part:
        yield from _along(f"part[{spot.part}].mount.at", shift.u, v_mm)
        return
    for hole in dict.fromkeys(spot.holes):
        yield from _hole(panel, hole, shift.u, v_mm, table)
