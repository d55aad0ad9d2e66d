"""What shared patterns must be, and who may use them."""

from __future__ import annotations

from generators.errors import LookupFault
from generators.model.spec.job import PanelPattern, PartSpec
from generators.model.spec.pattern import PartPattern, Pattern
from generators.reading.toml import words
from generators.reading.toml.paths import Path
from generators.reading.toml.tables import TableReader
from generators.standards import clearance_hole, fastener

FORMS = ("points", "size", "circle")
SAME_MM = 1e-6


def check_patterns(reader: TableReader, panels: int) -> None:
    """Report patterns that are not one form of known size, and uses of patterns that are not there.

    ``panels`` is how many panels the file lists; names within a panel are checked with its other names.
    """
    known = []
    for path, pattern in reader.items(("pattern",), Pattern):
        if pattern.name in known:
            reader.refuse(
                (*path, "name"), f"the name {words.quoted(pattern.name)} again", "each pattern once"
            )
        known.append(pattern.name)
        _check_form(reader, path, pattern)
        _check_thread(reader, path, pattern)
    # a pattern refused for another reason is known by name all the same
    listed = range(len(reader.raw(("pattern",), list)))
    names = [reader.raw(("pattern", index, "name"), str) for index in listed]
    for index in range(panels):
        for use_path, use in reader.items(("panel", index, "pattern"), PanelPattern):
            _check_known(reader, use_path, use.name, names)
    for part_path, _part in reader.items(("part",), PartSpec):
        for use_path, own in reader.items((*part_path, "pattern"), PartPattern):
            _check_known(reader, use_path, own.name, names)
            _check_kind(reader, use_path, own)


SIDED = ("countersunk", "extruded", "flow_drilled", "press_nut", "weld_nut", "press_stud")
"""Holes with something on one side of the sheet."""


def _check_kind(reader: TableReader, path: Path, use: PartPattern) -> None:
    """A side and a stud's length stand only beside holes that have them, and a stud has a length."""
    given = reader.raw(path, dict)
    if "side" in given and use.holes not in SIDED:
        wanted = f"only beside holes that are {words.listed(SIDED)}"
        reader.refuse((*path, "side"), 'the key "side"', wanted, "leave it out", at_key=True)
    if "stud" in given and use.holes != "press_stud":
        reader.refuse(
            (*path, "stud"), 'the key "stud"', 'only beside holes = "press_stud"', "leave it out", at_key=True
        )
    if use.holes == "press_stud" and "stud" not in given and (*path, "stud") not in reader.misspelt:
        reader.refuse((*path, "stud"), 'no key "stud"', "how far the stud stands off the sheet")


def _check_known(reader: TableReader, path: Path, name: str, names: list[str]) -> None:
    if name not in names:
        wanted = f"an existing [[pattern]]: {words.listed(names)}"
        reader.refuse(
            (*path, "name"), f"the unknown name {words.quoted(name)}", wanted, words.suggestion(name, names)
        )


def _check_form(reader: TableReader, path: Path, pattern: Pattern) -> None:
    given = reader.raw(path, dict)
    forms = [form for form in FORMS if form in given]
    if len(forms) != 1:
        found = " beside ".join(forms) or "no points"
        reader.refuse(path, found, "exactly one of points, size, circle")
    for word in ("count", "start"):
        if word in given and "circle" not in given:
            reader.refuse(
                (*path, word), f'the key "{word}"', "only beside circle", "leave it out", at_key=True
            )
    if pattern.size is not None and (min(pattern.size) < 0 or max(pattern.size) <= 0):
        reader.refuse(
            (*path, "size"), "no rectangle", "a width and a height of 0 mm or more, one of them above"
        )
    seen: list[tuple[float, float]] = []
    for index, point in enumerate(pattern.points or ()):
        if any(max(abs(point[0] - u), abs(point[1] - v)) < SAME_MM for u, v in seen):
            reader.refuse((*path, "points", index), "the same point again", "each bolt once")
        seen.append(point)


def _check_thread(reader: TableReader, path: Path, pattern: Pattern) -> None:
    try:
        fastener(pattern.thread)
        clearance_hole(pattern.thread, pattern.fit)
    except LookupFault as fault:
        key = "thread" if fault.key == pattern.thread else "fit"
        hint = words.suggestion(fault.key, fault.known)
        wanted = f"one of the table: {words.listed(fault.known)}"
        reader.refuse((*path, key), f"the {key} {words.quoted(fault.key)}", wanted, hint)
