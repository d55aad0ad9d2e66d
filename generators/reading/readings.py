"""A file of readings: TOML to model, every fault with its place."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path as FilePath

from generators.errors import SpecError
from generators.model.spec.readings import Handed, InspectedItem, MeasuredHole, MeasureLine, Reading, Readings
from generators.model.words import SIDES_OF_LINE
from generators.reading.folder_names import refuse_device_name
from generators.reading.keys.outlines import outline_faults
from generators.reading.reader import content_revision
from generators.reading.toml import words
from generators.reading.toml.kept import KeptFile
from generators.reading.toml.paths import Path
from generators.reading.toml.source import parse_bytes, read_bytes
from generators.reading.toml.tables import TableReader


@dataclass(frozen=True, kw_only=True)
class ReadingsFile(KeptFile):
    """Readings of a part or a panel, and what is kept of their file."""

    readings: Readings


def read_readings(path: FilePath) -> ReadingsFile:
    """The readings of a file. Raises ``SpecError`` with every fault, whatever it contains."""
    source = parse_bytes(str(path), read_bytes(path))
    reader = TableReader(source)
    readings = reader.read(source.table, Readings)
    _check(reader)
    if reader.faults or readings is None:
        raise SpecError(reader.faults)
    return ReadingsFile(
        readings=readings,
        path=path,
        data=source.data_bytes,
        revision=content_revision({"readings": source.table}),
        source=source,
    )


def _names(reader: TableReader, table: str) -> dict[str, Path]:
    """Names as they stand in the text, so that one bad table does not spoil what refers to it."""
    found: dict[str, Path] = {}
    for index in range(len(reader.raw((table,), list))):
        name = reader.raw((table, index, "name"), str)
        if name:
            found.setdefault(name, (table, index))
    return found


def _check(reader: TableReader) -> None:
    holes, lines = _names(reader, "hole"), _names(reader, "line")
    bolted = reader.raw(("fixed",), list)
    if not reader.raw(("hole",), list) and not bolted and not reader.raw(("inspected",), list):
        reader.refuse((), "no [[hole]]", "at least one hole that was measured")
    _check_inspected(reader)
    if reader.raw(("hole",), list) and bolted:
        wanted = "holes as drilled in one file, things fixed in the wrong place in another"
        reader.refuse(("fixed",), "[[fixed]] beside [[hole]]", wanted)
    for table in ("in_hand", "stock_hose"):
        if reader.raw((table,), list) and not bolted:
            reader.refuse((table,), f"[[{table}]] without [[fixed]]", "what is bolted down already")
    _check_names_once(reader)
    refuse_device_name(reader, ("measure", "name"))
    for path, line in reader.items(("line",), MeasureLine):
        if line.holes not in SIDES_OF_LINE[line.kind]:
            wanted = f"{words.listed(SIDES_OF_LINE[line.kind])} of a {line.kind} line"
            reader.refuse((*path, "holes"), words.quoted(line.holes), wanted)
    for path, hole in reader.items(("hole",), MeasuredHole):
        if hole.uncertainty_mm is not None and hole.at is None:
            reader.refuse((*path, "uncertainty"), "an uncertainty without `at`", "the centre it belongs to")
    for path, reading in reader.items(("reading",), Reading):
        _check_reading(reader, path, reading, holes, lines)
    for path, handed in reader.items(("handed",), Handed):
        trio = {"hole": handed.hole, "from": handed.from_, "to": handed.to}
        for key, name in trio.items():
            _known(reader, (*path, key), name, list(holes), "a hole of this file")
        if len(set(trio.values())) < len(trio):
            reader.refuse(path, "the same hole twice", "three different holes")
    _check_frame(reader, list(holes))
    _check_outline(reader)


def _check_inspected(reader: TableReader) -> None:
    """Items of an inspection sheet: each once, with one reading, of a part and a sheet that are named."""
    if not reader.raw(("inspected",), list):
        return
    for key, what in (("part", "the part they were read on"), ("sheet", "the revision on their sheet")):
        if not reader.raw(("measure", key), str):
            reader.refuse(("measure",), f"[[inspected]] without {key}", what)
    if reader.raw(("fixed",), list):
        reader.refuse(("inspected",), "[[inspected]] beside [[fixed]]", "each in a file of its own")
    first: dict[str, Path] = {}
    for path, row in reader.items(("inspected",), InspectedItem):
        said = [x for x in (row.is_mm, row.angle_rad, row.goes) if x is not None]
        if len(said) != 1:
            reader.refuse(path, f"{len(said)} readings", "one of is, angle and goes")
        if row.item in first:
            line = reader.source.places.value((*first[row.item], "item")).line
            reader.refuse(
                (*path, "item"), f"item {row.item} again", "each item once", f"first used on line {line}"
            )
        first.setdefault(row.item, path)


def _check_names_once(reader: TableReader) -> None:
    first: dict[str, Path] = {}
    for table in ("hole", "line"):
        for index in range(len(reader.raw((table,), list))):
            path: Path = (table, index, "name")
            name = reader.raw(path, str)
            if name in first:
                line = reader.source.places.value(first[name]).line
                hint = f"first used on line {line}"
                reader.refuse(path, f"the name {words.quoted(name)} again", "each name once", hint)
            elif name:
                first[name] = path


def _check_frame(reader: TableReader, holes: Sequence[str]) -> None:
    origin, along = (reader.raw(("frame", key), str) for key in ("origin", "along"))
    for key, name in (("origin", origin), ("along", along)):
        if name:
            _known(reader, ("frame", key), name, holes, "a hole of this file")
    if origin and origin == along:
        reader.refuse(("frame", "along"), "the origin again", "another hole than the origin")


def _check_outline(reader: TableReader) -> None:
    head = reader.built.get(("measure",))
    if head is None or head.outline is None:
        return
    for fault in outline_faults(head.outline):
        path = ("measure", "outline", fault.corner)
        reader.refuse(path, fault.found, fault.expected, fault.hint)


def _known(reader: TableReader, path: Path, name: str, known: Sequence[str], what: str) -> bool:
    if name in known:
        return True
    hint = words.suggestion(name, known)
    found = f"the unknown name {words.quoted(name)}" if name else "no name"
    reader.refuse(path, found, f"{what}: {words.listed(known)}", hint)
    return False


def _check_reading(
    reader: TableReader, path: Path, reading: Reading, holes: dict[str, Path], lines: dict[str, Path]
) -> None:
    _known(reader, (*path, "from"), reading.from_, list(holes), "a hole of this file")
    for fault_path, found, expected in _reading_faults(path, reading, holes, lines):
        reader.refuse(fault_path, found, expected)
    if reading.kind == "diameter":
        return
    if reading.kind.startswith("offset"):
        _known(reader, (*path, "to"), reading.to, list(holes), "a hole of this file")
    else:
        _known(reader, (*path, "to"), reading.to, [*holes, *lines], "a hole or line of this file")


def _reading_faults(
    path: Path, reading: Reading, holes: dict[str, Path], lines: dict[str, Path]
) -> Iterator[tuple[Path, str, str]]:
    if reading.kind == "diameter" and reading.to:
        yield (*path, "to"), words.quoted(reading.to), "no `to`: a diameter is of one hole"
    if reading.to and reading.to == reading.from_:
        yield (*path, "to"), "the hole it starts at", "another hole, or a line"
    if reading.kind == "same_side" and reading.to in lines and reading.to not in holes:
        yield (*path, "kind"), '"same_side"', "centre, inner or outer to a line"
    to_line = reading.to in lines and reading.to not in holes
    if reading.is_mm <= 0 and not reading.kind.startswith("offset") and not to_line:
        # a hole whose rim reaches over a line does read below zero there
        yield (*path, "is"), words.millimetres(reading.is_mm), "a length above 0 mm"
