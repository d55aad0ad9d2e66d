"""``[[variant]]``: the values of one form put in place of the job's, before anything is read."""

from __future__ import annotations

import copy
import json
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from generators.errors import Fault, LookupFault, SpecError
from generators.model.spec.fields import NAME_PATTERN
from generators.model.spec.shelf.things import KEY as SHELF
from generators.model.words import other_hand
from generators.reading.forms.composed import Composed
from generators.reading.sizes.table import KEY as SIZES
from generators.reading.toml import words
from generators.reading.toml.named import named_path, spec_path
from generators.reading.toml.paths import Path
from generators.reading.toml.source import TomlSource, parse_bytes

KEY = "variant"
SET = "set"
MOST = 20
MOST_SET = 500
_HANDED = ("title", "note", "take_out", "what", "purpose", "bag")
"""Keys of words that tell of the vehicle: left becomes right in its mirror image."""
_AS_GIVEN = ("etch", "finish")
"""Keys of words that are not ours to change: a drawing's number, what another shop does."""
_NOT_SET = ("use", KEY)


@dataclass(frozen=True, slots=True, kw_only=True)
class Form:
    """Which form of a job was read. ``handed`` are the words exchanged: path, as written, as printed.

    ``kept`` are words of a hand that stay in the other one as they are written: path and words.
    """

    name: str = ""
    mirrored: bool = False
    as_bought: tuple[str, ...] = ()
    handed: tuple[tuple[str, str, str], ...] = ()
    kept: tuple[tuple[str, str], ...] = ()


AS_WRITTEN = Form()
"""The job itself, no variant of it."""


def variant_names(table: dict[str, Any]) -> list[str]:
    """Sound names of the variants of a spec, in order."""
    rows = table.get(KEY, [])
    named = (row.get("name") for row in rows if isinstance(row, dict)) if isinstance(rows, list) else ()
    return [n for n in named if isinstance(n, str) and re.fullmatch(NAME_PATTERN, n)][:MOST]


def in_form(source: TomlSource, name: str) -> tuple[TomlSource, Form]:
    """The spec in the form of one variant; itself for no name.

    Raises ``LookupFault`` for an unknown name, ``SpecError`` for values of any variant that have no place.
    """
    rows = source.table.get(KEY, [])
    rows = rows if isinstance(rows, list) else []
    faults = [fault for index, row in enumerate(rows[:MOST]) for fault in _misplaced(source, index, row)]
    seen: list[str] = []
    for index, row in enumerate(rows[:MOST]):
        own = row.get("name") if isinstance(row, dict) else None
        if isinstance(own, str) and own in seen:
            found = f"the name {words.quoted(own)} again"
            faults.append(source.fault((KEY, index, "name"), found, "each name once among the variants"))
        seen.append(own if isinstance(own, str) else "")
    if faults:
        raise SpecError(faults)
    if not name:
        return source, AS_WRITTEN
    if name not in seen:
        raise LookupFault("variant", name, variant_names(source.table))
    return _formed(source, seen.index(name), rows[seen.index(name)])


def _settings(row: Any) -> dict[str, Any]:
    given = row.get(SET, {}) if isinstance(row, dict) else {}
    return given if isinstance(given, dict) else {}


def _misplaced(source: TomlSource, index: int, row: Any) -> Iterator[Fault]:
    """Faults of the paths a variant sets, and of the components it names."""
    given = _settings(row)
    rows = source.table.get("component", [])
    made = [c.get("name") for c in rows if isinstance(c, dict)] if isinstance(rows, list) else []
    known = [name for name in made if isinstance(name, str)]
    bought = row.get("as_bought", []) if isinstance(row, dict) else []
    for k, name in enumerate(bought if isinstance(bought, list) else []):
        if isinstance(name, str) and name not in known:
            found = f"the unknown name {words.quoted(name)}"
            hint = words.suggestion(name, known)
            yield source.fault(
                (KEY, index, "as_bought", k), found, f"a component: {words.listed(known)}", hint
            )
    if len(given) > MOST_SET:
        yield source.fault((KEY, index, SET), f"{len(given)} values", f"at most {MOST_SET}")
        return
    first: dict[Path, str] = {}
    table = (
        copy.deepcopy(source.table) if any(_lent_port(source.table, key) for key in given) else source.table
    )
    for key in given:
        at = (KEY, index, SET, key)
        try:
            _port_of_shelf(table, key)
            path = spec_path(table, key)
            _require_size(table, path)
            _container(table, path)
        except LookupFault as fault:
            wanted = f"one of {words.listed(fault.known)}" if fault.known else "a key path of this spec"
            hint = words.suggestion(fault.key, fault.known)
            found = f"{words.quoted(key)}, which leads nowhere: no {fault.table} {words.quoted(fault.key)}"
            yield source.fault(at, found, wanted, hint, at_key=True)
            continue
        if not path or path[0] in _NOT_SET:
            yield source.fault(at, words.quoted(key), "a key path of the job itself", at_key=True)
        elif path in first:
            found = f"{words.quoted(key)}, the same key as {words.quoted(first[path])}"
            yield source.fault(at, found, "each key once", at_key=True)
        else:
            first[path] = key


