"""``pedalplate make``: the main job."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

import click

from generators.cli.output import EXIT_CHECK, EXIT_OK, bar, print_findings, print_json, say, stdout
from generators.cli.paths import InputPath, OutputPath, SheetWords, Words, require_folder_or_nothing, writing
from generators.errors import SolverMissing, UnitError

if TYPE_CHECKING:
    from generators.solve.job import Prepared
    from generators.strength.result import BracketResult

LARGE_TYPE = 1.4
PAPERS = 'A4, A3, letter, tabloid or roll:WIDTH (like "roll:610 mm")'


def _waivers(codes: tuple[str, ...], reasons: tuple[str, ...]) -> dict[str, str]:
    if codes and not reasons:
        raise click.UsageError('--accept needs --because "reason"')
    if reasons and len(reasons) not in (1, len(codes)):
        raise click.UsageError("give one --because for all, or one for each --accept")
    if any(len(reason.strip()) < 5 for reason in reasons):
        raise click.UsageError("--because needs a reason in words")
    each = reasons * len(codes) if len(reasons) == 1 else reasons
    return dict(zip(codes, each, strict=False))


def _paper(text: str) -> str:
    from generators.drawing.paper.sizes import paper_choice
    from generators.errors import LookupFault

    try:
        paper_choice(text)
    except (LookupFault, UnitError) as error:
        raise click.BadParameter(
            f"{text!r} is no paper; use {PAPERS} ({error})", param_hint="--paper"
        ) from None
    return text


def _solved(prepared: Prepared) -> tuple[tuple[BracketResult, ...], tuple[str, ...]]:
    """What finite elements give for the loaded brackets, and what to say when they do not."""
    from generators.jobs.stiffness import kept, solve_job

    if prepared.blocked:
        return (), ()
    try:
        results = solve_job(prepared, progress=lambda what: say(what, err=True))
    except SolverMissing as error:
        return (), (f"stiffness not computed: {error}",)
    if not results:
        return (), ("stiffness not computed: no [[load]] and no pedal on a hanger",)
    return kept(results), ()


@click.command()
@click.argument("spec", type=InputPath())
@click.option(
    "--out",
    type=OutputPath(),
    default=Path("templates_out"),
    show_default=True,
    help="Folder the job's folder goes into.",
)
@click.option("--only", multiple=True, metavar="NAME", help="Just this part or panel; may be repeated.")
@click.option(
    "--paper",
    type=Words(),
    default="A4",
    show_default=True,
    metavar="PAPER",
    help=f"Template paper: {PAPERS}.",
)
@click.option(
    "--printer",
    type=Words(),
    default="",
    metavar="NAME",
    help="Templates for this calibrated printer of the shop file.",
)
@click.option("--large-type", is_flag=True, help="Labels and tables of the templates in larger letters.")
@click.option("--accept", multiple=True, metavar="CODE", help="Release files although this rule failed.")
@click.option(
    "--because",
    type=SheetWords(),
    multiple=True,
    metavar="REASON",
    help="Why; printed on every sheet's watermark list.",
)
@click.option(
    "--stiffness", is_flag=True, help="Solve the loaded brackets first: pages in the report, gauges chosen."
)
@click.option("--dry-run", is_flag=True, help="Say what would be written, write nothing.")
@click.option("--json", "as_json", is_flag=True, help="Result as JSON on stdout.")
def make(
    spec: Path,
    out: Path,
    only: tuple[str, ...],
    paper: str,
    printer: str,
    large_type: bool,
    accept: tuple[str, ...],
    because: tuple[str, ...],
    stiffness: bool,
    dry_run: bool,
    as_json: bool,
) -> int:
    """Make every file of SPEC and read each one back.

    \b
    pedalplate make specs/wrenfield_van.toml
    pedalplate make specs/wrenfield_van.toml --paper "roll:610 mm"
    pedalplate make specs/wrenfield_van.toml --only clutch_hanger
    """
    from generators.issue.manifest import finding_json
    from generators.jobs.make import files as tasks
    from generators.jobs.make import run as produce
    from generators.solve.job import for_printer, prepare, select

    paper = _paper(paper)
    prepared = for_printer(prepare(spec, _waivers(accept, because)), printer)
    if large_type:
        prepared = replace(prepared, type_scale=LARGE_TYPE)
    select(prepared, only)
    remarks: tuple[str, ...] = ()
    if stiffness and not dry_run:
        results, remarks = _solved(prepared)
        prepared = replace(
            for_printer(prepare(spec, _waivers(accept, because), results), printer),
            type_scale=prepared.type_scale,
        )
    result = {
        "job": prepared.file.job.job.name,
        "revision": prepared.file.revision,
        "findings": [finding_json(f) for f in prepared.findings],
    }
    target = out / prepared.file.job.job.name
    if prepared.blocked:
        if as_json:
            print_json({"ok": False, **result, "files": []})
        else:
            print_findings(prepared.findings)
            codes = sorted({f.code for f in prepared.findings if f.blocks})
            say(
                f"No files: {', '.join(codes)} failed. Mend the spec, or release anyway with "
                f'--accept {codes[0]} --because "…".',
                err=True,
            )
        return EXIT_CHECK
    if dry_run:
        files = [t.entry.path for t in tasks.all_tasks(prepared, paper, only)]
        if as_json:
            print_json({"ok": True, **result, "folder": str(target), "files": files, "dry_run": True})
        else:
            for path in files:
                say(f"would write {target / path}")
        return EXIT_OK
    require_folder_or_nothing(out)
    with writing(target), bar() as progress:
        made = produce.make(prepared, out, paper=paper, only=only, progress=progress)
    if as_json:
        readings = [{"path": r.path, "facts": list(r.facts)} for r in made.readings]
        print_json(
            {
                "ok": True,
                **result,
                "folder": str(made.folder),
                "files": [e.path for e in made.entries],
                "read_back": readings,
                "remarks": [*made.remarks, *remarks],
            }
        )
        return EXIT_OK
    print_findings(prepared.findings)
    console = stdout()
    for entry in sorted(made.entries, key=lambda e: e.path):
        console.print(f"{made.folder / entry.path}", style=None, markup=False)
    for remark in (*made.remarks, *remarks):
        console.print(f"note {remark}", markup=False)
    console.print(
        f"{len(made.entries)} files, revision {prepared.file.revision}, all read back against the spec",
        markup=False,
    )
    return EXIT_OK
