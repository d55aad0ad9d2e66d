"""The quick answer: each load case by thin plates; and what finite elements gave put back into the job."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import TYPE_CHECKING

from generators.checks.pedal.stiffness import (
    BRACKET_YIELD,
    JudgedCase,
    check_estimate,
    check_gauge_waiting,
    check_results,
    check_unknown,
)
from generators.errors import GeometryFault
from generators.figures import fixed
from generators.model.findings import Finding, Severity
from generators.model.plan import PartPlan
from generators.model.spec.hydraulics import Pedal
from generators.reading import JobFile
from generators.reading.reader import REVISION_DIGITS
from generators.solve.brackets.cases import Bracket, BracketCase, bores_of
from generators.solve.brackets.rack import stronger
from generators.standards import material
from generators.strength.bores import BoreForce, Hold
from generators.strength.corners import sharp_corners
from generators.strength.plates.folded import folded_plates, quick
from generators.strength.statics import pulls

if TYPE_CHECKING:
    from generators.strength.result import BracketResult


@dataclass(frozen=True, slots=True, kw_only=True)
class Estimate:
    """A quick answer: movement at the force along it (mm), the largest stress that counts (MPa)."""

    moved_mm: float
    stress_mpa: float


def estimates(bracket: Bracket) -> tuple[Estimate, ...]:
    """Every case of a part by the quick answer; none where plates cannot say."""
    cases = tuple((c.forces, c.force_n) for c in bracket.cases)
    try:
        return _solved(bracket.part.plan, bracket.holds, cases)
    except GeometryFault:
        return ()


@lru_cache(maxsize=64)
def _solved(
    plan: PartPlan, holds: tuple[Hold, ...], cases: tuple[tuple[tuple[BoreForce, ...], float], ...]
) -> tuple[Estimate, ...]:
    """Kept, since trying what rules propose solves the same part many times."""
    row = material(plan.material)
    plates = folded_plates(plan, holds, row.e_mpa, row.poisson)
    bores, sharp = {b.name: b for b in bores_of(plan)}, sharp_corners(plan)
    heads = {f.bore for forces, _ in cases for f in forces if pulls(bores[f.bore], f)}
    found = quick(plates, [forces for forces, _ in cases], holds, sorted(heads), sharp)
    return tuple(
        Estimate(moved_mm=one.work_nmm / size, stress_mpa=one.peak_mpa)
        for one, (_, size) in zip(found, cases, strict=True)
    )


def _answered(bracket: Bracket, answers: Sequence[Estimate]) -> Iterator[tuple[BracketCase, Estimate]]:
    """Each case with its answer; nothing where there is none."""
    return zip(bracket.cases, answers, strict=True) if answers else iter(())


def judged_cases(bracket: Bracket, answers: Sequence[Estimate]) -> list[JudgedCase]:
    """The cases of a part as the rules see them."""
    return [
        JudgedCase(
            name=case.name,
            kind=case.kind,
            what=case.what,
            moved_mm=answer.moved_mm,
            stress_mpa=answer.stress_mpa,
            yield_mpa=material(bracket.part.spec.material).yield_mpa,
        )
        for case, answer in _answered(bracket, answers)
    ]


def part_findings(file: JobFile, bracket: Bracket, results: Sequence[BracketResult]) -> Iterator[Finding]:
    """What the rules say of a part: by finite elements where it was solved, else by the quick answer, and
    whether its gauge waits for them."""
    spec, limits = bracket.part.spec, file.job.limits
    solved = [r for r in results if r.part == spec.name]
    if solved:
        yield from _told_once(file, bracket, check_results(solved, limits))
        return
    answers = estimates(bracket)
    if not answers:
        yield check_unknown(spec.name)
    yield from _told_once(file, bracket, check_estimate(spec.name, judged_cases(bracket, answers), limits))
    if spec.gauge == "stiff enough":
        yield check_gauge_waiting(spec.name, spec.thickness_mm)


def _told_once(file: JobFile, bracket: Bracket, findings: Iterable[Finding]) -> Iterator[Finding]:
    """The findings, those on yield as one: the gravest case with its words, the others by their factors. What
    is tried on it is another sheet of the rack, since one sheet is all of a part's cases."""
    every = list(findings)
    yields = [f for f in every if f.code == BRACKET_YIELD.code and f.value and f.limit]
    yield from (f for f in every if f not in yields)
    if yields:
        worst, *others = sorted(yields, key=lambda f: (f.severity is not Severity.FAIL, _share(f)))
        also = "".join(f"; {_case(f)} {fixed(f.value or 0.0, 2)}, to be sure {f.limit:g}" for f in others)
        yield replace(
            worst,
            where=f"part:{bracket.part.spec.name}",
            found=f"{_case(worst)}: {worst.found}{also}",
            proposals=stronger(file, bracket.part.spec, max(1 / _share(f) for f in yields)),
        )


def _share(found: Finding) -> float:
    return (found.value or 0.0) / (found.limit or 1.0)


def _case(found: Finding) -> str:
    return found.where.rsplit(maxsplit=1)[-1]


def estimated_flex(pedal: Pedal, found: Sequence[Bracket]) -> float:
    """Give of the pedal's hanger at the pin along the cylinder's axis by the quick answer, mm/N, or 0."""
    for bracket in found:
        if bracket.part.spec.name != pedal.hanger:
            continue
        for case, answer in _answered(bracket, estimates(bracket)):
            if case.pedal == pedal.name and case.kind == "normal" and case.rod_n > 0:
                return answer.moved_mm * case.force_n / case.rod_n**2
    return 0.0


def with_flex(file: JobFile, flex: dict[str, float]) -> JobFile:
    """The job with each pedal's bracket giving so much more (mm/N), and no longer to be computed."""
    pedals = tuple(
        replace(p, bracket_flex_mm_per_n=p.bracket_flex_mm_per_n + flex[p.name], hanger_flex="none")
        if p.name in flex
        else p
        for p in file.job.pedal
    )
    return replace(file, job=replace(file.job, pedal=pedals))


def with_results(file: JobFile, results: Sequence[BracketResult]) -> JobFile:
    """The job with what finite elements chose: gauges, and the give of hangers that is to be computed.

    The revision then also depends on them, so sheets of the two kinds of job cannot be mixed unseen.
    """
    if not results:
        return file
    from generators.strength.result import as_data  # noqa: PLC0415  (a check has none)

    sheet = {r.part: r.thickness_mm for r in results if r.gauges}
    parts = tuple(replace(p, thickness_mm=sheet.get(p.name, p.thickness_mm)) for p in file.job.part)
    flex = {
        case.pedal: case.flex_mm_per_n
        for r in results
        for case in r.cases
        for p in file.job.pedal
        if p.name == case.pedal and p.hanger_flex == "computed" and case.kind == "normal"
    }
    content = json.dumps([file.revision, as_data(results)], sort_keys=True)
    revision = hashlib.sha256(content.encode()).hexdigest()[:REVISION_DIGITS]
    changed = with_flex(replace(file, job=replace(file.job, part=parts)), flex)
    return replace(changed, revision=revision)
