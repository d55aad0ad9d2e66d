"""``shelf.toml`` read and checked as a whole, whoever takes something of it."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path as FilePath
from typing import Any

from generators.errors import Fault, LookupFault
from generators.model.spec.fields import NAME_PATTERN
from generators.model.spec.shelf.things import THINGS, Thing
from generators.reading.keys.hole_kinds import check_bolt
from generators.reading.toml import words
from generators.reading.toml.source import TomlSource, parse_bytes, read_bytes
from generators.reading.toml.tables import TableReader
from generators.standards import material


@dataclass(frozen=True, kw_only=True)
class OnShelf:
    """One thing of a shelf: its kind, which of its list it is, and what is said of it.

    ``said`` is the same as it was read; None for a thing with faults.
    """

    thing: Thing
    index: int
    table: Mapping[str, Any]
    line: int
    said: Any = None

    @property
    def name(self) -> str:
        """The name a spec takes it by."""
        return str(self.table["name"])


@dataclass(frozen=True, kw_only=True)
class ShelfFile:
    """A shelf as read: ``name`` is its file's, ``things`` are by name."""

    name: str
    source: TomlSource
    things: Mapping[str, OnShelf]

    def of(self, kinds: tuple[str, ...]) -> list[str]:
        """Names of the things of some kinds, in the order of the file."""
        return [name for name, one in self.things.items() if one.thing.name in kinds]


def read_shelf(path: FilePath, data: bytes | None = None) -> tuple[ShelfFile, tuple[Fault, ...]]:
    """A shelf with every fault in it; ``data`` stands in for what the file holds.

    Things that have faults are there as they are written. Raises ``SpecError`` for a file that is no TOML.
    """
    # its classes are made from those of the spec, which only a job that takes of a shelf has to wait for
    from generators.model.spec.shelf.file import Shelf  # noqa: PLC0415

    source = parse_bytes(str(path), read_bytes(path) if data is None else data, may_be_empty=True)
    reader = TableReader(source)
    reader.read(source.table, Shelf)
    things: dict[str, OnShelf] = {}
    for thing in THINGS:
        for index in range(len(reader.raw((thing.name,), list))):
            table = reader.raw((thing.name, index), dict)
            _check(reader, thing, index, table)
            name = table.get("name")
            if not isinstance(name, str) or re.fullmatch(NAME_PATTERN, name) is None:
                continue
            here = (thing.name, index, "name")
            line = source.places.value(here).line
            if name in things:
                found = f"the name {words.quoted(name)} again"
                hint = f"first used on line {things[name].line}"
                reader.refuse(here, found, "each name once on the shelf", hint)
                continue
            said = reader.built.get((thing.name, index))
            things[name] = OnShelf(thing=thing, index=index, table=table, line=line, said=said)
    return ShelfFile(name=path.name, source=source, things=things), reader.faults


def _check(reader: TableReader, thing: Thing, index: int, table: dict[str, Any]) -> None:
    """Report a thread and a material that no table has."""
    for key in ("bolt_thread", "thread"):
        thread = table.get(key)
        if isinstance(thread, str) and thread and (thing.name, index, key) not in reader.refused:
            check_bolt(reader, (thing.name, index, key), thread)
    name = table.get("material")
    if isinstance(name, str) and name:
        try:
            material(name)
        except LookupFault as fault:
            wanted = f"a material of the table: {words.listed(fault.known)}"
            found = f"the unknown material {words.quoted(name)}"
            hint = words.suggestion(name, fault.known)
            reader.refuse((thing.name, index, "material"), found, wanted, hint)
