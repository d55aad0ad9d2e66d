"""The rule on countersunk screws: a sheet thick enough for the head, or dimpled."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

import shapely

from generators.checks.measure import area_of
from generators.checks.rule import SAME_MM, Rule, finding, mm
from generators.model.findings import Finding, Severity
from generators.model.plan import PanelHole, PanelLayout

COUNTERSINK_DEPTH = Rule(
    code="countersink-depth",
    title="Sheet too thin for the countersink",
    meaning=(
        "A head that goes deeper than its sheet leaves a knife edge and opens the hole behind: the screw "
        "can pull through. Thinner sheet is dimpled, and so is what lies under it. The sheet is the panel, "
        "or the part that lies outermost on the side of the head."
    ),
    formula="(D head - D hole) / (2 tan(angle / 2)) <= sheet",
    source=(
        "AC 65-15A chapter 5, countersinking and dimpling, as one page quotes it; TM 9-2320-363-34-2 table "
        "4 has the least gauges of 100 degree rivets"
    ),
    trust="R2",
    mend="Dimple the sheet (dimpled = true), take a smaller screw, or put a thicker part under the head.",
)

RULES = (COUNTERSINK_DEPTH,)


def head_depth_mm(hole: PanelHole) -> float:
    """How deep a countersunk head goes below its face, mm: to where the cone is as wide as the hole."""
    return (hole.head_mm - hole.final_dia_mm) / 2 / math.tan(hole.head_angle_rad / 2)


def check_countersinks(layouts: Sequence[PanelLayout]) -> Iterator[Finding]:
    """Findings on every countersunk screw of the panels. Raises nothing."""
    for layout in layouts:
        for hole in layout.holes:
            if hole.kind == "countersunk" and not hole.dimpled:
                yield from _depth(layout, hole)


def _depth(layout: PanelLayout, hole: PanelHole) -> Iterator[Finding]:
    at = shapely.Point(hole.u_mm, hole.v_mm)
    under_head = [
        foot
        for foot in layout.footprints
        if foot.face != hole.nut_face and area_of(foot.contour).contains(at)
    ]
    top = max(under_head, key=lambda foot: foot.lift_mm, default=None)
    sheet, what = (
        (layout.thickness_mm, "the panel") if top is None else (top.thickness_mm, f"part {top.part}")
    )
    deep = head_depth_mm(hole)
    if deep > sheet + SAME_MM:
        yield finding(
            COUNTERSINK_DEPTH,
            Severity.WARN,
            f"panel:{layout.panel} hole {hole.number} ({hole.name})",
            value=deep,
            found=f"{mm(deep)} of head in {sheet:g} mm ({what})",
            limit=sheet,
            wanted=mm(sheet),
            advice=f"dimple {what} at hole {hole.number}, or take a smaller head",
        )
