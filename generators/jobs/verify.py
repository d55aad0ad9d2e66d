"""``verify``: a finished folder of any kind of job, made again from what lies in it."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from generators.issue.prove import Again, prove
from generators.issue.work import Progress
from generators.jobs import nest
from generators.jobs.asdrilled import files as asdrilled
from generators.jobs.asfixed import files as asfixed
from generators.jobs.compare import files as compare
from generators.jobs.draft import run as draft
from generators.jobs.form import files as form
from generators.jobs.kit import run as kit
from generators.jobs.make import run as make
from generators.jobs.measure import files as measure
from generators.jobs.sold import files as sold
from generators.jobs.spread import files as spread
from generators.jobs.sweep import files as sweep
from generators.verify.readback import ReadBack

JOBS: Mapping[str, Again] = {
    make.KIND: make.from_folder,
    measure.KIND: measure.from_folder,
    asdrilled.KIND: asdrilled.from_folder,
    asfixed.KIND: asfixed.from_folder,
    compare.KIND: compare.from_folder,
    sweep.KIND: sweep.from_folder,
    spread.KIND: spread.from_folder,
    form.KIND: form.from_folder,
    nest.KIND: nest.from_folder,
    kit.KIND: kit.from_folder,
    sold.KIND: sold.from_folder,
    draft.KIND: draft.from_folder,
}


def verify(folder: Path, *, progress: Progress, quick: bool = False) -> list[ReadBack]:
    """Read a finished folder back. Raises ``ReadBackError`` when it cannot be used at all."""
    return prove(folder, JOBS, progress=progress, quick=quick)
