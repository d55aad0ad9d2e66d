"""Tables as CSV, for people and for other programs."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence
from pathlib import Path

from generators.figures import fixed
from generators.model.plan import PanelHole, PanelLayout
from generators.sheets.hose_words import HoseLine, LinesSheet

HOLE_COLUMNS = (
    "panel",
    "hole",
    "u_mm",
    "v_mm",
    "final_dia_mm",
    "pilot_dia_mm",
    "purpose",
    "face",
    "tool",
    "least_mm",
    "most_mm",
    "tolerance",
    "when",
    "after_step",
    "how",
    "through",
    "locates",
    "there_dia_mm",
    "pilot_from",
)
"""``when`` and ``how`` in the words of ``model/words``; ``through`` and ``locates`` name parts."""
HOSE_COLUMNS = (
    "hose",
    "kind",
    "service",
    "from",
    "to",
    "dash",
    "outside_mm",
    "bend_radius_mm",
    "path_mm",
    "length_mm",
    "cut_mm",
    "slack_percent",
    "sag_mm",
    "lowest_mm",
    "clamps",
    "release",
)


def number(value: float) -> str:
    """Up to four decimals of a millimetre, no trailing zeros."""
    text = fixed(value, 4).rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def hole_rows(layouts: Iterable[PanelLayout]) -> list[tuple[str, ...]]:
    """One row per hole of the panels, in the order of ``HOLE_COLUMNS``; of what is there already as well."""
    return [_row(layout, hole) for layout in layouts for hole in layout.holes]


def _row(layout: PanelLayout, hole: PanelHole) -> tuple[str, ...]:
    return (
        layout.panel,
        hole.number,
        number(hole.u_mm),
        number(hole.v_mm),
        number(hole.final_dia_mm),
        number(hole.pilot_dia_mm),
        hole.purpose,
        hole.drill_face if hole.work.when in ("now", "last", "open") else "",
        hole.tool,
        number(hole.least_mm) if hole.most_mm else "",
        number(hole.most_mm) if hole.most_mm else "",
        hole.tolerance,
        hole.work.when,
        str(hole.work.step or ""),
        hole.work.how,
        hole.work.part,
        " ".join(hole.work.locates),
        number(hole.there_mm) if hole.there_mm else "",
        hole.work.pilot_from or "",
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
    path.write_text(csv_text(HOLE_COLUMNS, hole_rows(layouts)), encoding="utf-8", newline="\n")


def hose_rows(lines: LinesSheet) -> list[tuple[str, ...]]:
    """One row per hose, in the order of ``HOSE_COLUMNS``; no length where it is to be measured."""
    return [_hose_row(lines, hose) for hose in lines.hoses]


def _hose_row(lines: LinesSheet, hose: HoseLine) -> tuple[str, ...]:
    spec, length = hose.spec, hose.length
    loose = length is None or not hose.released
    placed = lines.order.place(f"hose:{spec.name}") is not None
    if not placed:
        release = "no order of work"
    elif loose:
        release = "measure on the vehicle"
    else:
        release = "made up" if spec.made_up_mm is not None else "when both ends are fixed"
    return (
        spec.name,
        spec.kind,
        spec.service,
        spec.from_,
        spec.to,
        str(spec.dash),
        number(hose.outside_mm),
        number(hose.radius_mm),
        "" if length is None else number(length.path_mm),
        "" if length is None or loose else number(length.made_up_mm),
        "" if length is None or loose else number(length.cut_mm),
        "" if length is None or loose else f"{100 * length.slack_ratio:.1f}",
        "" if loose or hose.sag is None else f"{max(s.below_mm for s in hose.sag.spans):.0f}",
        "" if loose or hose.sag is None else f"{hose.sag.lowest[2]:.0f}",
        " ".join(spec.clamps),
        release,
    )


def write_hoses_csv(lines: LinesSheet, path: Path) -> None:
    """Write ``hoses.csv``."""
    path.write_text(csv_text(HOSE_COLUMNS, hose_rows(lines)), encoding="utf-8", newline="\n")
