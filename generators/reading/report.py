"""Faults for a program that reads them, and for a person at a terminal."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable, Mapping
from dataclasses import asdict
from pathlib import Path as FilePath

from generators.errors import Fault
from generators.reading.toml.source import SIZE_LIMIT

_WINDOW = 100
_BEFORE = 60


def faults_json(faults: Iterable[Fault]) -> list[dict[str, str | int]]:
    """The faults as plain data for ``json.dumps``: the fields of ``Fault`` by name."""
    return [asdict(fault) for fault in faults]


def load_sources(faults: Iterable[Fault]) -> dict[str, str]:
    """The text of every file the faults name, for ``render``; a file that cannot be read is absent."""
    sources: dict[str, str] = {}
    for file in {fault.file for fault in faults if fault.line}:
        try:
            with FilePath(file).open("rb") as stream:
                sources[file] = stream.read(SIZE_LIMIT).decode("utf-8", "replace")
        except OSError:
            # The fault is still worth printing without its line.
            continue
    return sources


def render(faults: Iterable[Fault], source: str | Mapping[str, str] = "") -> str:
    """The faults as text, each with its source line and a caret under the column.

    ``source`` is the text of the one file concerned, or texts by file name (``load_sources``).
    """
    lines: list[str] = []
    split: dict[str, list[str]] = {}
    for fault in faults:
        lines.append(fault.render())
        text = source if isinstance(source, str) else source.get(fault.file, "")
        rows = split.setdefault(fault.file, text.split("\n"))
        if 0 < fault.line <= len(rows) and text:
            lines.extend(_excerpt(rows[fault.line - 1], fault.line, fault.column))
    return "\n".join(lines)


def _excerpt(row: str, line: int, column: int) -> tuple[str, str]:
    at = max(0, column - 1)
    start = at - _BEFORE if at > _BEFORE else 0
    # Control characters of the file must not reach the terminal; one for one keeps the columns.
    shown = "".join(c if c.isprintable() else " " for c in row[start : start + _WINDOW].rstrip("\r"))
    gutter = f"{line:>5} | "
    pad = sum(_width(c) for c in shown[: at - start])
    return f"{gutter}{shown}", " " * (len(gutter) - 2) + "| " + " " * pad + "^"


def _width(character: str) -> int:
    if unicodedata.combining(character):
        return 0
    return 2 if unicodedata.east_asian_width(character) in "WF" else 1
