"""Changes to the text of a spec that leave its comments and layout as they are."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from generators.errors import ExportError
from generators.jobs.own_hand import own_index
from generators.reading.toml.source import TomlSource

_HEADER = re.compile(r"\s*\[\[?\s*([A-Za-z0-9_-]+)\s*([.\]])")
_VALUE = re.compile(r'("(?:[^"\\]|\\.)*"|true|false)')


@dataclass(frozen=True, slots=True, kw_only=True)
class Setting:
    """A value to be put at a path: replaced where it stands, else added after the key ``beside``."""

    path: tuple[str | int, ...]
    text: str
    beside: str


@dataclass(frozen=True, slots=True, kw_only=True)
class LeftOut:
    """A ``[[table]]`` of the spec that stays in its text as a comment, under the reason."""

    table: str
    index: int
    why: str


def revised_text(
    source: TomlSource,
    settings: Sequence[Setting],
    blocks: Sequence[tuple[tuple[str, int], str]],
    left_out: Sequence[LeftOut] = (),
) -> str:
    """The text with values set and whole tables added at the end of a ``[[panel]]`` or ``[[part]]``.

    ``blocks`` pairs ``("panel", 0)`` with the text of the tables. Raises ``ExportError`` for a spec that
    writes those tables inline, where no line can be added.
    """
    for setting in settings:
        there, _ = source.origin(setting.path)
        if source.is_lent(setting.path):
            continue  # the spec gives its own
        if there.file != source.file:
            key = ".".join(map(str, setting.path))
            raise ExportError(f"{key} is written in {there.file}, which the spec uses; change it there")
    lines = source.text.replace("\r\n", "\n").split("\n")
    added: dict[int, list[str]] = {}
    standing = [s for s in settings if _stands(source, s.path)]
    # from the end of a line to its beginning, so that places stay true
    for setting in sorted(standing, key=lambda s: _place(source, s.path), reverse=True):
        row, column = _place(source, setting.path)
        match = _VALUE.match(lines[row], column)
        if match is None:
            raise ExportError(f"cannot change {'.'.join(map(str, setting.path))} in the text of the spec")
        lines[row] = lines[row][:column] + setting.text + lines[row][match.end() :]
    for setting in settings:
        if setting not in standing:
            _add(source, lines, added, setting)
    for (table, index), text in blocks:
        _, last = _span(lines, table, own_index(source, table, index))
        added.setdefault(last, []).extend(["", *text.rstrip("\n").split("\n")])
    for one in left_out:
        first, last = _span(lines, one.table, own_index(source, one.table, one.index))
        for number in range(first, last + 1):
            lines[number] = f"# {lines[number]}".rstrip()
        lines[first] = f"# {one.why}\n{lines[first]}"
    out: list[str] = []
    for number, line in enumerate(lines):
        out.append(line)
        out += added.get(number, [])
    return "\n".join(out)


def _stands(source: TomlSource, path: tuple[str | int, ...]) -> bool:
    """True when the spec itself gives a value at that path."""
    if source.is_lent(path):
        return False
    data: Any = source.table
    for step in path:
        in_list = isinstance(data, list) and isinstance(step, int) and step < len(data)
        if not in_list and not (isinstance(data, dict) and step in data):
            return False
        data = data[step]
    return True


def _place(source: TomlSource, path: tuple[str | int, ...]) -> tuple[int, int]:
    """Row and column of a value, from 0."""
    place = source.places.value(path)
    return place.line - 1, place.column - 1


def _add(source: TomlSource, lines: list[str], added: dict[int, list[str]], setting: Setting) -> None:
    row = source.places.key((*setting.path[:-1], setting.beside)).line - 1
    line = lines[row]
    if not line.strip().startswith(setting.beside):
        raise ExportError(f"{'.'.join(map(str, setting.path[:-1]))} is written inline; write it as a table")
    indent = line[: len(line) - len(line.lstrip())]
    added.setdefault(row, []).insert(0, f"{indent}{setting.path[-1]} = {setting.text}")


def _span(lines: Sequence[str], table: str, index: int) -> tuple[int, int]:
    """The first and the last line of the ``index``-th ``[[table]]`` with all its own tables."""
    seen, inside = -1, False
    found: list[int] = []
    for number, line in enumerate(lines):
        match = _HEADER.match(line)
        if match is not None:
            if match[1] == table and match[2] == "]":
                seen += 1
            inside = match[1] == table and seen == index
        if inside and line.strip() and not line.strip().startswith("#"):
            found.append(number)
    if not found:
        raise ExportError(f"the spec does not write {table} {index + 1} as a [[{table}]] table of its own")
    return found[0], found[-1]
