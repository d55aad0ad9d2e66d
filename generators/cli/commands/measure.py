"""``pedalplate measure``: tape and caliper readings to hole positions."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import click

from generators.cli.options import input_argument, json_option, out_if_asked_option, paper_option
from generators.cli.output import EXIT_CHECK, EXIT_OK, bar, print_findings, print_json, say_cautions, stdout
from generators.cli.paths import require_folder_or_nothing, writing
from generators.figures import fixed

if TYPE_CHECKING:
    from generators.jobs.measure.survey import Measured

SHOWN = 8


@click.command()
@input_argument("file")
@out_if_asked_option("Write the block for the spec, the overlay and the figures into a folder in here.")
@paper_option("Paper of the overlay.")
@json_option()
def measure(file: Path, out: Path | None, paper: str, as_json: bool) -> int:
    """Say where the holes of FILE are, how well that is known, and what to measure next.

    \b
    pedalplate measure specs/wrenfield_readings.toml
    pedalplate measure specs/wrenfield_readings.toml --out templates_out

    FILE lists holes and readings: centre, inner-edge, outer-edge and same-side distances, distances to
    edges, diameters. Readings that cannot tell where a hole is are named, and nothing is written.
    """
    from generators.issue.manifest import finding_json
    from generators.jobs.measure.survey import figures
    from generators.jobs.measure.survey import measure as adjust
    from generators.measure.block import existing_block

    measured = adjust(file)
    written: list[str] = []
    if out is not None and not measured.blocked:
        from generators.jobs.measure.files import write_measured

        require_folder_or_nothing(out)
        with writing(out), bar() as progress:
            made = write_measured(measured, out, paper=paper, progress=progress)
        written = [str(made.folder / e.path) for e in made.entries]
    if as_json:
        print_json(
            {
                "ok": not measured.blocked,
                **figures(measured),
                "findings": [finding_json(f) for f in measured.findings],
                "existing": "" if measured.blocked else existing_block(measured.survey),
                "files": written,
            }
        )
        return EXIT_CHECK if measured.blocked else EXIT_OK
    console = stdout()
    for line in screen(measured):
        console.print(line.rstrip(), markup=False)
    console.print()
    print_findings(measured.findings)
    if measured.blocked:
        console.print("these places are not to be used; nothing was written")
        say_cautions()
        return EXIT_CHECK
    if out is None:
        console.print()
        console.print(existing_block(measured.survey), markup=False, end="")
    for path in written:
        console.print(path, markup=False)
    say_cautions()
    return EXIT_OK


def screen(measured: Measured) -> Iterator[str]:
    """The result as lines: places, the worst readings, the next reading."""
    import math

    result = measured.survey
    head = measured.file.readings.measure
    yield f"{head.title}: {result.problem.count} holes, {len(result.problem.rows)} readings"
    if result.closed:
        origin, along = result.frame
        yield f"  u and v from hole {origin}, direction to hole {along}: no edge ties them down"
    yield ""
    wide = max([4, *(len(h.name) for h in measured.file.readings.hole)])
    yield f"  {'hole':<{wide}} {'u mm':>9} {'v mm':>9} {'dia mm':>8}   95 % within"
    for i, hole in enumerate(measured.file.readings.hole):
        e, (u, v) = result.ellipses[i], result.points()[i]
        size = float(result.diameters()[i])
        if e.major_mm < 0.005:
            within = "exact"
        else:
            within = (
                f"{fixed(e.major_mm, 2)} x {fixed(e.minor_mm, 2)} mm at {math.degrees(e.angle_rad):.0f} deg"
            )
        yield f"  {hole.name:<{wide}} {u:9.2f} {v:9.2f} {fixed(size, 2):>8}   {within}"
    yield ""
    order = sorted(range(len(result.checks)), key=lambda k: -abs(result.checks[k].w))
    shown = [k for k in order if result.checks[k].w][:SHOWN]
    if shown:
        yield f"  {'worst readings first':<42} {'read':>9} {'out by':>8} {'w':>6}"
        for k in shown:
            row, check = result.problem.rows[k], result.checks[k]
            yield f"  {row.label[:42]:<42} {row.value_mm:9.2f} {check.error_mm:+8.2f} {check.w:+6.1f}"
        yield f"  chance of readings that disagree this much: {result.chance:.1%}"
    for s in result.scales:
        wish = f"{s.scale:.4f} ± {s.sigma:.4f}"
        yield f"  readings by {s.instrument} fit best with a scale of {wish}; it is not applied"
    if result.advice is not None:
        a = result.advice
        gain = (
            f", {fixed(a.from_mm, 2)} to {fixed(a.major_mm, 2)} mm"
            if a.from_mm
            else f" (about {a.expected_mm:.0f} mm)"
        )
        yield f"  next: {a.label}: {a.why}{gain}"
