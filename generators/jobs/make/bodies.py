"""Everything an assembly file shows: panels, parts, hoses, the bodies of cylinders."""

from __future__ import annotations

import math
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from generators.geometry.contours import bounds
from generators.geometry.frames import Matrix, panel_frame
from generators.layout.mounting import part_matrix
from generators.model.hose_path import Cylinder3, HosePath, Straight, Support
from generators.model.plan import PanelLayout, PartPlan
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


def placed_panels(prepared: Prepared) -> list[tuple[PanelLayout, Matrix]]:
    """Panels with their pose in the vehicle."""
    panels = {p.name: p for p in prepared.file.job.panel}
    return [
        (layout, panel_frame(panels[layout.panel].origin, panels[layout.panel].tilt_rad))
        for layout in prepared.layouts
    ]


def placed_parts(prepared: Prepared) -> list[tuple[PartPlan, Matrix]]:
    """Mounted parts with their pose in the vehicle."""
    panels = {p.name: p for p in prepared.file.job.panel}
    return [
        (part.plan, part_matrix(panels[part.mount.panel], part.mount, part.lift_mm))
        for part in prepared.parts
        if part.mount is not None
    ]


def rods(prepared: Prepared) -> Iterator[tuple[HosePath, str]]:
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


def body_names(prepared: Prepared) -> list[str]:
    """Names of all bodies, in the order of the assembly files."""
    names = [layout.panel for layout, _ in placed_panels(prepared)]
    names += [plan.name for plan, _ in placed_parts(prepared)]
    return names + [path.name for path, _ in rods(prepared)]


def write_glb_file(prepared: Prepared, path: Path) -> None:
    """Write ``assembly.glb``."""
    from generators.solids.files.assembly import write_glb

    write_glb(path, placed_panels(prepared), placed_parts(prepared), _solid_rods(prepared))


def write_step_file(prepared: Prepared, path: Path) -> None:
    """Write ``assembly.step``."""
    from generators.solids.files.step_assembly import write_step_assembly

    write_step_assembly(
        path,
        placed_panels(prepared),
        placed_parts(prepared),
        _solid_rods(prepared),
        revision=prepared.file.revision,
        job=prepared.file.job.job.name,
    )


def _solid_rods(prepared: Prepared) -> list[Rod]:
    from generators.solids.files.assembly import Rod

    return [Rod(path=path, kind=kind) for path, kind in rods(prepared)]


def expected_bodies(prepared: Prepared) -> list[Expected]:
    """What a STEP assembly must hold, from plans, layouts and paths."""
    from generators.solids.extents import folded_box
    from generators.verify.step.assembly import Expected

    out = []
    for layout, matrix in placed_panels(prepared):
        u0, v0, u1, v1 = bounds(layout.contour)
        low, high = np.array([u0, v0, -layout.thickness_mm]), np.array([u1, v1, 0.0])
        out.append(Expected(name=layout.panel, matrix=matrix, low=low, high=high, volume_mm3=0.0))
    for plan, matrix in placed_parts(prepared):
        low, high = folded_box(plan)
        volume = folded_volume(plan)
        out.append(Expected(name=plan.name, matrix=matrix, low=low, high=high, volume_mm3=volume))
    for path, _kind in rods(prepared):
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
