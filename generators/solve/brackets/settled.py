"""Which loaded parts nobody has shown to hold, and what of them is open."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from generators.checks.joint.bolt_loads import check_bolt_loads
from generators.checks.pedal.stiffness import check_estimate, check_results
from generators.model.findings import Finding, Severity
from generators.reading import JobFile
from generators.solve.brackets.cases import Bracket
from generators.solve.brackets.estimates import estimates, judged_cases
from generators.solve.brackets.joints import hand_range
from generators.strength.joint.uses import JudgedBolt, JudgedLoad

if TYPE_CHECKING:
    from generators.strength.result import BracketResult

STRUCTURE = "structure"


def open_parts(
    file: JobFile,
    found: Sequence[Bracket],
    bolts: Mapping[str, Sequence[JudgedBolt]],
    carried: Mapping[str, Sequence[JudgedLoad]],
    results: Sequence[BracketResult],
) -> dict[str, tuple[str, ...]]:
    """The parts of which only finite elements can say that they hold and have not, with what is open of each.
    ``carried`` are the ``joint_loads``.

    What fails as it is has a finding of its own: such a part has no words where nothing else is open. A
    structure-only case holds nothing back.
    """
    solved = {r.part: r for r in results}
    out = {}
    for bracket in found:
        name = bracket.part.spec.name
        if name in solved:
            said = tuple(_by_solver(file, solved[name]))
        else:
            said = tuple(_by_hand(file, bracket, bolts[name], carried[name]))
        if said:
            out[name] = tuple(words for words, fails in said if not fails)
    return out


def _by_solver(file: JobFile, result: BracketResult) -> Iterator[tuple[str, bool]]:
    """What even finite elements are not sure of; what fails by them fails by a rule of its own."""
    cases = tuple(c for c in result.cases if c.kind != STRUCTURE)
    for found in check_results([replace(result, cases=cases, gauges=())], file.job.limits):
        if found.severity is Severity.WARN:
            yield _said(found)


def _by_hand(
    file: JobFile, bracket: Bracket, bolts: Sequence[JudgedBolt], carried: Sequence[JudgedLoad]
) -> Iterator[tuple[str, bool]]:
    """Words, and whether it fails as it is."""
    name, limits, answers = bracket.part.spec.name, file.job.limits, estimates(bracket)
    if not answers:
        yield "no quick answer", False
    cases = [c for c in judged_cases(bracket, answers) if c.kind != STRUCTURE]
    yield from map(_said, check_estimate(name, cases, limits))
    loads = [load for load in carried if load.kind != STRUCTURE]
    if bolts and not all(load.forces for load in loads):
        yield "no hand calculation of its bolts", False
    for found in check_bolt_loads(name, loads, bolts, limits, low=hand_range(bracket)):
        if found.severity is not Severity.NOTE:
            yield _said(found)


def _said(finding: Finding) -> tuple[str, bool]:
    where = finding.where.split(maxsplit=1)[-1]
    return f"{where}: {finding.found}", finding.severity is Severity.FAIL
