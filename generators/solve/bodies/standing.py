"""What stands before a hose is led: metal, what the vehicle has, and components."""

from __future__ import annotations

from collections.abc import Sequence

from generators.layout.mounting import PlacedPart
from generators.layout.spots import Sheets
from generators.model.plan import PanelLayout
from generators.model.spec.job import Job
from generators.solve.bodies.components import component_bodies
from generators.solve.bodies.draft import Draft
from generators.solve.bodies.obstacles import panel_obstacles, vehicle_obstacle
from generators.solve.bodies.sheets import panel_body, part_bodies


def metal(job: Job, parts: Sequence[PlacedPart], layouts: Sequence[PanelLayout]) -> Draft:
    """Panels with what stands on them, parts and obstacles. Raises ``GeometryFault`` as their makers do.

    Tools and parts without a mount have no place.
    """
    draft = Draft()
    panels = {p.name: p for p in job.panel}
    for layout in layouts:
        panel_body(draft, panels[layout.panel], layout, panels)
        panel_obstacles(draft, panels[layout.panel], layout)
    for part in parts:
        if part.mount is not None:
            part_bodies(draft, part, panels[part.mount.panel])
    for obstacle in job.obstacle:
        if obstacle.zone is None:
            vehicle_obstacle(draft, obstacle)
    return draft


def standing(job: Job, sheets: Sheets) -> Draft:
    """The metal and the components on it. Raises ``GeometryFault`` for a place that is not there."""
    draft = metal(job, [*sheets.parts.values()], [*sheets.layouts.values()])
    for component in job.component:
        component_bodies(draft, component, sheets)
    return draft
