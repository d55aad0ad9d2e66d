"""What a pedal says of the parts: the hanger it names must be there and hang pedals."""

from __future__ import annotations

from collections.abc import Mapping

from generators.errors import LookupFault
from generators.model.fields import spec_fields
from generators.model.hydraulics import Line, Pedal
from generators.reading import words
from generators.reading.paths import Path
from generators.reading.tables import TableReader
from generators.standards import hose_expansion

HANGER_KEYS = frozenset({"pivot_up", "pivot_out"})
"""Parameters that make a family a pedal hanger: where the pivot is from the cylinder's axis."""


def is_hanger(parameters: type) -> bool:
    """True for a family whose parameters place a pivot."""
    return {field.key for field in spec_fields(parameters)} >= HANGER_KEYS


def check_pedals(reader: TableReader, parts: Mapping[str, str]) -> None:
    """Report hangers that are not there or no hangers, and hoses no table knows.

    ``parts`` gives the family of each part by name, ``""`` where it is not known.
    """
    hangers = {name: kind for name, kind in reader.families.items() if is_hanger(kind)}
    for path, pedal in reader.items(("pedal",), Pedal):
        if pedal.hanger:
            _check_hanger(reader, (*path, "hanger"), pedal.hanger, parts, hangers)
        for line_path, line in reader.items((*path, "line"), Line):
            _check_hose(reader, line_path, line)


def _check_hanger(
    reader: TableReader, path: Path, name: str, parts: Mapping[str, str], hangers: Mapping[str, type]
) -> None:
    if name not in parts:
        hint = words.suggestion(name, parts)
        wanted = f"a part of this job: {words.listed(parts)}"
        reader.refuse(path, f"the unknown name {words.quoted(name)}", wanted, hint)
    elif parts[name] in reader.families and parts[name] not in hangers:
        found = f"{words.quoted(name)}, a part of the family {parts[name]}"
        reader.refuse(path, found, f"a part of a family that hangs pedals: {words.listed(hangers)}")


def _check_hose(reader: TableReader, path: Path, line: Line) -> None:
    if line.kind == "rigid" or line.swell_mm2 is not None or line.expansion == "none":
        return
    try:
        hose_expansion(line.bore_mm, line.expansion)
    except LookupFault as fault:
        wanted = f"a size of the hose table: {words.listed(fault.known)}"
        reader.refuse((*path, "bore"), words.millimetres(line.bore_mm), wanted, "or give its swell")
