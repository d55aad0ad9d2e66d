"""What the quick answer leaves open is solved before a job is released; what was solved is taken again."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path

from generators.errors import ReadBackError, SolverFault, SolverMissing
from generators.issue.digest import made_with
from generators.issue.manifest import Manifest, file_hash, read_manifest
from generators.jobs.make import stiffness_file, stiffness_shapes
from generators.jobs.stiffness import kept, solve_job
from generators.solve.job import Prepared, prepare
from generators.solve.release import released
from generators.strength.result import BracketResult

TRIED = ("bracket-yield", "bracket-deflection", "bolt-strength", "bolt-bearing", "bolt-pull-through")
"""Rules of which finite elements know better: what they fail by the quick answer may still hold."""


def settled(
    prepared: Prepared, folders: Sequence[Path], progress: Callable[[str], None]
) -> tuple[Prepared, tuple[str, ...]]:
    """The job ready for release, with what finite elements give of the parts the quick answer leaves open,
    and what to say where they give nothing.

    ``folders`` are finished ones whose answers are taken if they are to the same questions. A job that fails
    by another rule is not solved. Raises ``SpecError`` for loads that fit no part.
    """
    done = {r.part for r in prepared.results}
    fails = {
        f.where.split()[0].removeprefix("part:") for f in prepared.findings if f.blocks and f.code in TRIED
    }
    names = [n for n, words in prepared.unsettled.items() if n not in done and (words or n in fails)]
    if not names or any(f.blocks and f.code not in TRIED for f in prepared.findings):
        return released(prepared), ()
    try:
        known = [r for folder in folders for r in known_results(folder)]
        more = kept(solve_job(prepared, names, progress, changes=False, known=known))
    except (SolverMissing, SolverFault) as error:
        return released(prepared), (f"not settled by finite elements: {error}",)
    found = {r.part: r for r in (*prepared.results, *more)}
    # in the order of the job's parts, as the folder is read back
    results = [found[b.part.spec.name] for b in prepared.loaded if b.part.spec.name in found]
    return released(again_with(prepared, results)), ()


def again_with(prepared: Prepared, results: Sequence[BracketResult]) -> Prepared:
    """The same job with what finite elements gave. Raises what ``prepare`` raises."""
    file = prepared.file
    return prepare(file.spec_path, prepared.waivers, results, variant=file.form.name)


def known_results(folder: Path) -> tuple[BracketResult, ...]:
    """What finite elements gave for a finished folder; nothing where it is not sound or another program's."""
    try:
        manifest = read_manifest(folder)
        if manifest.content.get("made_with") != made_with():
            return ()
        solved = _sound(folder, manifest, stiffness_file.KIND)
        results = stiffness_file.read_results(solved) if solved is not None else ()
        shapes = _sound(folder, manifest, stiffness_shapes.KIND)
        return stiffness_shapes.with_shapes(results, shapes) if shapes is not None else results
    except (OSError, ReadBackError):
        return ()


def _sound(folder: Path, manifest: Manifest, kind: str) -> Path | None:
    """The file of a kind, if its bytes are those it was made with."""
    entry = manifest.of_kind(kind)
    if entry is None or file_hash(folder / entry.path) != entry.sha256:
        return None
    return folder / entry.path
