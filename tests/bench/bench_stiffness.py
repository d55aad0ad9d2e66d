"""How long the demo's hanger takes to solve, how much memory, and what one more refinement changes.

    python tests/bench/bench_stiffness.py

Asked of the demo hanger: well under 30 s on two free cores, under 2 GiB (1 GiB for the coarse mesh of the tests), a
change under 2 % with one more refinement. Prints; asserts nothing.
"""

from __future__ import annotations

import resource
import time
from dataclasses import replace
from pathlib import Path

from generators.jobs.stiffness import leading_case
from generators.solids.brep import brep_text
from generators.solve.brackets.cases import brackets
from generators.solve.job import prepare
from generators.strength.problem import UNKNOWNS
from generators.strength.run import run

SPEC = Path(__file__).parents[2] / "specs" / "wrenfield_van.toml"


def main() -> None:
    """Solve with two refinements, then with three."""
    prepared = prepare(SPEC)
    bracket = brackets(prepared.file, prepared.parts, prepared.pedals)[0]
    problem = bracket.problem(brep_text(bracket.part.plan))
    lead = leading_case(bracket)
    moved = []
    for passes, unknowns in ((2, UNKNOWNS), (3, 3 * UNKNOWNS // 2)):
        before = resource.getrusage(resource.RUSAGE_CHILDREN)
        began = time.perf_counter()
        answer = run(replace(problem, passes=passes, unknowns=unknowns, surface=passes == 2))
        wall = time.perf_counter() - began
        after = resource.getrusage(resource.RUSAGE_CHILDREN)
        cpu = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
        step, case = answer.steps[-1], bracket.cases[lead]
        moved.append(answer.cases[lead].work_nmm / case.force_n)
        print(
            f"{passes} refinements: {step.elements} tetrahedra, {step.unknowns} unknowns, {wall:.1f} s wall, "
            f"{cpu:.1f} s of one core, {answer.memory_mib:.0f} MiB; {case.name} moves {moved[-1]:.4f} mm "
            f"(estimated error {step.error[lead] ** 2:.1%}, last refinement {answer.change:.1%})"
        )
    print(
        f"one more refinement changes the movement by {abs(moved[1] - moved[0]) / moved[1]:.2%} (asked: under 2 %)"
    )


if __name__ == "__main__":
    main()
