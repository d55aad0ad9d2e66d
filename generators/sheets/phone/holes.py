"""Every hole of the job, panel by panel: when, how, with what, how wide, its step, and distances to check."""

from __future__ import annotations

from collections.abc import Sequence

from generators.drawing.template.table import RIM
from generators.figures import format_limits, format_opening
from generators.geometry.sight import Reached
from generators.layout.distances import at_rim, checks, paper_alone
from generators.model.hole_work import table_rules, work_words
from generators.model.install import Guide, StepTable, closed_at, drilled_at
from generators.model.plan import PanelHole, PanelLayout
from generators.sheets.phone.elements import Element, el
from generators.sheets.phone.lengths import with_lengths
from generators.sheets.phone.steps import CHECKS, NONE, checks_id, hole_id, table

STEP = "step"
HEAD = ("hole", STEP, "for", "when and how", "with", "final", "may be")
CHECK_HEAD = ("from", "to", "distance")


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
        out += [el("h3", layout.title), drawn, *_checks(layout)]
    return out


def _checks(layout: PanelLayout) -> list[Element]:
    """What a steel rule must read, as under the hole table on paper: nothing where there is one hole."""
    found = checks(layout.holes, layout.wraps, Reached(layout))
    if not found:
        return []
    rows = tuple((_end(c.a), _end(c.b), format_opening(c.mm, layout.units)) for c in found)
    drawn = table(StepTable(head=CHECK_HEAD, rows=rows, shares=(1.0,) * len(CHECK_HEAD)), CHECKS)
    drawn.set("id", checks_id(layout.panel))
    drawn.set("tabindex", "-1")
    rules = table_rules([hole.work for hole in layout.holes], layout.units)
    rules = f"{rules} {paper_alone(layout.holes, found, layout.wraps)}".rstrip()
    return [el("h4", f"Check distances: {layout.title}"), el("p", with_lengths(rules)), drawn]


def _end(hole: PanelHole) -> str:
    """Where one measures from: ``rim of B``, or the number of a new hole, of its middle."""
    return f"{RIM}{hole.number}" if at_rim(hole) else hole.number


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
