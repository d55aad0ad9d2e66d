"""Every hole of the job, panel by panel: when, from which face, how wide, with what, for what."""

from __future__ import annotations

from collections.abc import Sequence

from generators.model.install import Guide, StepTable, drilled_at
from generators.model.plan import PanelHole, PanelLayout
from generators.sheets.phone.elements import Element, el
from generators.sheets.phone.steps import table
from generators.units import format_length, format_limits

HEAD = ("hole", "for", "final", "may be", "with", "when", "from")


def hole_tables(layouts: Sequence[PanelLayout], guide: Guide) -> list[Element]:
    """A table for each panel that has holes."""
    at = drilled_at(guide)
    out = []
    for layout in layouts:
        if layout.holes:
            rows = tuple(_row(layout, hole, at.get((layout.panel, hole.number))) for hole in layout.holes)
            out.append(el("h3", layout.title))
            out.append(table(StepTable(head=HEAD, rows=rows, shares=(1.0,) * len(HEAD)), "pairs"))
    return out


def _row(layout: PanelLayout, hole: PanelHole, step: int | None) -> tuple[str, ...]:
    return (
        hole.number,
        hole.purpose,
        format_length(hole.final_dia_mm, layout.units),
        format_limits(hole.least_mm, hole.most_mm, layout.units),
        hole.tool,
        f"step {step}" if step is not None else hole.status,
        f"{hole.drill_face} face" if step is not None else "",
    )
