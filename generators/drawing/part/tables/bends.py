"""The table of bends: what a press brake needs, and where each line is scribed."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from generators.drawing.paper.dimensions import number
from generators.drawing.part.tables.corners import Corner
from generators.drawing.part.tables.datums import Datums
from generators.drawing.part.tables.scribing import scribed
from generators.drawing.part.tables.table import Table
from generators.drawing.part.tables.welds import BETWEEN, never_past_text
from generators.figures import fixed
from generators.model.plan import PartPlan
from generators.sheetmetal.allowance import deduction, din_deduction, setback, tangent_setback
from generators.sheetmetal.folding import FlatPattern


def bend_table(plan: PartPlan, flat: FlatPattern, datums: Datums, corners: Sequence[Corner]) -> Table | None:
    """All a press brake needs for every bend; ``None`` without any."""
    if not flat.bends:
        return None
    rows = []
    for strip in flat.bends:
        b = strip.bend
        takes = "–"
        if b.angle_rad < math.pi:
            takes = f"{deduction(b.angle_rad, b.inside_radius_mm, plan.thickness_mm, b.k_factor):.2f}"
        rows.append(
            (
                b.name.replace("_", " "),
                b.direction.upper(),
                f"{number(math.degrees(b.angle_rad))}°",
                f"{number(180 - math.degrees(b.angle_rad))}°",
                fixed(b.inside_radius_mm, 2),
                f"{b.k_factor:.3f}",
                b.k_source,
                fixed(strip.allowance_mm, 2),
                takes,
                *scribed(strip, datums, corners),
            )
        )
    return Table(
        name="bends",
        title="BENDS",
        heads=(
            "bend",
            "to",
            "bent by",
            "between",
            "R inside",
            "K",
            "K from",
            "allowance",
            "deduction",
            "line at",
            "runs",
        ),
        rows=tuple(rows),
        left=(True, True, False, False, False, False, True, False, False, True, True),
        notes=(
            f"mm. UP: toward you in the flat view. Between: angle {BETWEEN} of the two flanges. Line: its "
            "middle, so far inside the side between two corners, or so far along it from the first, square "
            "to it, and a second point along another. Order, tools, stops: setup sheet.",
            *_one_sided(plan),
            *_past_square(plan),
        ),
    )


def _one_sided(plan: PartPlan) -> Iterator[str]:
    """Bends with limits of their own, alike ones in one line."""
    said: dict[str, list[str]] = {}
    for bend in plan.bends:
        if words := never_past_text(plan, bend):
            said.setdefault(words, []).append(bend.name.replace("_", " "))
    yield from (f"Bend {', '.join(names)}: {words}." for words, names in said.items())


def _past_square(plan: PartPlan) -> tuple[str, ...]:
    """Both conventions for sharp bends: to where outside faces meet, and DIN 6935's to the tangent."""
    sharp = [b for b in plan.bends if math.pi / 2 + 1e-9 < b.angle_rad < math.pi]
    if not sharp:
        return ()
    said: dict[str, list[str]] = {}
    for b in sharp:
        size = (b.angle_rad, b.inside_radius_mm, plan.thickness_mm, b.k_factor)
        words = (
            f"{number(math.degrees(b.angle_rad))}°: {fixed(deduction(*size), 2)} to there, "
            f"{fixed(din_deduction(*size), 2)} by DIN 6935, with each length "
            f"{setback(*size[:3]) - tangent_setback(*size[:3]):.2f} shorter"
        )
        said.setdefault(words, []).append(b.name.replace("_", " "))
    return (
        "Past 90° lengths go to where the outside faces meet, outside the part; DIN 6935 measures to the "
        "bend's outermost tangent. The blank is the same. Deductions:",
        *(f"{', '.join(names)}, {words}." for words, names in said.items()),
    )
