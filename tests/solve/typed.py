"""A printed change read off the screen and typed into the spec, by other means than the program's own.

The lines are found in the output as a person finds them; each value is put where its path says with tomlkit, and
once more by its line number alone: one after the other in the order printed, each into the text as it is by then, with
what stands before the ``#`` typed word for word. Both must give the same spec.
"""

from __future__ import annotations

import re
import tomllib
from dataclasses import dataclass
from typing import Any

import tomlkit

CHANGE = "      Change (tried: clears this): "
INDENT = "        "
_VALUE = re.compile(r"(?P<path>\S+) = (?P<text>.*)  # (?P<where>(?:line|new,) .*)", re.DOTALL)
_WAS = re.compile(r"line (?P<line>[0-9]+), was (?P<was>.*)")
_NEW = re.compile(r"new, (?:under|(?P<braces>in the braces of)) line (?P<line>[0-9]+), (?P<into>[^,:]+).*")
_STEP = re.compile(r"([A-Za-z0-9_-]+)|\[([^\]]+)\]")


@dataclass(frozen=True, kw_only=True)
class Printed:
    """One printed change: the finding's two words above it, its values and its new tables."""

    severity: str
    code: str
    words: str
    values: tuple[str, ...]
    tables: tuple[str, ...]


def printed(out: str) -> list[Printed]:
    """Every change of an output that is written out, with the finding it stands under."""
    found: list[Printed] = []
    head: list[str] = []
    lines = iter([*out.splitlines(), ""])
    line = next(lines)
    for following in lines:
        if re.match(r"(fail|warn|note) ", line):
            head = line.split()
        if line.startswith(CHANGE):
            words, line = line.removeprefix(CHANGE), following
            values: list[str] = []
            tables: list[str] = []
            while line.startswith(INDENT):
                typed = line.removeprefix(INDENT)
                if _VALUE.fullmatch(typed):
                    values.append(typed)
                elif typed.startswith("[["):
                    tables.append(typed)
                else:
                    tables[-1] += f"\n{typed}"
                line = next(lines)
            if values or tables:
                found.append(
                    Printed(
                        severity=head[0],
                        code=head[1],
                        words=words,
                        values=tuple(values),
                        tables=tuple(tables),
                    )
                )
            continue
        line = following
    return found


def typed(text: str, change: Printed) -> str:
    """The spec with a printed change typed into it; fails where its two readings differ."""
    by_path, by_line = tomlkit.parse(text), text.split("\n")
    for value in change.values:
        match = _VALUE.fullmatch(value)
        assert match is not None
        path = path_of(value)
        new = _NEW.fullmatch(match["where"])
        _put(by_path, path, tomllib.loads(f"x = {match['text']}")["x"])
        if new is not None:
            here = int(new["line"])
            line = f"{match['path']} = {match['text']}"
            if new["braces"]:
                head, _, tail = by_line[here - 1].rpartition("}")
                by_line[here - 1] = f"{head.rstrip()}, {line} }}{tail}"
            else:
                by_line.insert(here, line)
            continue
        was = _WAS.fullmatch(match["where"])
        assert was is not None, value
        row = int(was["line"]) - 1
        key = _STEP.findall(path)[-1]
        assert was["was"] in by_line[row], value
        # two values of one line, a point's say, are told apart by the key before them
        begin = by_line[row].rfind(f"{key[0]} = {was['was']}") if key[0] else -1
        begin = begin + len(key[0]) + 3 if begin >= 0 else by_line[row].index(was["was"])
        end = begin + len(was["was"])
        by_line[row] = by_line[row][:begin] + match["text"] + by_line[row][end:]
    tables = "".join(f"\n{table}\n" for table in change.tables)
    other = tomllib.loads("\n".join(by_line) + tables)
    result = tomlkit.dumps(by_path) + tables
    assert tomllib.loads(result) == other, change
    return result


def path_of(value: str) -> str:
    """The whole path of a printed value: of what is new, the table it goes into comes after the line."""
    match = _VALUE.fullmatch(value)
    assert match is not None, value
    new = _NEW.fullmatch(match["where"])
    return match["path"] if new is None else f"{new['into']}.{match['path']}"


def _put(doc: Any, path: str, value: Any) -> None:
    steps: list[Any] = []
    here: Any = doc
    for key, name in _STEP.findall(path):
        step = key if key else _index(here, name)
        steps.append(step)
        try:
            here = here[step]
        except (KeyError, tomlkit.exceptions.NonExistentKey):
            here = {}
    target: Any = doc
    for step in steps[:-1]:
        if isinstance(target, dict) and step not in target:
            target[step] = tomlkit.table()
        target = target[step]
    target[steps[-1]] = value


def _index(entries: Any, name: str) -> int:
    if not entries or not isinstance(entries[0], dict):
        return int(name)
    for index, entry in enumerate(entries):
        if name in (entry.get("name"), entry.get("label"), entry.get("hose")):
            return index
    # the lines of a pedal have no names
    assert name.isdecimal(), f"{name} is not in the spec"
    return int(name)
