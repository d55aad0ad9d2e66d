"""Sheets of labels as the shop buys them, in millimetres."""

from __future__ import annotations

from dataclasses import dataclass

from generators.model.spec import fields as key


@dataclass(frozen=True, slots=True, kw_only=True)
class LabelFormat:
    """One sheet of labels: rows and columns of equal ones, counted from the upper left."""

    sheet: tuple[float, float] = key.point("Width and height of the sheet as it is printed", hi=1_000.0)
    columns: int = key.integer("Labels side by side", lo=1, hi=20)
    rows: int = key.integer("Labels one below the other", lo=1, hi=60)
    width_mm: float = key.length("Width of one label", lo=15.0, hi=500.0)
    height_mm: float = key.length("Height of one label", lo=8.0, hi=500.0)
    left_mm: float = key.length("Sheet's left edge to the first label", hi=200.0)
    top_mm: float = key.length("Sheet's upper edge to the first label", hi=200.0)
    across_mm: float | None = key.length(
        "Pitch from label to label across; without it they touch", lo=15.0, hi=500.0, default=None
    )
    down_mm: float | None = key.length(
        "Pitch from row to row; without it they touch", lo=8.0, hi=500.0, default=None
    )
    outlines: bool = key.flag("Outlines are printed, to cut plain paper along", default=False)

    @property
    def pitch_mm(self) -> tuple[float, float]:
        """From label to label across and down, mm."""
        return self.across_mm or self.width_mm, self.down_mm or self.height_mm

    @property
    def count(self) -> int:
        """Labels on a sheet."""
        return self.columns * self.rows


@dataclass(frozen=True, slots=True, kw_only=True)
class Labels:
    """Which sheets the labels of a kit are printed on."""

    bags: LabelFormat | None = key.table(
        "Of bags; without it plain paper of the size asked for, with outlines to cut along",
        LabelFormat,
        default=None,
    )
    hoses: LabelFormat | None = key.table(
        "Of the ends of hoses; without it as for bags", LabelFormat, default=None
    )
