"""The quick answer of ``check`` beside finite elements on small meshes, over parts drawn at random.

``python tests/bench/bench_quick.py KIND FIRST LAST`` prints the counts.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from pathlib import Path

from checks.solved_cases import CASE
from strength import random_brackets, random_hangers

from generators.checks.pedal.stiffness import JudgedCase, check_estimate, check_results
from generators.model.limits import Limits
from generators.solids.brep import brep_text
from generators.solve.brackets.cases import Bracket
from generators.solve.brackets.estimates import Estimate, estimates
from generators.standards import material
from generators.strength.problem import Answer
from generators.strength.run import run

UNKNOWNS = 45_000


@dataclass(slots=True, kw_only=True)
class Tally:
    """Counts over load cases: ``least_…`` is the smallest quick figure over the solver's, with where it was.

    A false pass is a case the solver's rules complain of and the quick answer is silent on; a false warning or a
    false fail is the other way round.
    """

    cases: int = 0
    bad: int = 0
    least_moved: float = 9.0
    least_stress: float = 9.0
    most_moved: float = 0.0
    most_stress: float = 0.0
    where: dict[str, str] = field(default_factory=dict)
    false_passes: int = 0
    false_warnings: int = 0
    false_fails: int = 0


def solved(bracket: Bracket) -> Answer:
    """Finite elements on the first mesh alone."""
    problem = bracket.problem(brep_text(bracket.part.plan), surface=False)
    return run(replace(problem, passes=0, unknowns=UNKNOWNS, sure=False))


def compare(kind: str, seeds: Iterable[int], folder: Path) -> Tally:
    """The tally over those seeds."""
    tally = Tally()
    drawn = random_brackets.drawn if kind in random_brackets.KINDS else random_hangers.drawn
    for seed in seeds:
        bracket = drawn(kind, seed, folder)
        add(tally, bracket, estimates(bracket), solved(bracket), f"{kind} {seed}")
    return tally


def add(tally: Tally, bracket: Bracket, answers: tuple[Estimate, ...], answer: Answer, where: str) -> None:
    """One part into the tally."""
    limits, row = Limits(), material(bracket.part.plan.material)
    for case, quick, found in zip(bracket.cases, answers, answer.cases, strict=True):
        moved = found.work_nmm / case.force_n
        tally.cases += 1
        for key, value, worse in (
            ("least_moved", quick.moved_mm / moved, min),
            ("most_moved", quick.moved_mm / moved, max),
            ("least_stress", quick.stress_mpa / found.peak_mpa, min),
            ("most_stress", quick.stress_mpa / found.peak_mpa, max),
        ):
            if worse(value, getattr(tally, key)) != getattr(tally, key):
                setattr(tally, key, value)
                tally.where[key] = f"{where} {case.name}"
        judged = JudgedCase(
            name=case.name,
            kind=case.kind,
            what=case.what,
            moved_mm=quick.moved_mm,
            stress_mpa=quick.stress_mpa,
            yield_mpa=row.yield_mpa,
        )
        said = list(check_estimate("p", [judged], limits))
        true = list(judge_solved(judged, moved, found.peak_mpa, limits))
        grave = any(f.severity.value == "fail" for f in said)
        tally.bad += bool(true)
        tally.false_passes += bool({f.code for f in true} - {f.code for f in said})
        tally.false_fails += grave and not any(f.severity.value == "fail" for f in true)
        tally.false_warnings += bool(said) and not grave and not true


def judge_solved(case: JudgedCase, moved: float, peak: float, limits: Limits):  # type: ignore[no-untyped-def]
    """What the rules on finite elements say of one case."""
    from generators.strength.result import BracketResult

    result = BracketResult(
        part="p", title="P", material="", thickness_mm=1.0, e_mpa=1.0, poisson=0.3, yield_mpa=case.yield_mpa,
        source="", trust="", held="", steps=(), change=0.0, limit_mm=0.0,
        cases=(
            replace(
                CASE, name=case.name, kind=case.kind, what=case.what, moved_mm=moved, peak_mpa=peak,
                factor=case.yield_mpa / peak,
            ),
        ),
    )  # fmt: skip
    return check_results([result], limits)
