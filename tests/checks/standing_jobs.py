"""Small jobs as bodies in space: parts on panels, and bodies made by hand."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from generators.checks.space.ground import Ground, Sheet
from generators.checks.space.lids import check_lids
from generators.checks.space.standing import check_standing
from generators.layout.mounting import PlacedPart
from generators.layout.panels import job_layouts
from generators.layout.spots import sheets_of
from generators.model.findings import Finding
from generators.model.install import InstallOrder
from generators.model.spec.forms.head import JobHead
from generators.model.spec.job import Job, Panel
from generators.solve.bodies.draft import Draft
from generators.solve.bodies.fixings.bolts import panel_bolts, part_bolts
from generators.solve.bodies.ground import job_ground
from generators.solve.bodies.obstacles import panel_obstacles
from generators.solve.bodies.sheets import panel_body, part_bodies
from generators.solve.fasteners.sets import fastener_sets
from generators.space.body import Body
from generators.space.distance import Space
from generators.space.pieces import Box, Rod


def standing(panel: Panel, parts: Sequence[PlacedPart]) -> list[Finding]:
    """What the rules on bodies say of parts, bolts and obstacles on one panel."""
    job = Job(job=JobHead(name="j", title="j"), panel=(panel,))
    (layout,) = job_layouts(job, parts)
    draft = Draft()
    panel_body(draft, panel, layout, {panel.name: panel})
    panel_obstacles(draft, panel, layout)
    order = InstallOrder(tasks=(), needs=())
    sets = {s.key: s for s in fastener_sets(job, parts, sheets_of([panel], [layout], parts), order)}
    for part in parts:
        part_bodies(draft, part, panel)
        part_bolts(draft, part, panel, sets)
    panel_bolts(draft, panel, layout, frozenset(), sets)
    ground = job_ground(job, parts, [layout])
    return list(check_standing(Space(draft.finished()), ground))


def block(name: str, low: tuple[float, float, float], size: tuple[float, float, float], what="part", **more):
    """A box by its lowest corner."""
    pose = np.eye(4)
    pose[:3, 3] = np.array(low) + np.array(size) / 2
    half = (size[0] / 2, size[1] / 2, size[2] / 2)
    return Body(name=name, title=name, what=what, owner=name, forms=(Box(pose=pose, half_mm=half),), **more)


def bar(name: str, start, end, diameter: float, what="cylinder") -> Body:
    """A round bar with flat ends."""
    return Body(
        name=name,
        title=name,
        what=what,
        owner=name,
        forms=(Rod(start=start, end=end, radius_mm=diameter / 2),),
    )


def said(*bodies: Body, sheets: Sequence[Sheet] = ()) -> list[Finding]:
    """What the rules say of bodies alone."""
    return list(check_standing(Space(bodies), Ground(sheets=tuple(sheets), carrier={})))


def plate_of(body: Body, size: float, thickness: float, *openings: tuple[float, float, float]) -> Sheet:
    """A square sheet in x and y from the origin up, which ``body`` is."""
    return Sheet(
        body=body.name,
        title=body.title,
        pose=np.eye(4),
        low_mm=0.0,
        high_mm=thickness,
        outline=((0.0, 0.0), (size, 0.0), (size, size), (0.0, size)),
        openings=openings,
        panel=body.what == "panel",
    )


def _pushed_in(to: float) -> list[Finding]:
    """A bar of 20 mm from 50 mm below a sheet of 2 mm up to a height."""
    wall = block("wall", (0, 0, 0), (100, 100, 2), what="panel")
    return said(wall, bar("rod", (50, 50, -50), (50, 50, to), 20.0), sheets=[plate_of(wall, 100, 2)])


# bodies are drawn to 0.05 mm each, so 0.1 mm in each other is the limit
def lidded(over_mm: float, axis: str = "up") -> list[Finding]:
    """A reservoir 60 mm thick and 90 mm long, its top 90 mm up (60 mm where it lies), something over it."""
    end = (0, 0, 90) if axis == "up" else (90, 0, 30)
    start = (0, 0, 0) if axis == "up" else (0, 0, 30)
    top = 90 if axis == "up" else 60
    shelf = block("shelf", (-100, -100, top + over_mm), (300, 200, 5), what="obstacle")
    tank = bar("tank", start, end, 60.0, "reservoir")
    return list(check_lids([tank, shelf], Ground(sheets=(), carrier={}), 50.0))


STANDING_CASES = {
    # drawn to 0.05 mm each
    "reservoir-lid": (lambda: lidded(49.8), lambda: lidded(50.0)),
    "bodies-meet": (
        lambda: said(block("a", (0, 0, 0), (10, 10, 10)), block("b", (9.85, 0, 0), (10, 10, 10))),
        lambda: said(block("a", (0, 0, 0), (10, 10, 10)), block("b", (9.95, 0, 0), (10, 10, 10))),
    ),
    "no-room-for-nut": (
        lambda: said(
            block("a", (0, 0, 0), (10, 10, 10), what="obstacle"),
            bar("s", (24.8, 5, 0), (24.8, 5, 5), 30.0, "room"),
        ),
        lambda: said(
            block("a", (0, 0, 0), (10, 10, 10), what="obstacle"),
            bar("s", (25, 5, 0), (25, 5, 5), 30.0, "room"),
        ),
    ),
    "through-uncut-metal": (lambda: _pushed_in(1.01), lambda: _pushed_in(0.05)),
}
