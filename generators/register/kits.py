"""Kits in the register: a serial for each order, what it is of, what was found out about it later."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Literal

from generators.errors import ExportError, LookupFault
from generators.model.sold.code import serial_of

EntryKind = Literal["note", "measured", "back"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Sold:
    """What a kit is of: job, form, issue, and everything needed to solve it again."""

    job: str
    title: str
    variant: str
    letter: str
    issued: str
    revision: str
    spec: str
    numbers: Mapping[str, Any]
    kept: tuple[tuple[str, bytes], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """Something noted of a kit; ``data`` is a file that goes with it."""

    kind: EntryKind
    day: str
    words: str
    file: str
    data: bytes


@dataclass(frozen=True, slots=True, kw_only=True)
class SoldKit:
    """One kit. ``files`` are the hashes of its pack by path; none where it was begun and not finished."""

    serial: str
    order: str
    day: str
    content: int
    job: str
    title: str
    variant: str
    letter: str
    issued: str
    revision: str
    files: Mapping[str, str]
    entries: tuple[Entry, ...]


def begin(register: sqlite3.Connection, sold: Sold, *, letters: str, order: str, day: str) -> str:
    """The serial of a kit for that order: the one it has, or the next number.

    A kit that was begun and never finished becomes one of the content of now. Raises ``ExportError`` where
    the order has a finished kit of this job and form with other content.
    """
    row = register.execute(
        "SELECT kit.serial, letter, revision FROM kit JOIN content ON content.id = kit.content "
        "WHERE buyer = ? AND job = ? AND variant = ?",
        (order, sold.job, sold.variant),
    ).fetchone()
    if row is not None:
        serial, letter, revision = row
        if (letter, revision) != (sold.letter, sold.revision):
            if not register.execute("SELECT 1 FROM pack WHERE serial = ?", (serial,)).fetchone():
                now = (_content(register, sold), day, serial)
                register.execute("UPDATE kit SET content = ?, day = ? WHERE serial = ?", now)
                return str(serial)
            of = f"issue {letter}, " if letter else ""
            raise ExportError(
                f"{order} has kit {serial} of {of}revision {revision}, and this is other content; what was "
                f'sold stays as it was: name it apart, like --for "{order} again"'
            )
        return str(serial)
    content = _content(register, sold)
    last = register.execute("SELECT max(number) FROM kit WHERE letters = ?", (letters,)).fetchone()[0]
    number = (last or 0) + 1
    serial = serial_of(letters, number)
    register.execute(
        "INSERT INTO kit (serial, letters, number, buyer, content, day) VALUES (?, ?, ?, ?, ?, ?)",
        (serial, letters, number, order, content, day),
    )
    return serial


def _content(register: sqlite3.Connection, sold: Sold) -> int:
    """The number of that content, entered once."""
    known = (sold.job, sold.variant, sold.letter, sold.revision)
    row = register.execute(
        "SELECT id FROM content WHERE job = ? AND variant = ? AND letter = ? AND revision = ?", known
    ).fetchone()
    if row is not None:
        return int(row[0])
    cursor = register.execute(
        "INSERT INTO content (job, variant, letter, revision, title, issued, spec, numbers) "
        "VALUES (?, ?, ?, ?, ?, ?, ?, ?)",
        (*known, sold.title, sold.issued, sold.spec, json.dumps(sold.numbers, ensure_ascii=False)),
    )
    content = int(cursor.lastrowid or 0)
    rows = [(content, path, data) for path, data in sold.kept]
    register.executemany("INSERT INTO kept (content, path, data) VALUES (?, ?, ?)", rows)
    return content


def finish(register: sqlite3.Connection, serial: str, files: Mapping[str, str]) -> None:
    """The hashes of the finished pack, in place of those of an earlier run."""
    register.execute("DELETE FROM pack WHERE serial = ?", (serial,))
    rows = [(serial, path, sha256) for path, sha256 in sorted(files.items())]
    register.executemany("INSERT INTO pack (serial, path, sha256) VALUES (?, ?, ?)", rows)


def note(register: sqlite3.Connection, serial: str, entry: Entry) -> None:
    """Enter something about a kit. Raises ``LookupFault`` for a serial nobody sold."""
    known = [row[0] for row in register.execute("SELECT serial FROM kit ORDER BY serial")]
    if serial not in known:
        raise LookupFault("serial", serial, known)
    register.execute(
        "INSERT INTO entry (serial, kind, day, words, file, data) VALUES (?, ?, ?, ?, ?, ?)",
        (serial, entry.kind, entry.day, entry.words, entry.file, entry.data),
    )


def kits(
    register: sqlite3.Connection, *, order: str | None = None, job: str | None = None
) -> tuple[SoldKit, ...]:
    """Kits by serial; of one order, of one job."""
    rows = register.execute(
        "SELECT kit.serial, buyer, day, content.id, job, title, variant, letter, issued, revision FROM kit "
        "JOIN content ON content.id = kit.content ORDER BY letters, number"
    ).fetchall()
    wanted: Iterable[Sequence[Any]] = (
        row for row in rows if (order is None or row[1] == order) and (job is None or row[4] == job)
    )
    return tuple(_kit(register, row) for row in wanted)


def _kit(register: sqlite3.Connection, row: Sequence[Any]) -> SoldKit:
    serial = row[0]
    files = dict(register.execute("SELECT path, sha256 FROM pack WHERE serial = ? ORDER BY path", (serial,)))
    entries = register.execute(
        "SELECT kind, day, words, file, data FROM entry WHERE serial = ? ORDER BY id", (serial,)
    )
    return SoldKit(
        serial=serial,
        order=row[1],
        day=row[2],
        content=row[3],
        job=row[4],
        title=row[5],
        variant=row[6],
        letter=row[7],
        issued=row[8],
        revision=row[9],
        files=files,
        entries=tuple(Entry(kind=e[0], day=e[1], words=e[2], file=e[3], data=e[4]) for e in entries),
    )


def by_serial(register: sqlite3.Connection, serial: str) -> SoldKit:
    """The kit of that serial. Raises ``LookupFault`` for one nobody sold."""
    found = kits(register)
    for kit in found:
        if kit.serial == serial:
            return kit
    raise LookupFault("serial", serial, [kit.serial for kit in found])


def content(register: sqlite3.Connection, number: int) -> tuple[str, Mapping[str, Any], Mapping[str, bytes]]:
    """What is kept of a content: name of its spec, its numbers, and its files by path."""
    spec, numbers = register.execute("SELECT spec, numbers FROM content WHERE id = ?", (number,)).fetchone()
    files = dict(register.execute("SELECT path, data FROM kept WHERE content = ?", (number,)))
    return spec, json.loads(numbers), files
