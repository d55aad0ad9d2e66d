"""Which tool makes a hole: pilot and final drill, step drill, punch or saw, of sizes one can buy.

The hole's limits decide: a tool is taken only if its size lies within them. Where none does, the largest
below is taken and the rest filed away: metal can be taken off later, not put back.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from typing import Literal

from generators.figures import format_short
from generators.standards.holes.drills import Drill, DrillSystem, drills
from generators.standards.holes.sheet_tools import SheetToolKind, sheet_tool_rows
from generators.units import MM_PER_INCH, UnitSystem

__all__ = ["HoleTool", "Making", "ToolKind", "choose_tools", "transfer_drill"]

ToolKind = Literal["twist drill", "step drill", "sheet punch", "hole saw"]

THIN_MM = 3.0  # under it a step drill's step is taller than the sheet
THIN_STAINLESS_MM = 2.0  # it blunts a step drill sooner
TWIST_IN_SHEET_MM = 10.0  # a larger twist drill grabs in sheet and leaves three corners
CHUCK_MM = 13.0  # of an ordinary hand drill
TWIST_MOST_MM = 20.0  # with a shank turned down to the chuck's size
LEAST_TWIST_MM = 1.0
PILOT_FROM_MM = 5.0
PILOT_MM = {"metric": 3.0, "inch": float(Fraction(1, 8) * MM_PER_INCH)}
SAME_MM = 1e-9
ROUND_TO: dict[UnitSystem, tuple[Fraction, ...]] = {
    "metric": (Fraction(1, 2), Fraction(1, 10), Fraction(1, 100)),
    "inch": (MM_PER_INCH / 64, MM_PER_INCH / 1000),
}
"""Sizes a hole is filed to: round ones first, mm."""


@dataclass(frozen=True, slots=True, kw_only=True)
class HoleTool:
    """A tool of a size one can buy. ``name`` is what is stamped on it: ``12 mm``, ``29/64 in``, ``#7``."""

    kind: ToolKind
    name: str
    diameter_mm: float

    @property
    def words(self) -> str:
        """``step drill 12 mm``; says what else is needed to use it."""
        if self.kind == "twist drill" and self.diameter_mm > CHUCK_MM:
            return f"{self.kind} {self.name} (reduced shank)"
        return f"{self.kind} {self.name}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Making:
    """How a hole gets its size, mm: ``pilot_mm`` (0 for none), the tool, and ``final_mm`` it then has.

    ``filed`` where no tool's size lies within the limits: the hole is filed from the tool's size to
    ``final_mm``.
    """

    pilot_mm: float
    tool: HoleTool
    final_mm: float
    units: UnitSystem
    filed: bool = False

    @property
    def kind(self) -> ToolKind:
        """The kind of its tool."""
        return self.tool.kind

    @property
    def words(self) -> str:
        """``step drill 12 mm``; ``step drill 14 mm, then file to 14.5 mm``."""
        if not self.filed:
            return self.tool.words
        return f"{self.tool.words}, then file to {format_short(self.final_mm, self.units)}"


def _stamped(row: Drill) -> str:
    """The name of a drill as a person asks for it."""
    if row.system is DrillSystem.METRIC:
        return f"{row.diameter_mm:g} mm"
    if row.system is DrillSystem.FRACTIONAL:
        return f"{row.name} in"
    return f"letter {row.name}" if row.system is DrillSystem.LETTER else row.name


@cache
def _twist(units: UnitSystem, *, fractions: bool) -> tuple[HoleTool, ...]:
    """Twist drills of a country up to 20 mm: of the inch ones either the fractions or numbers and letters."""
    if units == "metric":
        systems = {DrillSystem.METRIC}
    else:
        systems = {DrillSystem.FRACTIONAL} if fractions else {DrillSystem.NUMBER, DrillSystem.LETTER}
    return tuple(
        HoleTool(kind="twist drill", name=_stamped(row), diameter_mm=row.diameter_mm)
        for row in drills()
        if row.system in systems and LEAST_TWIST_MM - SAME_MM <= row.diameter_mm <= TWIST_MOST_MM + SAME_MM
    )


