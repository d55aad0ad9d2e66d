"""The job solved again with the holes as drilled and a rescue: what it brings, and what it changes."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from generators.errors import ExportError, PedalplateError, SpecError
from generators.jobs.asdrilled.case import Case
from generators.jobs.asdrilled.spec_text import spec_with
from generators.measure.fitting.fit import Fit
from generators.measure.fitting.rescue import Rescue
from generators.model.findings import Finding, Severity
from generators.solve.job import Prepared, prepare
from generators.solve.mends.judge import brought


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """The revised spec's ``text`` and the job solved with it; ``fault`` says why it cannot be, if so.

    ``brings`` are warnings and fails that were not there before, gravest first; ``clears`` those gone.
    ``idle`` are tools left out of the spec: what they lead a drill to is drilled.
    """

    text: str = ""
    prepared: Prepared | None = None
    fault: str = ""
    brings: tuple[Finding, ...] = ()
    clears: tuple[Finding, ...] = ()
    idle: tuple[str, ...] = ()

    @property
    def fails(self) -> tuple[Finding, ...]:
        """Rules that fail now and did not before."""
        return tuple(f for f in self.brings if f.severity is Severity.FAIL)

    @property
    def good(self) -> bool:
        """True when no rule fails that did not, or when no spec could be written to say."""
        return not self.fails and (self.prepared is not None or not self.text)

    @property
    def against(self) -> str:
        """What stands against it, in words."""
        if self.fails:
            worst = self.fails[0]
            return f"brings {worst.code} {worst.where}: {worst.found}, limit {worst.wanted}"
        return self.fault


def _idle(before: Prepared, error: SpecError, idle: Sequence[str]) -> tuple[str, ...]:
    """Tools that all faults of a revised spec are in, of those not in ``idle``; none if one is elsewhere."""
    every = before.file.job.part
    # an opposite hand has no table of its own
    without = {*idle, *(part.opposite.name for part in every if part.opposite is not None)}
    there = [part.name for part in every if part.name not in without]
    tools = {part.spec.name for part in before.parts if part.plan.tool}
    found: dict[str, None] = {}
    for fault in error.faults:
        match = re.match(r"part\[(\d+)\]", fault.path)
        name = there[int(match[1])] if match is not None and int(match[1]) < len(there) else ""
        if name not in tools:
            return ()
        found[name] = None
    return tuple(found)


def outcome_of(case: Case, rescue: Rescue, after: Fit) -> Outcome:
    """The job with the holes as drilled and the rescue in its spec, solved again. Raises nothing."""
    before, text = case.prepared, ""
    idle: tuple[str, ...] = ()
    while True:
        try:
            text = spec_with(case, rescue, after, idle)
            solved = prepare(
                before.file.spec_path, results=before.results, text=text, variant=before.file.form.name
            )
            break
        except ExportError as error:
            return Outcome(fault=str(error))
        except SpecError as error:
            # a guide finds nothing left to lead a drill to: it goes, and the rest is looked at without it
            more = _idle(before, error, idle)
            if not more:
                fault = error.faults[0]
                said = f"gives {fault.path or 'a spec'} {fault.found}, expected {fault.expected}"
                return Outcome(text=text, fault=said)
            idle = (*idle, *more)
        except PedalplateError as error:
            return Outcome(text=text, fault=f"cannot be solved: {error}")
    return Outcome(
        text=text,
        prepared=solved,
        idle=idle,
        brings=tuple(brought(before.findings, solved.findings)),
        clears=tuple(brought(solved.findings, before.findings)),
    )
