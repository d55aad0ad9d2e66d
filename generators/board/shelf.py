"""What the page is told of the shop's shelf: its things with pictures, and where the spec takes one."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from generators.errors import PedalplateError
from generators.model.spec.shelf.things import KEY, THINGS, takers
from generators.reading.reader import DEFAULT_SHELF
from generators.reading.shelf.file import OnShelf, ShelfFile, read_shelf
from generators.reading.shelf.taken import asked_for, picks_of
from generators.reading.toml.edits import line_of, value_at
from generators.reading.toml.named import named_path
from generators.reading.toml.paths import Path as Keys
from generators.reading.toml.paths import path_text
from generators.reading.toml.source import TomlSource
from generators.sheets.draft.shelf import thing_picture

HEAD = ("name", "title", "measured", "measured_by", "where", "note", "port")
"""Keys of a thing that are told apart from its figures."""
NOTHING: dict[str, Any] = {"file": "", "fault": "", "things": [], "places": []}


def shelf_of(spec: Path, source: TomlSource) -> dict[str, Any]:
    """The things of the shelf beside a spec, and the values of the spec's own file that name one.

    A place says which kinds of things go there; putting another name at its ``path`` swaps the thing.
    """
    head = source.table.get("job", {})
    name = head.get("shelf", DEFAULT_SHELF) if isinstance(head, dict) else DEFAULT_SHELF
    if not isinstance(name, str) or name != Path(name).name or not (spec.parent / name).is_file():
        return NOTHING
    try:
        shelf, faults = read_shelf(spec.parent / name)
    except PedalplateError as error:
        return {**NOTHING, "file": name, "fault": str(error)}
    return {
        "file": name,
        "fault": faults[0].render() if faults else "",
        "things": [_thing(one) for one in shelf.things.values() if one.said is not None],
        "places": [*_places(shelf, source)],
    }


def _thing(one: OnShelf) -> dict[str, Any]:
    title = str(one.table.get("title") or one.name.replace("_", " "))
    return {
        "name": one.name,
        "kind": one.thing.name,
        "what": one.thing.doc,
        "title": title,
        "line": one.line,
        "measured": f"{one.said.measured}, {one.said.measured_by}",
        "where": one.said.where,
        "note": one.said.note,
        "figures": [
            f"{key.replace('_', ' ')} {value}" for key, value in one.table.items() if key not in HEAD
        ],
        "svg": thing_picture(one.thing.name, one.said, title),
    }


def _places(shelf: ShelfFile, source: TomlSource) -> Iterator[dict[str, Any]]:
    """Where the spec names a thing: once for each name of its own, whatever takes that."""
    picks = picks_of(source.table)
    users: dict[str, list[Keys]] = {name: [] for name in picks}
    direct: list[Keys] = []
    for path in asked_for(source.table):
        value = value_at(source, path)
        if path[0] == KEY:
            continue
        users[value].append(path) if value in picks else direct.append(path)
    for name, thing in picks.items():
        kinds = [set(_kinds(path)) for path in users[name]]
        fits = set.intersection(*kinds) if kinds else {one.name for one in THINGS}
        yield _place((KEY, name), name.replace("_", " "), thing, fits, shelf, source, len(kinds))
    for path in direct:
        yield _place(
            path,
            _called(named_path(source.table, path)),
            value_at(source, path),
            {*_kinds(path)},
            shelf,
            source,
            1,
        )


def _called(path: str) -> str:
    """A place in words: ``feed hose, from end`` of ``hose[feed_hose].from_end.shelf``."""
    names = re.sub(r"^[a-z_]+\[([^\]]*)\]", r"\1", path).removesuffix(f".{KEY}").removesuffix(f"_{KEY}")
    return names.replace(".", ", ").replace("_", " ")


def _kinds(path: Keys) -> tuple[str, ...]:
    at = tuple(step for step in path[:-1] if isinstance(step, str))
    return tuple(thing.name for thing, place in takers(at) if place.key == path[-1])


def _place(
    path: Keys, what: str, thing: str, fits: set[str], shelf: ShelfFile, source: TomlSource, times: int
) -> dict[str, Any]:
    now = shelf.things.get(thing)
    # a master is swapped for a master: the rest of the spec is about one
    kinds = {now.thing.name} if now is not None and now.thing.name in fits else fits
    return {
        "path": path_text(path),
        "what": what,
        "times": times,
        "now": thing,
        "line": line_of(source, path),
        "fits": [name for name, one in shelf.things.items() if one.thing.name in kinds],
    }
