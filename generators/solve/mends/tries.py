"""Mends of a job: each proposal written into the spec's text, solved again, and kept only if it holds."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace

from generators.checks.part.bending import BEND_SEQUENCE
from generators.checks.part.part import check_part
from generators.errors import PedalplateError, SpecError
from generators.model.changes import Mend, Proposal
from generators.model.findings import Finding, Severity
from generators.solve.job import Prepared, prepare
from generators.solve.mends.judge import brought, left, worsened
from generators.solve.mends.parameters import PartSearch
from generators.solve.mends.writing import Draft, draft
from generators.solve.release import released

TRIES_PER_FINDING = 5
FOLLOWING = 2
TRIES_PER_JOB = 24
"""A try solves the whole job again, some tenths of a second; ours, so that `check` takes seconds, no more."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """A draft solved: its findings, or why the spec so changed cannot be solved."""

    draft: Draft
    findings: tuple[Finding, ...] = ()
    fault: str = ""


@dataclass(slots=True, kw_only=True)
class Bench:
    """What was tried, by the text it gave: nothing is solved twice."""

    prepared: Prepared
    parts: PartSearch
    outcomes: dict[str, Outcome] = field(default_factory=dict)
    good: list[Outcome] = field(default_factory=list)
    left: int = TRIES_PER_JOB

    def tried(self, proposed: Draft) -> Outcome | None:
        """The outcome of a draft; None when it was not tried yet and no tries are left."""
        known = self.outcomes.get(proposed.text)
        if known is not None:
            return replace(known, draft=proposed)
        if self.left <= 0:
            return None
        self.left -= 1
        outcome = _outcome(self.prepared, proposed)
        self.outcomes[proposed.text] = outcome
        before = self.prepared.findings
        clean = not outcome.fault and not brought(before, outcome.findings)
        if clean and not worsened(before, outcome.findings):
            self.good.append(outcome)
        return outcome

    def held(self) -> list[Outcome]:
        """What solved and brought nothing new, in the order tried."""
        return self.good


def with_mends(prepared: Prepared, wanted: Callable[[Finding], bool]) -> Prepared:
    """The job with what came of trying to mend each finding ``wanted``; notes are never mended.

    Where several changes that hold clear a finding, it gets the one that clears most of the job's, so that
    one cause has one mend; its findings have no proposals any more. The spec itself is not touched. Raises
    nothing: a change that cannot be solved is one that does not hold.
    """
    bench = Bench(prepared=prepared, parts=PartSearch(prepared=prepared))
    todo = [f for f in prepared.findings if f.severity is not Severity.NOTE and wanted(f)]
    alone = {f: _mend(bench, f) for f in todo}
    held = [(o, [f for f in todo if left(f, prepared.findings, o.findings) is None]) for o in bench.held()]
    held.sort(key=lambda pair: len(pair[1]), reverse=True)
    mends = {f: next((_holds(o) for o, cleared in held if f in cleared), alone[f]) for f in todo}
    findings = tuple(
        replace(_advised(prepared, f), mend=mends.get(f), proposals=()) for f in prepared.findings
    )
    return replace(prepared, findings=findings)


def _advised(prepared: Prepared, finding: Finding) -> Finding:
    """A finding on the order of bends with the changes of the part that were tried on the brake itself.

    They take longer than the finding, so ``prepare`` leaves them to whoever asks for mends.
    """
    if finding.code != BEND_SEQUENCE.code or finding.severity is Severity.NOTE:
        return finding
    file, owner = prepared.file, finding.where.split()[0].removeprefix("part:")
    plan = next((p.plan for p in prepared.parts if p.plan.name == owner), None)
    found = check_part(plan, file.job.limits, file.shop) if plan is not None else []
    said = next((f for f in found if (f.code, f.where) == (finding.code, finding.where)), finding)
    return replace(finding, advice=said.advice, value=said.value, limit=said.limit)


def _holds(outcome: Outcome) -> Mend:
    return Mend(words=outcome.draft.words, edits=outcome.draft.edits)


def _mend(bench: Bench, finding: Finding) -> Mend | None:
    """The first proposal that holds, or what stands against the best; None without any to try."""
    before = bench.prepared.findings
    for outcome in bench.held():
        if left(finding, before, outcome.findings) is None:
            return _holds(outcome)
    best: tuple[int, Outcome, str] | None = None
    tries = 0
    for proposed in _drafts(bench, finding):
        if tries == TRIES_PER_FINDING:
            break
        solved = bench.tried(proposed)
        if solved is None:
            return Mend(words=proposed.words, tries=0) if best is None else _stands(best, tries)
        tries += 1
        weight, against = _against(finding, before, solved)
        if not against:
            return _holds(solved)
        if best is None or weight < best[0]:
            best = (weight, solved, against)
    if best is None:
        return None
    return _with_what_follows(bench, finding, best[1]) or _stands(best, tries)


def _stands(best: tuple[int, Outcome, str], tries: int) -> Mend:
    return Mend(words=best[1].draft.words, tries=tries, against=best[2])


def _with_what_follows(bench: Bench, finding: Finding, best: Outcome) -> Mend | None:
    """The best proposal with what mends all it brings: a reservoir raised, and a longer hose to it."""
    before = bench.prepared.findings
    if best.fault or left(finding, before, best.findings) is not None:
        return None
    new = brought(before, best.findings)
    if len({(f.code, f.where) for f in new}) != 1:
        return None
    for follows in new[0].proposals[:FOLLOWING]:
        both = draft(_joined(best.draft, follows), bench.prepared.file.source, bench.prepared.file.job)
        solved = None if both is None else bench.tried(both)
        if solved is not None and not _against(finding, before, solved)[1]:
            return _holds(solved)
    return None


def _joined(first: Draft, second: Proposal) -> Proposal:
    # how far the second moves its value was counted from where the first left it
    words = f"{first.words}, and {second.words.replace(', by {by}', '').replace(' by {by}', '')}"
    return Proposal(words=words.replace("{by} ", ""), steps=(*first.proposal.steps, *second.steps))


def _drafts(bench: Bench, finding: Finding) -> list[Draft]:
    """What the finding's proposals give in the spec, then those looked for in the parameters of its part."""
    found: dict[str, Draft] = {}
    proposals: Sequence[Proposal] = (*finding.proposals, *bench.parts.proposals(finding))
    for proposal in proposals:
        one = draft(proposal, bench.prepared.file.source, bench.prepared.file.job)
        if one is not None:
            found.setdefault(one.text, one)
    return list(found.values())


