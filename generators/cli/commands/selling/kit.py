"""``pedalplate kit``: everything to make, pack and send one sold job."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import click

from generators.cli.commands.make import refused, waivers_of
from generators.cli.commands.selling.lettered import lettered, not_as_issued
from generators.cli.commands.selling.sold import date_option, day_of, order_of
from generators.cli.options import (
    accept_option,
    because_option,
    input_argument,
    json_option,
    out_option,
    paper_option,
    sets_option,
    variant_option,
)
from generators.cli.output import EXIT_OK, bar, print_files, print_json, say, say_cautions, stdout
from generators.cli.paths import SheetWords, require_folder_or_nothing, writing


@click.command()
@input_argument()
@variant_option()
@click.option(
    "--for",
    "order",
    type=SheetWords(),
    default="",
    metavar="ORDER",
    help='For whom: an order number, "order 1042".',
)
@date_option()
@sets_option("How many are cut and ordered at a time.")
@out_option("Folder the kit's folder goes into.")
@paper_option("Of the templates and sheets.")
@accept_option()
@because_option("Why; printed with the rule's code.")
@json_option()
def kit(
    spec: Path,
    variant: str,
    order: str,
    day: str,
    sets: int,
    out: Path,
    paper: str,
    accept: tuple[str, ...],
    because: tuple[str, ...],
    as_json: bool,
) -> int:
    """Make what goes with SPEC when it is sold: customer's pack, labels, hose order, cut list, price.

    \b
    pedalplate kit specs/ferrow_bus.toml --for "order 1042"
    pedalplate kit specs/ferrow_bus.toml --variant left_hand_drive --for "order 1043"

    Bags are those of bom.csv, boxes and what goes along those of [kit]; labels and rates are the shop
    file's. No name or address is asked for: an order number serves. With --for the kit is entered in the
    register beside the shop file and has the next serial; the same order again has the same one. Without, it
    is a kit to look at, of number 0000.
    """
    from generators.issue.manifest import finding_json
    from generators.jobs.kit.content import Asked, Content
    from generators.jobs.kit.run import ORDER_LETTERS, folder_name, write_kit
    from generators.jobs.settle import settled
    from generators.jobs.sold.enter import packed, serial_for, serial_letters
    from generators.model.sold.code import serial_of
    from generators.solve.job import prepare

    given, order = order, order_of(order)
    if given and not order:
        raise click.UsageError("--for takes an order number")
    if len(order) > ORDER_LETTERS:
        raise click.UsageError(f"--for has room for {ORDER_LETTERS} letters: it stands on every label")
    prepared = prepare(spec, waivers_of(accept, because), variant=variant)
    # what make has solved is not solved again
    folder = out / prepared.file.job.job.name
    prepared, remarks = settled(prepared, (folder,), lambda what: say(what, err=True))
    job = prepared.file.job
    head = {"job": job.job.name, "revision": prepared.file.revision}
    if prepared.blocked:
        result = {**head, "findings": [finding_json(f) for f in prepared.findings]}
        return refused(prepared, result, remarks, as_json=as_json)
    prepared, differs = lettered(prepared)
    if differs is not None:
        return not_as_issued(prepared, differs, as_json=as_json, unissued=False)
    require_folder_or_nothing(out)
    # what the kit cannot be made for is told before a serial is given
    serial, day = serial_of(serial_letters(prepared), 0), day_of(day)
    trial = Content(prepared=prepared, asked=Asked(serial=serial, order=order, sets=sets))
    bags, price = trial.packing.bags, trial.price()
    trial.require_labels(paper)
    if order:
        serial = serial_for(prepared, spec.parent, order=order, day=day)
    content = replace(trial, asked=replace(trial.asked, serial=serial))
    with writing(out / folder_name(content)), bar() as progress:
        made = write_kit(content, out, paper=paper, progress=progress)
    if order:
        packed(spec.parent, serial, made)
    if as_json:
        print_json(
            {
                "ok": True,
                **head,
                "serial": serial,
                "letter": content.letter,
                "order": order,
                "sets": sets,
                "bags": [bag.title for bag in bags],
                "notes": list(content.notes),
                "folder": str(made.folder),
                "files": [e.path for e in made.entries],
                "price": list(price.sums()),
                "read_back": [{"path": r.path, "facts": list(r.facts)} for r in made.readings],
            }
        )
        return EXIT_OK
    print_files(made)
    console = stdout()
    for line in content.notes:
        console.print(f"NOTE: {line}", markup=False)
    for line in price.sums():
        console.print(line, markup=False)
    say(f"kit {serial}: {len(made.entries)} files, revision {prepared.shown}, all read back")
    say_cautions()
    return EXIT_OK
