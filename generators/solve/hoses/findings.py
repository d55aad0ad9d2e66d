"""What the rules say of the lines of a job."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from generators.checks.hose.cases import ChainCase, HoseCase
from generators.checks.hose.hoses import check_chain, check_hose
from generators.checks.hose.places import check_order
from generators.layout.spots import place
from generators.model.changes import Proposal
from generators.model.findings import Finding
from generators.model.hose_results import Clearance
from generators.model.spec.job import Job
from generators.model.spec.lines import Component
from generators.reading.keys.lines import split_port
from generators.solve.hoses.aside import in_its_own_air
from generators.solve.hoses.lines import (
    HoseAnswer,
    LinesAnswer,
    end_moves,
    hose_outside,
    hose_radius,
    straight_run,
)
from generators.solve.hoses.order import loop_words

Passed = Mapping[str, tuple[tuple[Clearance, tuple[Proposal, ...]], ...]]
"""By hose, its gaps to bolts and fittings with what may be moved aside."""


def line_findings(answer: LinesAnswer, job: Job, passed: Passed) -> list[Finding]:
    """Findings of all hoses, of the runs they make and of the order of work. Raises nothing."""
    cases = {hose.spec.name: hose_case(hose, job, passed) for hose in answer.hoses}
    found: list[Finding] = []
    for case in cases.values():
        found += check_hose(case, job.limits)
    for names in answer.chains:
        found += check_chain(_chain(answer, job, tuple(cases[name] for name in names)), job.limits)
    return found + check_order(loop_words(answer.order, answer.titles))


def hose_case(hose: HoseAnswer, job: Job, passed: Passed) -> HoseCase:
    """One hose as the rules look at it."""
    spec = hose.spec
    clamps = {clamp.name: clamp for clamp in job.clamp}
    told = in_its_own_air(job, spec, hose.clearances)
    return HoseCase(
        spec=spec,
        path=hose.path,
        outside_mm=hose_outside(spec),
        radius_mm=hose_radius(spec),
        straight_mm=straight_run(spec, job.limits),
        length=hose.length,
        clamps=tuple(clamps[name] for name in spec.clamps if clamps[name].fastener != "grommet"),
        clearances=tuple(gap for gap in hose.clearances if gap not in told),
        passed=passed.get(spec.name, ()),
        planes=hose.planes,
        sag=hose.sag,
        moves_mm=end_moves(spec, job),
        dashes=(hose.start.dash, hose.end.dash),
        avoids=hose.avoids,
        tried=hose.tried,
        measure_why=hose.measure_why,
    )


def _chain(answer: LinesAnswer, job: Job, cases: tuple[HoseCase, ...]) -> ChainCase:
    last = split_port(cases[-1].spec.to)[0]
    reservoir = next((c for c in job.component if c.name == last and c.kind == "reservoir"), None)
    names = tuple(case.spec.name for case in cases)
    ends = [end for case in cases for end in (case.spec.from_, case.spec.to)]
    return ChainCase(
        hoses=cases,
        profile=answer.profiles.get(names),
        # what the reservoir feeds: every port of the run but its own
        ports=tuple((end, answer.ports[end].position[2]) for end in ends if split_port(end)[0] != last),
        reservoir=last if reservoir is not None else "",
        level_mm=None if reservoir is None else level_height(answer, reservoir),
    )


def level_height(answer: LinesAnswer, reservoir: Component) -> float | None:
    """Height of a reservoir's lowest fluid level in the vehicle, mm; None where the spec says none."""
    if reservoir.level_mm is None:
        return None
    where = place(reservoir.on, answer.sheets)
    return float(where.frame[2, 3]) + reservoir.level_mm


def chain_components(job: Job, names: tuple[str, ...]) -> Iterator[Component]:
    """The components along a run, from its lowest end up, each once."""
    hoses = {hose.name: hose for hose in job.hose}
    known = {component.name: component for component in job.component}
    ends = [split_port(end)[0] for name in names for end in (hoses[name].from_, hoses[name].to)]
    for name in dict.fromkeys(ends):
        yield known[name]
