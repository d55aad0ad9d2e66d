"""Step drills, draw-bolt punches and hole saws: the sizes they come in. Common practice, no source."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Literal, cast

from generators.standards._table import Trust, read_table
from generators.units import UnitSystem

__all__ = ["SheetTool", "SheetToolKind", "sheet_tool_rows"]

SheetToolKind = Literal["step drill", "sheet punch", "hole saw"]


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetTool:
    """One size of a tool that makes a large hole; ``name`` is the size as sold: ``12 mm``, ``15/32 in``."""

    kind: SheetToolKind
    units: UnitSystem
    name: str
    diameter_mm: float
    edition: str
    source: str
    trust: Trust


@cache
def sheet_tool_rows() -> tuple[SheetTool, ...]:
    """Every size of every kind, in both systems, small to large. Raises nothing."""
    return tuple(
        SheetTool(
            kind=cast(SheetToolKind, row.text("kind")),
            units=cast(UnitSystem, row.text("units")),
            name=row.text("name"),
            diameter_mm=row.length_mm("diameter"),
            edition=row.text("edition"),
            source=row.text("source"),
            trust=row.trust(),
        )
        for row in read_table("sheet_tools")
    )
