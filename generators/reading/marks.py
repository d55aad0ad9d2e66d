"""What a spec's comments ask to be measured: ``at = […]   # measure: tape, from the lower left corner``."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from generators.model.spec.fields import FieldSpec, spec_fields
from generators.model.spec.job import Job
from generators.reading.toml.edits import value_at
from generators.reading.toml.named import named_path
from generators.reading.toml.paths import Path
from generators.reading.toml.source import TomlSource

_MARK = re.compile(r"#\s*measure:\s*(?P<tool>[^,]+?)\s*(?:,\s*(?P<how>.*?))?\s*$")
_WORDS = ("title", "what", "purpose")
_SAYS_NOTHING = ("parameters", "mount")
"""Tables within another whose numbers are spoken of as that one's."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark:
    """A value to be measured: whose it is in words, what it is, with what and how; where it goes.

    ``key`` is its path by names, ``line`` where it stands. It is ``across`` numbers, in ``down`` rows.
    """

    thing: str
    what: str
    tool: str
    how: str
    key: str
    line: int
    across: int
    down: int


def marks_of(source: TomlSource, kinds: Mapping[str, type]) -> tuple[Mark, ...]:
    """Every marked value of a spec's own text, in its order."""
    at_line: dict[int, Path] = {}
    for path in _paths(source.table, ()):
        if source.places.span(path) is not None:
            at_line.setdefault(source.places.key(path).line, path)
    found = []
    for number, row in enumerate(source.text.split("\n"), 1):
        match = _MARK.search(row)
        if match is not None and number in at_line:
            found.append(_mark(source, at_line[number], number, match["tool"], match["how"] or "", kinds))
    return tuple(found)


def _paths(here: Any, path: Path) -> Iterator[Path]:
    """Paths of all keys, those of a table before those within it."""
    for key, value in here.items() if isinstance(here, dict) else enumerate(here):
        if isinstance(here, dict):
            yield (*path, key)
        if isinstance(value, dict | list):
            yield from _paths(value, (*path, key))


def _mark(source: TomlSource, path: Path, line: int, tool: str, how: str, kinds: Mapping[str, type]) -> Mark:
    declared = _declared(source.table, path, kinds)
    across, down = _shape(value_at(source, path))
    return Mark(
        thing=_thing(source.table, path[:-1]),
        what=declared.doc.partition(";")[0] if declared is not None else str(path[-1]).replace("_", " "),
        tool=tool,
        how=how,
        key=named_path(source.table, path),
        line=line,
        across=across,
        down=down,
    )


def _shape(value: Any) -> tuple[int, int]:
    """How many numbers a value is, across and down: of a place, of a list of places."""
    if isinstance(value, dict):  # where something sits: its place is what is measured
        value = value.get("at")
    if not isinstance(value, list) or not value:
        return 1, 1
    return (len(value[0]), len(value)) if isinstance(value[0], list) else (len(value), 1)


def _thing(table: dict[str, Any], path: Path) -> str:
    """In words whose a value is: the nearest table with words of its own, and that it is in."""
    said: list[str] = []
    here: Any = table
    for step in path:
        here = here[step]
        if isinstance(here, dict):
            word = next((str(here[key]) for key in _WORDS if isinstance(here.get(key), str)), "")
            word = word or str(here.get("name", "")).replace("_", " ")
            if not word and isinstance(step, str) and step not in _SAYS_NOTHING:
                word = step.replace("_", " ")  # of a pedal's two bores, whether it is the master's
            said += [word] if word else []
    # a fold has no name of its own
    return ", ".join(said[-2:]) or " ".join(str(step + 1 if isinstance(step, int) else step) for step in path)


def _declared(table: dict[str, Any], path: Path, kinds: Mapping[str, type]) -> FieldSpec | None:
    """The declaration of a key."""
    cls: type | None = Job
    spec: FieldSpec | None = None
    for depth, step in enumerate(path):
        if isinstance(step, int):
            continue
        spec = next((f.spec for f in spec_fields(cls) if f.key == step), None) if cls else None
        if spec is None:
            return None
        cls = spec.item
        if spec.kind == "kind_table":
            kind = _text(table, (*path[:depth], "kind"))
            cls = kinds.get(kind)
    return spec


def _text(table: dict[str, Any], path: Path) -> str:
    """A text at a path of parsed TOML, or nothing."""
    here: Any = table
    for step in path:
        here = here[step] if isinstance(step, int) else here.get(step, "")
    return here if isinstance(here, str) else ""
