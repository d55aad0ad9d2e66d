"""Tables as CSV, for people and for other programs."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence
from pathlib import Path

from generators.model.plan import PanelHole, PanelLayout

HOLE_COLUMNS = ("panel", "hole", "u_mm", "v_mm", "final_dia_mm", "pilot_dia_mm", "purpose", "face")
TO_MAKE = ("drill", "reuse")


def number(value: float) -> str:
    """Up to four decimals of a millimetre, no trailing zeros."""
    text = f"{value:.4f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def hole_rows(layouts: Iterable[PanelLayout]) -> list[tuple[str, ...]]:
    """One row per hole to make, in the order of ``HOLE_COLUMNS``."""
    return [_row(layout, hole) for layout in layouts for hole in layout.holes if hole.status in TO_MAKE]


def _row(layout: PanelLayout, hole: PanelHole) -> tuple[str, ...]:
    return (
        layout.panel,
        hole.number,
        number(hole.u_mm),
        number(hole.v_mm),
        number(hole.final_dia_mm),
        number(hole.pilot_dia_mm),
        hole.purpose,
        hole.drill_face,
    )


def csv_text(columns: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    """CSV with a header row, commas and plain line ends."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(columns)
    writer.writerows(rows)
    return out.getvalue()


def write_holes_csv(layouts: Sequence[PanelLayout], path: Path) -> None:
    """Write ``holes.csv``."""
    path.write_text(csv_text(HOLE_COLUMNS, hole_rows(layouts)), encoding="utf-8")
