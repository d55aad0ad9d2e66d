"""Everything an assembly file shows: panels, parts, hoses, the bodies of cylinders."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from generators.geometry.contours import bounds
from generators.geometry.frames import Matrix
from generators.layout.mounting import panel_pose, part_matrix
from generators.model.hose_path import Cylinder3, HosePath, Straight, Support
from generators.model.plan import PanelLayout, PartPlan
from generators.model.words import RodKind
from generators.routing.paths.curves import sampled
from generators.sheetmetal.volume import folded_volume
from generators.solve.job import Prepared
from generators.solve.scene import component_body

if TYPE_CHECKING:
    # both load the kernel, which only the tasks that write solids may do
    from generators.solids.files.assembly import Rod
    from generators.verify.step.assembly import Expected

ROD_BOX_MM = 2e-3
SAMPLE_MM = 0.1


@dataclass(frozen=True, slots=True, kw_only=True)
class Bodies:
    """All an assembly shows, with poses in the vehicle; ``rods`` are hoses, lines and cylinders by kind."""

    panels: tuple[tuple[PanelLayout, Matrix], ...]
    parts: tuple[tuple[PartPlan, Matrix], ...]
    rods: tuple[tuple[HosePath, RodKind], ...]

    @property
    def names(self) -> list[str]:
        """Names of all bodies, in the order of the assembly files."""
        names = [layout.panel for layout, _ in self.panels]
        names += [plan.name for plan, _ in self.parts]
        return names + [path.name for path, _ in self.rods]


def bodies_of(prepared: Prepared) -> Bodies:
    """Panels, mounted parts and rods of a job, each with its pose in the vehicle."""
    panels = {p.name: p for p in prepared.file.job.panel}
    return Bodies(
        panels=tuple((layout, panel_pose(panels[layout.panel])) for layout in prepared.layouts),
        parts=tuple(
            (part.plan, part_matrix(panels[part.mount.panel], part.mount, part.lift_mm))
            for part in prepared.parts
            if part.mount is not None
        ),
        rods=tuple(_rods(prepared)),
    )


def _rods(prepared: Prepared) -> Iterator[tuple[HosePath, RodKind]]:
    """Hoses and lines with a path, then the bodies of cylinders as straight rods; and what each is."""
    lines = prepared.lines
    for hose in lines.hoses:
        if hose.path is not None:
            yield hose.path, "rigid" if hose.spec.kind == "rigid" else hose.spec.service
    for component in prepared.file.job.component:
        body = component_body(component, lines.sheets)
        if body is not None:
            yield _rod(body), "cylinder"


def _rod(body: Cylinder3) -> HosePath:
    straight = Straight(start=body.start, end=body.end)
    return HosePath(
        name=body.name,
        segments=(straight,),
        supports=(
            Support(name="start", kind="port", station_mm=0.0),
            Support(name="end", kind="port", station_mm=straight.length_mm),
        ),
        outside_dia_mm=2 * body.radius_mm,
        bend_radius_mm=math.inf,
    )


def write_glb_file(path: Path, *, bodies: Bodies) -> None:
    """Write ``assembly.glb``."""
    from generators.solids.files.assembly import write_glb

    write_glb(path, bodies.panels, bodies.parts, _solid_rods(bodies))


def write_step_file(path: Path, *, bodies: Bodies, revision: str, job: str) -> None:
    """Write ``assembly.step``."""
    from generators.solids.files.step_assembly import write_step_assembly

    write_step_assembly(path, bodies.panels, bodies.parts, _solid_rods(bodies), revision=revision, job=job)


def _solid_rods(bodies: Bodies) -> list[Rod]:
    from generators.solids.files.assembly import Rod

    return [Rod(path=path, kind=kind) for path, kind in bodies.rods]


def expected_bodies(bodies: Bodies) -> list[Expected]:
    """What a STEP assembly must hold, from plans, layouts and paths."""
    from generators.solids.extents import folded_box
    from generators.verify.step.assembly import Expected

    out = []
    for layout, matrix in bodies.panels:
        u0, v0, u1, v1 = bounds(layout.contour)
        low, high = np.array([u0, v0, -layout.thickness_mm]), np.array([u1, v1, 0.0])
        out.append(Expected(name=layout.panel, matrix=matrix, low=low, high=high, volume_mm3=0.0))
    for plan, matrix in bodies.parts:
        low, high = folded_box(plan)
        volume = folded_volume(plan)
        out.append(Expected(name=plan.name, matrix=matrix, low=low, high=high, volume_mm3=volume))
    for path, _kind in bodies.rods:
        low, high = _rod_box(path)
        volume = math.pi / 4 * path.outside_dia_mm**2 * path.length_mm
        out.append(
            Expected(
                name=path.name, matrix=np.eye(4), low=low, high=high, volume_mm3=volume, box_mm=ROD_BOX_MM
            )
        )
    return out


def _rod_box(path: HosePath) -> tuple[Matrix, Matrix]:
    """Box of a rod: a round section square to the unit way t reaches r·sqrt(1 − t²) along each axis.

    Sampled; the error of a step h on a bend of radius R is h²/8R, far under what is checked.
    """
    _stations, points, ways = sampled(path, SAMPLE_MM)
    reach = path.outside_dia_mm / 2 * np.sqrt(np.maximum(1.0 - ways**2, 0.0))
    return (points - reach).min(axis=0), (points + reach).max(axis=0)
