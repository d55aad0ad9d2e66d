"""A parsed TOML table into a spec dataclass, walking the keys the dataclass declares."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Any, TypeVar

from generators.errors import Fault, GeometryFault, UnitError
from generators.model.spec.fields import FieldSpec, SpecField, spec_fields
from generators.reading.toml import words
from generators.reading.toml.gauges import read_gauge
from generators.reading.toml.paths import Path
from generators.reading.toml.source import TomlSource
from generators.reading.toml.values import FAILED, read_value

T = TypeVar("T")

FAULT_LIMIT = 100
"""Faults kept of one file: more help nobody, and a hostile file could hold a hundred thousand."""

NO_KINDS: Mapping[str, type] = MappingProxyType({})
_SIBLING = "kind"

WorkOut = Callable[["TableReader", FieldSpec, Any, Path], Any]
"""The value of a key with its arithmetic worked out, ``FAILED`` after reporting what cannot be."""


@dataclass
class TableReader:
    """Reads the tables of one file; gathers its faults and every table that came out whole.

    ``built`` holds those tables by path. A table with a bad key of its own is not there; a table
    whose list of tables has a bad item is, without that item. So later checks can go on with
    what is sound while ``faults`` says that the file as a whole is not. ``work_out`` gives a value for
    arithmetic of quantities, where the file may hold any. ``misspelt`` holds the
    paths that unknown keys were likely meant for: one slip is one fault, not also a missing key.
    """

    source: TomlSource
    kinds: Mapping[str, type] = field(default_factory=lambda: NO_KINDS)
    work_out: WorkOut | None = None
    built: dict[Path, Any] = field(default_factory=dict)
    misspelt: set[Path] = field(default_factory=set)
    refused: set[Path] = field(default_factory=set)
    more: int = 0
    _faults: list[Fault] = field(default_factory=list)

    @property
    def faults(self) -> tuple[Fault, ...]:
        """Everything refused so far; beyond ``FAULT_LIMIT`` one fault that counts the rest."""
        if not self.more:
            return tuple(self._faults)
        more = f"{self.more} more faults"
        rest = Fault(file=self.source.file, line=0, column=0, path="", found=more, expected="none")
        return (*self._faults, rest)

    def refuse(
        self,
        path: Path,
        found: str,
        expected: str,
        hint: str = "",
        *,
        at_key: bool = False,
        letter: int = -1,
    ) -> Any:
        """Report a fault at ``path``, or at a letter of the text there; returns ``FAILED``."""
        self.refused.add(path)
        if path in self.source.worked:
            found = f"{found}, worked out from {words.quoted(self.source.worked[path])}"
        if len(self._faults) < FAULT_LIMIT:
            fault = self.source.fault(path, found, expected, hint, at_key=at_key, letter=letter)
            self._faults.append(fault)
        else:
            self.more += 1
        return FAILED

    def items(self, path: Path, cls: type[T]) -> Iterator[tuple[Path, T]]:
        """The sound items of the list of tables at ``path``, with their paths, in file order."""
        for index in range(len(self.raw(path, list))):
            instance = self.built.get((*path, index))
            if isinstance(instance, cls):
                yield (*path, index), instance

    def raw(self, path: Path, kind: type[T]) -> T:
        """The parsed TOML at ``path`` as it stands, or an empty ``kind`` where there is none."""
        value: Any = self.source.table
        for step in path:
            in_list = isinstance(value, list) and isinstance(step, int) and step < len(value)
            if in_list or (isinstance(value, dict) and step in value):
                value = value[step]
            else:
                return kind()
        return value if isinstance(value, kind) else kind()

    def read(self, data: object, cls: type[T], path: Path = ()) -> T | None:
        """``data`` as a ``cls``, or ``None`` when a key of its own was refused."""
        if not isinstance(data, dict):
            keys = ", ".join(f"{f.key} = …" for f in spec_fields(cls) if f.required)
            hint = f"write {{ {keys} }}" if keys and path else ""
            if isinstance(data, list) and data and all(isinstance(item, dict) for item in data):
                hint = f"single brackets: [{'.'.join(step for step in path if isinstance(step, str))}]"
            self.refuse(path, words.found(data), "a table", hint)
            return None
        declared = {f.key: f for f in spec_fields(cls)}
        self._refuse_unknown(data, tuple(declared), path)
        values = {f.attribute: self._field(f, data, path) for f in declared.values()}
        if any(value is FAILED for value in values.values()):
            return None
        try:
            instance = cls(**values)
        except GeometryFault as error:
            at = (*path, error.parameter) if error.parameter else path
            self.refuse(at, str(error), error.expected or "parameters that go together")
            return None
        self.built[path] = instance
        return instance

    def _refuse_unknown(self, data: dict[str, Any], known: tuple[str, ...], path: Path) -> None:
        for key in data:
            if key not in known:
                now = words.RENAMED.get(key, "")
                near = now if now in known else words.nearest(key, known) if not self.more else ""
                self.misspelt.add((*path, near))
                hint = words.now_called(key, near) if near and near == now else words.did_you_mean(near)
                if moved := words.MOVED.get((str(path[-1]) if path else "", key)):
                    hint = words.moved_to(key, moved)
                wanted = f"one of the keys {words.listed(known)}" if known else "no keys"
                self.refuse((*path, key), f"the unknown key {words.quoted(key)}", wanted, hint, at_key=True)

    def _field(self, declared: SpecField, data: dict[str, Any], path: Path) -> Any:
        here = (*path, declared.key)
        spec = declared.spec
        if spec.kind == "kind_table":
            return self._kind(data, declared.key, path)
        if here in self.refused:
            return FAILED  # before it was read: what it names is not there
        if declared.key not in data:
            return self._absent(declared, here) if declared.required else declared.default
        value = data[declared.key]
        if spec.kind == "table":
            read = self.read(value, _item(declared), here)
            return FAILED if read is None else read
        if spec.kind == "tables":
            return self._tables(declared, value, here)
        if self.work_out is not None:
            value = self.work_out(self, spec, value, here)
            if value is FAILED:
                return FAILED
            data[declared.key] = value
        if spec.kind == "thickness" and isinstance(value, str):
            try:
                gauge = read_gauge(value, str(data.get("material", "")))
            except UnitError as error:
                return self.refuse(here, error.found, error.expected)
            if gauge is not None:
                value = f"{gauge.thickness_mm!r} mm"
        return read_value(spec, value, here, self.refuse)

    def _absent(self, declared: SpecField, here: Path) -> Any:
        if here in self.misspelt:
            return FAILED
        doc = declared.spec.doc
        wanted = f"{words.expected(declared.spec)}: {doc[:1].lower()}{doc[1:]}"
        return self.refuse(here, f"no key {words.quoted(declared.key)}", wanted)

    def _tables(self, declared: SpecField, value: object, path: Path) -> Any:
        spec = declared.spec
        if not isinstance(value, list):
            header = ".".join(step for step in path if isinstance(step, str))
            hint = f"write [[{header}]]" if isinstance(value, dict) else ""
            return self.refuse(path, words.found(value), words.expected(spec), hint)
        if spec.hi is not None and len(value) > spec.hi:
            return self.refuse(path, words.found(value), words.expected(spec))
        item = _item(declared)
        read = [self.read(one, item, (*path, index)) for index, one in enumerate(value)]
        return tuple(one for one in read if one is not None)

    def _kind(self, data: dict[str, Any], key: str, path: Path) -> Any:
        name = data.get(_SIBLING)
        if not isinstance(name, str):
            # Reported where the kind key itself is read.
            return FAILED
        if name not in self.kinds:
            now = words.RENAMED.get(name, "")
            hint = words.now_called(name, now) if now in self.kinds else words.suggestion(name, self.kinds)
            wanted = f"one of the kinds {words.listed(self.kinds)}"
            at = (*path, _SIBLING)
            return self.refuse(at, f"the unknown kind {words.quoted(name)}", wanted, hint)
        read: Any = self.read(data.get(key, {}), self.kinds[name], (*path, key))
        return FAILED if read is None else read


def _item(declared: SpecField) -> type[Any]:
    if declared.spec.item is None:
        raise TypeError(f"the key {declared.key!r} is declared without the dataclass of its tables")
    return declared.spec.item


def read_table(
    source: TomlSource, cls: type[T], kinds: Mapping[str, type] = NO_KINDS
) -> tuple[T | None, tuple[Fault, ...]]:
    """The whole of ``source`` as a ``cls``, with every fault in it; ``None`` when there is any."""
    reader = TableReader(source, kinds)
    instance = reader.read(source.table, cls)
    return (None if reader.faults else instance), reader.faults
