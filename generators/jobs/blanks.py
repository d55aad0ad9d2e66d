"""The cutter's file of a part as an artefact."""

from __future__ import annotations

from functools import partial
from pathlib import Path
from typing import Any

from generators.bending.setting import sequence_of
from generators.drawing.bending.words import pulled
from generators.issue.artefact import Artefact
from generators.issue.manifest import Entry
from generators.issue.stamp import PLACEHOLDER
from generators.layout.mounting import PlacedPart
from generators.model.plan import PartPlan
from generators.model.spec.shop import Cutting
from generators.solve.job import Prepared
from generators.solve.parts import smallest_hole
from generators.verify.readback import ReadBack


# the DXF library is slow to load, and a run that makes no blank again does without
def _write_flat(path: Path, **made_of: Any) -> None:
    from generators.drawing.dxf.flat import write_flat_dxf

    write_flat_dxf(path=path, **made_of)


def _read_flat(
    path: Path, *, plan: PartPlan, rel: str, job: str, cutting: Cutting, smallest_hole_mm: float
) -> ReadBack:
    from generators.verify.dxf.flat import read_flat_dxf

    return read_flat_dxf(path, plan, rel=rel, job=job, cutting=cutting, smallest_hole_mm=smallest_hole_mm)


def blank(prepared: Prepared, part: PlacedPart, path: str) -> Artefact:
    """The flat DXF of a part under that path."""
    plan, cutting = part.plan, prepared.file.shop.cutting
    least, job = smallest_hole(prepared.file, plan), prepared.file.job.job.title
    return Artefact(
        entry=Entry(path=path, kind="flat_dxf", owner=part.spec.name, units="mm"),
        body=partial(
            _write_flat,
            plan=plan,
            revision=prepared.marked(PLACEHOLDER),
            job=job,
            cutting=cutting,
            smallest_hole_mm=least,
        ),
        read=partial(_read_flat, plan=plan, rel=path, job=job, cutting=cutting, smallest_hole_mm=least),
    )


def pulled_in(prepared: Prepared, part: PlacedPart) -> tuple[str, ...]:
    """Numbers of a part's openings that lie over the open V while it is bent: they are measured again."""
    if not part.plan.bends:
        return ()
    return pulled(part.plan, sequence_of(part.plan, prepared.file.shop)[0].steps)
