"""Every hole of the job, panel by panel: when and how, with what, how wide, and the step that makes it."""

from __future__ import annotations

from collections.abc import Sequence

from generators.figures import format_limits, format_opening
from generators.model.hole_work import work_words
from generators.model.install import Guide, StepTable, closed_at, drilled_at
from generators.model.plan import PanelHole, PanelLayout
from generators.sheets.phone.elements import Element, el
from generators.sheets.phone.steps import NONE, hole_id, table

STEP = "step"
HEAD = ("hole", STEP, "for", "when and how", "with", "final", "may be")


def hole_tables(layouts: Sequence[PanelLayout], guide: Guide) -> list[Element]:
    """A table for each panel that has holes; the number of a step leads to it."""
    at = drilled_at(guide)
    out = []
    for layout in layouts:
        if not layout.holes:
            continue
        refs = [(layout.panel, hole.number) for hole in layout.holes]
        steps = [
            at.get(ref) or closed_at(guide, ref, hole.work)
            for ref, hole in zip(refs, layout.holes, strict=True)
        ]
        rows = tuple(_row(layout, hole, step) for hole, step in zip(layout.holes, steps, strict=True))
        drawn = table(StepTable(head=HEAD, rows=rows, shares=(1.0,) * len(HEAD)))
        for row, ref in zip(list(drawn.iter("tr"))[1:], refs, strict=True):
            row.set("id", hole_id(ref))
            row.set("tabindex", "-1")
        for cell in drawn.iter("td"):
            if cell.get("data-head") == STEP and cell.text != NONE:
                cell.append(el("a", cell.text, href=f"#step-{cell.text}"))
                cell.text = None
        out += [el("h3", layout.title), drawn]
    return out


def _row(layout: PanelLayout, hole: PanelHole, step: int | None) -> tuple[str, ...]:
    return (
        hole.number,
        NONE if step is None else str(step),
        hole.purpose or NONE,
        work_words(hole, layout.units),
        hole.tool or NONE,
        format_opening(hole.final_dia_mm, layout.units),
        format_limits(hole.least_mm, hole.most_mm, layout.units) or NONE,
    )
