"""The lines between a pedal's cylinders that name their hose: as long as the layout cuts it."""

from __future__ import annotations

import math
from dataclasses import replace

from generators.checks.hose.places import check_stated
from generators.model.findings import Finding
from generators.model.spec.hydraulics import Line
from generators.model.spec.job import Job
from generators.reading import JobFile
from generators.solve.hoses.lines import HoseAnswer, LinesAnswer


def with_lengths(file: JobFile, lines: LinesAnswer) -> JobFile:
    """The job with the length of every pedal line that names a hose: the hose alone as cut, mm.

    Where no path was found it is the length stated, else the straight distance of its ports; a rule says
    that there is no path. Raises nothing for a job that was checked.
    """
    hoses = {hose.spec.name: hose for hose in lines.hoses}
    pedals = (
        replace(
            pedal,
            line=tuple(
                replace(line, length_mm=_length(line, hoses[line.hose])) if line.hose else line
                for line in pedal.line
            ),
        )
        for pedal in file.job.pedal
    )
    return replace(file, job=replace(file.job, pedal=tuple(pedals)))


def _length(line: Line, hose: HoseAnswer) -> float:
    if hose.length is not None:
        # ends that are all fitting leave no hose to speak of
        # what the flares of a tube take is no length of line
        return max(min(hose.length.cut_mm, hose.length.made_up_mm), 1.0)
    return line.length_mm or max(math.dist(hose.start.position, hose.end.position), 1.0)


def stated_lengths(job: Job, lines: LinesAnswer) -> list[Finding]:
    """Findings on lengths that pedal lines state beside the hose they name. Raises nothing."""
    lengths = {hose.spec.name: hose.length for hose in lines.hoses}
    found: list[Finding] = []
    for pedal in job.pedal:
        for line in pedal.line:
            length = lengths.get(line.hose)
            if length is not None and line.length_mm:
                found += check_stated(pedal.name, line.hose, line.length_mm, length)
    return found
