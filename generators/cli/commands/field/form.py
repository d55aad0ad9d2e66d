"""``pedalplate form``: what is asked of a vehicle before a kit goes to it."""

from __future__ import annotations

from pathlib import Path

import click

from generators.cli.options import input_argument, json_option, out_option, paper_option, variant_option
from generators.cli.output import EXIT_OK, bar, print_json, say, say_cautions
from generators.cli.paths import require_folder_or_nothing, writing


@click.command()
@input_argument()
@variant_option()
@out_option("Folder the form's folder goes into.")
@paper_option("Of the form.")
@json_option()
def form(spec: Path, variant: str, out: Path, paper: str, as_json: bool) -> int:
    """Make the form a customer fills in at his vehicle: the few readings that tell if SPEC as a kit fits.

    The readings are chosen so that each room the kit depends on is known well enough, as vehicles differ by
    [spread] of SPEC, and so that a slip shows. form.pdf is a page or two; form.html the same for a phone,
    offline, and gives a small file back; readings.toml is to type the paper into. All go to `fits`.

    \b
    pedalplate form specs/ferrow_bus.toml
    pedalplate fits specs/ferrow_bus.toml readings.toml
    """
    from generators.cli.commands.selling.lettered import lettered
    from generators.jobs.form.files import write_form_folder
    from generators.jobs.form.form import form_of, sheet_of
    from generators.jobs.spread.answer import spread_of
    from generators.solve.job import prepare

    require_folder_or_nothing(out)
    # a job that is not what its letter stands for has a form of its own, without one
    prepared, _ = lettered(prepare(spec, variant=variant))
    asked = form_of(prepared, spread_of(prepared.file))
    with writing(out), bar() as progress:
        made = write_form_folder(asked, out, paper=paper, progress=progress)
    sheet = sheet_of(asked)
    files = [str(made.folder / e.path) for e in made.entries]
    if as_json:
        rows = [
            {
                "number": x.number,
                "kind": x.kind,
                "panel": x.panel,
                "from": x.from_,
                "to": x.to,
                "words": x.words,
                "expected": round(x.expected, 3),
                "unit": x.unit,
            }
            for x in sheet.lines
        ]
        print_json({"ok": True, "readings": rows, "not_told": list(asked.open_needs), "files": files})
        return EXIT_OK
    say(f"{sheet.title}: {len(sheet.lines)} readings")
    for line in sheet.lines:
        say(f"  {line.number:>2}  {line.words}; {line.how}")
    for words in sheet.untold:
        say(f"  {words}")
    for path in files:
        say(path)
    say_cautions()
    return EXIT_OK
