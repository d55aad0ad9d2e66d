"""What the rules on bodies need beside them: flat sheets with their openings, and who hangs on what."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from generators.checks.space.ground import Ground, Sheet
from generators.checks.space.moves import Movable, in_plane, in_space
from generators.geometry.contours import polyline
from generators.geometry.frames import panel_frame
from generators.layout.mounting import PlacedPart
from generators.model.plan import PanelLayout
from generators.model.spec.job import Job, Panel
from generators.model.spec.lines import Spot
from generators.model.spec.titles import within
from generators.model.words import BodyKind
from generators.reading.keys.lines import row_names
from generators.solve.bodies.draft import ARC_MM
from generators.solve.bodies.sheets import flanges_in_vehicle, part_name, part_title
from generators.solve.fasteners.joint import bolt_name


def job_ground(job: Job, parts: Sequence[PlacedPart], layouts: Sequence[PanelLayout]) -> Ground:
    """The sheets of a job and what its components and pedals hang on."""
    panels = {p.name: p for p in job.panel}
    carrier = {c.name: c.on.part or c.on.panel or c.name for c in job.component}
    carrier |= {p.name: p.hanger for p in job.pedal if p.hanger}
    return Ground(
        sheets=(
            *(_panel(panels[x.panel], x) for x in layouts),
            *(s for p in parts if p.mount is not None for s in _flanges(p, panels[p.mount.panel])),
        ),
        carrier=carrier,
        movable=_movable(job, parts, panels) | _holes(layouts, panels),
        undrilled=frozenset(p.name for p in job.part if p.mount is not None and not p.mount.holes),
    )


def _movable(job: Job, parts: Sequence[PlacedPart], panels: Mapping[str, Panel]) -> dict[str, Movable]:
    """What the user placed, by kind and owner; what sits in a part's hole is moved with the part."""
    out: dict[str, Movable] = {}
    for part in parts:
        if part.mount is not None:
            name = part.spec.name
            out[f"part {name}"] = _on_panel(f"part {name}", f"part:{name}", panels[part.mount.panel])
    for component in job.component:
        kind: BodyKind = "reservoir" if component.kind == "reservoir" else "cylinder"
        kind = "fitting" if component.kind == "bulkhead" else kind
        if (found := _spot(component.name, "component", component.on, panels, out)) is not None:
            out[f"{kind} {component.name}"] = found
    in_rows = {name for row in job.clamp_row for name in row_names(row)}
    for clamp in job.clamp:
        # one of a row that stands free is moved with its row
        alone = clamp.on.at is None or clamp.name not in in_rows
        if alone and (found := _spot(clamp.name, "clamp", clamp.on, panels, out)) is not None:
            out[f"clamp {clamp.name}"] = found
    return out


def _holes(layouts: Sequence[PanelLayout], panels: Mapping[str, Panel]) -> dict[str, Movable]:
    """Holes of the panels' own, by what sits in them."""
    out: dict[str, Movable] = {}
    for layout in layouts:
        panel = panels[layout.panel]
        own = {hole.name for hole in panel.hole}
        for hole in layout.holes:
            if hole.name in own and {*hole.owners} <= {"panel"}:
                thing = f"hole:{panel.name}/{hole.name}"
                found = _on_panel(f"hole {hole.name}", thing, panel)
                name = bolt_name(panel.name, hole.number)
                out |= {f"part {name}": found, f"fitting {name}": found}
    return out


def _spot(
    name: str, kind: str, on: Spot, panels: Mapping[str, Panel], parts: Mapping[str, Movable]
) -> Movable | None:
    if on.at is not None:
        return in_space(name, f"{kind}[{name}].on.at")
    if on.part:
        return parts.get(f"part {on.part}")
    return _on_panel(name, f"{kind}:{name}", panels[on.panel])


def _on_panel(label: str, thing: str, panel: Panel) -> Movable:
    pose = panel_frame(panel.origin, panel.tilt_rad, panel.turn_rad)
    return in_plane(label, thing, pose[:3, 0].tolist(), pose[:3, 1].tolist())


def _panel(panel: Panel, layout: PanelLayout) -> Sheet:
    return Sheet(
        body=f"panel:{panel.name}",
        title=within(panel.title),
        pose=panel_frame(panel.origin, panel.tilt_rad, panel.turn_rad),
        low_mm=-panel.thickness_mm,
        high_mm=0.0,
        outline=tuple(polyline(layout.contour, ARC_MM)),
        openings=tuple(
            (h.u_mm, h.v_mm, h.final_dia_mm) for h in layout.holes if h.status not in ("blank", "weld")
        ),
        panel=True,
    )


def _flanges(part: PlacedPart, panel: Panel) -> Iterator[Sheet]:
    frames = flanges_in_vehicle(part, panel)
    for index, flange in enumerate(part.plan.flanges if frames else ()):
        yield Sheet(
            body=part_name(part.spec.name, flange.name if index else ""),
            title=part_title(part) + (f" ({flange.name.replace('_', ' ')})" if index else ""),
            pose=frames[flange.name],
            low_mm=0.0,
            high_mm=part.plan.thickness_mm,
            outline=tuple(polyline(flange.contour, ARC_MM)),
            openings=(
                *((h.u_mm, h.v_mm, h.diameter_mm) for h in flange.holes),
                *((s.u_mm, s.v_mm, s.width_mm) for s in flange.slots),
            ),
        )
