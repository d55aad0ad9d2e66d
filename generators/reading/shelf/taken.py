"""What a spec takes of the shelf, put into its tables before they are read; keys it gives itself hold."""

from __future__ import annotations

import copy
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from generators.model.spec.fields import spec_fields, toml_key
from generators.model.spec.shelf.things import (
    KEY,
    THINGS,
    Place,
    Thing,
    given_keys,
    names_a_thing,
    takers,
)
from generators.reading.forms.composed import Composed
from generators.reading.shelf.file import OnShelf, ShelfFile
from generators.reading.toml import words
from generators.reading.toml.named import named_path
from generators.reading.toml.paths import Path
from generators.reading.toml.source import TomlSource
from generators.reading.toml.tables import TableReader

_LIST = "port"
"""A list of tables that goes together by name: a spec may say one key of one port."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Taken:
    """Something a spec takes: ``at`` is the table, by names, ``key`` what names the thing in it.

    ``pick`` is the name under ``[shelf]`` it is named by there; empty where it is named itself.
    """

    at: str
    key: str
    pick: str
    thing: str
    kind: str
    title: str
    measured: str
    measured_by: str
    file: str
    line: int


@dataclass
class _Filling:
    reader: TableReader
    shelf: ShelfFile
    kinds: Mapping[str, type]
    table: dict[str, Any]
    moved: dict[Path, tuple[TomlSource, Path]]
    taken: list[Taken] = field(default_factory=list)


def _places() -> dict[tuple[tuple[str, ...], str], tuple[tuple[Thing, Place], ...]]:
    """Kinds of things by the table that takes them and its key."""
    all_at = dict.fromkeys((place.at, place.key) for thing in THINGS for place in thing.places)
    return {(at, key): takers(at) for at, key in all_at}


_TAKERS = _places()


def _tables(here: Any, at: Sequence[str], path: Path = ()) -> Iterator[tuple[Path, dict[str, Any]]]:
    """The tables a way of keys leads to, through every entry of a list."""
    if isinstance(here, list):
        for index, one in enumerate(here):
            yield from _tables(one, at, (*path, index))
    elif isinstance(here, dict) and not at:
        yield path, here
    elif isinstance(here, dict) and at[0] in here:
        yield from _tables(here[at[0]], at[1:], (*path, at[0]))


def picks_of(table: dict[str, Any]) -> dict[str, str]:
    """The spec's own names of things of the shelf."""
    own = table.get(KEY, {})
    own = own if isinstance(own, dict) else {}
    return {name: thing for name, thing in own.items() if isinstance(thing, str)}


def asked_for(table: dict[str, Any]) -> list[Path]:
    """Paths of all that names a thing of the shelf in a spec."""
    return [
        *((KEY, name) for name in picks_of(table)),
        *(
            (*path, key)
            for at, key in _TAKERS
            for path, inner in _tables(table, at)
            if isinstance(inner.get(key), str) and inner[key]
        ),
    ]


def things_named(table: dict[str, Any]) -> set[str]:
    """Names of things of a shelf a spec asks for in any of its forms, and perhaps some words more."""
    found = set(picks_of(table).values())
    waiting: list[Any] = [table]
    while waiting:
        here = waiting.pop()
        for key, value in here.items() if isinstance(here, dict) else enumerate(here):
            if isinstance(value, dict | list):
                waiting.append(value)
            # a variant sets it by its path
            elif isinstance(value, str) and names_a_thing(str(key)):
                found.add(value)
    return found


def without_shelf(reader: TableReader, file: str, *, told: bool) -> None:
    """Refuse all that names a thing, of a spec that has no shelf beside it; ``told`` why it has none."""
    picks = picks_of(reader.source.table)
    for path in asked_for(reader.source.table):
        if told or (path[0] != KEY and reader.raw(path, str) in picks):
            _refuse_keys(reader, path)  # told where it is picked
            continue
        found = f"{words.quoted(reader.raw(path, str))}, and no {words.quoted(file)} beside the spec"
        _refuse(reader, path, found, "a thing of the shelf's file", "")


def _refuse(reader: TableReader, path: Path, found: str, wanted: str, hint: str) -> None:
    reader.refuse(path, found, wanted, hint)
    _refuse_keys(reader, path)


def _refuse_keys(reader: TableReader, path: Path) -> None:
    reader.refused.add(path)
    # keys the thing would have given are not missed as well
    at = tuple(step for step in path[:-1] if isinstance(step, str))
    for _, place in takers(at):
        reader.misspelt |= {(*path[:-1], key) for key in given_keys(place.table)}


def filled(reader: TableReader, shelf: ShelfFile, kinds: Mapping[str, type]) -> tuple[Taken, ...]:
    """Put what the spec takes into the source of ``reader``; names and kinds that do not fit are refused."""
    source = reader.source
    filling = _Filling(
        reader,
        shelf,
        kinds,
        copy.deepcopy(source.table),
        dict(source.moved) if isinstance(source, Composed) else {},
    )
    for pick, thing in picks_of(filling.table).items():
        if thing not in shelf.things:
            hint = words.suggestion(thing, shelf.things)
            wanted = f"a thing of {shelf.name}: {words.listed(shelf.things)}"
            reader.refuse((KEY, pick), f"the unknown thing {words.quoted(thing)}", wanted, hint)
    for (at, key), fitting in _TAKERS.items():
        for path, table in _tables(filling.table, at):
            name = table.get(key)
            if isinstance(name, str) and name:
                _take(filling, (*path, key), table, fitting)
    reader.source = Composed(
        source.file,
        source.data_bytes,
        source.text,
        filling.table,
        main=source.main if isinstance(source, Composed) else source,
        moved=filling.moved,
        mirrored=source.mirror,
        lent=frozenset({shelf.source.file}),
    )
    return tuple(filling.taken)


