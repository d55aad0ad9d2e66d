"""``pedalplate spread``: the chance that a kit goes together first time, and what would lift it."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

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
from generators.cli.output import EXIT_CHECK, EXIT_OK, bar, print_json, say, say_cautions
from generators.cli.paths import InputPath, Words, require_folder_or_nothing, writing

if TYPE_CHECKING:
    from generators.jobs.spread.answer import Answer

REGISTER = Path("register")
"""What `--from` calls the register beside the spec."""


def pairs(texts: tuple[str, ...]) -> tuple[tuple[str, str], ...]:
    """``STEP before STEP`` as pairs. Raises ``UsageError``."""
    out = []
    for text in texts:
        first, word, second = text.partition(" before ")
        if not word or not first.strip() or not second.strip():
            raise click.UsageError(f'--put wants "STEP before STEP", not "{text}"')
        out.append((first.strip(), second.strip()))
    return tuple(out)


@click.command()
@input_argument()
@variant_option()
@click.option("--installs", type=click.IntRange(100, 10_000_000), default=10_000, show_default=True)
@seed_option(1)
@click.option(
    "--put",
    "moved",
    type=Words(),
    multiple=True,
    metavar="ORDER",
    help='"STEP before STEP": what another order costs; "through:PART" is the drilling through it.',
)
@click.option(
    "--from",
    "came_back",
    type=InputPath(),
    default=None,
    metavar="FOLDER|register",
    help="Learn from readings files of vehicles, or those in the register beside SPEC: estimates in place of "
    "guesses, and what of SPEC is off.",
)
@click.option("--no-changes", is_flag=True, help="Try no changes: the chance and its causes alone.")
@click.option("--workers", type=click.IntRange(1, 256), default=1, show_default=True, help="Of Dask, here.")
@scheduler_option("A Dask scheduler that is there, tcp://host:port.")
@out_option("Folder the spread's folder goes into.")
@paper_option("Of the page.")
@json_option()
def spread(
    spec: Path,
    variant: str,
    installs: int,
    seed: int,
    moved: tuple[str, ...],
    came_back: Path | None,
    no_changes: bool,
    workers: int,
    on: str,
    out: Path,
    paper: str,
    as_json: bool,
) -> int:
    """Say how likely SPEC as a kit goes together first time, from vehicles and people drawn at random.

    SPEC says with [spread] how vehicles differ and people err. Each install is done by the sheet's own order:
    places by the hose where it says so, holes through the part where it says so, slots as they are. Told are
    the step that fails, the inputs that matter, and the cheapest change that lifts the chance, tried by
    solving again. One seed gives one answer, however many workers count. Exit code 1 for a chance below the
    wanted one.

    \b
    pedalplate spread specs/ferrow_bus.toml
    pedalplate spread specs/ferrow_bus.toml --put "through:clutch_reservoir before part:clutch_reservoir"
    """
    from generators.cli.commands.selling.lettered import lettered
    from generators.jobs.spread.answer import Asked, answered, plain, spread_of
    from generators.jobs.spread.field import files_of, learnt, of_register
    from generators.jobs.spread.files import write_spread_folder
    from generators.solve.job import prepare

    require_folder_or_nothing(out)
    asked = Asked(installs=installs, seed=seed, put=pairs(moved), cures=not no_changes)
    prepared, _ = lettered(prepare(spec, variant=variant))
    told = spread_of(prepared.file)
    field = None
    if came_back == REGISTER and not came_back.is_dir():
        field = learnt(prepared, told, [], of_register(prepared))
    elif came_back is not None:
        if not came_back.is_dir():
            raise click.UsageError(
                f"--from wants a folder of readings files, or register, not {came_back.name}"
            )
        field = learnt(prepared, told, files_of(came_back))
    with writing(out), bar() as progress:
        answer = answered(prepared, told, asked, on=on, cores=workers, field=field, progress=progress)
        made = write_spread_folder(answer, out, paper=paper, progress=progress)
    enough = answer.chance >= told.wanted
    files = [str(made.folder / e.path) for e in made.entries]
    if as_json:
        print_json({"ok": enough, **plain(answer), "folder": str(made.folder), "files": files})
        return EXIT_OK if enough else EXIT_CHECK
    for line in screen(answer, plain(answer)):
        say(line)
    for path in files:
        say(path)
    say_cautions()
    return EXIT_OK if enough else EXIT_CHECK


def screen(answer: Answer, found: dict[str, Any]) -> Iterator[str]:
    """The answer as lines."""
    from generators.jobs.spread.field import lines
    from generators.jobs.spread.files import between, percent, that_fail, that_matter

    if found["learned"] is not None:
        yield from lines(found["learned"])
    yield f"{answer.file.job.job.title}: all goes together first time: {between(found['together'])}"
    yield f"  {found['installs']} installs, seed {found['seed']}; {found['interval']}"
    yield f"  hoses spoiled: {found['scrapped_hoses_per_100']:g} in 100 installs"
    if (usual := found["in_the_sheets_order"]) is not None:
        moved = "; ".join(f"{a} before {b}" for a, b in found["moved"])
        yield f"  that is with {moved}; in the order of the sheets {between(usual['together'])}, "
        yield f"  and {usual['scrapped_hoses_per_100']:g} hoses spoiled in 100 installs"
    if answer.spread.note:
        yield f"  {answer.spread.note}"
    yield ""
    failing = that_fail(found)
    for row in failing:
        yield f"  fails {percent(row['fails']['share']):>7}  {row['what']} ({row['step']})"
    if not failing:
        yield "  nothing failed"
    yield ""
    rows = that_matter(found)
    if rows:
        yield "  share of the least room left, alone / with others; of whether it goes, with others:"
    for row in rows:
        room, going = row["of_room"], row["of_going"]
        yield f"  {max(room['first'], 0):5.2f} / {room['total']:.2f}   {going['total']:.2f}   {row['input']}"
    if found["changes"]:
        yield ""
    for row in found["changes"]:
        yield f"  change: {row['change']}: {between(row['together'])} ({row['cost']})"
        for key, value in row["values"].items():
            yield f"    {key} = {value}"
    if answer.tried and not found["changes"]:
        yield "  no change that was tried lifts it"
