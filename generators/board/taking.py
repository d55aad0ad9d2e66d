"""A thing of the shelf taken in place of what the spec says itself: where it can be, and the text with it."""

from __future__ import annotations

import copy
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from generators.board.edits import Changed
from generators.board.numbers import Refused, quoted
from generators.errors import PedalplateError
from generators.model.spec.fields import spec_fields, toml_key
from generators.model.spec.shelf.things import ARM_KEY, KEY, Place, takers
from generators.parts import KINDS
from generators.reading.shelf.file import OnShelf, ShelfFile
from generators.reading.shelf.taken import picks_of
from generators.reading.toml.edits import Setting, edited
from generators.reading.toml.paths import Path, path_text
from generators.reading.toml.source import TomlSource, parse_bytes

CYLINDERS = ("master", "slave", "reservoir")
"""Kinds of components that are kinds of things."""
STAYS = {"component": ("title", "kind")}
"""Keys of a table that are the job's, though a thing may say them too: they name what it is for."""
PORTS = "port"


@dataclass(frozen=True, slots=True, kw_only=True)
class Offer:
    """One thing in the vehicle that the spec says itself: the tables about it, the foremost first."""

    tables: tuple[Path, ...]
    key: str
    kinds: tuple[str, ...]
    said: dict[str, Any]

    @property
    def path(self) -> Path:
        """Where the foremost table would name the thing."""
        return (*self.tables[0], self.key)

    def fits(self, one: OnShelf) -> bool:
        """False for another kind, another size of line where both say one, and a feed hose under pressure."""
        if self.kinds == ("hose",) and len(self.tables) > 1 and "bore" not in one.table:
            return False  # the line of a pedal must know its bore
        same = all(self.said.get(key, one.table.get(key)) == one.table.get(key) for key in ("kind", "dash"))
        return one.thing.name in self.kinds and (self.kinds[0] in CYLINDERS or same)


def offers(table: dict[str, Any], shelf: ShelfFile) -> list[Offer]:
    """What of a spec could be taken of the shelf and is not yet, in the order of the spec's tables."""
    out: list[Offer] = []
    known: set[Path] = set()
    for index, one in enumerate(_list(table, "component")):
        kind = one.get("kind")
        here: Path = ("component", index)
        if not isinstance(kind, str) or KEY in one:
            continue
        if kind in CYLINDERS:
            tables = (here, *_with_component(table, one, kind, shelf))
            known |= {*tables}
            out.append(Offer(tables=tables, key=KEY, kinds=(kind,), said=one))
        else:
            out.append(Offer(tables=(here,), key=KEY, kinds=("fitting",), said=one))
    for index, one in enumerate(_list(table, "hose")):
        if KEY not in one:
            lines = tuple(_lines_of(table, one.get("name")))
            known |= {*lines}
            said = {"kind": "hose", **one}
            out.append(Offer(tables=(("hose", index), *lines), key=KEY, kinds=("hose",), said=said))
    alone = (
        (("hose",), ("from_end", "to_end"), ("hose_end",)),
        (("hose",), ("from_adapter", "to_adapter"), ("adapter",)),
        (("clamp",), (), ("clamp",)),
        (("clamp_row",), (), ("clamp",)),
        (("pedal",), ("master",), ("master",)),
        (("pedal",), ("slave",), ("slave",)),
        (("pedal", "brake"), ("front", "rear"), ("master",)),
    )
    for at, names, kinds in alone:
        for path, one in _tables(table, at, names):
            if path not in known and KEY not in one:
                out.append(Offer(tables=(path,), key=KEY, kinds=kinds, said=one if at != ("pedal",) else {}))
    for index, one in enumerate(_list(table, "pedal")):
        if ARM_KEY not in one and any(str(key).startswith("arm_") for key in one):
            out.append(Offer(tables=(("pedal", index),), key=ARM_KEY, kinds=("steel",), said={}))
    return out


