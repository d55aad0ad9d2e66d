"""``pedalplate fits``: whether a kit goes on the vehicle somebody measured."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from generators.cli.options import input_argument, json_option, paper_option, variant_option
from generators.cli.output import EXIT_CHECK, EXIT_OK, bar, print_json, say, say_cautions
from generators.cli.paths import OutputPath, require_folder_or_nothing, writing
from generators.figures import format_short

if TYPE_CHECKING:
    from generators.jobs.fits.answer import Failing, Fits
    from generators.jobs.form.form import MeasureForm


@click.command()
@input_argument()
@input_argument("readings")
@variant_option()
@click.option(
    "--sheets",
    type=OutputPath(),
    default=None,
    metavar="FOLDER",
    help="Write this vehicle's own spec and all its files in here.",
)
@paper_option("Of the vehicle's own sheets.")
@json_option()
def fits(spec: Path, readings: Path, variant: str, sheets: Path | None, paper: str, as_json: bool) -> int:
    """Say whether SPEC as a kit fits the vehicle whose READINGS the measuring form gave.

    The answer is "fits", "fits with these moves" or "does not, because". Slips are named by the number of
    their picture: a figure in inches for millimetres or the other way, two lines exchanged, a lean to the
    other side, one that cannot be. The answer waits for readings that cannot be, or that make a vehicle
    unlike all others, to be measured again. Exit code 0 where it fits, with moves or without, 1 where it does
    not or waits.

    \b
    pedalplate form specs/ferrow_bus.toml
    pedalplate fits specs/ferrow_bus.toml readings.toml --sheets out
    """
    from generators.jobs.fits.answer import answered
    from generators.jobs.fits.own import write_own
    from generators.jobs.fits.read import measured
    from generators.jobs.form.form import form_of
    from generators.jobs.spread.answer import spread_of
    from generators.reading.vehicle import read_vehicle
    from generators.solve.job import prepare

    if sheets is not None:
        require_folder_or_nothing(sheets)
    file = read_vehicle(readings)
    prepared = prepare(spec, variant=variant)
    form = form_of(prepared, spread_of(prepared.file))
    with bar() as progress:
        found = answered(measured(form, file), progress)
    written: list[str] = []
    good = found.verdict in ("fits", "fits with moves")
    if sheets is not None and good:
        with writing(sheets), bar() as progress:
            made = write_own(found, sheets, paper=paper, progress=progress)
        written = [str(made.folder / e.path) for e in made.entries]
    if as_json:
        print_json({"ok": good, **plain(found), "files": written})
        return EXIT_OK if good else EXIT_CHECK
    for line in screen(found):
        say(line)
    if sheets is not None and not good:
        say("no sheets are written: the vehicle is not known yet, or the kit does not fit it")
    for path in written:
        say(path)
    say_cautions()
    return EXIT_OK if good else EXIT_CHECK


def plain(found: Fits) -> dict[str, Any]:
    """The answer as JSON has it."""
    from generators.jobs.fits.read import slip_words

    measured = found.measured
    return {
        "verdict": found.verdict,
        "likely": found.likely,
        "as_sold": round(found.chance, 4),
        "slips": [
            {
                "reading": measured.taken.numbers[s.place],
                "kind": s.kind,
                "other": measured.taken.numbers[s.other] if s.other >= 0 else None,
                "words": words,
            }
            for s, words in zip(
                measured.vehicle.slips, slip_words(measured.taken, measured.vehicle.slips), strict=True
            )
        ],
        "measure_again": [measured.taken.numbers[k] for k in measured.vehicle.doubt],
        "vehicles_differ_more_by": measured.vehicle.wider,
        "chance_of_readings": float(f"{measured.vehicle.chance:.3g}"),
        "moves": [
            {"move": m.cure.words, "then": round(m.chance, 4), "values": dict(m.cure.values)}
            for m in found.moves
        ],
        "fails_as_sold": [_failing(each) for each in found.why],
        "still_fails": [_failing(each) for each in found.still],
        "rooms_as_sold_mm": {name: round(room, 2) for name, room in found.rooms.items()},
        "solved_there": not found.foretold,
    }


def _failing(each: Failing) -> dict[str, Any]:
    room = None if each.room_mm is None else round(each.room_mm, 2)
    return {"what": each.name, "share": round(each.share, 4), "room_mm": room}


def screen(found: Fits) -> Iterator[str]:
    """The answer as lines."""
    from generators.jobs.fits.read import STAYS, again_words, slip_words
    from generators.jobs.spread.files import percent

    measured = found.measured
    for words in slip_words(measured.taken, measured.vehicle.slips):
        yield f"slip: {words}"
    wrong = {slip.place for slip in measured.vehicle.slips if slip.kind == "wrong"}
    again = again_words(measured.taken, measured.vehicle.doubt)
    if measured.vehicle.wider > 1:
        believed = f"measure {again} again; what stays so is believed" if again else "they are believed"
        yield (
            "these readings are of a vehicle that differs more than vehicles were thought to, "
            f"{measured.vehicle.wider:g} times [spread]: {believed}"
        )
    elif set(measured.vehicle.doubt) - wrong:
        yield f"what was mended may be right as it was written: measure {again} again"
    if measured.vehicle.chance < DOUBTFUL:
        yield "these readings do not go together: measure again, or the vehicle is of another kind"
    if found.foretold:
        yield (
            "the kit cannot be solved with things where these readings put them: what follows is foretold "
            "from the plan, and the further off the less sure"
        )
    title = measured.form.prepared.file.job.job.title
    yield f"{title}: as sold it goes together with {percent(found.chance)} on this vehicle"
    if found.verdict == "measure again":
        yield f"not told yet: it waits for {again} to be measured again; else it would be:"
        yield f"  ({STAYS})"
    if found.likely == "fits":
        yield "fits"
    elif found.likely == "fits with moves":
        yield "fits with these moves:"
        for move in found.moves:
            yield f"  {move.cure.words}: then {percent(move.chance)}"
    else:
        yield "does not fit, because as sold:"
        form = measured.form
        yield from (_fails(each, form) for each in found.why[:SHOWN])
        if found.moves:
            yield "these moves help, and are not enough:"
            for move in found.moves:
                yield f"  {move.cure.words}: then {percent(move.chance)}"
            yield "with them:"
            yield from (_fails(each, form) for each in found.still[:SHOWN])


def _fails(each: Failing, form: MeasureForm) -> str:
    from generators.jobs.spread.files import percent

    return f"  {each.name}: fails with {percent(each.share)}{_room_words(each, form)}"


def _room_words(each: Failing, form: MeasureForm) -> str:
    """What is missing or left on the vehicle as measured."""
    if each.room_mm is None:
        return ""
    size = format_short(abs(each.room_mm), form.prepared.file.units)
    return f"; as measured {size} {'to spare' if each.room_mm >= 0 else 'missing'}"


DOUBTFUL, SHOWN = 0.001, 5
