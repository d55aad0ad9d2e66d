"""What the page is told of the shop's shelf: its things with pictures, and where the spec takes one."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from generators.board.edits import Changed
from generators.board.numbers import Refused
from generators.board.taking import offers, taken
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
HOW_TO_BEGIN = (
    "what lies in your shop is measured once and written there, and then taken by a click. "
    "pedalplate new --demo tractor writes one to look at, and the manual has its keys"
)
NOTHING: dict[str, Any] = {"file": "", "fault": "", "said": "", "things": [], "places": []}


def shelf_of(spec: Path, source: TomlSource) -> dict[str, Any]:
    """The things of the shelf beside a spec, and the values of the spec's own file that name one.

    A place says which kinds of things go there; putting another name at its ``path`` swaps the thing.
    """
    name = _file(source)
    if not name or not (spec.parent / name).is_file():
        wanted = name or DEFAULT_SHELF
        return {**NOTHING, "said": f"No {wanted} is beside the spec: {HOW_TO_BEGIN}"}
    try:
        shelf, faults = read_shelf(spec.parent / name)
    except PedalplateError as error:
        return {**NOTHING, "file": name, "fault": str(error)}
    things = [_thing(one) for one in shelf.things.values() if one.said is not None]
    places = [*_places(shelf, source), *_free(shelf, source)]
    said = f"{len(things)} thing{'s' * (len(things) != 1)} in {shelf.name}"
    if things and not any(place["now"] for place in places):
        said += ", and the spec takes none of them yet"
    return {
        "file": name,
        "fault": faults[0].render() if faults else "",
        "said": said,
        "things": things,
        "places": places,
    }


def with_thing(spec: Path, source: TomlSource, place: str, thing: str) -> Changed:
    """The text with a thing of the shelf in place of what the spec says itself. Raises ``Refused``."""
    name = _file(source)
    if not name:
        raise Refused("no shelf is beside the spec")
    try:
        shelf, _ = read_shelf(spec.parent / name)
    except PedalplateError as error:
        raise Refused(str(error)) from error
    return taken(source, shelf, place, thing)


def _file(source: TomlSource) -> str:
    """The name of the shelf's file; nothing where what the spec says is no name."""
    head = source.table.get("job", {})
    name = head.get(KEY, DEFAULT_SHELF) if isinstance(head, dict) else DEFAULT_SHELF
    return name if isinstance(name, str) and name == Path(name).name else ""


def _free(shelf: ShelfFile, source: TomlSource) -> Iterator[dict[str, Any]]:
    """What the spec says itself and could take of the shelf."""
    for offer in offers(source.table, shelf):
        fits = [name for name, one in shelf.things.items() if one.said is not None and offer.fits(one)]
        if fits:
            yield {
                "path": path_text(offer.path),
                "what": _called(named_path(source.table, offer.path)),
                "times": len(offer.tables),
                "now": "",
                "line": line_of(source, offer.tables[0]),
                "fits": fits,
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
