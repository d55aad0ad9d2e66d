"""What a part that came to lie elsewhere does to the rest of the job: solved again, before and after."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from generators.figures import fixed
from generators.hydraulics.brake import BrakeResult
from generators.hydraulics.result import ClutchResult
from generators.jobs.asdrilled.case import Case
from generators.measure.fitting.fit import Fit
from generators.sheetmetal.lying import on_panel
from generators.solve.hoses.lines import HoseAnswer
from generators.solve.job import Prepared
from generators.solve.pedals import PedalAnswer

LEAST_HOSE_MM = 0.5
"""A path that gets longer or shorter by less is not told: nobody cuts a hose so exactly. Ours."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Effect:
    """One thing that is as it was designed, ``before``, and as it comes out, ``after``; both in words."""

    what: str
    before: str
    after: str

    @property
    def words(self) -> str:
        """``Clutch pedal, ratio at rest: 4.4:1, was 4.375:1``."""
        if self.before == self.after:
            return f"{self.what}: {self.after}, as designed"
        return f"{self.what}: {self.after}, was {self.before}"


def effects(case: Case, after: Fit, solved: Prepared) -> tuple[Effect, ...]:
    """What the part as it lies does to its other holes, to pedals and to hoses."""
    return tuple(
        [*_holes(case, after), *_pedals(case.prepared, solved), *_hoses(case.prepared, solved)]
        if case.tied
        else ()
    )


def _holes(case: Case, after: Fit) -> Iterator[Effect]:
    """Holes of the part that were not measured: where they are to be drilled now."""
    measured = {joint.name for joint in case.joints}
    for opening in on_panel(case.part.plan).openings:
        if opening.mates and opening.name not in measured:
            was = case.place.apply(opening.u_mm, opening.v_mm)
            now = after.place(*was)
            yield Effect(
                what=f"hole {opening.name}, not measured, is to be drilled at",
                before=f"u {fixed(was[0], 1)} v {fixed(was[1], 1)} mm",
                after=f"u {fixed(now[0], 1)} v {fixed(now[1], 1)} mm",
            )


def _pedals(before: Prepared, after: Prepared) -> Iterator[Effect]:
    was = {answer.spec.name: answer for answer in before.pedals}
    for answer in after.pedals:
        if answer.spec.name in was:
            yield from _pedal(was[answer.spec.name], answer)


def _pedal(was: PedalAnswer, now: PedalAnswer) -> Iterator[Effect]:
    title = now.spec.title or now.spec.name
    for name, say in (("clutch", _clutch), ("brake", _brake)):
        old, new = getattr(was, name), getattr(now, name)
        if old is not None and new is not None:
            for (what, first), (_, second) in zip(say(old), say(new), strict=True):
                yield Effect(what=f"{title}, {what}", before=first, after=second)


def _clutch(result: ClutchResult) -> tuple[tuple[str, str], ...]:
    window = result.window
    stop = f"none, released only at {window.earliest_mm:.1f} mm"
    if not window.empty:
        stop = f"{window.earliest_mm:.1f} to {window.latest_mm:.1f} mm of pad travel"
    return (
        ("ratio at rest", f"{result.rest_ratio:.2f}:1"),
        ("stop window", stop),
        ("rod to set", f"{fixed(result.rod_length_mm, 1)} mm"),
    )


def _brake(result: BrakeResult) -> tuple[tuple[str, str], ...]:
    return (
        ("ratio at rest", f"{result.rest_ratio:.2f}:1"),
        ("travel at the effort wanted", f"{result.at_effort_mm:.1f} mm"),
        ("rod to set", f"{fixed(result.rod_length_mm, 1)} mm"),
    )


def _hoses(before: Prepared, after: Prepared) -> Iterator[Effect]:
    was = {answer.spec.name: answer for answer in before.lines.hoses}
    for answer in after.lines.hoses:
        old = was.get(answer.spec.name)
        if old is None or math.isclose(_path(old), _path(answer), abs_tol=LEAST_HOSE_MM):
            continue
        title = answer.spec.title or answer.spec.name
        yield Effect(what=f"{title}, path and length", before=_length(old), after=_length(answer))


def _path(answer: HoseAnswer) -> float:
    return answer.path.length_mm if answer.path is not None else 0.0


def _length(answer: HoseAnswer) -> str:
    if answer.path is None or answer.length is None:
        return "no way found"
    made = "made up" if answer.spec.made_up_mm is not None else "to be cut for"
    return f"{fixed(answer.path.length_mm, 1)} mm, {made} {answer.length.made_up_mm:.0f} mm seat to seat"