def _take(
    filling: _Filling, path: Path, table: dict[str, Any], fitting: Sequence[tuple[Thing, Place]]
) -> None:
    shelf, reader = filling.shelf, filling.reader
    name = str(table[str(path[-1])])
    kinds = tuple(dict.fromkeys(thing.name for thing, _ in fitting))
    picks = picks_of(filling.table)
    pick = name if name in picks else ""
    one = shelf.things.get(picks.get(name, name))
    if pick and one is None:
        _refuse_keys(reader, path)  # told where it is picked
        return
    wanted = " or ".join(kind.replace("_", " ") for kind in kinds)
    known = [*(p for p, thing in picks.items() if thing in shelf.of(kinds)), *shelf.of(kinds)]
    if one is None:
        found = f"the unknown thing {words.quoted(name)}"
        listed = f"a {wanted} of {shelf.name}: {words.listed(known)}"
        _refuse(reader, path, found, listed, words.suggestion(name, known))
        return
    if one.thing.name not in kinds:
        found = f"{words.quoted(name)}, a {one.thing.name.replace('_', ' ')} in {shelf.name} line {one.line}"
        _refuse(reader, path, found, f"a {wanted}: {words.listed(known)}", "")
        return
    if path[0] == "component" and one.thing.is_ is not None and not _is(filling, path[:-1], table, one):
        return
    if pick:
        # what the spec calls it is for the spec: bills and sheets say what lies on the shelf
        table[str(path[-1])] = one.name
        filling.moved[path] = reader.source.origin((KEY, pick))
    fills = [_fill(filling, path[:-1], table, one, place) for thing, place in fitting if thing is one.thing]
    if not any(fills):
        found = f"{words.quoted(name)}, a {one.thing.name}, for a {table.get('kind')} without bolts for one"
        reader.refuse(path, found, "a kind that carries such a thing")
        return
    filling.taken.append(
        Taken(
            at=named_path(filling.table, path[:-1]),
            key=str(path[-1]),
            pick=pick,
            thing=one.name,
            kind=one.thing.name,
            title=str(one.table.get("title", "")),
            measured=str(one.table.get("measured", "")),
            measured_by=str(one.table.get("measured_by", "")),
            file=shelf.source.file,
            line=one.line,
        )
    )


def _is(filling: _Filling, path: Path, table: dict[str, Any], one: OnShelf) -> bool:
    """Say which kind of component it is; False after refusing another one."""
    given = table.get("kind", one.thing.is_)
    if given != one.thing.is_:
        found = f"{words.quoted(str(given))} beside {words.quoted(one.name)}, a {one.thing.is_} of the shelf"
        _refuse(filling.reader, (*path, "kind"), found, f'"{one.thing.is_}", or another thing', "")
        return False
    if "kind" not in table:
        table["kind"] = one.thing.is_
        filling.moved[(*path, "kind")] = (filling.shelf.source, (one.thing.name, one.index))
    return True


def _fill(filling: _Filling, path: Path, table: dict[str, Any], one: OnShelf, place: Place) -> bool:
    """Put a thing's keys where the spec gives none; False where the table has no such keys."""
    allowed = None
    if place.within and not place.asked:
        kind = filling.kinds.get(str(table.get("kind")))
        # a kind that is not known is refused where it is read
        allowed = None if kind is None else {f.key for f in spec_fields(kind)}
        if allowed is not None and not allowed & {toml_key(name) for name in place.gives.values()}:
            return False
    into = table
    if place.within:
        if place.asked and not isinstance(table.get(place.within), dict):
            return True
        into = table.setdefault(place.within, {})
        path = (*path, place.within)
    if not isinstance(into, dict):
        return True
    for mine, theirs in place.gives.items():
        said, key = toml_key(mine), toml_key(theirs)
        if said not in one.table or (allowed is not None and key not in allowed):
            continue
        there = (one.thing.name, one.index, said)
        if key == _LIST and isinstance(into.get(key), list) and isinstance(one.table[said], list):
            into[key] = _joined(filling, (*path, key), into[key], one.table[said], there)
        elif key not in into:
            into[key] = copy.deepcopy(one.table[said])
            filling.moved[(*path, key)] = (filling.shelf.source, there)
    return True


def _name(port: Any) -> str:
    """The name of a port as it is written; nothing for what has none."""
    name = port.get("name") if isinstance(port, dict) else None
    return name if isinstance(name, str) else ""


def _joined(filling: _Filling, path: Path, own: list[Any], lent: list[Any], there: Path) -> list[Any]:
    """The thing's ports with what the spec says of them by name, then the ports it has besides."""
    source = filling.reader.source
    by_name = {_name(port): k for k, port in enumerate(own) if _name(port)}
    out: list[Any] = []
    for k, port in enumerate(lent):
        at = (*path, len(out))
        mine = by_name.pop(_name(port), None)
        if mine is None:
            out.append(copy.deepcopy(port))
            filling.moved[at] = (filling.shelf.source, (*there, k))
            continue
        out.append({**copy.deepcopy(port), **own[mine]})
        filling.moved[at] = source.origin((*path, mine))
        for key in port.keys() - own[mine].keys():
            filling.moved[(*at, key)] = (filling.shelf.source, (*there, k, key))
    for k, port in enumerate(own):
        # of two with one name the reader tells; one that was joined is there already
        if not _name(port) or by_name.get(_name(port)) == k:
            filling.moved[(*path, len(out))] = source.origin((*path, k))
            out.append(port)
    return out