def _container(table: dict[str, Any], path: Path, *, make: bool = False) -> Any:
    """The table or list that holds the last step. Raises ``LookupFault`` where there is none to be had."""
    here: Any = table
    for depth, step in enumerate(path):
        last = depth == len(path) - 1
        if isinstance(here, list):
            if not isinstance(step, int) or step >= len(here):
                raise LookupFault("entry", str(step), [])
        elif not isinstance(here, dict) or not isinstance(step, str):
            raise LookupFault("table", str(path[depth - 1]) if depth else str(step), [])
        elif not last and step not in here:
            if not make:
                return {}
            here[step] = {}
        if last:
            return here
        here = here[step]
    raise LookupFault("key", "", [])


def _formed(source: TomlSource, index: int, row: dict[str, Any]) -> tuple[TomlSource, Form]:
    table = copy.deepcopy(source.table)
    main = source.main if isinstance(source, Composed) else source
    moved = dict(source.moved) if isinstance(source, Composed) else {}
    own, here = source.origin((KEY, index))
    put: set[Path] = set()

    def place(path: Path, value: Any, written: Path) -> None:
        for inside in [p for p in moved if p[: len(path)] == path]:
            del moved[inside]
        holder = _container(table, path, make=True)
        holder[path[-1]] = copy.deepcopy(value)
        moved[path] = (own, (*here, *written))
        put.add(path)

    for key, value in _settings(row).items():
        port = _port_of_shelf(table, key)
        if port:
            moved[port] = (own, (*here, SET, key))
        place(spec_path(table, key), value, (SET, key))
    head = table.get("job")
    if isinstance(head, dict):
        if ("job", "name") not in put and isinstance(head.get("name"), str):
            place(("job", "name"), f"{head['name']}_{row['name']}", ("name",))
        if row.get("title") and ("job", "title") not in put:
            place(("job", "title"), row["title"], ("title",))
    mirrored = row.get("mirror") == "vehicle"
    handed = tuple(_exchanged(table, put)) if mirrored else ()
    bought = row.get("as_bought", [])
    form = Form(
        name=str(row.get("name", "")),
        mirrored=mirrored,
        as_bought=tuple(n for n in bought if isinstance(n, str)) if isinstance(bought, list) else (),
        handed=handed,
        kept=tuple(_as_given(table, put)) if mirrored else (),
    )
    return Composed(
        source.file, source.data_bytes, source.text, table, main=main, moved=moved, mirrored=mirrored
    ), form


_PORT = re.compile(r"component\[([^\]]+)\]\.port\[([a-z_][a-z0-9_]*)\]")


def _lent_port(table: dict[str, Any], key: str) -> tuple[Path, str] | None:
    """Where a port would be said that a key path names, and its name; of a component of the shelf, which has
    ports the spec does not say."""
    match = _PORT.match(key)
    rows = table.get("component", [])
    for index, row in enumerate(rows if match and isinstance(rows, list) else []):
        if match and isinstance(row, dict) and row.get("name") == match[1] and row.get(SHELF):
            ports = row.get("port", [])
            if not isinstance(ports, list):
                return None  # the reader says so
            known = match[2] in [port.get("name") for port in ports if isinstance(port, dict)]
            return None if known else (("component", index, "port", len(ports)), match[2])
    return None


def _port_of_shelf(table: dict[str, Any], key: str) -> Path:
    """Make room for what is said of a port of the shelf; its path, or nothing where there is no need."""
    lent = _lent_port(table, key)
    if lent is None:
        return ()
    path, name = lent
    table["component"][path[1]].setdefault("port", []).append({"name": name})
    return path


