"""Rules about what stands off a panel: folded-up flanges against obstacles and holes in use."""

from __future__ import annotations

from collections.abc import Iterator

import shapely
from shapely.geometry.base import BaseGeometry

from generators.checks.measure import area_of
from generators.checks.panel.moves import Moves
from generators.checks.panel.parts import HOLE_UNDER_PART, OVERLAP_MM2, PART_ON_OBSTACLE
from generators.checks.panel.view import PanelView
from generators.checks.panel.zones import stands_in
from generators.checks.rule import SAME_MM, finding, mm, more
from generators.model.findings import Finding, Severity


def bodies(panel: PanelView, mend: Moves) -> Iterator[Finding]:
    """Flanges that stand in an obstacle, or over an existing hole something goes through."""
    layout = panel.layout
    if not layout.bodies:
        return
    shapes = [area_of(body.contour) for body in layout.bodies]
    yield from _in_obstacles(panel, shapes, mend)
    yield from _over_holes(panel, shapes, mend)


def _in_obstacles(panel: PanelView, shapes: list[BaseGeometry], mend: Moves) -> Iterator[Finding]:
    layout = panel.layout
    if not layout.keepouts:
        return
    tree = shapely.STRtree([r.shape for r in panel.keepouts])
    for b, k in tree.query(shapes, predicate="intersects").T.tolist():
        body, keepout = layout.bodies[b], layout.keepouts[k]
        deep = min(body.far_mm, keepout.gap_mm + keepout.depth_mm) - max(body.near_mm, keepout.gap_mm)
        if not stands_in(body, keepout):
            continue
        common = shapes[b].intersection(panel.keepouts[k].shape)
        if common.area < OVERLAP_MM2:
            continue
        low_u, low_v, high_u, high_v = common.bounds
        yield finding(
            PART_ON_OBSTACLE,
            Severity.FAIL,
            f"panel:{layout.panel} part {body.part}, {body.flange}, and {keepout.name}, {body.face} face",
            value=deep,
            found=f"{mm(deep)} of its height in the {keepout.reason}",
            limit=0.0,
            advice=mend.part(
                body.part, f"about {more(min(high_u - low_u, high_v - low_v))} off the {keepout.reason}"
            ),
            proposals=mend.part_moves(body.part),
        )


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
