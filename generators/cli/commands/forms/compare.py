"""``pedalplate compare``: what differs between two states of a job, and what may still be used."""

from __future__ import annotations

from pathlib import Path

import click

from generators.cli.output import EXIT_OK, bar, print_json, say_cautions, stdout
from generators.cli.paths import InputPath, OutputPath, Paper, Words, require_folder_or_nothing, writing


@click.command()
@click.argument("before", type=InputPath())
@click.argument("after", type=InputPath(), required=False)
@click.option(
    "--variant", type=Words(), default="", metavar="NAME", help="Form of AFTER: a [[variant]] of its spec."
)
@click.option("--variant-before", type=Words(), default="", metavar="NAME", help="The same of BEFORE.")
@click.option(
    "--out",
    type=OutputPath(),
    default=None,
    metavar="FOLDER",
    help="Write the sheet with the panels' pictures into a folder in here.",
)
@click.option(
    "--paper",
    type=Paper(),
    default="A4",
    show_default=True,
    metavar="PAPER",
    help="Paper of the sheet.",
)
@click.option("--json", "as_json", is_flag=True, help="All of it as JSON on stdout.")
def compare(
    before: Path,
    after: Path | None,
    variant: str,
    variant_before: str,
    out: Path | None,
    paper: str,
    as_json: bool,
) -> int:
    """Say what differs from BEFORE to AFTER: holes, parts, hoses, hydraulics, findings; what may stay.

    Each is a spec or a finished folder of make. Without AFTER, BEFORE itself in the form --variant names.

    \b
    pedalplate compare templates_out/wrenfield_van specs/wrenfield_van.toml
    pedalplate compare specs/ferrow_bus.toml --variant left_hand_drive --out templates_out
    """
    from generators.jobs.compare.compare import compare as compared
    from generators.jobs.compare.compare import data, state_of
    from generators.jobs.compare.words import screen

    if after is None and not variant:
        raise click.UsageError("give AFTER, or --variant NAME for another form of BEFORE")
    said = compared(state_of(before, variant_before), state_of(after or before, variant))
    written: list[str] = []
    if out is not None:
        from generators.jobs.compare.files import write_comparison

        require_folder_or_nothing(out)
        with writing(out), bar() as progress:
            made = write_comparison(said, out, paper=paper, progress=progress)
        written = [str(made.folder / e.path) for e in made.entries]
    if as_json:
        print_json({"ok": True, **data(said), "files": written})
        return EXIT_OK
    console = stdout()
    for line in screen(said):
        console.print(line, markup=False)
    for path in written:
        console.print(path, markup=False)
    say_cautions()
    return EXIT_OK
