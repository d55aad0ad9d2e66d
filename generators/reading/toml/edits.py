"""Values of a TOML text changed in place: comments, spacing and everything else stay as they are."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from generators.errors import LookupFault
from generators.reading.toml.paths import Path, path_text
from generators.reading.toml.source import TomlSource

NOTHING = object()
"""What ``value_at`` gives where the spec says nothing."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Setting:
    """A value put at a path, as TOML text: in place of the one there, or as a new key.

    A new key goes behind the first of the keys ``behind`` that is there, else first in its table.
    """

    path: Path
    text: str
    behind: tuple[str, ...] = ()


def value_at(source: TomlSource, path: Path) -> Any:
    """The value the spec gives at a path, or ``NOTHING``."""
    data: Any = source.table
    for step in path:
        in_list = isinstance(data, list) and isinstance(step, int) and 0 <= step < len(data)
        if not in_list and not (isinstance(data, dict) and step in data):
            return NOTHING
        data = data[step]
    return data


def text_at(source: TomlSource, path: Path) -> str:
    """The value at a path as it is written; empty for none, and for a table with a header."""
    span = source.places.span(path)
    return "" if span is None else source.text.encode()[span[0] : span[1]].decode()


def lent_at(source: TomlSource, path: Path) -> str:
    """What the shelf says at a path, as it is written there; empty where the spec says it itself."""
    return text_at(*source.origin(path)) if source.is_lent(path) else ""


def line_of(source: TomlSource, path: Path) -> int:
    """The line a value stands in, from 1; for a new key, that of the table it goes into."""
    if source.places.span(path) is not None:
        return source.places.value(path).line
    while len(path) > 1 and (value_at(source, path) is NOTHING or source.is_lent(path)):
        path = path[:-1]
    return (source.places.header(path) or source.places.value(path)).line


def edited(
    source: TomlSource, settings: Sequence[Setting], tables: Sequence[str] = (), without: Sequence[Path] = ()
) -> str:
    """The text with values set, whole ``tables`` put at its end, and what is at the paths ``without`` gone.

    Raises ``LookupFault`` for a new key whose table is not written with a header or inline, and for what is
    to go and is not written on lines of its own or within braces.
    """
    data = source.text.encode()
    cuts = [_gone(source, data, path) for path in without]
    for setting in settings:
        span = source.places.span(setting.path)
        cuts.append((*span, setting.text.encode()) if span is not None else _new_key(source, data, setting))
    # from the end to the beginning, so that places stay true
    for start, end, text in sorted(cuts, key=lambda cut: cut[0], reverse=True):
        data = data[:start] + text + data[end:]
    out = data.decode()
    if tables:
        out = out.rstrip("\n") + "\n\n" + "\n\n".join(tables) + "\n"
    return out


def _is_written(source: TomlSource, table: Path) -> bool:
    """False for a table that is not there, or only by what the spec takes of the shelf."""
    if value_at(source, table) is NOTHING:
        return False
    # one that only its own keys make, dotted, is refused where a key is to be added
    return (
        source.places.header(table) is not None
        or source.places.span(table) is not None
        or any(source.places.span((*table, key)) is not None for key in value_at(source, table))
    )


def new_key(source: TomlSource, path: Path) -> tuple[Path, str, bool]:
    """The table a new key goes into, the key as it is typed there, and whether that table stands in braces.

    Tables that are not there either are dotted before the key.
    """
    depth = len(path) - 1
    while depth > 1 and not _is_written(source, path[:depth]):
        depth -= 1
    inline = source.places.span(path[:depth])
    braces = inline is not None and source.text.encode()[inline[1] - 1 : inline[1]] == b"}"
    return path[:depth], ".".join(map(str, path[depth:])), braces


def _new_key(source: TomlSource, data: bytes, setting: Setting) -> tuple[int, int, bytes]:
    """Where a new key goes, and its text."""
    table, key, braces = new_key(source, setting.path)
    line = f"{key} = {setting.text}"
    inline = source.places.span(table)
    if inline is not None and braces:
        body = data[inline[0] : inline[1] - 1].rstrip()
        comma = " " if body.endswith(b"{") else ", "
        return inline[0] + len(body), inline[0] + len(body), f"{comma}{line}".encode()
    header = source.places.header(table)
    if header is None or any(isinstance(step, int) for step in setting.path[len(table) :]):
        raise LookupFault("table with a header", path_text(table), [])
    end = sum(len(row) + 1 for row in data.split(b"\n")[: header.line])
    indent = header.source[: len(header.source) - len(header.source.lstrip())]
    led = [source.places.extent((*table, name)) for name in setting.behind]
    if after := next((one for one in led if one is not None), None):
        line_end = data.find(b"\n", after[1])
        end = line_end + 1 if line_end >= 0 else len(data) + 1
        begin = data.rfind(b"\n", 0, after[0]) + 1
        indent = data[begin : after[0]].decode()
    if end > len(data):
        return len(data), len(data), f"\n{indent}{line}".encode()
    return end, end, f"{indent}{line}\n".encode()


def _gone(source: TomlSource, data: bytes, path: Path) -> tuple[int, int, bytes]:
    """What is cut for a value or a table to be gone: its lines with comments, or its place in braces."""
    whole, span = source.places.extent(path), source.places.span(path[:-1])
    if whole is None:
        raise LookupFault("value on lines of its own", path_text(path), [])
    start, end = whole
    if span is not None:  # within braces: with the comma behind, or that before the last one
        rest = data[end : span[1]]
        if rest.lstrip().startswith(b","):
            end += len(rest) - len(rest.lstrip()[1:].lstrip())
        else:
            before = data[span[0] : start].rstrip()
            start = span[0] + len(before) - before.endswith(b",")
        return start, end, b""
    start = data.rfind(b"\n", 0, start) + 1
    line_end = data.find(b"\n", end)
    end = len(data) if line_end < 0 else line_end + 1
    if source.places.header(path) is not None:  # a table goes with the empty line before it
        above = data[:start].rstrip(b" \t\r\n")
        start = len(above) + 1 if above else 0
    return start, end, b""
