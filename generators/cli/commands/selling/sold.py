"""``pedalplate sold``: what was sold to whom, what changed since, what came back."""

from __future__ import annotations

import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from generators.cli.options import Decorator, json_option, out_if_asked_option, paper_option
from generators.cli.output import EXIT_OK, bar, print_json, say, stdout
from generators.cli.paths import InputPath, OutputPath, SheetWords, Words, require_folder_or_nothing, writing

if TYPE_CHECKING:
    from generators.register.kits import SoldKit

HERE = Path()


def shop_option() -> Decorator:
    """The folder whose register is asked."""
    return click.option(
        "--shop",
        type=InputPath(),
        default=HERE,
        metavar="FOLDER",
        help="Folder of the shop file, where the register lies; else this one.",
    )


def date_option() -> Decorator:
    """The day something happened."""
    return click.option(
        "--date", "day", type=Words(), default="", metavar="YYYY-MM-DD", help="Day; else today."
    )


def day_of(text: str) -> str:
    """A day as asked for, or today. Raises ``UsageError`` for none."""
    from generators.jobs.issued.store import is_date

    if text and not is_date(text):
        raise click.UsageError(f"--date takes a day like 2026-11-29, not {text!r}")
    return text or datetime.date.today().isoformat()


def order_of(text: str) -> str:
    """An order as it is entered and looked up: a blank too many makes no other order."""
    return " ".join(text.split())


@click.group()
def sold() -> None:
    """What was sold to whom, what changed since, what came back: the register in the shop's folder.

    \b
    pedalplate sold list --shop specs
    pedalplate sold to "order 1042" --shop specs
    pedalplate sold recall specs/ferrow_bus.toml --why "..." --do "..." --out templates_out
    pedalplate sold backup register_copy.sqlite --shop specs

    `kit SPEC --for ORDER` enters a kit. No name or address is kept: an order number serves.
    """


def _data(kit: SoldKit) -> dict[str, Any]:
    return {
        "serial": kit.serial,
        "order": kit.order,
        "date": kit.day,
        "job": kit.job,
        "variant": kit.variant,
        "letter": kit.letter,
        "revision": kit.revision,
        "files": dict(kit.files),
        "entries": [{"kind": e.kind, "date": e.day, "words": e.words, "file": e.file} for e in kit.entries],
    }


def _line(kit: SoldKit) -> str:
    form = f" {kit.variant}" if kit.variant else ""
    issue = f"issue {kit.letter}, " if kit.letter else ""
    state = f"{len(kit.files)} files" if kit.files else "BEGUN, its folder was not finished"
    return f"{kit.serial}  {kit.order}  {kit.day}  {kit.job}{form}, {issue}revision {kit.revision}; {state}"


def _shown(kits: tuple[SoldKit, ...], *, as_json: bool, entries: bool = True) -> int:
    if as_json:
        print_json({"ok": True, "kits": [_data(kit) for kit in kits]})
        return EXIT_OK
    console = stdout()
    for kit in kits:
        console.print(_line(kit), markup=False)
        for entry in kit.entries if entries else ():
            name = f" ({entry.file})" if entry.file else ""
            console.print(f"    {entry.day} {entry.kind}: {entry.words}{name}", markup=False)
    say(f"{len(kits)} kit{'' if len(kits) == 1 else 's'}")
    return EXIT_OK


@sold.command("list")
@shop_option()
@json_option()
def list_(shop: Path, as_json: bool) -> int:
    """Every kit that was sold."""
    from generators.register.kits import kits
    from generators.register.store import reading, register_path

    with reading(register_path(shop)) as register:
        found = kits(register)
    return _shown(found, as_json=as_json, entries=False)


@sold.command()
@click.argument("order", type=Words())
@shop_option()
@json_option()
def to(order: str, shop: Path, as_json: bool) -> int:
    """What the customer of ORDER has, with all that was noted of it."""
    from generators.errors import LookupFault
    from generators.register.kits import kits
    from generators.register.store import reading, register_path

    order = order_of(order)
    with reading(register_path(shop)) as register:
        found = kits(register, order=order)
        known = [kit.order for kit in kits(register)]
    if not found:
        raise LookupFault("order", order, list(dict.fromkeys(known)))
    return _shown(found, as_json=as_json)


@sold.command()
@shop_option()
@json_option()
def returned(shop: Path, as_json: bool) -> int:
    """Every kit of which something came back."""
    from generators.register.kits import kits
    from generators.register.store import reading, register_path

    with reading(register_path(shop)) as register:
        found = tuple(kit for kit in kits(register) if any(e.kind == "back" for e in kit.entries))
    return _shown(found, as_json=as_json)


def _said(words: str, what: str) -> str:
    """Words that say something. Raises ``UsageError`` for none: an entry without them says nothing."""
    if not words.strip():
        raise click.UsageError(f"{what} takes some words")
    return words.strip()


def _enter(kind: Any, serial: str, words: str, day: str, shop: Path, file: Path | None = None) -> int:
    from generators.reading.toml.source import read_bytes
    from generators.register.kits import Entry, note
    from generators.register.store import reading, register_path
    from generators.register.store import writing as entering

    data = b"" if file is None else read_bytes(file)
    path = register_path(shop)
    with reading(path):  # a register that is not there is not made by a note
        pass
    entry = Entry(kind=kind, day=day_of(day), words=words, file=file.name if file else "", data=data)
    with entering(path) as register:
        note(register, serial, entry)
    say(f"{serial}: {entry.day} {kind}: {words}")
    return EXIT_OK