def _of_the_job(table: dict[str, Any], key: str) -> Path:
    """The path a key path stands for. Raises ``LookupFault`` for one that is not of the job itself."""
    path = spec_path(table, key)
    if not path or path[0] in _NOT_SET:
        raise LookupFault("key path of the job", key, [])
    _require_size(table, path)
    return path


def _require_size(table: dict[str, Any], path: Path) -> None:
    """Nothing calls a size or a thing that the spec does not have. Raises ``LookupFault`` for one."""
    for key, what in ((SIZES, "size"), (SHELF, "thing under [shelf]")):
        own = table.get(key, {})
        if path[:1] == (key,) and len(path) > 1 and isinstance(own, dict) and path[1] not in own:
            raise LookupFault(what, str(path[1]), list(own))


def with_values(source: TomlSource, values: Mapping[str, Any], name: str) -> TomlSource:
    """The spec with values by key path put over it; their faults are told of a file called ``name``.

    Raises ``SpecError`` for a path that leads nowhere.
    """
    lines = [f"{json.dumps(key)} = {_in_toml(value)}" for key, value in values.items()]
    given = parse_bytes(name, "\n".join(lines).encode())
    table = copy.deepcopy(source.table)
    main = source.main if isinstance(source, Composed) else source
    moved = dict(source.moved) if isinstance(source, Composed) else {}
    faults = []
    for key, value in values.items():
        try:
            port = _port_of_shelf(table, key)
            if port:
                moved[port] = (given, (key,))
            path = _of_the_job(table, key)
            holder = _container(table, path, make=True)
        except LookupFault as fault:
            found = f"{words.quoted(key)}, which leads nowhere: no {fault.table} {words.quoted(fault.key)}"
            wanted = f"one of {words.listed(fault.known)}" if fault.known else "a key path of this spec"
            hint = words.suggestion(fault.key, fault.known)
            faults.append(given.fault((key,), found, wanted, hint, at_key=True))
            continue
        moved = {p: at for p, at in moved.items() if p[: len(path)] != path}
        holder[path[-1]] = copy.deepcopy(value)
        moved[path] = (given, (key,))
    if faults:
        raise SpecError(faults)
    mirrored = source.mirror
    return Composed(
        source.file, source.data_bytes, source.text, table, main=main, moved=moved, mirrored=mirrored
    )


def _exchanged(table: dict[str, Any], put: set[Path]) -> Iterator[tuple[str, str, str]]:
    """Exchange left and right in words of the vehicle, but for those the variant gives itself."""
    for holder, path in _texts(table, _HANDED, put):
        was = holder[path[-1]]
        holder[path[-1]] = new = other_hand(was)
        yield named_path(table, path), was, new


def _as_given(table: dict[str, Any], put: set[Path]) -> Iterator[tuple[str, str]]:
    for holder, path in _texts(table, _AS_GIVEN, put):
        yield named_path(table, path), holder[path[-1]]


def _texts(table: dict[str, Any], keys: tuple[str, ...], put: set[Path]) -> Iterator[tuple[Any, Path]]:
    """What holds a text under one of the keys with a word of a hand, and its path; not those ``put``."""
    waiting: list[tuple[Any, Path]] = [
        (value, (key,))
        for key, value in table.items()
        if key not in _NOT_SET and isinstance(value, dict | list)
    ]
    while waiting:
        here, path = waiting.pop(0)
        items = list(here.items()) if isinstance(here, dict) else list(enumerate(here))
        for key, value in items:
            inner = (*path, key)
            if isinstance(value, dict | list):
                waiting.append((value, inner))
                continue
            given = any(inner[: len(p)] == p for p in put)
            if key in keys and isinstance(value, str) and other_hand(value) != value and not given:
                yield here, inner


def _in_toml(value: Any) -> str:
    """A plain value as TOML has it: as JSON, but for tables."""
    if isinstance(value, dict):
        inside = (f"{json.dumps(key)} = {_in_toml(inner)}" for key, inner in value.items())
        return f"{{ {', '.join(inside)} }}"
    if isinstance(value, list):
        return f"[{', '.join(_in_toml(inner) for inner in value)}]"
    return json.dumps(value, ensure_ascii=False)