def taken(source: TomlSource, shelf: ShelfFile, place: str, thing: str) -> Changed:
    """The text with a thing taken in all tables of one place; what the thing says gives way to the shelf.

    Raises ``Refused`` for a place or a thing that is not there, and for a spec that writes it in a way that
    cannot be changed in place.
    """
    offer = next((one for one in offers(source.table, shelf) if path_text(one.path) == place), None)
    one = shelf.things.get(thing)
    if offer is None or one is None or not offer.fits(one):
        raise Refused("the spec or the shelf has changed: look again")
    name, heads = thing, []
    if len(offer.tables) > 1:
        name = _free_name(source.table, shelf, str(offer.said.get("name", thing)))
        heads = [Setting(path=(KEY, name), text=quoted(thing))]
    settings = [
        Setting(path=(*path, offer.key), text=quoted(name), behind=("title", "name")) for path in offer.tables
    ]
    given = [each for at in offer.tables for each in _given(source.table, at, offer.key, one)]
    gone = [path for path, _ in given]
    try:
        text = edited(source, settings, without=gone)
        if heads and source.places.header((KEY,)) is not None:
            text = edited(source, [*settings, *heads], without=gone)
        elif heads:
            text = _headed(text, f"[{KEY}]\n{name} = {heads[0].text}\n", source.file)
        after = parse_bytes(source.file, text.encode())
    except PedalplateError as error:
        raise Refused(f"{error}: write it in the file") from error
    if after.table != _wanted(source.table, [*heads, *settings], gone, thing, name):
        raise Refused("this is written in a way that cannot be changed here: change it in the file")
    places = f" in {len(settings)} places" if len(settings) > 1 else ""
    words = f"{thing} taken of the shelf{places}: {path_text(offer.path)}"
    lost = sorted({str(path[-1]) for path, said in given if not said})
    if gone:
        words += f"; {len(gone)} values of the spec give way to it"
    if lost:
        words += f"; the shelf does not say {', '.join(lost)}"
    return Changed(text=text, settings=tuple(settings), words=words)


def _list(table: dict[str, Any], key: str) -> list[dict[str, Any]]:
    found = table.get(key)
    return [one if isinstance(one, dict) else {} for one in found] if isinstance(found, list) else []


def _tables(table: dict[str, Any], at: Sequence[str], names: Sequence[str]) -> Iterator[tuple[Path, Any]]:
    """Tables of those names, or the entries themselves, in every entry of a list."""
    for index, entry in enumerate(_list(table, at[0])):
        here: Any = entry
        for key in at[1:]:
            here = here.get(key) if isinstance(here, dict) else None
        if not isinstance(here, dict):
            continue
        path: Path = (at[0], index, *at[1:])
        found = [((*path, name), here.get(name)) for name in names] if names else [(path, here)]
        yield from ((where, one) for where, one in found if isinstance(one, dict))


def _with_component(
    table: dict[str, Any], one: dict[str, Any], kind: str, shelf: ShelfFile
) -> Iterator[Path]:
    """The part that carries a cylinder, and the pedal it belongs to: only where there is no doubt."""
    part = _carrier(one)
    same = [each for each in _list(table, "component") if _kind(table, each, shelf) == kind]
    alone = len([each for each in same if _carrier(each) == part]) == 1
    gives = [place for thing, place in takers(("part",)) if thing.name == kind]
    for index, carrier in enumerate(_list(table, "part")):
        named = part and carrier.get("name") == part and KEY not in carrier
        if named and alone and any(_of_part(carrier, place) for place in gives):
            yield ("part", index)
    if kind == "reservoir":
        return
    pedals = _list(table, "pedal")
    mine = [k for k, pedal in enumerate(pedals) if isinstance(pedal.get(kind), dict)]
    if kind == "master":
        mine = [k for k in mine if pedals[k].get("hanger") == part]
    if len(mine) != 1 or not (alone if kind == "master" else len(same) == 1):
        # of several, what is called clutch_master is the pedal clutch's
        words = str(one.get("name", "")).split("_")
        mine = [k for k in mine if pedals[k].get("name") in words]
    if len(mine) == 1 and KEY not in pedals[mine[0]][kind]:
        yield ("pedal", mine[0], kind)


def _carrier(one: dict[str, Any]) -> object:
    """The part a component stands on."""
    on = one.get("on")
    return on.get("part") if isinstance(on, dict) else None


def _kind(table: dict[str, Any], one: dict[str, Any], shelf: ShelfFile) -> object:
    """The kind of a component, as the spec says it or the thing it takes."""
    name = str(one.get(KEY, ""))
    thing = shelf.things.get(picks_of(table).get(name, name))
    return one.get("kind", thing.thing.name if thing is not None else None)


