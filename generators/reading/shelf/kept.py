"""The part of a shelf's file that goes along with a job: the things it asks for, as they are written."""

from __future__ import annotations

from collections.abc import Collection
from typing import Any

from generators.errors import SpecError
from generators.model.spec.shelf.things import THINGS
from generators.reading.shelf.file import ShelfFile
from generators.reading.toml.source import parse_bytes


def kept_text(shelf: ShelfFile, names: Collection[str]) -> bytes:
    """The text with those things alone, the comments above each, and what stands before the first.

    The whole file where things are not written one after the other, each under a header of its own.
    """
    source = shelf.source
    lines = source.text.splitlines(keepends=True)
    starts: list[tuple[int, bool]] = []
    wanted: dict[str, list[Any]] = {}
    for thing in THINGS:
        for index, table in enumerate(source.table.get(thing.name, [])):
            header = source.places.header((thing.name, index))
            if header is None:
                return source.data_bytes
            keep = isinstance(table, dict) and table.get("name") in names
            if keep:
                wanted.setdefault(thing.name, []).append(table)
            first = header.line - 1
            while first and lines[first - 1].lstrip().startswith("#"):
                first -= 1
            starts.append((first, keep))
    starts.sort()
    text = "".join(lines[: starts[0][0]]) if starts else source.text
    for k, (first, keep) in enumerate(starts):
        if keep:
            text += "".join(lines[first : starts[k + 1][0] if k + 1 < len(starts) else len(lines)])
    data = text.encode()
    try:
        same = parse_bytes(shelf.name, data, may_be_empty=True).table == wanted
    except SpecError:
        same = False
    return data if same else source.data_bytes
