"""How far from its length a hose or tube may be cut at the bench: as far as no rule on lengths speaks up."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from generators.checks.hose.changes import fitting_lengths
from generators.checks.hose.hoses import check_hose
from generators.checks.hose.lengths import HOSE_LENGTH_CHANGE, HOSE_SLACK, HOSE_TOO_SHORT
from generators.checks.hose.sag import FEED_SAG, HOSE_LOWEST, HOSE_SAG
from generators.model.hose_results import CutWindow, HoseLength
from generators.model.spec.job import Job
from generators.routing.around.detour import Surroundings, surroundings
from generators.routing.flaring import SPARE_MM, making
from generators.routing.lengths import SHORTENING
from generators.routing.sag import hang
from generators.solve.hoses.findings import hose_case
from generators.solve.hoses.lines import HoseAnswer, LinesAnswer, with_meets
from generators.solve.scene import clearance_limits

BENT_MM = 1.0
"""How far from its length a tube may be cut of which nothing is trimmed: its bends give so much by hand.
Common practice, no source."""

TRIMMED_RATIO = 0.5
"""Of what is left over at an end to be trimmed, how much a short cut may take: the rest is for what the bends
are out. Common practice, no source."""

_CODES = {r.code for r in (HOSE_TOO_SHORT, HOSE_SLACK, HOSE_LENGTH_CHANGE, HOSE_SAG, HOSE_LOWEST, FEED_SAG)}
_SHARES = (1.0, 0.5, 0.25, 0.125, 0.0625)
"""Of the room above its length, which are tried, the longest first."""


def cut_windows(answer: LinesAnswer, job: Job) -> dict[str, CutWindow]:
    """The window of every piece of which the length is released and that is cut for this job, by its name.

    A hose may be as short and as long as the rules on its slack, on what pressure and movement take and on
    how it hangs let it be: each end of the window was judged by them. A rule that finds something at its own
    length already has told it, and narrows nothing. Raises nothing.
    """
    around = surroundings(answer.obstacles, answer.panels, clearance_limits(job.limits))
    return {
        hose.spec.name: CutWindow(least_mm=least, most_mm=most)
        for hose in answer.hoses
        for least, most in _window(hose, job, around)
    }


def _window(hose: HoseAnswer, job: Job, around: Surroundings) -> Iterator[tuple[float, float]]:
    """Its least and most as cut, mm; none for what is measured, bought made up or has no path."""
    length = hose.length
    if hose.path is None or length is None or hose.measure_why or hose.spec.made_up_mm is not None:
        return
    cut = length.cut_mm
    if hose.spec.kind == "rigid":
        spare = making(hose.path, hose.spec.dash).spare_mm
        short, over = (SPARE_MM * TRIMMED_RATIO, SPARE_MM) if spare else (BENT_MM, BENT_MM)
        yield cut + spare - short, cut + spare + over
        return
    low, high = fitting_lengths(hose_case(hose, job, {}), length.path_mm, job.limits)
    low, room = min(low, length.made_up_mm), max(high - length.made_up_mm, 0.0)
    told = _told(hose, length.made_up_mm, job, around)

    tried = (length.made_up_mm + share * room for share in _SHARES)
    most = next((made for made in tried if _told(hose, made, job, around) <= told), length.made_up_mm)
    least = low if _told(hose, low, job, around) <= told else length.made_up_mm
    fittings = length.made_up_mm - cut
    yield least - fittings, most - fittings


def _told(hose: HoseAnswer, made_mm: float, job: Job, around: Surroundings) -> set[str]:
    """Which rules on lengths speak up of this hose made up so long, hung anew at that length."""
    path, was = hose.path, hose.length
    assert path is not None
    assert was is not None
    cut = made_mm - (was.made_up_mm - was.cut_mm)
    length = HoseLength(
        path_mm=was.path_mm,
        made_up_mm=made_mm,
        cut_mm=cut,
        slack_ratio=made_mm / was.path_mm - 1.0,
        spare_mm=made_mm - was.path_mm - SHORTENING * cut,
    )
    sag = hang(path, hose.run, length)
    # the slack's upper bound is judged of a length that is given
    case = replace(
        hose_case(hose, job, {}),
        spec=replace(hose.spec, made_up_mm=made_mm),
        length=length,
        sag=None if sag is None else with_meets(sag, hose.clearances, around),
    )
    return {found.code for found in check_hose(case, job.limits)} & _CODES