@cache
def _sheet(kind: SheetToolKind, units: UnitSystem) -> tuple[HoleTool, ...]:
    return tuple(
        HoleTool(kind=kind, name=row.name, diameter_mm=row.diameter_mm)
        for row in sheet_tool_rows()
        if row.kind == kind and row.units == units
    )


def _thin(sheet_mm: float, material: str) -> bool:
    return sheet_mm < (THIN_STAINLESS_MM if "stainless" in material.lower() else THIN_MM)


def _groups(
    diameter_mm: float, sheet_mm: float, material: str, units: UnitSystem
) -> Iterator[tuple[HoleTool, ...]]:
    """Tools for such a hole, what a person would take first first."""
    twist = (_twist(units, fractions=True), *([_twist(units, fractions=False)] if units == "inch" else []))
    in_chuck = [tuple(t for t in group if t.diameter_mm <= CHUCK_MM + SAME_MM) for group in twist]
    thin = _thin(sheet_mm, material)
    if thin and diameter_mm > TWIST_IN_SHEET_MM:
        yield _sheet("step drill", units)
        yield _sheet("sheet punch", units)
        yield from in_chuck
        yield _sheet("hole saw", units)
        return
    yield from in_chuck
    if thin:
        yield _sheet("step drill", units)
    yield _sheet("hole saw", units)
    yield from twist


def _nearest(
    tools: Iterable[HoleTool], diameter_mm: float, least_mm: float, most_mm: float
) -> HoleTool | None:
    """The tool within the limits nearest to the diameter; of two as near, the larger."""
    fits = [t for t in tools if least_mm - SAME_MM <= t.diameter_mm <= most_mm + SAME_MM]
    return min(fits, key=lambda t: (round(abs(t.diameter_mm - diameter_mm), 6), -t.diameter_mm), default=None)


def _filed_to(diameter_mm: float, least_mm: float, most_mm: float, units: UnitSystem) -> float:
    """The roundest size within the limits, mm: the first at or over the diameter, else under it."""
    for step in map(float, ROUND_TO[units]):
        up = -(-(diameter_mm - SAME_MM) // step) * step
        for size in (up, up - step):
            if least_mm - SAME_MM <= size <= most_mm + SAME_MM:
                return size
    return diameter_mm


def choose_tools(
    diameter_mm: float,
    least_mm: float,
    most_mm: float,
    *,
    sheet_mm: float,
    material: str = "",
    units: UnitSystem = "metric",
) -> Making:
    """How a hole is made whose diameter may lie between ``least_mm`` and ``most_mm``; ``sheet_mm`` thick.

    ``units`` is the country's: DIN 338 drills, or fractions, then numbers and letters. In sheet under 3 mm
    (stainless 2 mm) a hole over 10 mm takes a step drill or a punch; over 13 mm in thicker metal a hole saw.
    What is piloted takes 3 mm or 1/8 in from 5 mm on. Raises nothing. Source: common practice, no source.
    """
    pilot = PILOT_MM[units] if diameter_mm >= PILOT_FROM_MM else 0.0
    groups = list(_groups(diameter_mm, sheet_mm, material, units))
    for group in groups:
        found = _nearest(group, diameter_mm, least_mm, most_mm)
        if found is not None:
            return Making(pilot_mm=pilot, tool=found, final_mm=found.diameter_mm, units=units)
    final = _filed_to(diameter_mm, least_mm, most_mm, units)
    every = [t for group in groups for t in group]
    below = [t for t in every if t.diameter_mm < final] or every
    largest = max(below, key=lambda t: t.diameter_mm)
    return Making(pilot_mm=pilot, tool=largest, final_mm=final, units=units, filed=True)


def transfer_drill(through_mm: float, units: UnitSystem = "metric") -> HoleTool | None:
    """The largest twist drill that goes through a part's hole of ``through_mm``, to mark the panel under it.

    ``None`` for a hole no drill goes through or that is over the chuck's 13 mm. Raises nothing.
    """
    every = [t for fractions in (True, False) for t in _twist(units, fractions=fractions)]
    fits = [t for t in every if t.diameter_mm <= min(through_mm, CHUCK_MM) + SAME_MM]
    if through_mm > CHUCK_MM + 1.0:
        return None
    return max(fits, key=lambda t: t.diameter_mm, default=None)
