"""The rule on masters that lean on a wedge: the hole their nose goes through must be wider."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from generators.checks.rule import SAME_MM, Rule, finding, more
from generators.layout.mounting import PlacedPart
from generators.model.findings import Finding, Severity
from generators.model.spec.job import Panel

WEDGE_BORE = Rule(
    code="wedge-bore",
    title="Leaning master does not pass its hole",
    meaning=(
        "A nose that leans by a wedge goes through the hole as an ellipse that wanders with the depth. Its "
        "axis crosses the middle of the hole on the panel's face, so the thicker of the panel and of what "
        "lies on that face decides."
    ),
    formula="hole >= nose / cos(wedge) + 2 max(panel, part and doublers) tan(wedge)",
    source="geometry",
    trust="C",
    mend="Make master_bore wider, the wedge smaller, or the sheets thinner.",
)

RULES = (WEDGE_BORE,)


def least_bore_mm(nose_mm: float, wedge_rad: float, deep_mm: float) -> float:
    """Least hole, mm, for a nose leaning by ``wedge_rad``, ``deep_mm`` from where its axis crosses."""
    return nose_mm / math.cos(wedge_rad) + 2 * deep_mm * math.tan(abs(wedge_rad))


def check_wedges(panels: Sequence[Panel], parts: Sequence[PlacedPart]) -> Iterator[Finding]:
    """Findings on every mounted hanger with a wedge. Raises nothing."""
    sheets = {panel.name: panel.thickness_mm for panel in panels}
    for part in parts:
        p = part.spec.parameters
        wedge = float(getattr(p, "wedge_rad", 0.0))
        if not wedge or part.mount is None:
            continue
        where = f"part:{part.spec.name} flange {part.plan.flanges[0].name}"
        if not p.master_nose_mm:
            yield finding(
                WEDGE_BORE,
                Severity.FAIL,
                where,
                found="a wedge, and no master_nose",
                wanted="the diameter of the master's nose",
                advice="measure the master's nose and give master_nose",
            )
            continue
        deep = max(sheets[part.mount.panel], part.plan.thickness_mm + part.lift_mm)
        needed = least_bore_mm(p.master_nose_mm, wedge, deep)
        if p.master_bore_mm < needed - SAME_MM:
            yield finding(
                WEDGE_BORE,
                Severity.FAIL,
                where,
                value=p.master_bore_mm,
                limit=needed,
                advice=f"make master_bore {more(needed - p.master_bore_mm)} wider",
            )
