"""``stiffness.json``: what finite elements gave, kept beside the files that were made with it."""

from __future__ import annotations

import json
import math
from collections.abc import Sequence
from functools import partial
from pathlib import Path

from generators.errors import ReadBackError
from generators.issue.artefact import Artefact
from generators.issue.manifest import Entry, Manifest
from generators.solve.brackets.asked import plan_name
from generators.solve.brackets.joints import held_bolts
from generators.solve.brackets.loaded import loaded_brackets
from generators.solve.job import Prepared
from generators.standards import material
from generators.strength.result import CAUTIONS, BracketResult, as_data, from_data
from generators.verify.readback import ReadBack

NAME = "stiffness.json"
KIND = "stiffness"
BALANCE = 1e-4
"""Work against twice the energy, and bolts' pulls against the force, as a share: all carry six digits."""


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


def kept_results(folder: Path, manifest: Manifest) -> tuple[BracketResult, ...]:
    """What a finished folder says was solved; nothing where nothing was. Raises as ``read_results``."""
    solved = manifest.of_kind(KIND)
    return read_results(folder / solved.path) if solved is not None else ()


def _write(path: Path, *, results: tuple[BracketResult, ...]) -> None:
    path.write_bytes(results_text(results).encode())


Wanted = tuple[str, str, float, float, float, tuple[tuple[str, str], ...], str]
"""Part, material, thickness (mm), E and yield (MPa), name and words of each case, and the plan's name."""


Pulls = tuple[str, tuple[str, ...], tuple[float, ...], tuple[float, ...]]
"""Part, the holes it is held by, and per case the force off the panel (N; empty where braces hold it as
well) and the sum of all forces' sizes."""


def artefact(prepared: Prepared) -> Artefact:
    """The file of a job that was solved, read back against the brackets its spec loads."""
    wanted, pulls = [], []
    for bracket in loaded_brackets(prepared.file, prepared.parts, prepared.pedals, prepared.bolted):
        plan, row = bracket.part.plan, material(bracket.part.plan.material)
        cases = tuple((c.name, c.what) for c in bracket.cases)
        bolts = held_bolts(bracket)
        # what comes off the panel must be what its bolts hold, where nothing else holds the part
        pulls.append(
            (
                bracket.part.spec.name,
                tuple(b.hole for b in bolts),
                tuple(sum(f.force[2] for f in c.forces) for c in bracket.cases)
                if all(b.lies for b in bolts)
                else (),
                tuple(sum(math.dist((0, 0, 0), f.force) for f in c.forces) for c in bracket.cases),
            )
        )
        wanted.append(
            (
                bracket.part.spec.name,
                plan.material,
                plan.thickness_mm,
                row.e_mpa,
                row.yield_mpa,
                cases,
                plan_name(plan),
            )
        )
    return Artefact(
        entry=Entry(path=NAME, kind=KIND, units="mm"),
        body=partial(_write, results=prepared.results),
        read=partial(read_stiffness, rel=NAME, wanted=tuple(wanted), pulls=tuple(pulls)),
        revised=False,
    )


def read_stiffness(
    path: Path, *, rel: str, wanted: Sequence[Wanted], pulls: Sequence[Pulls] = ()
) -> ReadBack:
    """The file against the plan: the same parts, sheets, materials and load cases, and forces whose work is
    twice the energy they leave in the metal."""
    try:
        results = read_results(path)
    except ReadBackError as error:
        return ReadBack(path=rel, problems=(str(error),))
    problems: list[str] = []
    if path.read_bytes() != results_text(results).encode():
        problems.append("is not written as this program writes it")
    by_part = {row[0]: row for row in wanted}
    there = [r.part for r in results]
    # what the quick answer settles need not be solved
    if not there or there != [name for name in by_part if name in there]:
        problems.append(f"is of parts {there}, the spec loads {list(by_part)}")
    for result in results:
        row = by_part.get(result.part)
        if row is None:
            continue
        said = (
            result.part,
            result.material,
            result.thickness_mm,
            result.e_mpa,
            result.yield_mpa,
            tuple((c.name, c.what) for c in result.cases),
            result.plan,
        )
        for what, mine, right in zip(_WHAT, said, row, strict=True):
            if mine != right:
                problems.append(f"{result.part}: says {what} {mine}, the plan {right}")
        problems += [f"{result.part}: {p}" for p in _unbalanced(result)]
        problems += [
            f"{result.part}: {p}" for row in pulls if row[0] == result.part for p in _unheld(result, row)
        ]
    facts = tuple(f"{r.part}: {len(r.cases)} cases, work twice the energy" for r in results)
    return ReadBack(path=rel, facts=facts, problems=tuple(problems))


_WHAT = ("part", "material", "thickness", "E", "yield", "cases", "plan")


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


def _unheld(result: BracketResult, row: Pulls) -> list[str]:
    """Bolts that are not the part's, and cases whose bolts do not hold what pulls the part off."""
    _, holes, off, sizes = row
    out = []
    for k, case in enumerate(result.cases):
        if tuple(b.hole for b in case.bolts) != holes:
            out.append(f"case {case.name}: bolts {[b.hole for b in case.bolts]}, the plan has {list(holes)}")
        elif off and abs(sum(b.pull_n for b in case.bolts) - off[k]) > BALANCE * sizes[k]:
            held = sum(b.pull_n for b in case.bolts)
            out.append(f"case {case.name}: bolts hold {held:.1f} N of {off[k]:.1f} N off the panel")
    return out
