"""Pages of the report on stiffness: how far each bracket gives, where it is stressed, what would help."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from reportlab.platypus import PageBreak

from generators.figures import fixed
from generators.sheets.document import body_height, boxed, gap, heading, paragraph, table
from generators.sheets.stiffness_view import ShapePicture, StressPicture
from generators.strength.result import CAUTIONS, BracketResult, CaseResult

CASE_SHARES = (0.3, 0.1, 0.11, 0.17, 0.1, 0.09, 0.13)
CHANGE_SHARES = (0.36, 0.13, 0.13, 0.12, 0.14, 0.12)


def stiffness_words(result: BracketResult) -> str:
    """What the report must say of a part, letter by letter."""
    lead = leading(result)
    return (
        f"{lead.what}: {lead.moved_mm:.2f} mm at the {'pad' if lead.pedal else 'hole'}, "
        f"factor {min(c.factor for c in result.cases):.2f} on yield at worst"
    )


def leading(result: BracketResult) -> CaseResult:
    """The case a part's stiffness is judged by: everyday effort, else the first."""
    return next((c for c in result.cases if c.kind == "normal"), result.cases[0])


def drawn_cases(result: BracketResult) -> tuple[int, int]:
    """Which case's movement is drawn, and which case's stress: the leading one, the one nearest yield."""
    worst = min(range(len(result.cases)), key=lambda i: result.cases[i].factor)
    return result.cases.index(leading(result)), worst


def stiffness_story(results: Sequence[BracketResult], width: float, paper: str) -> list[Any]:
    """Two pages and more for each part; each begins with the cautions."""
    story: list[Any] = []
    for result in results:
        story += [PageBreak(), *_numbers(result, width)]
        if result.surface is not None:
            story += _pictures(result, width, body_height(paper))
    return story


def _head(result: BracketResult, what: str, width: float) -> list[Any]:
    return [*heading(f"{what}: {result.title} ({result.part})"), boxed(CAUTIONS, width), gap(2)]


def _numbers(result: BracketResult, width: float) -> list[Any]:
    story = _head(result, "Stiffness", width)
    story.append(paragraph(f"{stiffness_words(result)}."))
    story.append(
        paragraph(
            f"{result.material}, {result.thickness_mm:g} mm; E {result.e_mpa / 1000:g} GPa, Poisson's ratio "
            f"{result.poisson:g}, yield {result.yield_mpa:g} MPa ({result.trust}; {result.source}). "
            f"Held by {result.held}."
        )
    )
    sizes = ", then ".join(f"{s.elements} tetrahedra with {s.unknowns} unknowns" for s in result.steps)
    story.append(
        paragraph(
            f"Linear elasticity, quadratic displacements, mesh refined where stress is roughest: {sizes}. "
            f"The last mesh changed the movement by {100 * result.change:.1f} % at most."
        )
    )
    rows = [
        (
            c.what,
            f"{c.moved_mm:.2f} mm",
            f"{100 * c.error:.1f} %",
            f"{fixed(c.from_pivot_mm, 2)} + {fixed(c.from_master_mm, 2)} mm"
            if c.pedal and c.kind != "side"
            else "",
            f"{c.peak_mpa:.0f} MPa + {c.more_words}",
            f"{c.factor:.2f}",
            f"{c.lost_mm:.2f} mm" if c.lost_mm is not None and c.kind == "normal" else "",
        )
        for c in result.cases
    ]
    columns = ("case", "moves", "error", "by pivot + master", "peak", "factor", "release lost")
    story.append(table(columns, rows, [width * s for s in CASE_SHARES]))
    sources = dict.fromkeys(f"{c.kind}, {c.pedal or 'hole'}: {c.source}" for c in result.cases)
    story += [gap(1), paragraph("Forces. " + "; ".join(sources) + ".")]
    story.append(
        paragraph(
            "A pad's movement is that along the foot's force with the piston held in its barrel; release "
            "lost is at the bearing, at the pedal's own stop. The peak is the largest von Mises stress away "
            "from held bolts, the heads of the master's bolts and sharp inner corners; the factor is yield "
            "over peak. What follows the + is how far finer meshes may still raise it (Richardson, Roache's "
            "factor of safety)."
        )
    )
    if result.gauges:
        story += _gauges(result, width)
    if result.changes:
        story += _changes(result, width)
    return story


def _gauges(result: BracketResult, width: float) -> list[Any]:
    rows = [
        (f"{g.thickness_mm:g} mm", f"{g.moved_mm:.2f} mm", f"{g.factor:.2f}", g.words) for g in result.gauges
    ]
    return [
        *heading(f"Gauge: the thinnest sheet on the rack under {result.limit_mm:g} mm that does not yield"),
        table(("sheet", "moves", "factor on yield", ""), rows, [width * s for s in (0.2, 0.2, 0.2, 0.4)]),
    ]


def _changes(result: BracketResult, width: float) -> list[Any]:
    rows = [
        (
            c.text,
            f"{c.moved_mm:.2f} mm",
            f"{fixed(c.saved_mm, 3)} mm",
            f"{c.added_g:.0f} g",
            fixed(c.per_gram * 1000, 3) if c.added_g > 0 else "free",
            f"{c.factor:.2f}",
        )
        for c in result.changes
    ]
    columns = ("change", "moves", "saves", "adds", "mm per kg", "factor")
    return [
        *heading("What would make it stiffer, each computed again, the most mm per kg first"),
        table(columns, rows, [width * s for s in CHANGE_SHARES]),
    ]


def _pictures(result: BracketResult, width: float, height: float) -> list[Any]:
    if result.surface is None:
        return []
    lead, worst = drawn_cases(result)
    tall = (height - 58) / 2
    shape, stress = result.cases[lead], result.cases[worst]
    return [
        PageBreak(),
        *_head(result, "Shape and stress", width),
        paragraph(f"Shape under {shape.what}."),
        ShapePicture(result.surface, lead, width, tall),
        paragraph(f"Stress under {stress.what}."),
        StressPicture(result.surface, worst, stress.peak_at, stress.peak_mpa, width, tall),
    ]
