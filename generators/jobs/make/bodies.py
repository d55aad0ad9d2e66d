"""Everything an assembly file shows: panels, parts, hoses, and all else of the scene but the air kept free.

Panels, parts, hoses, components and clamps are called by their name in the spec, as their files are; bolts,
pedals and what is in the way by their title, as in findings.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from generators.geometry.contours import bounds
from generators.geometry.frames import Matrix
from generators.jobs.once import once_for_each
from generators.layout.mounting import panel_pose, part_matrix
from generators.model.hose_path import HosePath
from generators.model.plan import PanelLayout, PartPlan
from generators.model.spec.job import Job
from generators.model.spec.titles import within
from generators.model.words import BodyKind, RodKind
from generators.routing.paths.curves import sampled
from generators.sheetmetal.volume import folded_volume
from generators.solve.bodies.scene import Scene
from generators.solve.job import Prepared
from generators.space.body import Body
from generators.space.lumps import lump_volume, lumps
from generators.space.pieces import moved
from generators.space.shown import AT_REST, AT_STOP, BOLTS, GROUPS, OBSTACLES, ZONES, Shown, merged, uniquely
from generators.verify.assembled import Expected, Extent

if TYPE_CHECKING:
    # both load the kernel, which only the tasks that write solids may do
    from generators.solids.files.assembly import Rod

ROD_BOX_MM = 2e-3
SAMPLE_MM = 0.1
ROOT = "assembly"
PLANNED: frozenset[BodyKind] = frozenset({"panel", "part", "hose", "room"})
"""Shown from their plans and paths, exactly; and air, which is not shown."""

_GROUP: Mapping[BodyKind, str] = {"bolt": BOLTS, "obstacle": OBSTACLES, "zone": ZONES}


@dataclass(frozen=True, slots=True, kw_only=True)
class Bodies:
    """All an assembly shows, with poses in the vehicle; ``rods`` are hoses and lines by kind.

    ``shown`` is in the order of its groups, those without one first.
    """

    panels: tuple[tuple[PanelLayout, Matrix], ...]
    parts: tuple[tuple[PartPlan, Matrix], ...]
    rods: tuple[tuple[HosePath, RodKind], ...]
    shown: tuple[Shown, ...]

    @property
    def names(self) -> list[str]:
        """Names of all bodies, in the order of the assembly files."""
        names = [layout.panel for layout, _ in self.panels]
        names += [plan.name for plan, _ in self.parts]
        names += [path.name for path, _ in self.rods]
        return names + [body.name for body in self.shown]


@once_for_each
def bodies_of(prepared: Prepared) -> Bodies:
    """Panels, mounted parts, hoses and all else of a job, each with its pose in the vehicle."""
    panels = {p.name: p for p in prepared.file.job.panel}
    bare = Bodies(
        panels=tuple((layout, panel_pose(panels[layout.panel])) for layout in prepared.layouts),
        parts=tuple(
            (part.plan, part_matrix(panels[part.mount.panel], part.mount, part.lift_mm))
            for part in prepared.parts
            if part.mount is not None
        ),
        rods=tuple(
            (hose.path, "rigid" if hose.spec.kind == "rigid" else hose.spec.service)
            for hose in prepared.lines.hoses
            if hose.path is not None
        ),
        shown=(),
    )
    said = _Said(job=prepared.file.job, layouts=prepared.layouts)
    return replace(bare, shown=tuple(_shown(prepared.scene, [*bare.names, *GROUPS, ROOT], said)))


@dataclass(frozen=True, slots=True, kw_only=True)
class _Said:
    """What bodies are called whose names hold keys of the spec: bolts by hole, fittings by end."""

    job: Job
    layouts: Sequence[PanelLayout]

    def of(self, body: Body) -> str:
        """A bolt, a fitting or what is in the way in words; nothing of what is called by its title anyway."""
        kind, _, key = body.name.partition(":")
        if body.what in ("obstacle", "zone"):
            return body.title
        if "." not in key:
            return ""
        first, second = key.split(".")[:2]
        return self._end(body, first, second) if kind == "hose" else self._in_hole(body, first, second)

    def _end(self, body: Body, hose: str, end: str) -> str:
        """``hose to the slave (nut at the clutch slave cylinder)``."""
        spec = next(h for h in self.job.hose if h.name == hose)
        name = (spec.from_ if end == "from" else spec.to).partition(".")[0]
        title = next((c.title for c in self.job.component if c.name == name), "")
        at = f"at {name.replace('_', ' ')})"
        return f"{body.title.removesuffix(at)}at the {within(title)})" if title else body.title

    def _in_hole(self, body: Body, panel: str, number: str) -> str:
        """``bolt in hole 3 of the dash plate``; nothing of what is in no hole of a panel."""
        layout = next((x for x in self.layouts if x.panel == panel), None)
        hole = next((h for h in layout.holes if h.number == number), None) if layout is not None else None
        if layout is None or hole is None:
            return ""
        return f"{body.title.removesuffix(f' ({hole.name})')} of the {within(layout.title)}"


def _shown(scene: Scene, taken: list[str], said: _Said) -> Iterator[Shown]:
    """What is not shown from its plan or path, group by group, under names nothing else has."""
    standing = merged(body for body in (*scene.bodies, *scene.zones) if body.what not in PLANNED)
    rows = [(body, _GROUP.get(body.what, ""), _named(body)) for body in standing]
    for mover in scene.movers:
        rows.append((mover.body, AT_REST, f"{mover.body.title}, at rest"))
    for mover in scene.movers:
        pose = mover.motion.pose(mover.motion.end_rad)
        there = replace(mover.body, forms=tuple(moved(piece, pose) for piece in mover.body.pieces))
        rows.append((there, AT_STOP, f"{mover.body.title}, at its stop"))
    order = ["", *GROUPS]
    for body, group, wanted in sorted(rows, key=lambda row: order.index(row[1])):
        name = uniquely(wanted, body.name.partition(":")[2], taken)
        taken.append(name)
        # a name that is taken has a key behind it
        words = wanted if group in (AT_REST, AT_STOP) else said.of(body)
        yield Shown(name=name, kind=body.what, pieces=body.pieces, group=group, said=words)


def _named(body: Body) -> str:
    """The spec's own name where the body is all there is of that name, else what sheets call it."""
    return body.owner if body.name in (f"component:{body.owner}", f"clamp:{body.owner}") else body.title