def _against(finding: Finding, before: Sequence[Finding], outcome: Outcome) -> tuple[int, str]:
    """How much stands against an outcome, and its gravest in words; empty when it clears the finding."""
    if outcome.fault:
        return 1000, outcome.fault
    new = brought(before, outcome.findings)
    still = left(finding, before, outcome.findings)
    if new:
        worst = max(new, key=lambda f: f.severity.rank)
        weight = sum(10 if f.severity is Severity.FAIL else 1 for f in new) + (100 if still else 0)
        others = f", and {len(new) - 1} more" if len(new) > 1 else ""
        return weight, f"brings {worst.code} {worst.where}: {worst.found}, limit {worst.wanted}{others}"
    worse = [] if still else worsened(before, outcome.findings)
    if worse:
        return 50, f"makes {worse[0].code} {worse[0].where} worse: {worse[0].found}, limit {worse[0].wanted}"
    if still:
        return 100, f"leaves it at {still.found}, limit {still.wanted}"
    return 0, ""


def solved_again(prepared: Prepared, proposed: Draft) -> Prepared:
    """The job of a draft's text, solved as ``prepared`` was. Raises as ``prepare`` does."""
    solved = prepare(
        prepared.file.spec_path,
        results=prepared.results,
        text=proposed.text,
        variant=prepared.file.form.name,
    )
    return released(solved) if prepared.released else solved


def _outcome(prepared: Prepared, proposed: Draft) -> Outcome:
    try:
        solved = solved_again(prepared, proposed)
    except SpecError as error:
        fault = error.faults[0]
        return Outcome(
            draft=proposed, fault=f"gives {fault.path or 'a spec'} {fault.found}, expected {fault.expected}"
        )
    except PedalplateError as error:
        return Outcome(draft=proposed, fault=f"cannot be solved: {error}")
    return Outcome(draft=proposed, findings=solved.findings)
