"""The whole job in space: every body that stands still, and those that move."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from generators.checks.space.ground import Ground
from generators.checks.space.lids import check_lids
from generators.checks.space.standing import check_standing
from generators.layout.mounting import PlacedPart
from generators.layout.spots import place
from generators.model.findings import Finding
from generators.model.joints.fasteners import FastenerSet
from generators.model.limits import Limits
from generators.model.plan import PanelLayout
from generators.model.spec.job import Job
from generators.solve.bodies.components import fix_flanges
from generators.solve.bodies.draft import Draft
from generators.solve.bodies.fixings.bolts import panel_bolts, part_bolts
from generators.solve.bodies.fixings.clamps import clamp_body
from generators.solve.bodies.hoses import hose_bodies, runs_in_clamps
from generators.solve.hoses.lines import LinesAnswer
from generators.space.body import Body
from generators.space.distance import Space
from generators.space.motion import Mover


@dataclass(frozen=True, kw_only=True)
class Scene:
    """Everything of a job in the vehicle: what stands still, and what moves.

    ``pivots`` are the shafts and stop bolts of pedals, which the rules on standing bodies leave alone.
    ``zones`` are room and nothing that stands.
    """

    bodies: tuple[Body, ...] = ()
    movers: tuple[Mover, ...] = ()
    pivots: tuple[Body, ...] = ()
    zones: tuple[Body, ...] = ()


def standing_findings(scene: Scene, ground: Ground, limits: Limits) -> Iterator[Finding]:
    """What the rules say of the bodies that stand still; pushrods only where they go through a sheet."""
    rods = [mover.body for mover in scene.movers if mover.body.what == "rod"]
    yield from check_standing(Space([*scene.bodies, *rods]), ground)
    yield from check_lids(scene.bodies, ground, limits.lid_room_mm)


def job_bodies(
    job: Job,
    parts: Sequence[PlacedPart],
    layouts: Sequence[PanelLayout],
    lines: LinesAnswer,
    fasteners: Sequence[FastenerSet],
) -> tuple[Body, ...]:
    """Everything of a job that stands still: what hoses were led round, and what holds it together.

    Names are ``panel:NAME``, ``part:NAME`` (its root flange), ``part:NAME.FLANGE``, ``component:NAME``,
    ``clamp:NAME``, ``hose:NAME`` with ``.from`` and ``.to``, ``bolt:PANEL.NUMBER`` or ``bolt:PART.HOLE``,
    ``obstacle:NAME`` or ``obstacle:PANEL.NAME``. Raises ``GeometryFault`` for a place that is not there.
    """
    sheets = lines.sheets
    panels = {p.name: p for p in job.panel}
    draft = Draft(bodies=[*lines.standing.bodies], mates={*lines.standing.mates})
    mounted = [(p, panels[p.mount.panel]) for p in parts if p.mount is not None]
    fitted: dict[str, set[str]] = {}
    for component in job.component:
        where = place(component.on, sheets)
        fitted.setdefault(where.panel, set()).add(where.hole)
    sets = {made.key: made for made in fasteners}
    for layout in layouts:
        panel_bolts(draft, panels[layout.panel], layout, frozenset(fitted.get(layout.panel, ())), sets)
    for part, panel in mounted:
        part_bolts(draft, part, panel, sets)
    fix_flanges(draft)
    along = runs_in_clamps(lines.hoses)
    for clamp in job.clamp:
        clamp_body(draft, clamp, sheets, along)
    for answer in lines.hoses:
        hose_bodies(draft, answer)
    return draft.finished()
