"""Open the register, one writer at a time; what goes wrong is one sentence."""

from __future__ import annotations

import contextlib
import os
import secrets
import sqlite3
from collections.abc import Iterator
from pathlib import Path

from generators.errors import ExportError, ReadBackError
from generators.register.layouts import APPLICATION, LAYOUTS

NAME = "register.sqlite"
MAGIC, HEADER, APPLICATION_AT = b"SQLite format 3\0", 100, 68
"""How a database file begins, how long its head is, and where its ``application_id`` stands in it (SQLite,
database file format, 1.3)."""

WAIT_S = 0.3
"""How long a second writer waits for the first one to end before it is told."""


def register_path(folder: Path) -> Path:
    """The register of a shop's folder."""
    return folder / NAME


@contextlib.contextmanager
def _said(path: Path) -> Iterator[None]:
    """What SQLite raises, as one sentence of ours. Raises ``ExportError`` and ``ReadBackError``."""
    try:
        yield
    except sqlite3.OperationalError as error:
        code = error.sqlite_errorcode & 0xFF
        if code in (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED):
            words = "is being written by another run; wait until that has ended, then try again"
        elif code in (sqlite3.SQLITE_FULL, sqlite3.SQLITE_IOERR):
            words = f"cannot be written: {error}; nothing was entered"
        elif code in (sqlite3.SQLITE_CANTOPEN, sqlite3.SQLITE_READONLY):
            words = f"cannot be opened for writing: {error}"
        else:
            words = f"cannot be used: {error}"
        raise ExportError(f"{path} {words}") from error
    except sqlite3.DatabaseError as error:
        raise ReadBackError(str(path), f"is no sound register: {error}; take the last backup") from error


def _connect(path: Path, *, writing: bool) -> sqlite3.Connection:
    if not writing and not path.is_file():
        raise ExportError(f"{path} is not there: no kit was sold from this folder; --shop names another")
    path.parent.mkdir(parents=True, exist_ok=True)
    mode = "rwc" if writing else "ro"
    log = path.with_name(f"{path.name}-wal")
    if not writing and not os.access(path.parent, os.W_OK) and not (log.exists() and log.stat().st_size):
        mode = "ro&immutable=1"  # a copy on a medium that cannot be written: nobody can be writing it
    connection = sqlite3.connect(
        f"{path.absolute().as_uri()}?mode={mode}", uri=True, timeout=WAIT_S, isolation_level=None
    )
    try:
        connection.execute("PRAGMA foreign_keys = ON")
    except BaseException:
        connection.close()
        raise
    return connection


def layout_of(connection: sqlite3.Connection) -> int:
    """``user_version``: which layout the file has."""
    return int(connection.execute("PRAGMA user_version").fetchone()[0])


def _require_known(path: Path, connection: sqlite3.Connection) -> int:
    """Raises ``ReadBackError`` for a file of a newer program, or one that is no register."""
    layout = layout_of(connection)
    known = int(connection.execute("PRAGMA application_id").fetchone()[0])
    tables = int(connection.execute("SELECT count(*) FROM sqlite_master").fetchone()[0])
    if tables and known != APPLICATION:
        raise ReadBackError(str(path), "is a database of something else, no register")
    if layout > len(LAYOUTS):
        raise ReadBackError(
            str(path),
            f"was written by a newer version of this program (layout {layout}, this one knows "
            f"{len(LAYOUTS)}); use that version: an older one could spoil it",
        )
    return layout


def _bring_up(connection: sqlite3.Connection, layout: int) -> None:
    """The newest layout, within the transaction that is open."""
    for number in range(layout, len(LAYOUTS)):
        for statement in LAYOUTS[number].split(";"):
            if statement.strip():
                connection.execute(statement)
    connection.execute(f"PRAGMA application_id = {APPLICATION}")
    connection.execute(f"PRAGMA user_version = {len(LAYOUTS)}")


