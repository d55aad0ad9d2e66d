"""A file of what was read on one vehicle: TOML to model, every fault with its place."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path as FilePath
from typing import Any

from generators.errors import Fault, SpecError
from generators.model.spec.forms.vehicle import VehicleReading, VehicleReadings
from generators.reading.folder_names import refuse_device_name
from generators.reading.reader import content_revision
from generators.reading.toml import words
from generators.reading.toml.kept import KeptFile
from generators.reading.toml.source import parse_bytes, read_bytes
from generators.reading.toml.tables import TableReader


@dataclass(frozen=True, kw_only=True)
class VehicleFile(KeptFile):
    """Readings of one vehicle, and what is kept of their file."""

    readings: VehicleReadings


def is_vehicle(data: bytes) -> bool:
    """True for a text with the head of a vehicle's readings, whether they are sound or not."""
    return any(line.split(b"#")[0].strip() == b"[vehicle]" for line in data.splitlines())


def _numbered(fault: Fault, table: Mapping[str, Any]) -> Fault:
    """A fault that says its reading's number on the form as well: rows of a file count from 0."""
    row = re.match(r"reading\[(\d+)\]", fault.path)
    rows = table.get("reading")
    if row is None or not isinstance(rows, list) or int(row[1]) >= len(rows):
        return fault
    one = rows[int(row[1])]
    number = one.get("number") if isinstance(one, dict) else None
    if not isinstance(number, int) or f"number {number}" in f"{fault.found} {fault.hint}":
        return fault
    said = f"reading number {number} of the form"
    return replace(fault, hint=f"{said}; {fault.hint}" if fault.hint else said)


def read_vehicle(path: FilePath, data: bytes | None = None) -> VehicleFile:
    """The readings of a file, or of ``data`` that was kept of it.

    Raises ``SpecError`` with every fault, whatever it contains.
    """
    source = parse_bytes(str(path), read_bytes(path) if data is None else data)
    reader = TableReader(source)
    readings = reader.read(source.table, VehicleReadings)
    refuse_device_name(reader, ("vehicle", "name"))
    seen: dict[int, int] = {}
    for at, one in reader.items(("reading",), VehicleReading):
        lean = one.kind == "lean"
        given, other = ("leans", "is") if lean else ("is", "leans")
        value, wrong = (one.leans_rad, one.is_mm) if lean else (one.is_mm, one.leans_rad)
        if value is None:
            reader.refuse(
                at, f"reading {one.number} without `{given}`", f"`{given}`, or leave the reading out"
            )
        if wrong is not None:
            reader.refuse(
                (*at, other), f"`{other}` of a reading of kind {words.quoted(one.kind)}", f"`{given}`"
            )
        if one.number in seen:
            reader.refuse((*at, "number"), f"number {one.number} again", "each number of the form once")
        seen[one.number] = 1
    if readings is not None and not readings.reading and not reader.faults:
        reader.refuse((), "no [[reading]]", "at least one reading of the form")
    if reader.faults or readings is None:
        raise SpecError([_numbered(fault, source.table) for fault in reader.faults])
    return VehicleFile(
        readings=readings,
        path=path,
        data=source.data_bytes,
        revision=content_revision({"vehicle": source.table}),
        source=source,
    )
