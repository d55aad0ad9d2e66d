"""What lies on what: parts on a doubler stand off the panel by its thickness, and bolts reach further."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from shapely.geometry import Point, Polygon

from generators.geometry.contours import polyline, transformed
from generators.layout.mounting import PlacedPart, placement
from generators.model.plan import PanelHole, PanelLayout
from generators.model.spec.job import Job, Panel

TOUCH_MM2 = 0.05
"""Outlines that share less only touch."""

FLANGE_PER_HOLE = 1.45
"""Flange of a rivet nut over its hole: 13 mm over the 9 mm of an M6 (common practice, no source)."""

CHORD_MM = 0.1
"""How much narrower a circle drawn with straight lines may measure."""


def _shape(panel: Panel, part: PlacedPart) -> Polygon:
    assert part.mount is not None
    return Polygon(polyline(transformed(part.plan.flanges[0].contour, placement(panel, part.mount))))


def stacked(job: Job, parts: Sequence[PlacedPart]) -> tuple[PlacedPart, ...]:
    """The parts, each with its ``lift_mm``: the thickest doubler of its face that its root lies over.

    Doublers themselves lie on the panel.
    """
    panels = {p.name: p for p in job.panel}
    plates = [p for p in parts if p.plan.doubler and p.mount is not None]
    if not plates:
        return tuple(parts)
    shapes = [_shape(panels[p.mount.panel], p) for p in plates if p.mount is not None]
    out = []
    for part in parts:
        lift = 0.0
        if part.mount is not None and not part.plan.doubler:
            here = _shape(panels[part.mount.panel], part)
            for plate, shape in zip(plates, shapes, strict=True):
                same = plate.mount is not None and (plate.mount.panel, plate.mount.face) == (
                    part.mount.panel,
                    part.mount.face,
                )
                if same and here.intersection(shape).area > TOUCH_MM2:
                    lift = max(lift, plate.plan.thickness_mm)
        out.append(replace(part, lift_mm=lift))
    return tuple(out)


def reaching(panel: Panel, parts: Sequence[PlacedPart], holes: Sequence[PanelHole]) -> tuple[PanelHole, ...]:
    """The holes, what goes through them standing off by the doublers there as well, its own among them."""
    plates = [
        (p, _shape(panel, p))
        for p in parts
        if p.plan.doubler and p.mount is not None and p.mount.panel == panel.name
    ]
    out = []
    for hole in holes:
        more = {"cab": 0.0, "engine": 0.0}
        for plate, shape in plates:
            if plate.mount is not None and shape.contains(Point(hole.u_mm, hole.v_mm)):
                more[plate.mount.face] += plate.plan.thickness_mm
        out.append(
            replace(
                hole,
                reach_cab_mm=hole.reach_cab_mm + more["cab"] if hole.reach_cab_mm else 0.0,
                reach_engine_mm=hole.reach_engine_mm + more["engine"] if hole.reach_engine_mm else 0.0,
            )
        )
    return tuple(out)


def gripped(layout: PanelLayout, hole: PanelHole) -> tuple[float, tuple[str, ...]]:
    """Sheet a threaded insert grips, mm: the panel and the parts whose opening its flange bears on.

    The names are those parts'. A part with a smaller opening lies on the insert, and only the bolt goes
    through; in one that clears the flange (``FLANGE_PER_HOLE``) the insert sits on the panel.
    """
    at, metal, parts = Point(hole.u_mm, hole.v_mm), layout.thickness_mm, []
    for foot in layout.footprints:
        for contour in foot.openings:
            shape = Polygon(polyline(contour))
            if not shape.contains(at):
                continue
            wide = 2 * float(shape.exterior.distance(at))
            if hole.final_dia_mm - CHORD_MM <= wide < FLANGE_PER_HOLE * hole.final_dia_mm:
                metal += foot.thickness_mm
                parts.append(foot.part)
    return metal, tuple(parts)


def doublers_under(layout: PanelLayout, part: str, holes: Sequence[PanelHole]) -> float:
    """Thickness of the doublers that the bolts of a part go through as well, on either face, mm."""
    plates = [
        (f.thickness_mm, Polygon(polyline(f.contour)))
        for f in layout.footprints
        if f.doubler and f.part != part
    ]
    return max(
        (sum(t for t, shape in plates if shape.contains(Point(h.u_mm, h.v_mm))) for h in holes), default=0.0
    )
