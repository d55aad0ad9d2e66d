"""``stiffness_shapes.json``: the shapes that the report's stiffness pages draw.

Solving again gives other digits on another machine, so the pages are made again from what is kept here. Only
what is drawn is kept: the movement of the case the part is judged by, the stress of the case nearest yield.
"""

from __future__ import annotations

import json
import math
from collections.abc import Mapping, Sequence
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import Any

from generators.errors import ReadBackError
from generators.issue.artefact import Artefact
from generators.issue.manifest import Entry
from generators.sheets.stiffness_pages import drawn_cases
from generators.strength.problem import Surface
from generators.strength.result import BracketResult
from generators.verify.readback import ReadBack

NAME = "stiffness_shapes.json"
KIND = "stiffness_shapes"
DIGITS = 5
CORNERS = 3


def _short(value: float) -> float:
    return float(f"{value:.{DIGITS}g}")


def _rows(points: Sequence[Sequence[float]]) -> tuple[Any, ...]:
    return tuple(tuple(_short(x) for x in point) for point in points)


def drawn(short: BracketResult, surface: Surface | None) -> BracketResult:
    """The result with what is drawn of its surface, to five digits; without one, as it is."""
    if surface is None:
        return replace(short, surface=None)
    lead, worst = drawn_cases(short)
    count = range(len(short.cases))
    return replace(
        short,
        surface=Surface(
            points=_rows(surface.points),
            triangles=surface.triangles,
            moved=tuple(_rows(surface.moved[k]) if k == lead else () for k in count),
            stress_mpa=tuple(tuple(map(_short, surface.stress_mpa[k])) if k == worst else () for k in count),
        ),
    )


def shapes_text(results: Sequence[BracketResult]) -> str:
    """The file's text: a line for each list."""
    parts = []
    for result in results:
        if result.surface is None:
            continue
        lead, worst = drawn_cases(result)
        lists = {
            "points": result.surface.points,
            "triangles": result.surface.triangles,
            "moved": result.surface.moved[lead],
            "stress_mpa": result.surface.stress_mpa[worst],
        }
        lines = [f'"{key}": {json.dumps(value, separators=(",", ":"))}' for key, value in lists.items()]
        parts.append(f"{json.dumps(result.part)}: {{\n" + ",\n".join(lines) + "\n}")
    return "{\n" + ",\n".join(parts) + "\n}\n"


def with_shapes(results: Sequence[BracketResult], path: Path) -> tuple[BracketResult, ...]:
    """Results with the shapes in a file. Raises ``ReadBackError`` when it is not there or holds none."""
    try:
        content = json.loads(path.read_text(encoding="utf-8"))
        return tuple(_with(r, content[r.part]) if r.part in content else r for r in results)
    except (OSError, ValueError, KeyError, TypeError, AttributeError, RecursionError) as error:
        raise ReadBackError(path.name, f"cannot be read: {error!r}"[:200]) from None


def _with(result: BracketResult, said: Mapping[str, Any]) -> BracketResult:
    lead, worst = drawn_cases(result)
    points, moved = _vectors(said["points"], float), _vectors(said["moved"], float)
    triangles = _vectors(said["triangles"], int)
    stress = tuple(float(x) for x in said["stress_mpa"])
    if not len(points) == len(moved) == len(stress):
        raise ValueError(f"{len(points)} points, {len(moved)} movements, {len(stress)} stresses")
    if not all(math.isfinite(x) for x in (*stress, *(x for row in (*points, *moved) for x in row))):
        raise ValueError("a number that is none")
    if not triangles or not all(0 <= k < len(points) for row in triangles for k in row):
        raise ValueError("a triangle whose corner is not among the points")
    count = range(len(result.cases))
    return replace(
        result,
        surface=Surface(
            points=points,
            triangles=triangles,
            moved=tuple(moved if k == lead else () for k in count),
            stress_mpa=tuple(stress if k == worst else () for k in count),
        ),
    )


def _vectors(rows: Sequence[Sequence[Any]], number: type) -> tuple[Any, ...]:
    out = tuple(tuple(number(x) for x in row) for row in rows)
    if any(len(row) != CORNERS for row in out):
        raise ValueError("a row that is not of three numbers")
    return out


def _write(path: Path, *, text: str) -> None:
    path.write_bytes(text.encode())


def artefact(results: Sequence[BracketResult]) -> Artefact:
    """The file of a job that was solved."""
    bare = tuple(replace(r, surface=None) for r in results)
    return Artefact(
        entry=Entry(path=NAME, kind=KIND, units="mm"),
        body=partial(_write, text=shapes_text(results)),
        read=partial(read_shapes, rel=NAME, results=bare),
        revised=False,
    )


def read_shapes(path: Path, *, rel: str, results: Sequence[BracketResult]) -> ReadBack:
    """The file against the results: a shape for each part, and nothing else."""
    try:
        shaped = with_shapes(results, path)
    except ReadBackError as error:
        return ReadBack(path=rel, problems=(str(error),))
    problems = [] if path.read_bytes() == shapes_text(shaped).encode() else ["is not written as it should be"]
    facts = []
    for result in shaped:
        if result.surface is None:
            problems.append(f"has no shape of {result.part}")
            continue
        facts.append(f"{result.part}: {len(result.surface.triangles)} triangles")
    return ReadBack(path=rel, facts=tuple(facts), problems=tuple(problems))
