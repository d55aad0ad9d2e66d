"""The measuring list of a spec, written and read back."""

from __future__ import annotations

from pathlib import Path
from types import MappingProxyType

from generators.errors import ReadBackError
from generators.parts import KINDS
from generators.reading.marks import Mark, marks_of
from generators.reading.toml.source import parse_bytes
from generators.sheets.measuring import MeasuringList, ToMeasure, list_words, write_measuring_list
from generators.verify.pdf.sheet import read_sheet_pdf


def measuring_list(name: str, data: bytes) -> MeasuringList:
    """What the comments of a spec ask to be measured. Raises ``SpecError`` for what is no TOML."""
    source = parse_bytes(name, data)
    head = source.table.get("job", {})
    title = head.get("title", name) if isinstance(head, dict) else name
    marks = marks_of(source, {kind.name: kind.parameters for kind in KINDS})
    return MeasuringList(title=f"To measure: {title}", file=name, rows=tuple(_row(mark) for mark in marks))


_CALLED = MappingProxyType({"at": "place", "on": "place", "pin": "rod pin", "seat": "rod seat"})
"""Keys that say little by themselves, as they are called on the list."""
MOST_ROWS = 8


def _row(mark: Mark) -> ToMeasure:
    key = mark.key.rpartition(".")[2]
    what = f"{_CALLED.get(key, key.replace('_', ' '))}: {mark.how}" if mark.how else mark.what
    return ToMeasure(
        thing=mark.thing[:1].upper() + mark.thing[1:],
        what=what[:1].upper() + what[1:],
        tool=mark.tool,
        key=mark.key,
        line=mark.line,
        across=mark.across,
        down=min(mark.down, MOST_ROWS),
    )


def write_list(path: Path, measuring: MeasuringList, *, revision: str, paper: str) -> None:
    """Write the list and read it back. Raises ``ReadBackError`` for one that does not say what it must."""
    write_measuring_list(path, measuring=measuring, revision=revision, paper=paper)
    reading = read_sheet_pdf(
        path,
        title=f"Measuring list, {measuring.file}",
        revision=revision,
        rel=path.name,
        words=list_words(measuring),
    )
    if reading.problems:
        raise ReadBackError(path.name, "; ".join(reading.problems))
