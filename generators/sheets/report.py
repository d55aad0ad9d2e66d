"""The report: what was asked, what the rules say, what gets made from which sheet."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from pathlib import Path
from types import MappingProxyType
from typing import Any

from reportlab.platypus import PageBreak

from generators.figures import fixed, format_length, format_limits, format_opening, format_short
from generators.geometry.contours import bounds
from generators.hydraulics.pedal_sheet import PedalSheet
from generators.model.findings import Finding, Waived, unmended, usual_cure
from generators.model.hole_work import work_words
from generators.model.plan import PanelLayout, PartPlan
from generators.sheetmetal.folding import bend_allowance, flat_pattern
from generators.sheetmetal.volume import mass_kg, uncounted_words
from generators.sheets.bill import Item
from generators.sheets.bolting.bill_page import bill_story
from generators.sheets.bolting.loads_page import joint_story
from generators.sheets.document import (
    TITLE,
    body_width,
    boxed,
    gap,
    heading,
    paragraph,
    table,
    together,
    waived_story,
    write_document,
)
from generators.sheets.hose_pages import hose_story
from generators.sheets.hose_words import LinesSheet
from generators.sheets.panel_view import PanelView
from generators.sheets.pedal.pages import pedal_story
from generators.sheets.space.pages import space_story
from generators.sheets.space.sheet import SpaceSheet
from generators.sheets.stiffness_pages import stiffness_story
from generators.sheets.stock_words import STOCK_HEADS, cutting_words, stock_needs
from generators.strength.joint.uses import JointSheet
from generators.strength.result import BracketResult
from generators.units import UnitSystem

NO_LIMITS: Mapping[str, float] = MappingProxyType({})
SHARES = (0.15, 0.07, 0.2, 0.25, 0.33)


def verdict(findings: Sequence[Finding]) -> str:
    """One sentence on whether the files may be used."""
    fails = [f for f in findings if f.blocks]
    waived = {f.code for f in findings if f.waived}
    warns = sum(1 for f in findings if f.severity.value == "warn")
    if fails:
        return f"NOT RELEASED: {len({f.code for f in fails})} rule(s) failed."
    if waived:
        return f"RELEASED WITH {len(waived)} WAIVED RULE(S); every sheet is marked. {warns} warning(s)."
    return f"Released: no rule failed. {warns} warning(s)."


def _finding_story(findings: Sequence[Finding], width: float) -> list[Any]:
    if not findings:
        return [paragraph("No findings.")]
    rows = []
    for f in findings:
        advice = f"{_cure(f)} Source: {f.source}."
        if f.waived:
            advice = f"WAIVED: {f.waived}. {advice}"
        rows.append((f.code, f.severity.value, f.where, f"{f.found}; limit {f.wanted}", advice))
    shares = [width * share for share in SHARES]
    return [table(("rule", "result", "where", "found", "what to do"), rows, shares)]


def _cure(finding: Finding) -> str:
    """A change that was tried and clears the finding, as it is typed, or the usual cure."""
    mend = finding.mend
    if mend is None:
        return f"{usual_cure(finding)}."
    if not mend.holds:
        return f"{unmended(mend)}. {usual_cure(finding)}."
    return f"Change (tried: clears this): {mend.words}. {'; '.join(edit.words for edit in mend.edits)}."


def _part_story(plan: PartPlan, width: float, least_mm: float, units: UnitSystem) -> list[Any]:
    flat = flat_pattern(plan)
    u0, v0, u1, v1 = bounds(flat.contour)
    if plan.printed:
        return _printed_story(plan, width)
    rows = [
        ("kind", plan.kind.replace("_", " ")),
        ("sheet", f"{plan.material}, {format_length(plan.thickness_mm, units)}"),
        ("blank", f"{format_length(u1 - u0, units)} by {format_length(v1 - v0, units)}"),
        ("cutting and bending", cutting_words(plan, least_mm)),
        ("mass", f"{mass_kg(plan):.3f} kg each{uncounted_words(plan)}, {plan.quantity} to make"),
        ("finish", plan.finish or "none stated"),
        ("general tolerance", plan.tolerance),
    ]
    if plan.mirrored:
        rows.insert(1, ("hand", "mirrored: the opposite hand of what the kind draws"))
    for bend in plan.bends:
        rows.append(
            (
                f"bend {bend.name}",
                f"{math.degrees(bend.angle_rad):g} deg {bend.direction}, inside radius "
                f"{format_short(bend.inside_radius_mm, units, 4)}, K {bend.k_factor:.3f} ({bend.k_source}), "
                f"allowance {fixed(bend_allowance(bend, plan.thickness_mm), 2)} mm",
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


def _printed_story(plan: PartPlan, width: float) -> list[Any]:
    """What a printed part is: no blank, no cuts, no bends."""
    u0, v0, u1, v1 = bounds(plan.flanges[0].contour)
    pegs = plan.flanges[0].pegs
    tall = plan.thickness_mm + max((peg.height_mm for peg in pegs), default=0.0)
    rows = [
        ("kind", plan.kind.replace("_", " ")),
        ("printed in", plan.material),
        ("size on the bed", f"{fixed(u1 - u0, 1)} by {fixed(v1 - v0, 1)}, {fixed(tall, 1)} mm high"),
        ("bores and pegs", f"{len(plan.flanges[0].holes)} and {len(pegs)}"),
        ("mass", f"{mass_kg(plan):.3f} kg each if solid, {plan.quantity} to make"),
    ]
    return [
        together(
            [
                *heading(f"Part: {plan.title} ({plan.name})"),
                table(("", ""), rows, (width * 0.25, width * 0.75)),
            ]
        )
    ]


def _stock_story(
    plans: Sequence[PartPlan], width: float, least_mm: Mapping[str, float], units: UnitSystem
) -> list[Any]:
    """What to have on the rack: each sheet with all that is cut from it."""
    needs = stock_needs(plans, least_mm)
    if not needs:
        return []
    shares = (0.34, 0.09, 0.15, 0.14, 0.12, 0.09, 0.07)
    rows = [need.row(units) for need in needs]
    return [
        together(
            [
                *heading("Sheets"),
                table(STOCK_HEADS, rows, [width * share for share in shares]),
                paragraph(
                    "All pieces of the job. Blanks: the rectangles around them, added up; not nested, and "
                    "without the metal between them and at the sheet's edge."
                ),
            ]
        )
    ]


def _panel_story(layout: PanelLayout, width: float) -> list[Any]:
    rows = [
        (
            h.number,
            h.purpose,
            work_words(h, layout.units),
            h.tool or "–",
            format_opening(h.final_dia_mm, layout.units),
            format_limits(h.least_mm, h.most_mm, layout.units) or "–",
            h.position_note,
        )
        for h in layout.holes
    ]
    shares = (0.055, 0.16, 0.255, 0.11, 0.145, 0.11, 0.165)
    return [
        together(
            [
                *heading(f"Panel: {layout.title}"),
                paragraph(f"{layout.material}, {format_length(layout.thickness_mm, layout.units)} thick."),
                PanelView(layout, width_mm=width),
            ]
        ),
        table(
            ("hole", "for", "when and how", "with", "final", "may be", "measured"),
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
    least_mm: Mapping[str, float] = NO_LIMITS,
    lines: LinesSheet | None = None,
    items: Sequence[Item] = (),
    pedals: Sequence[PedalSheet] = (),
    stiffness: Sequence[BracketResult] = (),
    joints: Sequence[JointSheet] = (),
    space: SpaceSheet | None = None,
    waived: Sequence[Waived] = (),
    units: UnitSystem = "metric",
) -> None:
    """Write ``report.pdf`` for people who measure in ``units``.

    ``least_mm`` is the smallest hole the shop cuts, by part name.
    """
    width = body_width(paper)
    story: list[Any] = [paragraph(title, TITLE)]
    if note:
        story.append(paragraph(note))
    story += [gap(2), boxed([verdict(findings)], width), gap(2)]
    story += waived_story(waived, width)
    story += heading("Findings")
    story.append(
        paragraph("`pedalplate explain RULE` prints the meaning, the formula and the source of each.")
    )
    story += _finding_story(findings, width)
    story += joint_story(joints, width)
    for pedal in pedals:
        story += pedal_story(pedal, findings, width, paper)
    story += stiffness_story(stiffness, width, paper)
    if lines is not None and lines.hoses:
        if pedals:
            story.append(PageBreak())
        story += hose_story(lines, width)
    if pedals and (plans or layouts):
        story.append(PageBreak())
    for plan in plans:
        story += _part_story(plan, width, least_mm.get(plan.name, 0.0), units)
    story += _stock_story(plans, width, least_mm, units)
    story += bill_story(items, width)
    for layout in layouts:
        story += _panel_story(layout, width)
    if space is not None:
        story += space_story(space, width, paper)
    write_document(
        path,
        story,
        title=f"{title}: report",
        subject=title,
        revision=revision,
        paper=paper,
        waived=waived,
    )
