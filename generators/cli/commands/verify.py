"""``pedalplate verify``: prove a finished folder."""

from __future__ import annotations

from pathlib import Path

import click

from generators.cli.options import json_option
from generators.cli.output import EXIT_FILES, EXIT_OK, bar, print_json, stdout
from generators.cli.paths import OutputPath, proving, require_finished
from generators.errors import printable

SHOWN = 8


@click.command()
@click.argument("folder", type=OutputPath())
@click.option("--quick", is_flag=True, help="Hashes and geometry only: nothing is made again.")
@json_option()
def verify(folder: Path, quick: bool, as_json: bool) -> int:
    """Make everything in FOLDER again from the spec that lies in it, and compare every byte.

    One line a file says what was measured: a flat DXF's contours are closed, nothing is cut twice, units,
    smallest hole against the machine's limit, arcs kept; a mesh is watertight, a solid valid.

    \b
    pedalplate verify templates_out/wrenfield_van
    """
    from generators.issue.manifest import NAME
    from generators.jobs.verify import verify as prove

    require_finished(folder, NAME)
    with proving(folder), bar() as progress:
        readings = prove(folder, progress=progress, quick=quick)
    bad = [r for r in readings if not r.good]
    if as_json:
        print_json(
            {
                "ok": not bad,
                "files": [
                    {
                        "path": r.path,
                        "ok": r.good,
                        "certificate": {m.key: m.value for m in r.certificate},
                        "facts": list(r.facts),
                        "problems": list(r.problems),
                    }
                    for r in readings
                ],
            }
        )
        return EXIT_FILES if bad else EXIT_OK
    console = stdout()
    for reading in readings:
        if reading.good:
            proven = f"; {reading.facts[-1]}" if reading.certificate and reading.facts else ""
            console.print(printable(f"ok  {reading.path}: {reading.line}{proven}"), markup=False)
    # last, where they are seen
    for reading in bad:
        console.print(printable(f"BAD {reading.path}"), style="bold red", markup=False)
        if reading.certificate:
            console.print(f"    {reading.line}", markup=False)
        for problem in reading.problems[:SHOWN]:
            console.print(printable(f"    {problem}"), markup=False)
        if len(reading.problems) > SHOWN:
            console.print(f"    and {len(reading.problems) - SHOWN} more; --json lists all", markup=False)
    console.print(f"{len(readings) - len(bad)} good, {len(bad)} bad")
    return EXIT_FILES if bad else EXIT_OK
