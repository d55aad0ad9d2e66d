"""The report: what was asked, what the rules say, what gets made from which sheet."""

from __future__ import annotations

import math
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from reportlab.platypus import PageBreak

from generators.geometry.contours import bounds
from generators.model.findings import Finding
from generators.model.plan import PanelLayout, PartPlan
from generators.sheetmetal.folding import bend_allowance, flat_pattern
from generators.sheetmetal.volume import cut_length, folded_volume
from generators.sheets.document import (
    TITLE,
    body_width,
    boxed,
    gap,
    heading,
    paragraph,
    table,
    together,
    write_document,
)
from generators.sheets.panel_view import PanelView
from generators.sheets.pedal_pages import pedal_story
from generators.sheets.pedal_words import PedalSheet
from generators.standards import material
from generators.units import format_length

SHARES = (0.16, 0.08, 0.22, 0.13, 0.41)


def verdict(findings: Sequence[Finding]) -> str:
    """One sentence on whether the files may be used."""
    fails = [f for f in findings if f.blocks]
    waived = [f for f in findings if f.waived]
    warns = sum(1 for f in findings if f.severity.value == "warn")
    if fails:
        return f"NOT RELEASED: {len(fails)} rule(s) failed."
    if waived:
        return f"RELEASED WITH {len(waived)} WAIVED RULE(S); every sheet is marked. {warns} warning(s)."
    return f"Released: no rule failed. {warns} warning(s)."


def mass_kg(plan: PartPlan) -> float:
    """Mass of one part, kg."""
    return folded_volume(plan) * material(plan.material).density_kg_m3 * 1e-9


def _finding_story(findings: Sequence[Finding], width: float) -> list[Any]:
    if not findings:
        return [paragraph("No rule has anything to say.")]
    rows = []
    for f in findings:
        advice = f"{f.advice} Source: {f.source}."
        if f.waived:
            advice = f"WAIVED: {f.waived}. {advice}"
        rows.append((f.code, f.severity.value, f.where, f"{f.value}; limit {f.limit}", advice))
    shares = [width * share for share in SHARES]
    return [table(("rule", "result", "where", "found", "what to do"), rows, shares)]


def _part_story(plan: PartPlan, width: float) -> list[Any]:
    flat = flat_pattern(plan)
    u0, v0, u1, v1 = bounds(flat.contour)
    rows = [
        ("family", plan.family.replace("_", " ")),
        ("sheet", f"{plan.material}, {format_length(plan.thickness_mm)}"),
        ("blank", f"{format_length(u1 - u0)} by {format_length(v1 - v0)}"),
        ("cut length and pierces", f"{cut_length(plan):.0f} mm, {1 + len(flat.holes) + len(flat.slots)}"),
        ("mass", f"{mass_kg(plan):.3f} kg each, {plan.quantity} to make"),
    ]
    for bend in plan.bends:
        rows.append(
            (
                f"bend {bend.name}",
                f"{math.degrees(bend.angle_rad):g} deg {bend.direction}, inside radius "
                f"{bend.inside_radius_mm:g} mm, K {bend.k_factor:.3f} ({bend.k_source}), "
                f"allowance {bend_allowance(bend, plan.thickness_mm):.2f} mm",
            )
        )
    return [
        together(
            [
                *heading(f"Part: {plan.title} ({plan.name})"),
                table(("", ""), rows, (width * 0.25, width * 0.75)),
            ]
        )
    ]


def _panel_story(layout: PanelLayout, width: float) -> list[Any]:
    rows = [
        (
            h.number,
            h.purpose,
            h.status if h.status != "datum" else "existing",
            format_length(h.final_dia_mm),
            h.source.replace("_", " "),
            h.position_note,
        )
        for h in layout.holes
    ]
    shares = (0.06, 0.24, 0.09, 0.24, 0.14, 0.23)
    return [
        together(
            [
                *heading(f"Panel: {layout.title}"),
                paragraph(f"{layout.material}, {format_length(layout.thickness_mm)} thick."),
                PanelView(layout, width_mm=width),
            ]
        ),
        table(
            ("hole", "for", "", "diameter", "from", "measured"),
            rows,
            [width * share for share in shares],
        ),
    ]


def write_report(
    path: Path,
    *,
    title: str,
    note: str,
    revision: str,
    findings: Sequence[Finding],
    plans: Sequence[PartPlan],
    layouts: Sequence[PanelLayout],
    paper: str,
    pedals: Sequence[PedalSheet] = (),
    watermark: str = "",
) -> None:
    """Write ``report.pdf``."""
    width = body_width(paper)
    story: list[Any] = [paragraph(title, TITLE)]
    if note:
        story.append(paragraph(note))
    story += [gap(2), boxed([verdict(findings)], width), gap(2)]
    story += heading("What the rules say")
    story.append(
        paragraph("`pedalplate explain RULE` prints the meaning, the formula and the source of each.")
    )
    story += _finding_story(findings, width)
    for pedal in pedals:
        story += pedal_story(pedal, findings, width, paper)
    if pedals and (plans or layouts):
        story.append(PageBreak())
    for plan in plans:
        story += _part_story(plan, width)
    for layout in layouts:
        story += _panel_story(layout, width)
    write_document(
        path,
        story,
        title=f"{title}: report",
        subject=title,
        revision=revision,
        paper=paper,
        watermark=watermark,
    )
