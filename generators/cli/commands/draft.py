"""``pedalplate draft``: pictures of a job as it stands."""

from __future__ import annotations

from pathlib import Path

import click

from generators.cli.options import input_argument, json_option, out_option, paper_option, variant_option
from generators.cli.output import EXIT_OK, bar, print_json, say, say_cautions, stdout
from generators.cli.paths import require_folder_or_nothing, writing

WHATS = ("panels", "parts", "pedal", "scene")
FORMS = ("pdf", "svg", "html", "png")


@click.command()
@input_argument()
@variant_option()
@click.option("--what", multiple=True, type=click.Choice(WHATS), help="Just these pictures; may be repeated.")
@click.option(
    "--as",
    "forms",
    multiple=True,
    type=click.Choice(FORMS),
    default=FORMS[:3],
    show_default=True,
    help="Kind of file; may be repeated.",
)
@out_option("Folder the draft's folder goes into.")
@paper_option("A4, A3, letter or tabloid.")
@json_option()
def draft(
    spec: Path,
    variant: str,
    what: tuple[str, ...],
    forms: tuple[str, ...],
    out: Path,
    paper: str,
    as_json: bool,
) -> int:
    """Draw SPEC as it stands, whatever the rules say: reduced, and marked DRAFT.

    Panels on both faces, parts, pedals and the job in the vehicle, with the findings pinned where they are.
    Nothing here is for a cutter or a drill; `make` writes that once no rule fails.

    \b
    pedalplate draft specs/wrenfield_van.toml
    pedalplate draft specs/wrenfield_van.toml --what panels --as svg
    """
    from generators.issue.manifest import finding_json
    from generators.jobs.draft import run
    from generators.sheets.draft.pictures import WHATS as KNOWN
    from generators.solve.job import prepare

    if paper not in ("A4", "A3", "letter", "tabloid"):
        raise click.UsageError("--paper of a draft is A4, A3, letter or tabloid")
    prepared = prepare(spec, variant=variant)
    require_folder_or_nothing(out)
    with writing(out / f"{prepared.file.job.job.name}{run.ENDING}"), bar() as progress:
        made = run.draft(
            prepared,
            out,
            whats=[w for w in KNOWN if w in (what or WHATS)],
            forms=[f for f in run.FORMS if f in forms],
            paper=paper,
            progress=progress,
        )
    if as_json:
        print_json(
            {
                "ok": True,
                "job": prepared.file.job.job.name,
                "revision": prepared.file.revision,
                "findings": [finding_json(f) for f in prepared.findings],
                "folder": str(made.folder),
                "files": [e.path for e in made.entries],
            }
        )
        return EXIT_OK
    console = stdout()
    for number, f in enumerate(prepared.findings, 1):
        line = f"{number:>3}  {f.severity.value:<5}{f.code}  {f.where}: {f.found}; limit {f.wanted}"
        console.print(line, markup=False)
    for entry in made.entries:
        if entry.path.startswith("draft."):
            console.print(f"{made.folder / entry.path}", markup=False)
    for remark in made.remarks:
        console.print(f"note {remark}", markup=False)
    said = f"{len(made.entries)} files in {made.folder}, revision {prepared.file.revision}"
    say(f"{said}: drafts, not for cutting or drilling")
    say_cautions()
    return EXIT_OK
