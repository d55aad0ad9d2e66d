"""The numbers that vary, from the rows of ``[spread]``: one column for each axis of each thing."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

import numpy as np

from generators.figures import format_short
from generators.measure.chance.kit import Column, Gauge, GaugeKind, Group
from generators.measure.equations import Array
from generators.model.spec.forms.spread import BY_SHARE, BY_TURN, Spread, SpreadInput, SpreadOf
from generators.units import UnitSystem

WORDS: dict[SpreadOf, str] = {
    "existing": "places of existing holes",
    "hole_size": "diameters of existing holes",
    "panel_angle": "how the panels lean",
    "obstacle": "places of what is in the way",
    "component": "places of what is on the vehicle",
    "paper": "laying the paper",
    "drill": "where a drill starts",
    "print_scale": "scale of the print",
    "cut": "holes of the parts",
    "bend_angle": "bends of the parts",
    "hose_length": "lengths of the hoses",
}


def amount(row: SpreadInput, units: UnitSystem) -> str:
    """How far, in words."""
    if row.of in BY_TURN:
        size = f"{np.degrees(row.turn_rad or 0.0):.3g}°"
    elif row.of in BY_SHARE:
        size = f"{100 * (row.share or 0.0):g} %"
    else:
        size = format_short(row.off_mm or 0.0, units)
    return f"{'1 σ' if row.shape == 'normal' else row.shape} ± {size}"


@dataclass
class Columns:
    """Columns as they are asked for: each thing gets its own the first time."""

    spread: Spread
    units: UnitSystem
    groups: list[Group] = field(default_factory=list)
    columns: list[Column] = field(default_factory=list)
    _known: dict[tuple[SpreadOf, str, str], tuple[int, ...]] = field(default_factory=dict)
    _group: dict[int, int] = field(default_factory=dict)

    def of(self, kind: SpreadOf, thing: str, axes: Sequence[str] = ("",)) -> tuple[int, ...]:
        """The columns of a thing, one an axis; none where it does not vary.

        ``thing`` is as a row names it, of a hole or an obstacle of a panel ``panel.name``.
        """
        return self.of_each(kind, thing, "", axes)

    def of_each(self, kind: SpreadOf, thing: str, each: str, axes: Sequence[str] = ("",)) -> tuple[int, ...]:
        """The same for one of several alike of a thing: a hole of a part, a start of a drill in a panel."""
        key = (kind, thing, each)
        if key not in self._known:
            self._known[key] = tuple(self._made(kind, thing, each, axes))
        return self._known[key]

    def _made(self, kind: SpreadOf, thing: str, each: str, axes: Sequence[str]) -> Iterator[int]:
        number = self._row(kind, thing)
        if number is None:
            return
        row = self.spread.input[number]
        scale = row.turn_rad if kind in BY_TURN else row.share if kind in BY_SHARE else row.off_mm
        if not scale:
            return
        if number not in self._group:
            self._group[number] = len(self.groups)
            named = ", ".join(name.replace("_", " ") for name in row.things[:3])
            which = f" ({named}{', …' if len(row.things) > 3 else ''})" if row.things else ""
            self.groups.append(
                Group(
                    name=f"{kind}_{number + 1}",
                    of=kind,
                    words=f"{WORDS[kind]}{which}, {amount(row, self.units)}",
                    source=row.source,
                )
            )
        unit = "rad" if kind in BY_TURN else "share" if kind in BY_SHARE else "mm"
        for axis in axes:
            yield len(self.columns)
            self.columns.append(
                Column(
                    group=self._group[number],
                    thing=f"{thing} {each}".rstrip(),
                    axis=axis,
                    shape=row.shape,
                    scale=float(scale),
                    unit=unit,
                )
            )

    def _row(self, kind: SpreadOf, thing: str) -> int | None:
        """The row that names the thing, else the one for all of the kind."""
        last = thing.rpartition(".")[2]
        mine = [k for k, row in enumerate(self.spread.input) if row.of == kind]
        named = [
            k for k in mine if thing in self.spread.input[k].things or last in self.spread.input[k].things
        ]
        return next(iter(named or [k for k in mine if not self.spread.input[k].things]), None)


class Sparse(dict[int, Array]):
    """A displacement as it grows: for each column, what a unit of it moves (a vector)."""

    def plus(self, other: Sparse, by: float | Array = 1.0) -> Sparse:
        """The sum with ``by`` times another; a matrix turns and weighs its vectors."""
        out = Sparse(self)
        for column, vector in other.items():
            moved = by @ vector if isinstance(by, np.ndarray) else by * vector
            out[column] = out[column] + moved if column in out else moved
        return out


def dense(displacements: Sequence[Sparse], size: int, columns: int) -> Array:
    """Rows (len × size, columns) of displacements of ``size`` numbers each."""
    out = np.zeros((len(displacements) * size, columns))
    for k, each in enumerate(displacements):
        for column, vector in each.items():
            out[k * size : (k + 1) * size, column] = vector
    return out


@dataclass(frozen=True, kw_only=True)
class Wanted:
    """A gauge before all columns are known: ``off`` is what moves it (vectors of ``size`` numbers).

    ``key`` is what it is of, wherever things stand.
    """

    key: str
    name: str
    kind: GaugeKind
    task: str
    title: str
    rest_mm: float
    off: Sparse
    size: int = 1
    hose: str = ""
    off_mm: tuple[float, float, float] = (0.0, 0.0, 0.0)

    def gauge(self, columns: int) -> Gauge:
        """The gauge with its rows."""
        return Gauge(
            name=self.name,
            kind=self.kind,
            task=self.task,
            title=self.title,
            rest_mm=self.rest_mm,
            rows=dense([self.off], self.size, columns),
            hose=self.hose,
            off_mm=self.off_mm,
        )