@sold.command("note")
@click.argument("serial", type=Words())
@click.argument("words", type=SheetWords())
@shop_option()
@date_option()
def note_(serial: str, words: str, shop: Path, day: str) -> int:
    """Note WORDS of the kit SERIAL."""
    return _enter("note", serial, _said(words, "a note"), day, shop)


@sold.command()
@click.argument("serial", type=Words())
@click.option("--why", type=SheetWords(), required=True, metavar="REASON", help="What came back, and why.")
@shop_option()
@date_option()
def back(serial: str, why: str, shop: Path, day: str) -> int:
    """Something of the kit SERIAL came back."""
    return _enter("back", serial, _said(why, "--why"), day, shop)


@sold.command()
@click.argument("serial", type=Words())
@click.argument("readings", type=InputPath())
@click.option("--words", type=SheetWords(), default="readings of that vehicle", help="What was measured.")
@shop_option()
@date_option()
def measured(serial: str, readings: Path, words: str, shop: Path, day: str) -> int:
    """Keep what was measured on the vehicle of the kit SERIAL: readings of `measure` or of `form`."""
    from generators.reading.readings import read_readings
    from generators.reading.toml.source import read_bytes
    from generators.reading.vehicle import is_vehicle, read_vehicle

    if is_vehicle(read_bytes(readings)):
        read_vehicle(readings)
    else:
        read_readings(readings)
    return _enter("measured", serial, _said(words, "--words"), day, shop, readings)


@sold.command()
@click.argument("code", type=Words())
@shop_option()
@json_option()
def scan(code: str, shop: Path, as_json: bool) -> int:
    """The kit whose square code was scanned: CODE is what it says, as text."""
    from generators.errors import ReadBackError
    from generators.model.sold.code import read_code
    from generators.register.kits import by_serial
    from generators.register.store import reading, register_path

    said = read_code(code)
    if said is None:
        raise ReadBackError("the code", "is none of a kit, or a letter of it was read or typed wrong")
    with reading(register_path(shop)) as register:
        kit = by_serial(register, said.serial)
    if (kit.letter, kit.revision) != (said.letter, said.revision):
        raise ReadBackError("the code", f"says other content than {kit.serial} was sold with: {_line(kit)}")
    return _shown((kit,), as_json=as_json)


@sold.command()
@click.argument("folder", type=InputPath())
@shop_option()
def same(folder: Path, shop: Path) -> int:
    """Is the kit in FOLDER file by file what was sold under its serial?"""
    from generators.errors import ReadBackError
    from generators.issue.manifest import file_hash, read_manifest
    from generators.register.kits import by_serial
    from generators.register.store import reading, register_path

    serial = read_manifest(folder).said("serial")
    with reading(register_path(shop)) as register:
        kit = by_serial(register, serial)
    other = [p for p, sha in kit.files.items() if not (folder / p).is_file() or file_hash(folder / p) != sha]
    if other or not kit.files:
        raise ReadBackError(
            serial, f"is not as it was sold: {', '.join(other) or 'its pack was not finished'}"
        )
    say(f"{serial}: {len(kit.files)} files, each as it was sold to {kit.order}")
    return EXIT_OK


@sold.command()
@click.argument("copy", type=OutputPath())
@shop_option()
def backup(copy: Path, shop: Path) -> int:
    """Write a whole copy of the register, of one moment, whoever writes meanwhile."""
    from generators.register.store import back_up, register_path

    count = back_up(register_path(shop), copy)
    say(f"{copy}: {count} kit{'' if count == 1 else 's'}, sound")
    return EXIT_OK


@sold.command()
@click.argument("spec", type=InputPath())
@click.option("--why", type=SheetWords(), required=True, metavar="REASON", help="Why, in the letters.")
@click.option(
    "--do", "do", type=SheetWords(), required=True, metavar="WORDS", help="What to do, in the letters."
)
@click.option(
    "--only",
    type=Words(),
    default="",
    metavar="NAME",
    help="Just kits with this one changed: PANEL/HOLE, a part, a hose or what is bought.",
)
@out_if_asked_option("Write the list and a letter for each kit into a folder in here.")
@paper_option("Of the letters.")
@json_option()
def recall(spec: Path, why: str, do: str, only: str, out: Path | None, paper: str, as_json: bool) -> int:
    """Kits that carry a hole, part, hose or bought thing that is otherwise in SPEC now, each in its form."""
    from generators.cli.commands.selling.lettered import lettered
    from generators.jobs.sold.files import write_recall
    from generators.jobs.sold.recall import recall as recalled
    from generators.model.sold.recall import recall_data
    from generators.register.store import register_path
    from generators.solve.job import prepare

    why, do = _said(why, "--why"), _said(do, "--do")
    now, _ = lettered(prepare(spec))
    found = recalled(register_path(spec.parent), now, why=why, do=do, only=only)
    files: list[str] = []
    if out is not None:
        require_folder_or_nothing(out)
        with writing(out / f"{found.job}_recall"), bar() as progress:
            made = write_recall(found, out, paper=paper, progress=progress)
        files = [str(made.folder / entry.path) for entry in made.entries]
    if as_json:
        print_json({"ok": True, **recall_data(found), "files": files})
        return EXIT_OK
    console = stdout()
    for kit in found.kits:
        console.print(f"{kit.serial}  {kit.order}  {kit.issue_words}", markup=False)
        for one in kit.changed:
            console.print(f"    {one.line}", markup=False)
    for path in files:
        console.print(path, markup=False)
    for words in found.uncompared_words:
        console.print(words, markup=False)
    say(f"{len(found.kits)} of {found.looked_at} kits sold of {found.job}")
    return EXIT_OK
