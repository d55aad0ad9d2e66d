"""``pedalplate sweep``: what if, for many values of a few keys."""

from __future__ import annotations

from pathlib import Path

import click

from generators.cli.options import (
    input_argument,
    json_option,
    out_option,
    paper_option,
    scheduler_option,
    seed_option,
    variant_option,
)
from generators.cli.output import EXIT_OK, bar, print_json, say, say_cautions
from generators.cli.paths import Words, require_file_or_nothing, require_folder_or_nothing, writing


@click.command()
@input_argument()
@variant_option()
@click.option(
    "--vary",
    "vary",
    type=Words(),
    multiple=True,
    required=True,
    metavar="KEY=VALUES",
    help='A key by path with its values: "KEY = 60 mm to 80 mm, 5 values" or "KEY = 3/4 in, 7/8 in".',
)
@click.option(
    "--want",
    "wanted",
    type=Words(),
    multiple=True,
    metavar="WISH",
    help='"least PATH" or "most PATH" of what is measured; a wrong one lists them.',
)
@click.option(
    "--sample",
    type=click.IntRange(2, 100_000),
    default=None,
    metavar="COUNT",
    help="So many rows of a Latin hypercube, in place of the whole grid.",
)
@seed_option(0, "Of --sample.")
@scheduler_option("A Dask scheduler that is there, as tcp://host:port; without it all cores of this machine.")
@out_option("Folder the sweep's folder goes into.")
@paper_option("Of the sheet.")
@json_option("Rows and the front of the best as JSON on stdout.")
def sweep(
    spec: Path,
    variant: str,
    vary: tuple[str, ...],
    wanted: tuple[str, ...],
    sample: int | None,
    seed: int,
    on: str,
    out: Path,
    paper: str,
    as_json: bool,
) -> int:
    """Solve SPEC for many values of a few keys: a table of rows, what each key does, and the best.

    A row that cannot be solved is a row with its fault. What was solved is kept beside the folder: a run that
    was stopped, or one with other values as well, goes on from there.

    \b
    pedalplate sweep specs/ferrow_bus.toml \\
        --vary "part[clutch_hanger].parameters.pivot_up = 64 mm to 72 mm, 3 values" \\
        --vary "pedal[clutch].master.bore = 3/4 in, 7/8 in" \\
        --want "least pedal[clutch].peak_effort" --want "most pedal[clutch].stop_window"
    """
    from generators.jobs.sweep.best import known_paths, want
    from generators.jobs.sweep.files import Sweep, results_csv, write_sweep_folder
    from generators.jobs.sweep.one import bundle_of, require_keys, solved, with_things
    from generators.jobs.sweep.run import all_rows
    from generators.jobs.sweep.vary import MOST_KEYS, rows_of, varied
    from generators.solve.job import prepare

    keys = [varied(text) for text in vary]
    wants = tuple(want(text) for text in wanted)
    names = [key.key for key in keys]
    if len(set(names)) < len(names) or len(names) > MOST_KEYS:
        raise click.UsageError(f"--vary takes each key once, {MOST_KEYS} at most")
    file = prepare(spec, variant=variant).file
    rows = [dict(zip(names, row, strict=True)) for row in rows_of(keys, sample or 0, seed)]
    if not rows:
        raise click.UsageError("no values to try")
    require_keys(file, rows)
    file = with_things(file, rows)
    require_folder_or_nothing(out)
    bundle = bundle_of(file)
    # a wish for what nobody measures is told before an hour of work
    first = solved(bundle, {})
    if first["measures"]:
        Sweep(file=file, keys=(), wants=wants, how="", rows=(first,)).require_wants()
    cache = out / f"{file.job.job.name}_sweep_rows.jsonl"
    require_file_or_nothing(cache)
    with writing(out), bar() as progress:
        out.mkdir(parents=True, exist_ok=True)
        found = all_rows(bundle, rows, cache, on=on, progress=progress)
        how = "; ".join(vary) + (f"; {len(rows)} rows drawn evenly, seed {seed}." if sample else ".")
        said = Sweep(file=file, keys=tuple(names), wants=wants, how=how, rows=tuple(found))
        said.require_wants()
        made = write_sweep_folder(said, out, paper=paper, progress=progress)
    best = said.best
    if as_json:
        print_json(
            {
                "ok": True,
                "rows": [{k: v for k, v in row.items() if k != "key"} for row in found],
                "best": [k + 1 for k in best],
                "measures": known_paths(found),
                "folder": str(made.folder),
                "files": [str(made.folder / e.path) for e in made.entries],
            }
        )
        return EXIT_OK
    lines = results_csv(said).splitlines()
    bad = sum(bool(row["fault"]) for row in found)
    failing = sum(bool(row["failed"]) for row in found)
    fine = len(found) - bad - failing
    say(f"{len(found)} rows: {fine} fail no rule, {failing} fail one, {bad} with a fault")
    for k in best:
        values = ", ".join(f"{key} {found[k]['values'][key]}" for key in names)
        measured = ", ".join(f"{w.path} {found[k]['measures'][w.path][0]:g}" for w in wants)
        say(f"best  row {k + 1}: {values}: {measured}")
    if not wants:
        say(f"measured: {', '.join(known_paths(found))}")
    for entry in made.entries:
        say(str(made.folder / entry.path))
    say(f"{len(lines) - 1} rows written; solved ones are kept in {cache}")
    say_cautions()
    return EXIT_OK
