"""``pedalplate compare``: what differs between two states of a job, and what may still be used."""

from __future__ import annotations

from pathlib import Path

import click

from generators.cli.options import (
    input_argument,
    json_option,
    out_if_asked_option,
    paper_option,
    variant_option,
)
from generators.cli.output import EXIT_OK, bar, print_json, say_cautions, stdout
from generators.cli.paths import InputPath, Words, require_folder_or_nothing, writing


@click.command()
@input_argument("before")
@click.argument("after", type=InputPath(), required=False)
@variant_option("Form of AFTER: a [[variant]] of its spec.")
@variant_option("The same of BEFORE.", "--variant-before")
@click.option("--issue", "letter", type=Words(), default="", metavar="LETTER", help="AFTER as it was issued.")
@click.option(
    "--issue-before", "letter_before", type=Words(), default="", metavar="LETTER", help="The same of BEFORE."
)
@out_if_asked_option("Write the sheet with the panels' pictures into a folder in here.")
@paper_option("Paper of the sheet.")
@json_option("All of it as JSON on stdout.")
def compare(
    before: Path,
    after: Path | None,
    variant: str,
    variant_before: str,
    letter: str,
    letter_before: str,
    out: Path | None,
    paper: str,
    as_json: bool,
) -> int:
    """Say what differs from BEFORE to AFTER: holes, parts, hoses, hydraulics, findings; what may stay.

    Each is a spec or a finished folder of make. Without AFTER, BEFORE itself in the form or issue
    that is named.

    \b
    pedalplate compare templates_out/wrenfield_van specs/wrenfield_van.toml
    pedalplate compare specs/ferrow_bus.toml --issue-before A
    pedalplate compare specs/ferrow_bus.toml --variant left_hand_drive --out templates_out
    """
    from generators.jobs.compare.compare import compare as compared
    from generators.jobs.compare.compare import data, state_of
    from generators.jobs.compare.words import screen
    from generators.jobs.issued.store import issued_spec

    if after is None and not (variant or letter or letter_before):
        raise click.UsageError("give AFTER, or --variant or --issue for another form of BEFORE")
    said = compared(
        state_of(issued_spec(before, letter_before), variant_before),
        state_of(issued_spec(after or before, letter), variant),
    )
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