def _lines_of(table: dict[str, Any], hose: object) -> Iterator[Path]:
    for index, pedal in enumerate(_list(table, "pedal")):
        for k, line in enumerate(_list(pedal, "line")):
            if hose and line.get("hose") == hose and KEY not in line:
                yield ("pedal", index, "line", k)


def _of_part(part: dict[str, Any], place: Place) -> set[str]:
    """Parameters of a part's kind that a thing gives."""
    kind = next((one for one in KINDS if one.name == part.get("kind")), None)
    allowed = {one.key for one in spec_fields(kind.parameters)} if kind is not None else set()
    return allowed & {toml_key(name) for name in place.gives.values()}


def _given(table: dict[str, Any], at: Path, key: str, one: OnShelf) -> Iterator[tuple[Path, bool]]:
    """Values of a table that give way to a thing of the shelf, each with whether the thing says it."""
    here: Any = table
    for step in at:
        here = here[step]
    steps = tuple(step for step in at if isinstance(step, str))
    for thing, place in takers(steps):
        if thing is not one.thing or place.key != key:
            continue
        inner = here.get(place.within) if place.within else here
        path = (*at, place.within) if place.within else at
        if not isinstance(inner, dict):
            continue
        for mine, theirs in place.gives.items():
            said, name = toml_key(mine), toml_key(theirs)
            if name not in inner or name in STAYS.get(steps[0], ()):
                continue
            if name == PORTS:
                yield from ((port, True) for port in _ports(inner[name], (*path, name), one))
            elif said in one.table or not place.within:
                # what the shelf does not say was said of another thing
                yield (*path, name), said in one.table


def _ports(own: Any, path: Path, one: OnShelf) -> Iterator[Path]:
    """Ports the thing has by the same name; of one that says more, only what the thing says."""
    lent = {port["name"]: port for port in _list(dict(one.table), PORTS) if "name" in port}
    for index, port in enumerate(_list({PORTS: own}, PORTS)):
        if port.get("name") not in lent:
            continue
        said = {*lent[port["name"]], "at", "facing", "dash"}
        if {*port} <= said:
            yield (*path, index)
        else:
            yield from ((*path, index, key) for key in port if key in said and key != "name")


def _free_name(table: dict[str, Any], shelf: ShelfFile, wanted: str) -> str:
    """A name under ``[shelf]`` that is neither taken nor that of a thing."""
    used = {*picks_of(table), *shelf.things}
    return next(name for name in (wanted, *(f"{wanted}_{k}" for k in range(2, 100))) if name not in used)


def _headed(text: str, table: str, file: str) -> str:
    """The text with a new table behind that of the job, or at the end."""
    whole = parse_bytes(file, text.encode()).places.extent(("job",))
    data = text.encode()
    if whole is None or not data[whole[0] : whole[1]].startswith(b"["):
        return f"{text.rstrip()}\n\n{table}"
    end = data.find(b"\n", whole[1])
    if end < 0:
        return f"{text.rstrip()}\n\n{table}"
    # comments that close the job's table stay with it
    rows = data[end + 1 :].split(b"\n")
    while rows and rows[0].lstrip().startswith(b"#"):
        end += len(rows.pop(0)) + 1
    return data[: end + 1].decode() + f"\n{table}" + data[end + 1 :].decode()


def _wanted(
    table: dict[str, Any], settings: Sequence[Setting], gone: Sequence[Path], thing: str, name: str
) -> dict[str, Any]:
    """The spec as it must read afterwards: nothing else may differ."""
    out = copy.deepcopy(table)
    for path in sorted(gone, key=lambda one: [str(step).zfill(6) for step in one], reverse=True):
        here: Any = out
        for step in path[:-1]:
            here = here[step]
        del here[path[-1]]
        if here == [] and isinstance(path[-1], int):
            inner: Any = out
            for step in path[:-2]:
                inner = inner[step]
            del inner[path[-2]]
    for one in settings:
        here = out
        for step in one.path[:-1]:
            here = here.setdefault(step, {}) if isinstance(here, dict) else here[step]
        here[str(one.path[-1])] = thing if one.path[0] == KEY else name
    return out
