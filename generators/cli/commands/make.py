"""``pedalplate make``: the main job."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from generators.cli.commands.selling.lettered import lettered, not_as_issued, unissued_option
from generators.cli.options import (
    accept_option,
    because_option,
    input_argument,
    json_option,
    out_option,
    paper_option,
    variant_option,
)
from generators.cli.output import (
    EXIT_CHECK,
    EXIT_OK,
    NO_SHOP,
    bar,
    print_files,
    print_findings,
    print_json,
    say,
    say_cautions,
    stdout,
)
from generators.cli.paths import PAPERS, Words, require_folder_or_nothing, writing
from generators.errors import SolverMissing

if TYPE_CHECKING:
    from generators.issue.issue import Issued
    from generators.solve.job import Prepared
    from generators.strength.result import BracketResult

LONGEST_REASON = 300


def waivers_of(codes: tuple[str, ...], reasons: tuple[str, ...]) -> dict[str, str]:
    """The reason of each rule accepted. Raises ``UsageError`` where one is missing or too long."""
    if codes and not reasons:
        raise click.UsageError('--accept needs --because "reason"')
    if reasons and len(reasons) not in (1, len(codes)):
        raise click.UsageError("give one --because for all, or one for each --accept")
    if any(len(reason.strip()) < 5 for reason in reasons):
        raise click.UsageError("--because needs a reason in words")
    if any(len(reason) > LONGEST_REASON for reason in reasons):
        raise click.UsageError(f"--because has room for {LONGEST_REASON} letters: it stands on every drawing")
    each = reasons * len(codes) if len(reasons) == 1 else reasons
    return dict(zip(codes, each, strict=False))


def _solved(prepared: Prepared) -> tuple[tuple[BracketResult, ...], tuple[str, ...]]:
    """What finite elements give for every loaded bracket, and what to say when they do not."""
    from generators.jobs.settle import TRIED
    from generators.jobs.stiffness import kept, solve_job

    if any(f.blocks and f.code not in TRIED for f in prepared.findings):
        return (), ()
    try:
        results = solve_job(prepared, progress=lambda what: say(what, err=True))
    except SolverMissing as error:
        return (), (f"stiffness not computed: {error}",)
    if not results:
        return (), ("stiffness not computed: no [[load]] and no pedal on a hanger",)
    return kept(results), ()


@click.command()
@input_argument()
@out_option("Folder the job's folder goes into.")
@variant_option()
@click.option("--only", multiple=True, metavar="NAME", help="Just this part or panel; may be repeated.")
@paper_option(f"Template paper: {PAPERS}.")
@click.option(
    "--printer",
    type=Words(),
    default="",
    metavar="NAME",
    help="Templates for this calibrated printer of the shop file.",
)
@click.option("--large-type", is_flag=True, help="Labels and tables of the templates in larger letters.")
@accept_option()
@because_option("Why; printed with the rule's code in the list of waived rules.")
@click.option(
    "--stiffness",
    is_flag=True,
    help="Solve every loaded bracket first and try changes: pages in the report, gauges chosen. Without it, "
    "only what the quick answer leaves open is solved.",
)
@unissued_option()
@click.option("--dry-run", is_flag=True, help="Say what would be written, write nothing.")
@json_option()
def make(
    spec: Path,
    out: Path,
    variant: str,
    only: tuple[str, ...],
    paper: str,
    printer: str,
    large_type: bool,
    accept: tuple[str, ...],
    because: tuple[str, ...],
    stiffness: bool,
    unissued: bool,
    dry_run: bool,
    as_json: bool,
) -> int:
    """Make every file of SPEC and read each one back.

    \b
    pedalplate make specs/wrenfield_van.toml
    pedalplate make specs/wrenfield_van.toml --paper "roll:610 mm"
    pedalplate make specs/wrenfield_van.toml --only clutch_hanger
    pedalplate make specs/ferrow_bus.toml --variant left_hand_drive
    """
    from generators.issue.manifest import finding_json
    from generators.jobs.make import run
    from generators.jobs.settle import again_with, settled
    from generators.solve.job import for_printer, prepare, select
    from generators.solve.job import large_type as larger

    prepared = for_printer(prepare(spec, waivers_of(accept, because), variant=variant), printer)
    select(prepared, only)
    remarks: tuple[str, ...] = ()
    if stiffness and not dry_run:
        results, remarks = _solved(prepared)
        prepared = again_with(prepared, results) if results else prepared
    if not dry_run:
        # what was just solved is taken as it is: only what is open without an answer is asked
        folder = out / prepared.file.job.job.name
        prepared, more = settled(prepared, (folder,), lambda what: say(what, err=True))
        prepared, remarks = for_printer(prepared, printer), (*remarks, *more)
    if large_type:
        prepared = larger(prepared)
    result = {
        "job": prepared.file.job.job.name,
        "revision": prepared.file.revision,
        "findings": [finding_json(f) for f in prepared.findings],
        "unsettled": list(prepared.unsettled),
    }
    if prepared.blocked:
        there = out / prepared.file.job.job.name
        return refused(prepared, result, (*remarks, *_earlier(there)), as_json=as_json)
    prepared, differs = lettered(prepared, unissued=unissued)
    if differs is not None:
        return not_as_issued(prepared, differs, as_json=as_json)
    if dry_run:
        target = out / prepared.file.job.job.name
        files = run.paths(prepared, paper, only)
        if as_json:
            print_json({"ok": True, **result, "folder": str(target), "files": files, "dry_run": True})
        else:
            for path in files:
                say(f"would write {target / path}")
            for name in prepared.unsettled:
                say(f"would solve {name} by finite elements: a quick answer does not say whether it holds")
        return EXIT_OK
    require_folder_or_nothing(out)
    with writing(out / prepared.file.job.job.name), bar() as progress:
        made = run.make(prepared, out, paper=paper, only=only, progress=progress)
    if as_json:
        readings = [{"path": r.path, "facts": list(r.facts)} for r in made.readings]
        print_json(
            {
                "ok": True,
                **result,
                "folder": str(made.folder),
                "files": [e.path for e in made.entries],
                "read_back": readings,
                "reused": made.reused,
                "remarks": [*made.remarks, *remarks],
            }
        )
    else:
        _told(prepared, made, remarks)
    return EXIT_OK


def refused(
    prepared: Prepared, result: dict[str, Any], remarks: tuple[str, ...] = (), *, as_json: bool
) -> int:
    """Say which rules hold the files back, and what would clear them."""
    from generators.solve.mends.tries import with_mends

    if as_json:
        print_json({"ok": False, **result, "files": [], "remarks": list(remarks)})
    else:
        print_findings(with_mends(prepared, lambda finding: finding.blocks).findings, prepared.file.taken)
        for remark in remarks:
            say(f"note {remark}", err=True)
        codes = sorted({f.code for f in prepared.findings if f.blocks})
        accept = " ".join(f"--accept {code}" for code in codes)
        say(
            f"No files: {', '.join(codes)} failed. Mend the spec, or release anyway with "
            f'{accept} --because "…" (one reason for all, or one for each).',
            err=True,
        )
        say_cautions()
    return EXIT_CHECK


def _earlier(folder: Path) -> tuple[str, ...]:
    """What a refused job says of a finished folder that is there from before."""
    if not (folder / "manifest.json").is_file():
        return ()
    return (f"{folder} is as it was and belongs to earlier numbers: cut, print and drill nothing from it",)


def _told(prepared: Prepared, made: Issued, remarks: tuple[str, ...]) -> None:
    """Findings, files and remarks, a line each."""
    print_findings(prepared.findings, prepared.file.taken)
    print_files(made)
    console = stdout()
    if prepared.file.shop_path is None:
        remarks = (*remarks, NO_SHOP)
    for remark in (*made.remarks, *remarks):
        console.print(f"note {remark}", markup=False)
    for name in prepared.unsettled:
        console.print(f"NOT SETTLED: whether {name} holds; it was released by a waiver", markup=False)
    again = f"; {made.reused} had not changed" if made.reused else ""
    console.print(
        f"{len(made.entries)} files, revision {prepared.file.revision}, "
        f"all read back against the spec{again}",
        markup=False,
    )
    say_cautions()
