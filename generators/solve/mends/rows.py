"""A row of the ranking of bores and ratios as lines to type, tried by solving the job again with them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from generators.errors import PedalplateError, SpecError
from generators.hydraulics.linkage import moved_pin
from generators.hydraulics.ranking import SAME_BORE_MM, Ranking
from generators.model.changes import Change, Edit, Proposal
from generators.model.findings import Finding
from generators.solve.job import Prepared
from generators.solve.mends.judge import brought
from generators.solve.mends.tries import solved_again
from generators.solve.mends.writing import Draft, draft
from generators.solve.pedals import PedalAnswer

_PLUMB = "its pin was measured with the plumb line: move it on the arm and measure again"
_SAME_RATIO = 1e-6


@dataclass(frozen=True, slots=True, kw_only=True)
class TriedRow:
    """What is typed for a row and what came of it: the pedal solved again, and warnings and fails it brings.

    ``why_not`` says why there is nothing to type, or why it cannot be solved.
    """

    edits: tuple[Edit, ...] = ()
    answer: PedalAnswer | None = None
    brings: tuple[Finding, ...] = ()
    why_not: str = ""


def try_row(prepared: Prepared, answer: PedalAnswer, ranking: Ranking, row: int) -> TriedRow:
    """The row typed into the spec and solved; with a stop bolt where the stop of the spec is wrong then.

    Pin and cylinder are moved as the ranking has them: the pin along its own line from the pivot, the
    cylinder with it across its axis. Raises nothing for a row of that pedal's ranking.
    """
    steps = list(_steps(prepared, answer, ranking, row))
    if answer.spec.measured == "plumb" and any(".pin[" in step.path for step in steps):
        return TriedRow(why_not=_PLUMB)
    tried = _tried(prepared, answer, steps)
    if tried.answer is None or tried.answer.clutch is None:
        return tried
    window = tried.answer.clutch.window
    wrong = window.stop_mm < window.earliest_mm or window.gone_mm > window.latest_mm
    if window.given and wrong and window.recommended_mm is not None:
        stop = Change(path=f"pedal[{answer.spec.name}].stop", to=window.recommended_mm)
        return _tried(prepared, answer, [*steps, stop])
    return tried


def _steps(prepared: Prepared, answer: PedalAnswer, ranking: Ranking, row: int) -> Iterator[Change]:
    pedal, clutch = answer.spec, answer.clutch
    if clutch is None:
        return
    name = f"pedal[{pedal.name}]"
    setup = clutch.setup
    for key, old, new in (
        ("master", setup.master.bore_mm, float(ranking.master_mm[row])),
        ("slave", setup.slave.bore_mm, float(ranking.slave_mm[row])),
    ):
        if abs(new - old) > SAME_BORE_MM:
            yield Change(path=f"{name}.{key}.bore", to=new, rounding="exact")
    scale = clutch.lever_ratio / float(ranking.ratio[row])
    if abs(scale - 1) < _SAME_RATIO:
        return
    changed, frame = moved_pin(pedal, answer.frame, scale)
    for k in (0, 1):
        if changed.pin[k] != pedal.pin[k]:
            yield Change(path=f"{name}.pin[{k}]", to=changed.pin[k])
    moved = np.array(frame.seat) - np.array(answer.frame.seat)
    if not pedal.hanger:
        yield from (Change(path=f"{name}.seat_at[{k}]", by=float(by)) for k, by in enumerate(moved) if by)
        return
    # the hanger's masters stay where its holes are: its pivot, and all that hangs on it, goes the other way
    far = float(moved @ np.array(answer.frame.up))
    yield Change(path=f"part[{pedal.hanger}].parameters.pivot_up", by=-far)
    for other in prepared.file.job.pedal:
        if other.hanger == pedal.hanger and other.name != pedal.name:
            yield Change(path=f"pedal[{other.name}].pin[1]", by=far)


def _tried(prepared: Prepared, answer: PedalAnswer, steps: Sequence[Change]) -> TriedRow:
    typed: Draft | None = None
    if steps:
        proposal = Proposal(words="take the row", steps=tuple(steps))
        typed = draft(proposal, prepared.file.source, prepared.file.job)
    if typed is None:
        return TriedRow(
            why_not="that is the spec as it stands" if not steps else "the spec has no key for it"
        )
    try:
        solved = solved_again(prepared, typed)
    except SpecError as error:
        fault = error.faults[0]
        return TriedRow(edits=typed.edits, why_not=f"{fault.path} {fault.found}, expected {fault.expected}")
    except PedalplateError as error:
        return TriedRow(edits=typed.edits, why_not=str(error))
    return TriedRow(
        edits=typed.edits,
        answer=next(p for p in solved.pedals if p.spec.name == answer.spec.name),
        brings=tuple(brought(prepared.findings, solved.findings)),
    )
