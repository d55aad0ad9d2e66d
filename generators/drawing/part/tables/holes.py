"""The tables of holes and pegs."""

from __future__ import annotations

import math
from collections.abc import Sequence

from generators.drawing.paper.dimensions import number
from generators.drawing.part.heights import stacked_heights
from generators.drawing.part.tables.bolt_circles import bolt_circles
from generators.drawing.part.tables.callouts import deviations, takes
from generators.drawing.part.tables.datums import Datums
from generators.drawing.part.tables.openings import Opening
from generators.drawing.part.tables.table import Table
from generators.figures import fixed
from generators.model.joints.hole_finish import called_out
from generators.model.plan import Hole, PartPlan, Slot
from generators.units import INCH_MM, UnitSystem


def opening_size(item: Hole | Slot) -> tuple[str, str]:
    """Diameter, or width × overall length of a slot, in mm and in inches."""
    if isinstance(item, Hole):
        return fixed(item.diameter_mm, 2), fixed(item.diameter_mm / INCH_MM, 3)
    length = item.width_mm + item.travel_mm
    return (
        f"{fixed(item.width_mm, 2)} × {fixed(length, 2)}",
        f"{fixed(item.width_mm / INCH_MM, 3)} × {fixed(length / INCH_MM, 3)}",
    )


def _turned(item: Hole | Slot) -> str:
    """How far a slot's length is turned from X, counter-clockwise, under 180°."""
    if isinstance(item, Hole):
        return "–"
    degrees = round(math.degrees(item.angle_rad) % 180.0, 2) % 180.0
    return f"{number(degrees)}°"


def hole_table(
    plan: PartPlan, openings: Sequence[Opening], datums: Datums, units: UnitSystem = "metric"
) -> Table | None:
    """Number, size (``units`` first), place, purpose and fitting of every opening; ``None`` without any."""
    if not openings:
        return None
    folded = bool(plan.bends)
    slots = any(isinstance(o.item, Slot) for o in openings)
    taken = any(takes(o.item) for o in openings)
    rows = []
    for o in openings:
        sizes = opening_size(o.item)
        row = [
            o.number,
            *(sizes if units == "metric" else sizes[::-1]),
            fixed(o.item.u_mm - datums.u_mm, 2),
            fixed(o.item.v_mm - datums.v_mm, 2),
        ]
        if folded:
            row.append("–" if o.height_mm is None else fixed(o.height_mm, 2))
        if slots:
            row.append(_turned(o.item))
        row.append(deviations(o.item))
        rows.append(
            (*(t.replace("-0.00", "0.00") for t in row), o.item.purpose, *([takes(o.item)] if taken else []))
        )
    notes = []
    if folded and any(o.height_mm is not None for o in openings):
        notes.append(
            f"H: centre above the {plan.flanges[0].name.replace('_', ' ')}'s lower side once bent, on the "
            "flange's outer side."
        )
    stacked = list(stacked_heights(plan, openings))
    notes += stacked
    if any(o.item.tolerance is not None for o in openings):
        notes.append("Tolerance: of a diameter, or of a slot's width; – as the title block says.")
    if slots:
        notes.append("Slots: width × overall length, X and Y of the middle; turned so far left from X.")
    if stacked:
        # a line more may cost a view its scale or the drawing a sheet: these run on
        notes = [" ".join(notes)]
    notes += called_out((o.number, o.item.finish) for o in openings if isinstance(o.item, Hole))
    notes += [circle.words for circle in bolt_circles(openings, datums)]
    if any(o.marked for o in openings):
        notes.append("* Centre mark only on the blank: smaller than the cutting process makes. Drill.")
    height = ("H mm",) if folded else ()
    turned = ("turned",) if slots else ()
    diameter = ("Ø mm", "Ø in") if units == "metric" else ("Ø in", "Ø mm")
    return Table(
        name="holes",
        title="HOLES",
        heads=(
            "No.",
            *diameter,
            "X mm",
            "Y mm",
            *height,
            *turned,
            "tolerance",
            "for",
            *(("takes",) if taken else ()),
        ),
        rows=tuple(rows),
        left=(False,) * (6 + len(height) + len(turned)) + (True, *((True,) if taken else ())),
        notes=tuple(notes),
    )


def peg_table(plan: PartPlan, datums: Datums) -> Table | None:
    """Number, size, place and hole of every peg of the root flange; ``None`` without any."""
    pegs = plan.flanges[0].pegs
    if not pegs:
        return None
    rows = [
        (
            f"P{i}",
            fixed(peg.diameter_mm, 2),
            fixed(peg.diameter_mm / INCH_MM, 3),
            fixed(peg.u_mm - datums.u_mm, 2),
            fixed(peg.v_mm - datums.v_mm, 2),
            fixed(peg.height_mm, 2),
            f"{fixed(peg.chamfer_mm, 2)} × 45°",
            fixed(peg.hole_mm, 2),
            peg.purpose,
        )
        for i, peg in enumerate(pegs, 1)
    ]
    return Table(
        name="pegs",
        title="PEGS, on the far side",
        heads=(
            "No.",
            "Ø mm",
            "Ø in",
            "X mm",
            "Y mm",
            "height mm",
            "tip",
            "hole Ø mm",
            "drops into",
        ),
        rows=tuple(rows),
        left=(False,) * 8 + (True,),
    )
