"""What the commands print: results on stdout, messages and the bar on stderr."""

from __future__ import annotations

import contextlib
import json
import sys
from collections.abc import Callable, Iterator, Sequence
from typing import Any

import click
from rich.console import Console
from rich.progress import BarColumn, Progress, TaskProgressColumn, TextColumn
from rich.text import Text

from generators.model.findings import Finding, Severity

STYLES = {Severity.FAIL: "bold red", Severity.WARN: "yellow", Severity.NOTE: "dim"}
EXIT_OK, EXIT_CHECK, EXIT_USAGE, EXIT_SPEC, EXIT_FILES = range(5)


def stdout() -> Console:
    """Console for results; plain when not a terminal or NO_COLOR is set (rich sees to both)."""
    return Console(highlight=False, soft_wrap=True)


def stderr() -> Console:
    """Console for messages."""
    return Console(stderr=True, highlight=False, soft_wrap=True)


def print_json(content: Any) -> None:
    """One JSON document on stdout."""
    click.echo(json.dumps(content, indent=2, ensure_ascii=False))


def print_findings(findings: Sequence[Finding]) -> None:
    """Each finding on two lines: what and where, then what to do."""
    console = stdout()
    for f in findings:
        line = Text()
        line.append(f"{f.severity.value:<5}", style=STYLES[f.severity])
        line.append(f"{f.code}  {f.where}: {f.found}; limit {f.wanted}")
        if f.waived:
            line.append(f"  [waived: {f.waived}]", style="magenta")
        console.print(line)
        console.print(Text(f"      {f.advice} ({f.source})", style="dim"))
    counts = ", ".join(
        f"{sum(1 for f in findings if f.severity is s)} {s.value}"
        for s in (Severity.FAIL, Severity.WARN, Severity.NOTE)
    )
    console.print(f"findings: {counts}")


@contextlib.contextmanager
def bar() -> Iterator[Callable[[str, int, int], None]]:
    """A progress callback ``(what, done, total)``; draws only on a terminal's stderr."""
    if not sys.stderr.isatty():
        yield lambda what, done, total: None
        return
    columns = (TextColumn("{task.description}"), BarColumn(), TaskProgressColumn())
    with Progress(*columns, console=stderr(), transient=True) as progress:
        task = progress.add_task("", total=1)
        yield lambda what, done, total: progress.update(task, description=what, completed=done, total=total)
