"""Reads the table of a spread back with the standard library's reader: counts, shares and intervals anew."""

from __future__ import annotations

import csv
import math
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

from generators.verify.readback import ReadBack

Z = 1.96
LOOSE = 2e-3


def read_steps(path: Path, *, rel: str, found: Mapping[str, Any]) -> ReadBack:
    """The finished table beside the answer; each interval must hold its share and solve Wilson's equation.

    (share − p)² = z² p (1 − p) / n at both ends p (E. B. Wilson 1927), which the writer does not use.
    """
    try:
        with path.open(encoding="utf-8", newline="") as file:
            rows = list(csv.DictReader(file))
    except (OSError, ValueError) as error:
        return ReadBack(path=rel, problems=(f"cannot be read: {error}",))
    wanted = {"anything": found["installs"] - found["together"]["count"]}
    wanted |= {row["what"]: row["fails"]["count"] for row in found["asked"]}
    problems = []
    if [row["what"] for row in rows] != list(wanted):
        problems.append("does not have a line for each thing that may fail")
    for row in rows:
        problems += [f"{row['what']}: {p}" for p in _row(row, wanted.get(row["what"], -1), found["installs"])]
    return ReadBack(path=rel, facts=(f"{len(rows)} things that may fail",), problems=tuple(problems[:20]))


def _row(row: Mapping[str, str], wanted: int, tries: int) -> Iterator[str]:
    try:
        fails, told = int(row["fails"]), int(row["installs"])
        share, low, high = (float(row[key]) for key in ("share", "low", "high"))
    except (KeyError, ValueError):
        yield "has no numbers"
        return
    if (fails, told) != (wanted, tries):
        yield f"has {fails} of {told}, expected {wanted} of {tries}"
        return
    if not math.isclose(share, fails / tries, abs_tol=1e-6):
        yield f"has a share of {share:g}, expected {fails / tries:g}"
    for end in (low, high):
        if 0 < end < 1 and abs((share - end) ** 2 * tries - Z * Z * end * (1 - end)) > LOOSE:
            yield f"has an interval that ends at {end:g}, which is not Wilson's"
    if not low <= share + 1e-6 or not share <= high + 1e-6:
        yield "has an interval without its share"
