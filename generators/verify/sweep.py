"""Reads the table of a sweep back with the standard library's reader: every row, value and number."""

from __future__ import annotations

import csv
import math
from collections.abc import Collection, Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any

from generators.verify.readback import ReadBack

REL = 1e-5


def read_sweep(path: Path, *, rel: str, rows: Sequence[Mapping[str, Any]], best: Collection[int]) -> ReadBack:
    """The finished table beside the rows it was made from; ``best`` are those on the front, from 0."""
    try:
        with path.open(encoding="utf-8", newline="") as file:
            told = list(csv.DictReader(file))
    except (OSError, ValueError) as error:
        return ReadBack(path=rel, problems=(f"cannot be read: {error}",))
    if len(told) != len(rows):
        return ReadBack(path=rel, problems=(f"has {len(told)} rows, expected {len(rows)}",))
    problems = [p for number, pair in enumerate(zip(told, rows, strict=True), 1) for p in _row(number, *pair)]
    for number, line in enumerate(told, 1):
        wanted = "yes" if number - 1 in best else ""
        if line.get("best") != wanted:
            problems.append(f"row {number} has {line.get('best')!r} under best, expected {wanted!r}")
    return ReadBack(path=rel, facts=(f"{len(told)} rows",), problems=tuple(problems[:20]))


def _row(number: int, told: Mapping[str, str], row: Mapping[str, Any]) -> Iterator[str]:
    if told.get("row") != str(number):
        yield f"row {number} is called {told.get('row')!r}"
    for key, value in row["values"].items():
        if told.get(key) != str(value):
            yield f"row {number} has {told.get(key)!r} for {key}, expected {value!r}"
    for path, (value, unit) in row["measures"].items():
        cell = told.get(f"{path} ({unit})" if unit else path, "")
        try:
            same = math.isclose(float(cell), value, rel_tol=REL, abs_tol=1e-9)
        except ValueError:
            same = False
        if not same:
            yield f"row {number} has {cell!r} for {path}, expected {value:g}"
    for word, wanted in (("failed", " ".join(row["failed"])), ("fault", row["fault"])):
        if told.get(word) != wanted:
            yield f"row {number} has {told.get(word)!r} under {word}, expected {wanted!r}"
