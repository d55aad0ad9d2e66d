"""A job under its issue letter, and what is said where it is not what the letter stands for."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from generators.cli.options import Decorator
from generators.cli.output import EXIT_CHECK, print_json, say, stdout

if TYPE_CHECKING:
    from generators.jobs.issued.standing import Standing
    from generators.solve.job import Prepared


def lettered(prepared: Prepared, *, unissued: bool = False) -> tuple[Prepared, Standing | None]:
    """The job under its letter, or how it differs from what its letter stands for."""
    from generators.jobs.issued.mark import under
    from generators.jobs.issued.standing import standing

    found = None if unissued else standing(prepared)
    if found is None:
        return prepared, None
    return (prepared, found) if found.differs else (under(prepared, found.mark), None)


def not_as_issued(prepared: Prepared, found: Standing, *, as_json: bool, unissued: bool = True) -> int:
    """Say what differs from the issue, and how to go on."""
    spec, letter = prepared.file.spec_path, found.issue.letter
    words = f"the content of {spec} differs from issue {letter} of {found.issue.date}"
    if as_json:
        print_json(
            {"ok": False, "error": {"kind": "issue", "message": words}, "differs": list(found.differs)}
        )
        return EXIT_CHECK
    say(f"No files: {words}:", err=True)
    console = stdout()
    for line in found.differs:
        console.print(f"  {line}", markup=False)
    other = "" if not unissued else ", or make it without a letter: --unissued"
    say(f'Give it the next letter: pedalplate issue {spec} --date YYYY-MM-DD --why "…"{other}', err=True)
    return EXIT_CHECK


def unissued_option() -> Decorator:
    """Make it without a letter, whatever was issued."""
    return click.option("--unissued", is_flag=True, help="Without an issue letter, though the spec has one.")
