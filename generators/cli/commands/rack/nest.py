"""``pedalplate nest``: the blanks of a job on the shop's sheets."""

from __future__ import annotations

from pathlib import Path

import click

from generators.cli.commands.make import refused, waivers_of
from generators.cli.commands.selling.lettered import lettered, not_as_issued, unissued_option
from generators.cli.options import (
    accept_option,
    because_option,
    input_argument,
    json_option,
    out_option,
    paper_option,
    sets_option,
    variant_option,
)
from generators.cli.output import EXIT_OK, bar, print_files, print_json, say, say_cautions, stdout
from generators.cli.paths import require_folder_or_nothing, writing


@click.command()
@input_argument()
@variant_option()
@sets_option("How many of the job are cut.")
@out_option("Folder the nest's folder goes into.")
@paper_option("Of the overview.")
@accept_option()
@because_option("Why.")
@unissued_option()
@json_option()
def nest(
    spec: Path,
    variant: str,
    sets: int,
    out: Path,
    paper: str,
    accept: tuple[str, ...],
    because: tuple[str, ...],
    unissued: bool,
    as_json: bool,
) -> int:
    """Lay the blanks of SPEC on the shop's sheets: a DXF for each sheet, an overview, times and prices.

    \b
    pedalplate nest specs/wrenfield_van.toml
    pedalplate nest specs/wrenfield_van.toml --sets 10

    Sheets, gap and rates are those of the shop file ([[sheet]], [nest], [rates]). The grain a part orders is
    kept, and the same spec gives the same nest every time.
    """
    from generators.drawing.nest.words import fewest
    from generators.issue.manifest import finding_json
    from generators.jobs.nest import ENDING, nested, write_nest
    from generators.jobs.settle import settled
    from generators.solve.job import prepare

    prepared = prepare(spec, waivers_of(accept, because), variant=variant)
    folder = out / prepared.file.job.job.name
    folders = (folder, folder.with_name(f"{folder.name}{ENDING}"))
    prepared, remarks = settled(prepared, folders, lambda what: say(what, err=True))
    head = {"job": prepared.file.job.job.name, "revision": prepared.file.revision}
    if prepared.blocked:
        return refused(
            prepared,
            {**head, "findings": [finding_json(f) for f in prepared.findings]},
            remarks,
            as_json=as_json,
        )
    prepared, differs = lettered(prepared, unissued=unissued)
    if differs is not None:
        return not_as_issued(prepared, differs, as_json=as_json)
    require_folder_or_nothing(out)
    with writing(out / f"{prepared.file.job.job.name}{ENDING}"), bar() as progress:
        made = write_nest(prepared, out, sets=sets, paper=paper, progress=progress)
    stocks = list(fewest(nested(prepared, sets)))
    if as_json:
        print_json(
            {
                "ok": True,
                **head,
                "sets": sets,
                "folder": str(made.folder),
                "files": [e.path for e in made.entries],
                "stocks": [
                    {"stock": name, "sheets": n, "fewest_by_area": least} for name, n, least in stocks
                ],
                "read_back": [{"path": r.path, "facts": list(r.facts)} for r in made.readings],
            }
        )
        return EXIT_OK
    print_files(made)
    console = stdout()
    for name, count, least in stocks:
        console.print(
            f"{name}: {count} sheet{'s' if count > 1 else ''}; by area no nest takes fewer than {least}",
            markup=False,
        )
    say(f"{len(made.entries)} files, revision {prepared.file.revision}, all read back against the spec")
    say_cautions()
    return EXIT_OK
