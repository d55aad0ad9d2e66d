"""``stiffness.json``: what finite elements gave, kept beside the files that were made with it."""

from __future__ import annotations

import json
import math
from collections.abc import Sequence
from pathlib import Path

from generators.errors import ReadBackError
from generators.solve.brackets.cases import brackets
from generators.solve.job import Prepared
from generators.standards import material
from generators.strength.result import CAUTIONS, BracketResult, as_data, from_data
from generators.verify.readback import ReadBack

NAME = "stiffness.json"
KIND = "stiffness"
BALANCE = 1e-4
"""Work against twice the energy, as a share: both carry six digits."""


def results_text(results: Sequence[BracketResult]) -> str:
    """The file's text."""
    content = {"cautions": CAUTIONS, "parts": as_data(results)}
    return json.dumps(content, indent=1, ensure_ascii=False) + "\n"


def read_results(path: Path) -> tuple[BracketResult, ...]:
    """The results in a file. Raises ``ReadBackError`` when it is not there or holds none."""
    try:
        content = json.loads(path.read_text(encoding="utf-8"))
        return from_data(content["parts"])
    except (OSError, ValueError, KeyError, TypeError, AttributeError, RecursionError) as error:
        raise ReadBackError(path.name, f"cannot be read: {error!r}"[:200]) from None


def read_stiffness(path: Path, prepared: Prepared, rel: str) -> ReadBack:
    """The file against the plan: the same parts, sheets, materials and load cases, and forces whose work is
    twice the energy they leave in the metal."""
    results = read_results(path)
    problems: list[str] = []
    if path.read_text(encoding="utf-8") != results_text(results):
        problems.append("is not written as this program writes it")
    wanted = {b.part.spec.name: b for b in brackets(prepared.file, prepared.parts, prepared.pedals)}
    if [r.part for r in results] != list(wanted):
        problems.append(f"is of parts {[r.part for r in results]}, the spec loads {list(wanted)}")
    for result in results:
        bracket = wanted.get(result.part)
        if bracket is None:
            continue
        plan, row = bracket.part.plan, material(bracket.part.plan.material)
        for what, said, right in (
            ("material", result.material, plan.material),
            ("thickness", result.thickness_mm, plan.thickness_mm),
            ("E", result.e_mpa, row.e_mpa),
            ("yield", result.yield_mpa, row.yield_mpa),
            ("cases", [(c.name, c.what) for c in result.cases], [(c.name, c.what) for c in bracket.cases]),
        ):
            if said != right:
                problems.append(f"{result.part}: says {what} {said}, the plan {right}")
        problems += [f"{result.part}: {p}" for p in _unbalanced(result)]
    facts = tuple(f"{r.part}: {len(r.cases)} cases, work twice the energy" for r in results)
    return ReadBack(path=rel, facts=facts, problems=tuple(problems))


def _unbalanced(result: BracketResult) -> list[str]:
    out = []
    for c in result.cases:
        if not math.isclose(c.work_nmm, 2 * c.energy_nmm, rel_tol=BALANCE):
            out.append(f"case {c.name}: work {c.work_nmm:g} is not twice the energy {c.energy_nmm:g} N mm")
        if not math.isclose(c.moved_mm * c.force_n, c.work_nmm, rel_tol=BALANCE):
            out.append(f"case {c.name}: movement {c.moved_mm:g} mm is not the work over the force")
        if not math.isclose(c.factor * c.peak_mpa, result.yield_mpa, rel_tol=BALANCE):
            out.append(f"case {c.name}: factor {c.factor:g} is not yield over peak")
    return out
