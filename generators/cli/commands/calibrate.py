"""``pedalplate calibrate``: what a printer does to paper, and templates that come out true on it."""

from __future__ import annotations

import math
from pathlib import Path
from typing import TYPE_CHECKING

import click

from generators.cli.options import input_argument, json_option, out_option, paper_option
from generators.cli.output import EXIT_CHECK, EXIT_OK, bar, print_json, say, stdout
from generators.cli.paths import (
    OutputPath,
    Words,
    require_file_or_nothing,
    require_folder_or_nothing,
    writing,
)
from generators.errors import GeometryFault, UnitError, printable
from generators.figures import fixed

if TYPE_CHECKING:
    from generators.jobs.calibrate import Calibration
    from generators.solve.job import Prepared


def _length(name: str, text: str) -> float:
    from generators.units import parse_length_mm

    try:
        return parse_length_mm(text)
    except UnitError as error:
        raise click.BadParameter(f"{error}", param_hint=f"--{name}") from None


def _settled(prepared: Prepared, out: Path) -> Prepared:
    """The job ready for release, as ``make`` releases it."""
    from generators.jobs.settle import settled

    folder = out / prepared.file.job.job.name
    prepared, remarks = settled(prepared, (folder,), lambda what: say(what, err=True))
    for remark in remarks:
        say(f"note {remark}", err=True)
    return prepared


def _said(found: Calibration) -> list[str]:
    """The result in words."""
    p = found.printer
    lean = math.degrees(p.skew_rad)
    way = "right" if lean >= 0 else "left"
    lines = [
        f"printer {p.name!r}: {100 * (p.x_scale - 1):+.2f} % across, {100 * (p.y_scale - 1):+.2f} % along, "
        f"leans {fixed(abs(lean), 2)}° to the {way}"
    ]
    for e in found.panels:
        lines.append(
            f"{e.panel}: without this, holes {e.first} and {e.second} ({fixed(e.distance_mm, 1)} mm apart) "
            f"would have come out {abs(e.error_mm):.2f} mm too {'far' if e.error_mm > 0 else 'near'}; "
            f"too small to read on a rule, and so left over: at most {fixed(e.left_mm, 2)} mm"
        )
    if found.true:
        lines.append("all three readings are right as far as a rule shows: this printer needs no correction")
    return lines


@click.command()
@input_argument()
@paper_option("Paper of the scale test.")
@click.option("--test", type=OutputPath(), metavar="FILE", help="Only write the scale test, a PDF.")
@click.option("--printer", type=Words(), default="", metavar="NAME", help="Name to keep the printer under.")
@click.option("--across", metavar="LENGTH", help='What you measure across, with its unit: "179.2 mm".')
@click.option("--up", metavar="LENGTH", help="What you measure up.")
@click.option("--diagonal", metavar="LENGTH", help="What you measure corner to corner.")
@out_option("Folder the job's folder goes into.")
@click.option("--no-make", is_flag=True, help="Keep the printer, but do not make the job's files for it now.")
@json_option()
def calibrate(
    spec: Path,
    paper: str,
    test: Path | None,
    printer: str,
    across: str | None,
    up: str | None,
    diagonal: str | None,
    out: Path,
    no_make: bool,
    as_json: bool,
) -> int:
    """Keep what a printer does to paper in the shop file of SPEC, and make its files for that printer.

    \b
    pedalplate calibrate specs/my_van.toml --test scale_test.pdf
    pedalplate calibrate specs/my_van.toml --printer "hall laser" \\
        --across "179.2 mm" --up "240.5 mm" --diagonal "299.9 mm"

    The scale test is also page one of every template. Print it at 100 % and measure between the ticks.
    """
    from generators.drawing.template.cover import write_scale_test
    from generators.jobs.calibrate import calibrate as fit
    from generators.jobs.calibrate import store_printer
    from generators.jobs.make import run
    from generators.solve.job import for_printer, prepare

    prepared = prepare(spec)
    if test is not None:
        require_file_or_nothing(test)
        with writing(test):
            drawn = write_scale_test(test, paper, prepared.file.units)
        if as_json:
            print_json({"ok": True, "file": str(test), "across_mm": drawn.across_mm, "up_mm": drawn.up_mm})
        else:
            say(str(test))
        return EXIT_OK
    given = {"across": across, "up": up, "diagonal": diagonal}
    lengths = {name: _length(name, text) for name, text in given.items() if text is not None}
    missing = [f"--{name}" for name in given if name not in lengths] + ([] if printer else ["--printer"])
    if missing:
        raise click.UsageError(f"needs {', '.join(missing)}, or --test FILE for the page to measure")
    try:
        found = fit(
            prepared,
            printer,
            paper,
            across_mm=lengths["across"],
            up_mm=lengths["up"],
            diagonal_mm=lengths["diagonal"],
        )
    except GeometryFault as fault:
        raise click.BadParameter(str(fault), param_hint=f"--{fault.parameter}") from None
    with writing(prepared.file.shop_path or spec.parent / prepared.file.job.job.shop):
        kept = store_printer(prepared.file, found.printer)
    again = for_printer(prepare(spec) if no_make else _settled(prepare(spec), out), printer)
    result = {
        "ok": no_make or not again.blocked,
        "printer": {
            "name": printer,
            "x_scale": found.printer.x_scale,
            "y_scale": found.printer.y_scale,
            "skew_rad": found.printer.skew_rad,
        },
        "shop": str(kept),
        "true": found.true,
        "panels": [{name: getattr(e, name) for name in e.__dataclass_fields__} for e in found.panels],
    }
    make = not no_make and not again.blocked
    folder = None
    if make:
        require_folder_or_nothing(out)
        with writing(out), bar() as progress:
            folder = run.make(again, out, paper=paper, progress=progress).folder
    if as_json:
        print_json({**result, "folder": str(folder) if folder else None})
    else:
        console = stdout()
        for line in _said(found):
            console.print(line, markup=False)
        console.print(printable(f"kept in {kept}"), markup=False)
        if folder is not None:
            console.print(
                f"{folder}: sheets for {printer!r}, read back as that printer sets them", markup=False
            )
        elif again.blocked:
            console.print("no files: a rule failed; see `pedalplate check`", markup=False)
        else:
            console.print(printable(f'next: pedalplate make {spec} --printer "{printer}"'), markup=False)
    return EXIT_CHECK if again.blocked and not no_make else EXIT_OK
