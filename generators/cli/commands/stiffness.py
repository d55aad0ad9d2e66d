"""``pedalplate stiffness``: will the hanger flex, where, and what would be the cheapest cure."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import click

from generators.cli.options import input_argument, json_option, variant_option
from generators.cli.output import EXIT_CHECK, EXIT_OK, print_json, say, stdout
from generators.figures import fixed

if TYPE_CHECKING:
    from generators.strength.joint.uses import JointSheet
    from generators.strength.result import BracketResult, CaseResult

COLUMNS = 100


@click.command()
@input_argument()
@variant_option()
@click.option("--part", "parts", multiple=True, metavar="NAME", help="Just this part; may be repeated.")
@click.option("--no-changes", is_flag=True, help="Do not try changes: a few times quicker.")
@json_option("Everything as JSON on stdout.")
def stiffness(spec: Path, variant: str, parts: tuple[str, ...], no_changes: bool, as_json: bool) -> int:
    """Solve the loaded brackets of SPEC by finite elements: movement at the pad, stress, cheap changes.

    \b
    pedalplate stiffness specs/wrenfield_van.toml
    pedalplate stiffness specs/tarn_special.toml --part pedal_box --no-changes

    Needs the solver: pip install 'pedalplate[stiffness]'. Linear static estimate; proof-test before use.
    """
    from generators.checks.pedal.stiffness import check_results
    from generators.jobs.stiffness import solve_job
    from generators.model.findings import Severity
    from generators.solve.brackets.joints import joint_findings, joint_loads, joint_sheets, judged_bolts
    from generators.solve.job import prepare
    from generators.strength.result import CAUTIONS, as_data

    prepared = prepare(spec, variant=variant)
    results = solve_job(prepared, parts, lambda what: say(what, err=True), changes=not no_changes)
    if not results:
        raise click.UsageError(f"{spec} has no [[load]] and no pedal on a hanger: there is nothing to solve")
    over = any(c.kind == "normal" and c.most_moved_mm > r.limit_mm for r in results for c in r.cases)
    over = over or any(f.severity is Severity.FAIL for f in check_results(results, prepared.file.job.limits))
    names = {r.part for r in results}
    loaded = [b for b in prepared.loaded if b.part.spec.name in names]
    judged = {
        b.part.spec.name: judged_bolts(prepared.file, b, prepared.parts, prepared.layouts, prepared.bolted)
        for b in loaded
    }
    carried = joint_loads(loaded, results)
    bolts = list(joint_findings(prepared.file, loaded, judged, carried, results))
    over = over or any(f.severity is Severity.FAIL for f in bolts)
    if as_json:
        print_json(
            {
                "ok": not over,
                "revision": prepared.file.revision,
                "parts": as_data(results),
                "cautions": CAUTIONS,
            }
        )
        return EXIT_CHECK if over else EXIT_OK
    console = stdout()
    for result in results:
        for line in screen(result):
            console.print(line, markup=False)
        console.print()
    for sheet in joint_sheets(prepared.file, loaded, judged, carried, results):
        for line in bolt_lines(sheet):
            console.print(line, markup=False)
        console.print()
    for found in bolts:
        for line in _wrapped(f"{found.severity.value} {found.code} {found.where}: {found.found}"):
            console.print(line, markup=False)
    for line in CAUTIONS:
        console.print(line, markup=False)
    return EXIT_CHECK if over else EXIT_OK


def screen(result: BracketResult) -> Iterator[str]:
    """The lines of one part, at most 100 characters each."""
    yield f"{result.title} ({result.part}): {result.material}, {result.thickness_mm:g} mm"
    yield from _wrapped(
        f"E {result.e_mpa / 1000:g} GPa, nu {result.poisson:g}, yield {result.yield_mpa:g} MPa "
        f"({result.trust}: {result.source})"
    )
    yield from _wrapped(f"held by {result.held}")
    sizes = ", ".join(f"{s.elements} ({s.unknowns} unknowns)" for s in result.steps)
    yield from _wrapped(
        f"meshes of tetrahedra: {sizes}; the last one changed the movement by {result.change:.1%}"
    )
    yield ""
    heads = f"{'case':<18}{'force':>8}{'moves':>10}{'error':>8}{'peak':>10}{'more':>7}{'factor':>8}"
    yield f"  {heads}  lost at the bearing"
    for case in result.cases:
        yield _row(case)
    for gauge in result.gauges:
        yield (
            f"  {gauge.thickness_mm:g} mm sheet: {gauge.moved_mm:.2f} mm of {result.limit_mm:g} mm, "
            f"factor on yield {gauge.factor:.2f}, {gauge.words}"
        )
    if result.changes:
        yield ""
        yield "  changes, each computed again (one refinement), the most mm per kg first"
        yield f"  {'change':<34}{'moves':>10}{'saves':>10}{'adds':>9}{'mm per kg':>11}{'factor':>8}"
        for c in result.changes:
            per = fixed(c.per_gram * 1000, 3) if c.added_g > 0 else "free"
            yield (
                f"  {c.text:<34}{c.moved_mm:>7.2f} mm{c.saved_mm:>7.3f} mm{c.added_g:>7.0f} g"
                f"{per:>11}{c.factor:>8.2f}"
            )


def bolt_lines(sheet: JointSheet) -> Iterator[str]:
    """What the bolts of one part carry at worst, and by what factor they hold."""
    yield f"bolts of {sheet.title} ({sheet.part}); least factor asked {sheet.limit:g}"
    yield f"  {'bolt':<14}{'pull':>9}{'shear':>9}{'bolt':>8}{'hole':>8}{'sheet':>8}  worst case"
    for use in sheet.uses:
        factors = "".join(
            f"{'-' if f is None else '>99' if f > 99 else f'{fixed(f, 2)}':>8}"
            for f in (use.strength, use.bearing, use.pull_through)
        )
        row = f"  {use.hole:<14}{use.pull_n:>7.0f} N{use.shear_n:>7.0f} N{factors}  "
        yield from textwrap.wrap(row + use.case, COLUMNS, subsequent_indent=" " * len(row))
    if sheet.give:
        yield from _wrapped(sheet.give)


def _row(case: CaseResult) -> str:
    lost = f"{case.lost_mm:.2f} mm" if case.lost_mm is not None and case.kind == "normal" else ""
    return (
        f"  {case.name:<18}{case.force_n:>6.0f} N{case.moved_mm:>7.2f} mm{case.error:>8.1%}"
        f"{case.peak_mpa:>6.0f} MPa{' +?' if case.peak_error is None else f' +{case.more_words}':>7}"
        f"{case.factor:>8.2f}  {lost}"
    ).rstrip()


def _wrapped(text: str) -> list[str]:
    return textwrap.wrap(text, COLUMNS, initial_indent="  ", subsequent_indent="  ")
