"""``use``: the tables of other files of the spec's folder, before its own."""

from __future__ import annotations

import contextlib
import copy
import os
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path as FilePath
from pathlib import PurePosixPath
from typing import Any

from generators.errors import Fault, SpecError
from generators.reading.forms.composed import Composed
from generators.reading.toml import words
from generators.reading.toml.paths import Path, path_text
from generators.reading.toml.source import TomlSource, parse_bytes, read_bytes

KEY = "use"
MOST = 20
LONGEST = 120
_WANTED = 'a TOML file in the spec\'s folder or below it, like "cab.toml" or "shared/cab.toml"'


@dataclass(frozen=True, slots=True)
class Used:
    """A file that was used: its path from the spec's folder, and its bytes."""

    name: str
    data: bytes


@dataclass
class _Files:
    """Files on the way: ``within`` are for each the files it uses itself or through others."""

    folder: FilePath
    done: dict[str, TomlSource] = field(default_factory=dict)
    within: dict[str, set[str]] = field(default_factory=dict)
    faults: list[Fault] = field(default_factory=list)

    def add(self, source: TomlSource, way: tuple[str, ...]) -> set[str]:
        """Every file a source uses, read after those that one uses; what is wrong goes to ``faults``."""
        inside: set[str] = set()
        names = source.table.get(KEY, [])
        for index, name in enumerate(names if isinstance(names, list) else []):
            path = (KEY, index)
            if not isinstance(name, str) or not name.strip():
                continue  # the reader says so
            if not self._allowed(source, path, name):
                continue
            if name in way:
                chain = " uses ".join([*way[way.index(name) :], name])
                self.faults.append(
                    source.fault(path, f"a circle: {chain}", "files that do not use each other")
                )
                continue
            inside |= {name} | self._one(source, path, name, way)
        return inside

    def _one(self, source: TomlSource, path: Path, name: str, way: tuple[str, ...]) -> set[str]:
        if name in self.within:
            return self.within[name]
        if len(self.within) >= MOST:
            self.faults.append(source.fault(path, f"more than {MOST} files", f"at most {MOST} in all"))
            return set()
        self.within[name] = set()
        try:
            file = self.folder / name
            read = parse_bytes(str(file), read_bytes(file), may_be_empty=True)
        except SpecError as error:
            found = "; ".join(f.found for f in error.faults if not f.line)
            if found:
                self.faults.append(source.fault(path, f"{words.quoted(name)}: {found}", _WANTED))
            self.faults += [f for f in error.faults if f.line]
            return set()
        self.within[name] = self.add(read, (*way, name))
        if "variant" in read.table:
            wanted = "its variants in the spec itself, which uses this file"
            self.faults.append(
                read.fault(("variant",), "variants in a file that is used", wanted, at_key=True)
            )
        self.done[name] = read
        return self.within[name]

    def _allowed(self, source: TomlSource, path: Path, name: str) -> bool:
        plain = PurePosixPath(name)
        odd = any(mark in name for mark in "\\:") or not name.isprintable() or len(name) > LONGEST
        # "a//b" and "./a" are other spellings of one file
        if odd or plain.is_absolute() or ".." in plain.parts or str(plain) != name or plain.suffix != ".toml":
            self.faults.append(source.fault(path, words.quoted(name), _WANTED))
            return False
        # realpath, unlike Path.resolve, does not raise on a link that leads to itself
        if os.path.realpath(self.folder / name) != os.path.join(os.path.realpath(self.folder), *plain.parts):
            self.faults.append(source.fault(path, f"{words.quoted(name)}, a link to another place", _WANTED))
            return False
        return True


def composed(main: TomlSource, folder: FilePath, own: str) -> tuple[TomlSource, tuple[Used, ...]]:
    """The spec with the tables of the files it uses; itself where it uses none. ``own`` is its file's name.

    Lists of tables are joined, those of the used files first, in their order. Of single tables the keys are
    joined: what a file says holds over what the files it uses say, and two files that do not use each other
    may not say different things. Raises ``SpecError`` with every fault of the files.
    """
    if KEY not in main.table:
        return main, ()
    files = _Files(folder)
    files.within[own] = set()
    files.within[own] = files.add(main, (own,))
    table: dict[str, Any] = {}
    moved: dict[Path, tuple[TomlSource, Path]] = {}
    said: dict[Path, tuple[str, TomlSource]] = {}
    for name, source in [*files.done.items(), (own, main)]:
        for fault in _joined(table, moved, said, name, source, files.within[name]):
            files.faults.append(fault)
    if files.faults:
        raise SpecError(files.faults)
    table[KEY] = main.table[KEY]
    used = tuple(Used(name, source.data_bytes) for name, source in files.done.items())
    return Composed(main.file, main.data_bytes, main.text, table, main=main, moved=moved), used


def _joined(
    table: dict[str, Any],
    moved: dict[Path, tuple[TomlSource, Path]],
    said: dict[Path, tuple[str, TomlSource]],
    name: str,
    source: TomlSource,
    within: set[str],
) -> Iterator[Fault]:
    """Put the tables of one file after those so far."""
    for key, value in copy.deepcopy(source.table).items():
        there = table.get(key)
        if key == KEY:
            continue
        if isinstance(value, list) and isinstance(there, list | None):
            start = len(there or [])
            table[key] = [*(there or []), *value]
            moved |= {(key, start + k): (source, (key, k)) for k in range(len(value))}
        elif isinstance(value, dict) and isinstance(there, dict | None):
            into = table.setdefault(key, {})
            moved.setdefault((key,), (source, (key,)))
            for inner, one in value.items():
                path = (key, inner)
                before = said.get(path)
                if before is not None and before[0] not in within and into[inner] != one:
                    line = before[1].places.key(path).line
                    found = f"{path_text(path)} again, said otherwise by {before[0]} in line {line}"
                    yield source.fault(path, found, "one of the two, or the value in the spec that uses both")
                into[inner], said[path], moved[path] = one, (name, source), (source, path)
        else:
            table[key], moved[(key,)] = value, (source, (key,))


def used_paths(folder: FilePath, text: str) -> list[FilePath]:
    """Where the files lie that a spec of that text uses, itself or through others; those that can be told.

    Faults are not told: they are for who reads it.
    """
    files = _Files(folder)
    with contextlib.suppress(SpecError):
        files.add(parse_bytes("", text.encode()), ())
    return [folder / name for name in files.within]
