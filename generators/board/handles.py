"""What can be taken hold of on a panel's picture, and where in the spec its numbers stand."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from generators.drawing.space.sights import Sight
from generators.errors import LookupFault
from generators.geometry.contours import bounds, polyline
from generators.model.contour import Contour
from generators.model.plan import PanelHole, PanelLayout
from generators.reading.toml.named import pattern_of, row_of, spec_path
from generators.reading.toml.paths import path_text
from generators.sheets.draft.pictures import Drawn
from generators.solve.mends.shifts import carried

LEAST_MM = 2.2
"""Radius of what is taken hold of: a hole drawn smaller is no target for a finger."""
CHORD_MM = 0.5


def table_of(table: dict[str, Any], thing: str) -> str:
    """The path of the table that says where a thing is; empty for what the spec does not name."""
    kind, _, name = thing.partition(":")
    try:
        if kind == "obstacle" and "/" not in name:
            return path_text(spec_path(table, f"obstacle[{name}]"))
        if kind in ("hole", "existing", "obstacle", "bead"):
            panel, _, own = name.partition("/")
            return _on_panel(table, kind, panel, own)
        return path_text(spec_path(table, f"{kind}[{name}]"))
    except (LookupFault, KeyError, StopIteration, TypeError):
        return ""


def _on_panel(table: dict[str, Any], kind: str, panel: str, own: str) -> str:
    index, spec = next((k, p) for k, p in enumerate(table["panel"]) if p.get("name") == panel)
    for number, entry in enumerate(spec.get(kind, [])):
        if entry.get("name") == own:
            return f"panel[{index}].{kind}[{number}]"
    if kind != "hole":
        return ""
    try:
        return f"clamp_row[{row_of(table, own)}]"
    except LookupFault:
        return f"panel[{index}].pattern[{pattern_of(spec, own)}]"


def thing_of(layout: PanelLayout, hole: PanelHole) -> str:
    """What a hole is moved with: itself, the part that asks for it, or nothing: it is there already."""
    if "existing" in hole.owners:
        return f"existing:{layout.panel}/{hole.name}"
    part, _, inner = hole.name.partition(".")
    if inner and part in hole.owners:
        return f"part:{part}"
    owner = next((o for o in hole.owners if o not in ("panel", "existing")), "")
    return f"part:{owner}" if owner else f"hole:{layout.panel}/{hole.name}"


def handles_of(one: Drawn, table: dict[str, Any]) -> list[dict[str, Any]]:
    """Handles of a panel's picture, largest first, in mm of the picture from its upper left corner."""
    if one.space is not None:
        return _free(one, table)
    if one.panel is None:
        return []
    layout, face = one.panel.shows
    x0, y0, per_u, per_v = one.panel.frame
    height = one.picture.size[1]

    def at(u: float, v: float) -> tuple[float, float]:
        return round(x0 + per_u * u, 3), round(height - y0 - per_v * v, 3)

    def outline(contour: Contour) -> str:
        points = " L".join(f"{x} {y}" for x, y in (at(u, v) for u, v in polyline(contour, CHORD_MM)))
        return f"M{points} Z"

    def named(thing: str, title: str, moves: bool) -> dict[str, Any]:
        return {"thing": thing, "title": title, "path": table_of(table, thing), "moves": moves}

    def areas() -> Iterator[tuple[Contour, dict[str, Any]]]:
        for keepout in layout.keepouts:
            if keepout.face == face:
                kind = "bead" if keepout.bead else "obstacle"
                yield (
                    keepout.contour,
                    named(f"{kind}:{layout.panel}/{keepout.name}", keepout.reason, not keepout.bead),
                )
        for footprint in layout.footprints:
            yield footprint.contour, named(f"part:{footprint.part}", footprint.words, True)

    found = [(_area(contour), {**row, "d": outline(contour)}) for contour, row in areas()]
    out = [row for _size, row in sorted(found, key=lambda pair: -pair[0])]
    for hole in layout.holes:
        thing = thing_of(layout, hole)
        x, y = at(hole.u_mm, hole.v_mm)
        moves = thing.startswith(("hole:", "part:")) and hole.status == "drill"
        radius = max(hole.final_dia_mm / 2 * per_v, LEAST_MM)
        title = f"hole {hole.number}, {hole.name}"
        out.append({**named(thing, title, moves), "x": x, "y": y, "r": round(radius, 3)})
    return out


def _free(one: Drawn, table: dict[str, Any]) -> list[dict[str, Any]]:
    """Handles of what stands free in the vehicle, in a square view of it: a box each, largest first."""
    view, height = one.space, one.picture.size[1]
    found: list[tuple[float, dict[str, Any]]] = []
    for sight in view.sights if view is not None else ():
        thing = _thing_seen(sight, table)
        if view is None or not thing or not _stands_free(thing, table):
            continue
        corners = [view.place(point) for point in (sight.low, sight.high)]
        (x0, y0), (x1, y1) = (
            (min(c) for c in zip(*corners, strict=True)),
            (max(c) for c in zip(*corners, strict=True)),
        )
        if x1 < 0 or y1 < 0 or x0 > one.picture.size[0] or y0 > height:
            continue
        x0, y0, x1, y1 = x0 - LEAST_MM / 2, y0 - LEAST_MM / 2, x1 + LEAST_MM / 2, y1 + LEAST_MM / 2
        box = [(round(x, 3), round(height - y, 3)) for x, y in ((x0, y0), (x1, y0), (x1, y1), (x0, y1))]
        row = {
            "thing": thing,
            "title": sight.title or sight.name,
            "path": table_of(table, thing),
            "moves": True,
            "axes": [view.axes[0], view.axes[1]],
            "d": "M" + " L".join(f"{x} {y}" for x, y in box) + " Z",
        }
        found.append(((x1 - x0) * (y1 - y0), row))
    return [row for _size, row in sorted(found, key=lambda pair: -pair[0])]


def _thing_seen(sight: Sight, table: dict[str, Any]) -> str:
    """What the spec calls a body of a view: clamps and components by name, obstacles by what they are."""
    if sight.kind in ("clamp", "cylinder", "reservoir", "fitting"):
        return f"{'clamp' if sight.kind == 'clamp' else 'component'}:{sight.name}"
    if sight.kind != "obstacle":
        return ""
    named = [one.get("name") for one in table.get("obstacle", []) if one.get("what") == sight.name]
    return f"obstacle:{named[0]}" if len(named) == 1 else ""


def _stands_free(thing: str, table: dict[str, Any]) -> bool:
    try:
        return bool(carried(thing, (1.0, 1.0, 1.0), table))
    except (LookupFault, KeyError, IndexError, StopIteration, TypeError, AttributeError):
        return False


def _area(contour: Contour) -> float:
    u0, v0, u1, v1 = bounds(contour)
    return (u1 - u0) * (v1 - v0)
