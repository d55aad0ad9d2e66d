"""Rules about what stands off a panel: folded-up flanges over holes in use."""

from __future__ import annotations

from collections.abc import Iterator

import shapely
from shapely.geometry.base import BaseGeometry

from generators.checks.measure import area_of
from generators.checks.panel.moves import Moves
from generators.checks.panel.parts import HOLE_UNDER_PART
from generators.checks.panel.view import PanelView
from generators.checks.rule import SAME_MM, finding, mm, more
from generators.model.findings import Finding, Severity


def bodies(panel: PanelView, mend: Moves) -> Iterator[Finding]:
    """Flanges over an existing hole something goes through; what they stand in is found in space."""
    if panel.layout.bodies:
        yield from _over_holes(panel, [area_of(body.contour) for body in panel.layout.bodies], mend)


def _over_holes(panel: PanelView, shapes: list[BaseGeometry], mend: Moves) -> Iterator[Finding]:
    layout = panel.layout
    kept = [i for i, hole in enumerate(layout.holes) if hole.status == "datum"]
    for body, shape in zip(layout.bodies, shapes, strict=True):
        for i in kept:
            hole = layout.holes[i]
            centre = shapely.Point(hole.u_mm, hole.v_mm)
            into = hole.final_dia_mm / 2 - float(shape.distance(centre))
            if body.part in panel.sources[i] or into <= SAME_MM:
                continue
            yield finding(
                HOLE_UNDER_PART,
                Severity.WARN,
                f"panel:{layout.panel} part {body.part}, {body.flange}, over hole {panel.number(i)}",
                value=into,
                found=f"{mm(into)} over it, {mm(body.near_mm)} off the panel",
                limit=0.0,
                advice=mend.part(body.part, f"at least {more(into)} away from hole {panel.number(i)}"),
                proposals=mend.part_moves(body.part),
            )
