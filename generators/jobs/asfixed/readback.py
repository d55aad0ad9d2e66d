"""The revised spec read back: everything sits where it was measured, and brings nothing new."""

from __future__ import annotations

import math
from collections.abc import Iterator
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from generators.jobs.asfixed.case import FixedCase, spot_of
from generators.jobs.asfixed.weigh import AsFixed
from generators.jobs.make.line_sheets import lines_sheet
from generators.layout.mounting import panel_pose, part_matrix
from generators.model.spec.readings import FixedThing
from generators.solve.job import Prepared, prepare
from generators.solve.mends.judge import brought, worsened
from generators.verify.readback import ReadBack

PLACE_MM = 0.02


def read_spec(path: Path, *, rel: str, answer: AsFixed, text: str) -> ReadBack:
    """Solve the finished spec, and compare where its things lie with the readings."""
    if path.read_bytes() != text.encode():
        return ReadBack(path=rel, problems=("is not what spec and readings give",))
    case = answer.case
    revised = prepare(path, variant=case.base.file.form.name)
    choice = answer.options[0].choice if answer.options else None
    back = choice.back if choice is not None else ()
    problems = [p for thing in case.fixed for p in _misplaced(case, revised, thing, thing.name in back)]
    bought = choice.bought if choice is not None else ()
    hoses = {hose.spec.name: hose.spec.made_up_mm for hose in revised.lines.hoses}
    other = [
        row.hose
        for row in case.file.readings.in_hand
        if row.hose not in bought and hoses.get(row.hose) != row.length_mm
    ]
    if other:
        problems.append(f"has other lengths than are in hand: {', '.join(other)}")
    worse = (
        *brought(case.design.findings, revised.findings),
        *worsened(case.design.findings, revised.findings),
    )
    problems += [f"brings {f.severity.value} {f.code} {f.where}" for f in worse]
    fact = f"{len(case.fixed)} fixed things where they sit, and no rule says more than of the design"
    return ReadBack(path=rel, facts=(fact,), problems=tuple(problems))


def _misplaced(case: FixedCase, revised: Prepared, thing: FixedThing, back: bool) -> Iterator[str]:
    """A thing that is not as far from its place by the design as it was found, or not back there."""
    moved = _place(revised, thing.name) - _place(case.design, thing.name)
    right, up, rear = (0.0, 0.0, 0.0) if back else (thing.right_mm, thing.up_mm, thing.rear_mm)
    axes = _axes(case.design, thing.name)
    if axes is None:
        off = abs(float(np.linalg.norm(moved)) - math.hypot(right, up, rear))
    else:
        off = float(np.linalg.norm(moved - axes @ np.array([right, up, rear])))
    if off > PLACE_MM:
        yield f"has {thing.name} {off:.2f} mm from where it sits"


def _place(prepared: Prepared, name: str) -> NDArray[np.float64]:
    """Where a thing is in the vehicle, mm."""
    part = next((p for p in prepared.parts if p.spec.name == name and p.mount is not None), None)
    if part is not None and part.mount is not None:
        panel = next(p for p in prepared.file.job.panel if p.name == part.mount.panel)
        return np.asarray(part_matrix(panel, part.mount, part.lift_mm)[:3, 3])
    lines = lines_sheet(prepared.lines, prepared.file.job, prepared.file.units)
    return np.asarray(lines.places[name].frame[:3, 3])


def _axes(design: Prepared, name: str) -> NDArray[np.float64] | None:
    """Right, up and to the rear of a thing in the vehicle, one column each; None for one on a part."""
    spot = spot_of(design, name)
    panels = {p.name: p for p in design.file.job.panel}
    part = next((p for p in design.parts if p.spec.name == name and p.mount is not None), None)
    on = part.mount.panel if part is not None and part.mount is not None else spot.panel if spot else ""
    if on in panels:
        pose = panel_pose(panels[on])
        return np.column_stack((pose[:3, 0], pose[:3, 1], np.zeros(3)))
    if spot is not None and spot.at is not None:
        # vehicle axes: to the rear, right, up
        return np.array([[0.0, 0.0, 1.0], [1.0, 0.0, 0.0], [0.0, 1.0, 0.0]])
    return None