@contextlib.contextmanager
def writing(path: Path) -> Iterator[sqlite3.Connection]:
    """A transaction: all of it is entered when the block ends well, nothing of it otherwise.

    Makes the register where there is none, and brings an older one up to date. Raises ``ExportError`` when
    somebody else writes or the disk is full, ``ReadBackError`` for a file that is no register of ours.
    """
    with _said(path):
        connection = _connect(path, writing=True)
        try:
            _require_known(path, connection)  # before anything of another's database is changed
            connection.execute("PRAGMA journal_mode = WAL")
            # every commit is on the disk before it is told: a register is small and written by hand
            connection.execute("PRAGMA synchronous = FULL")
            connection.execute("BEGIN IMMEDIATE")
            try:
                layout = _require_known(path, connection)  # nobody else can change it now
                if layout < len(LAYOUTS):
                    _bring_up(connection, layout)
                yield connection
                connection.execute("COMMIT")
            except BaseException:
                if connection.in_transaction:
                    connection.execute("ROLLBACK")
                raise
        finally:
            connection.close()


@contextlib.contextmanager
def reading(path: Path) -> Iterator[sqlite3.Connection]:
    """The register as it stands, also while somebody writes. An older layout is brought up to date first.

    Raises as ``writing``, and ``ExportError`` where there is none.
    """
    with _said(path):
        connection = _connect(path, writing=False)
        try:
            older = _require_known(path, connection) < len(LAYOUTS)
        finally:
            connection.close()
    if older:
        with writing(path):
            pass
    with _said(path):
        connection = _connect(path, writing=False)
        try:
            connection.execute("BEGIN")
            yield connection
        finally:
            connection.close()


def _require_copy(path: Path, copy: Path) -> None:
    """Raises ``ExportError`` unless a copy can go there and takes nothing's place but an older copy's."""
    try:
        if not copy.parent.is_dir():
            raise ExportError(f"cannot write {copy}: {copy.parent} is no folder")
        if not copy.exists():
            return
        if not copy.is_file():
            raise ExportError(f"cannot write {copy}: it is no file")
        if path.exists() and copy.samefile(path):
            raise ExportError(f"{copy} is the register itself; name another file for the copy")
        with copy.open("rb") as stream:
            head = stream.read(HEADER)
    except OSError as error:
        raise ExportError(f"cannot write {copy}: {error.strerror or error}") from error
    known = int.from_bytes(head[APPLICATION_AT : APPLICATION_AT + 4], "big")
    if not head.startswith(MAGIC) or known != APPLICATION:
        raise ExportError(f"{copy} is there and is no copy of a register; name another file")


def back_up(path: Path, copy: Path) -> int:
    """A whole copy by SQLite's online backup, put in place in one step; returns how many kits are in it.

    It is a register of one moment, whoever writes meanwhile. Raises as ``reading``, and ``ExportError`` where
    the copy cannot be written, is the register itself, or would take the place of what is no copy of one.
    """
    _require_copy(path, copy)
    fresh = copy.with_name(f".{copy.name}.{secrets.token_hex(4)}.new")
    try:
        with _said(path):
            source = _connect(path, writing=False)
            try:
                _require_known(path, source)
                target = sqlite3.connect(fresh)
                try:
                    source.backup(target)
                    target.execute("PRAGMA journal_mode = DELETE")
                    sound = target.execute("PRAGMA integrity_check").fetchone()[0]
                    kits = int(target.execute("SELECT count(*) FROM kit").fetchone()[0])
                finally:
                    target.close()
            finally:
                source.close()
        if sound != "ok":
            raise ReadBackError(str(path), f"is damaged: {sound}; take an older backup")
        os.replace(fresh, copy)
    except OSError as error:
        raise ExportError(f"cannot write {copy}: {error.strerror or error}") from error
    finally:
        with contextlib.suppress(OSError):
            fresh.unlink()
    return kits
