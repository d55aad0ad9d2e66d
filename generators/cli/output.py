"""What the commands print: results on stdout, messages and the bar on stderr."""

from __future__ import annotations

import contextlib
import json
import math
import sys
from collections.abc import Callable, Iterator, Sequence
from typing import TYPE_CHECKING, Any

import click
from rich.console import Console
from rich.text import Text

from generators.cli import stopping
from generators.model.changes import ORDER, Mend
from generators.model.findings import Finding, Severity, unmended, usual_cure
from generators.model.words import SHORT_CAUTIONS

if TYPE_CHECKING:
    from generators.issue.issue import Issued
    from generators.reading.shelf.taken import Taken

STYLES = {Severity.FAIL: "bold red", Severity.WARN: "yellow", Severity.NOTE: "dim"}
NO_SHOP = (
    "no shop file: none is beside the spec, and the spec names none; stock, bends and cutting are the "
    "defaults of the tables, and blanks can differ from your shop's"
)
EXIT_OK, EXIT_CHECK, EXIT_USAGE, EXIT_SPEC, EXIT_FILES = range(5)
EXITS = {
    str(EXIT_OK): "fine",
    str(EXIT_CHECK): "a rule failed",
    str(EXIT_USAGE): "usage",
    str(EXIT_SPEC): "the spec is wrong",
    str(EXIT_FILES): "a file could not be written, does not read back or differs",
    "128 + signal": "it was stopped: 130 by Ctrl+C, 143 by a request to end",
}
"""What each exit code means."""


def stdout() -> Console:
    """Console for results; plain when not a terminal or NO_COLOR is set (rich sees to both)."""
    # the stream is named so that rich asks it for its encoding; a path may look like markup or an emoji
    return Console(file=sys.stdout, highlight=False, soft_wrap=True, markup=False, emoji=False)


def stderr() -> Console:
    """Console for messages."""
    return Console(file=sys.stderr, highlight=False, soft_wrap=True, markup=False, emoji=False)


def say(text: str = "", *, err: bool = False) -> None:
    """One line on stdout, or on stderr. Left to itself, click writes UTF-8 where ASCII was asked for."""
    click.echo(text, file=sys.stderr if err else sys.stdout)


def say_cautions() -> None:
    """The usual cautions, the last lines of what a person reads on the screen."""
    say()
    for line in SHORT_CAUTIONS:
        say(line)


def print_json(content: Any) -> None:
    """One JSON document on stdout, as ASCII where the encoding cannot carry its letters.

    What is not a finite number is null: JSON has no word for it.
    """
    try:
        text = json.dumps(content, indent=2, ensure_ascii=False, allow_nan=False)
    except ValueError:
        content = _finite(content)
        text = json.dumps(content, indent=2, ensure_ascii=False)
    try:
        text.encode(getattr(sys.stdout, "encoding", None) or "utf-8")
    except UnicodeEncodeError:
        text = json.dumps(content, indent=2)
    say(text)


def _finite(value: Any) -> Any:
    if isinstance(value, dict):
        return {key: _finite(inner) for key, inner in value.items()}
    if isinstance(value, list | tuple):
        return [_finite(inner) for inner in value]
    return None if isinstance(value, float) and not math.isfinite(value) else value


def print_findings(findings: Sequence[Finding], taken: Sequence[Taken] = ()) -> None:
    """Each finding: what and where, then a change that was tried and clears it, else the usual cure.

    ``taken`` is what the job takes of the shelf: a finding about it names the shelf's file and line.
    """
    from generators.reading.shelf.told import said_of, taken_in

    console = stdout()
    said: set[Mend] = set()
    for f in findings:
        line = Text()
        line.append(f"{f.severity.value:<5}", style=STYLES[f.severity])
        line.append(f"{f.code}  {f.where}: {f.found}; limit {f.wanted}")
        if f.waived:
            line.append(f"  [waived: {f.waived}]", style="magenta")
        console.print(line)
        lent = taken_in(f, taken)
        if lent:
            console.print(Text(f"      from the shelf: {said_of(lent)}"))
        _print_cure(console, f, said)
    if any(edit.moves_lines for mend in said for edit in mend.edits):
        console.print(Text(f"{ORDER} Each was tried alone: check again before the next."))
    counts = ", ".join(
        f"{sum(1 for f in findings if f.severity is s)} {s.value}"
        for s in (Severity.FAIL, Severity.WARN, Severity.NOTE)
    )
    console.print(f"findings: {counts}")


def _print_cure(console: Console, finding: Finding, said: set[Mend]) -> None:
    """What to do; a change that was ``said`` above is not written out again."""
    mend = finding.mend
    if mend is not None and mend.holds:
        again = ", as above" if mend in said else ""
        console.print(Text(f"      Change (tried: clears this): {mend.words}{again}", style="green"))
        for edit in () if again else mend.edits:
            for line in edit.words.splitlines():
                console.print(Text(f"        {line}"))
        said.add(mend)
        console.print(Text(f"      ({finding.source})", style="dim"))
        return
    if mend is not None:
        console.print(Text(f"      {unmended(mend)}", style="yellow"))
    console.print(Text(f"      {usual_cure(finding)} ({finding.source})", style="dim"))


def print_files(made: Issued) -> None:
    """The path of each file of a finished folder, by name, a line each."""
    console = stdout()
    for entry in sorted(made.entries, key=lambda e: e.path):
        console.print(f"{made.folder / entry.path}", style=None, markup=False)


@contextlib.contextmanager
def bar() -> Iterator[Callable[[str, int, int], None]]:
    """A progress callback ``(what, done, total)``; draws only on a terminal's stderr.

    It raises ``Stopped`` when the run was told to stop and something swallowed that.
    """
    if not sys.stderr.isatty():
        yield lambda what, done, total: stopping.check()
        return
    # here: a command that draws no bar need not load it
    from rich.progress import BarColumn, Progress, TaskProgressColumn, TextColumn

    columns = (TextColumn("{task.description}"), BarColumn(), TaskProgressColumn())
    with Progress(*columns, console=stderr(), transient=True) as progress:
        task = progress.add_task("", total=1)

        def step(what: str, done: int, total: int) -> None:
            stopping.check()
            progress.update(task, description=what, completed=done, total=total)

        yield step