def write_glb_file(path: Path, *, bodies: Bodies) -> None:
    """Write ``assembly.glb``. Raises ``OSError`` when it cannot be written."""
    path.write_bytes(glb_of(bodies))


@once_for_each
def glb_of(bodies: Bodies) -> bytes:
    """What ``assembly.glb`` holds."""
    from generators.solids.files.assembly import glb_data

    return glb_data(bodies.panels, bodies.parts, _solid_rods(bodies), bodies.shown)[0]


def write_step_file(path: Path, *, bodies: Bodies, revision: str, job: str) -> None:
    """Write ``assembly.step``."""
    from generators.solids.files.step_assembly import write_step_assembly

    write_step_assembly(
        path, bodies.panels, bodies.parts, _solid_rods(bodies), bodies.shown, revision=revision, job=job
    )


def _solid_rods(bodies: Bodies) -> list[Rod]:
    from generators.solids.files.assembly import Rod

    return [Rod(path=path, kind=kind) for path, kind in bodies.rods]


@once_for_each
def expected_bodies(bodies: Bodies) -> tuple[Expected, ...]:
    """What an assembly must hold, from plans, layouts, paths and pieces."""
    from generators.solids.extents import folded_box

    out = []
    for layout, matrix in bodies.panels:
        u0, v0, u1, v1 = bounds(layout.contour)
        low, high = np.array([u0, v0, -layout.thickness_mm]), np.array([u1, v1, 0.0])
        out.append(Expected(name=layout.panel, matrix=matrix, solids=(Extent(low=low, high=high),)))
    for plan, matrix in bodies.parts:
        low, high = folded_box(plan)
        whole = Extent(low=low, high=high, volume_mm3=folded_volume(plan))
        out.append(Expected(name=plan.name, matrix=matrix, solids=(whole,)))
    for path, _kind in bodies.rods:
        low, high = _rod_box(path)
        volume = math.pi / 4 * path.outside_dia_mm**2 * path.length_mm
        whole = Extent(low=low, high=high, volume_mm3=volume)
        out.append(Expected(name=path.name, matrix=np.eye(4), solids=(whole,), box_mm=ROD_BOX_MM))
    for body in bodies.shown:
        solids = tuple(
            Extent(low=lump.box[0], high=lump.box[1], volume_mm3=lump_volume(lump))
            for lump in lumps(body.pieces)
        )
        out.append(
            Expected(
                name=body.name,
                matrix=np.eye(4),
                solids=solids,
                group=body.group,
                ghost=body.ghost,
                box_mm=ROD_BOX_MM,
            )
        )
    return tuple(out)


def _rod_box(path: HosePath) -> tuple[Matrix, Matrix]:
    """Box of a rod: a round section square to the unit way t reaches r·sqrt(1 − t²) along each axis.

    Sampled; the error of a step h on a bend of radius R is h²/8R, far under what is checked.
    """
    _stations, points, ways = sampled(path, SAMPLE_MM)
    reach = path.outside_dia_mm / 2 * np.sqrt(np.maximum(1.0 - ways**2, 0.0))
    return (points - reach).min(axis=0), (points + reach).max(axis=0)
