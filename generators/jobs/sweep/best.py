"""What the rows of a sweep say: the front of the best, and what each key does to each number wanted."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from generators.errors import LookupFault
from generators.jobs.sweep.vary import amount

Array = NDArray[np.float64]
BINS = 6
"""Groups a key that was drawn evenly is cut into, to see what it does."""

Way = Literal["least", "most"]


@dataclass(frozen=True, slots=True)
class Want:
    """A number wanted as small or as large as it goes, by the path it is measured under."""

    way: Way
    path: str


def want(text: str) -> Want:
    """``least pedal[clutch].peak_effort`` or ``most …``. Raises ``LookupFault``."""
    way, _, path = text.strip().partition(" ")
    if way == "least" and path.strip():
        return Want("least", path.strip())
    if way == "most" and path.strip():
        return Want("most", path.strip())
    raise LookupFault("wish", text, ["least PATH", "most PATH"])


def column(rows: Sequence[Mapping[str, Any]], path: str) -> Array:
    """A measure down the rows; nan where a row has none."""
    return np.array([row["measures"].get(path, (np.nan, ""))[0] for row in rows], dtype=float)


def known_paths(rows: Sequence[Mapping[str, Any]]) -> list[str]:
    """Every measure any row has, sorted: the same for rows just solved and rows read again."""
    return sorted({path for row in rows for path in row["measures"]})


def unit_of(rows: Sequence[Mapping[str, Any]], path: str) -> str:
    """The unit of a measure."""
    return next((row["measures"][path][1] for row in rows if path in row["measures"]), "")


def good(rows: Sequence[Mapping[str, Any]]) -> list[bool]:
    """Rows that were solved and fail no rule."""
    return [not row["fault"] and not row["failed"] for row in rows]


def front(rows: Sequence[Mapping[str, Any]], wants: Sequence[Want]) -> list[int]:
    """Rows that no other good row beats: none is as good in every wish and better in one.

    Only rows that fail no rule count. Source: the usual definition of a Pareto front.
    """
    if not wants:
        return []
    table = np.column_stack([column(rows, w.path) * (1 if w.way == "least" else -1) for w in wants])
    sound = np.array(good(rows)) & np.isfinite(table).all(axis=1)
    out = []
    for k in np.flatnonzero(sound):
        others = table[sound]
        beaten = (others <= table[k]).all(axis=1) & (others < table[k]).any(axis=1)
        if not beaten.any():
            out.append(int(k))
    return out


def places(values: Sequence[Any]) -> tuple[Array, list[str]]:
    """Where values of a key lie on an axis: their own number in one unit, else one place for each word.

    Labels stand for words only.
    """
    try:
        read = [amount(str(value)) for value in values]
    except LookupFault:
        read = []
    if read and len({unit for _, unit in read}) == 1:
        return np.array([float(number) for number, _ in read]), []
    words = list(dict.fromkeys(map(str, values)))
    return np.array([float(words.index(str(value))) for value in values]), words


def groups(at: Array) -> NDArray[np.int64]:
    """The group each place belongs to: its own where there are few, else one of ``BINS`` of equal width."""
    levels = np.unique(at)
    if len(levels) <= BINS:
        return np.searchsorted(levels, at)
    edges = np.linspace(at.min(), at.max(), BINS + 1)[1:-1]
    return np.digitize(at, edges)


def share(at: Array, values: Array) -> float:
    """How much of the spread of ``values`` goes with a key, 0 to 1: variance between groups over all.

    The correlation ratio, an estimate of the first-order index of variance-based sensitivity (Saltelli and
    others, Global Sensitivity Analysis, from memory). 0 where nothing varies.
    """
    there = np.isfinite(values)
    if there.sum() < 2:
        return 0.0
    at, values = at[there], values[there]
    whole = float(values.var())
    if whole <= 1e-12 * max(float(np.abs(values).max()), 1.0) ** 2:
        return 0.0
    group, mean = groups(at), values.mean()
    between = sum((group == g).sum() * (values[group == g].mean() - mean) ** 2 for g in np.unique(group))
    return float(between / len(values) / whole)
