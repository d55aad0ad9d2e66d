"""Where on its panel a component may sit for the made-up hose that decides its place."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from functools import partial
from typing import Any, Protocol, TypeAlias

import numpy as np
import shapely
from shapely.affinity import translate
from shapely.geometry import MultiPoint, Polygon
from shapely.geometry.base import BaseGeometry

from generators.geometry.contours import polygon, polyline
from generators.geometry.frames import Matrix, apply, panel_frame
from generators.layout.mounting import placement
from generators.layout.spots import Sheets
from generators.model.folds import ReachArea
from generators.model.hose_path import HoseRun, Panel3, Port3
from generators.model.limits import Limits
from generators.model.plan import Footprint, PanelLayout
from generators.model.words import Face
from generators.routing.lengths import path_limits
from generators.routing.reach import reach_region
from generators.routing.regions import Bound, Seat, ending_at, rings
from generators.solve.hoses.lines import HoseAnswer, LinesAnswer
from generators.solve.hoses.order import Decision
from generators.solve.job import Prepared

OUTLINE_MM = 0.5
STARTING = "from"
TOLERANCE_MM = 2.0
SMALLEST_MM2 = 400.0
"""Islands nobody would hold a part to by hand are not drawn: ours."""

Rings: TypeAlias = tuple[tuple[tuple[float, float], ...], ...]


class Ask(Protocol):
    """Answers a question, from what is known where it was asked before; ``read`` reads the answer."""

    def __call__(self, question: partial[Any], read: Callable[[Any], Rings]) -> Rings:
        """What ``read`` makes of the answer."""


def computed(question: partial[Any], read: Callable[[Any], Rings]) -> Rings:
    """The answer worked out anew."""
    return read(question())


def with_reach(prepared: Prepared, ask: Ask = computed) -> Prepared:
    """The job with the regions in which what a hose decides may sit: for what is drawn, as it takes a second.

    Raises nothing.
    """
    lines, limits = prepared.lines, prepared.file.job.limits
    areas: dict[str, list[ReachArea]] = {}
    for decision in lines.decided:
        area = _area(decision, lines, limits, ask)
        if area is not None:
            areas.setdefault(decision.panel, []).append(area)
    if not areas:
        return prepared
    layouts = tuple(replace(x, reaches=tuple(areas.get(x.panel, ()))) for x in prepared.layouts)
    return replace(prepared, layouts=layouts)


def _area(decision: Decision, lines: LinesAnswer, limits: Limits, ask: Ask) -> ReachArea | None:
    hose = next(h for h in lines.hoses if h.spec.name == decision.hose)
    panel = next((p for p in lines.panels if p.name == decision.panel), None)
    if panel is None or hose.spec.made_up_mm is None:
        return None
    layout = lines.sheets.layouts[decision.panel]
    place = _marked(decision, lines.sheets, layout)
    face: Face = next((f.face for f in layout.footprints if f.part == decision.part), "engine")
    what = decision.part or decision.component
    return ReachArea(
        name=what,
        face=face,
        rings=tuple(
            polygon(ring) for ring in ask(_question(decision, hose, lines, panel, place, limits), read_rings)
        ),
        at=place,
        words=f"{_words(what)}: its middle in this band, so that the {_words(hose.spec.name)} has its slack",
    )


def read_rings(value: Any) -> Rings:
    """Rings from plain data. Raises ``TypeError`` or ``ValueError`` for anything else."""
    return tuple(tuple((float(u), float(v)) for u, v in ring) for ring in value)


def _words(name: str) -> str:
    return name.replace("_", " ")


def _marked(decision: Decision, sheets: Sheets, layout: PanelLayout) -> tuple[float, float]:
    """The point of the panel that stands for the place: the part's origin, or the hole."""
    if decision.part:
        part = sheets.parts[decision.part]
        if part.mount is not None:
            place = placement(sheets.panels[decision.panel], part.mount)
            return place.du, place.dv
    hole = next(h for h in layout.holes if h.number in decision.holes)
    return hole.u_mm, hole.v_mm


def _question(
    decision: Decision,
    hose: HoseAnswer,
    lines: LinesAnswer,
    panel: Panel3,
    place: tuple[float, float],
    limits: Limits,
) -> partial[Rings]:
    spec = hose.spec
    # the solver moves the end of a run; a hose is as long either way round
    run = hose.run
    if spec.decides == STARTING:
        run = replace(run, start=run.end, end=run.start, via=tuple(reversed(run.via)))
    given = lines.sheets.panels[panel.name]
    pose = panel_frame(panel.origin, given.tilt_rad, given.turn_rad)
    return partial(
        allowed_rings,
        panel=panel,
        run=run,
        seat=_seat(panel, pose, run.end, place),
        path_mm=path_limits(spec.made_up_mm or 0.0),
        bounds=tuple(_bounds(decision, lines.sheets.layouts[panel.name], place, limits)),
    )


def allowed_rings(
    *, panel: Panel3, run: HoseRun, seat: Seat, path_mm: tuple[float, float], bounds: Sequence[Bound]
) -> Rings:
    """The rings, outer and inner ones alike, of where the end of a run may sit."""
    region = reach_region(panel, ending_at(run, seat), path_mm, bounds, tolerance_mm=TOLERANCE_MM)
    return tuple(
        tuple((float(u), float(v)) for u, v in ring)
        for area in region.allowed
        if Polygon(area.outer).area >= SMALLEST_MM2
        for ring in (area.outer, *area.holes)
        if len(ring) > 2
    )


def _seat(panel: Panel3, pose: Matrix, port: Port3, place: tuple[float, float]) -> Seat:
    back: Matrix = np.asarray(np.linalg.inv(pose), dtype=np.float64)
    u, v, w = (float(c) for c in apply(back, np.array([port.position]))[0])
    a, b, c = (float(d) for d in back[:3, :3] @ np.array(port.direction))
    return Seat(panel=panel, port=port, offset_mm=(u - place[0], v - place[1], w), direction=(a, b, c))


def _bounds(
    decision: Decision, layout: PanelLayout, place: tuple[float, float], limits: Limits
) -> Iterator[Bound]:
    """Places at which the part's own outline stays on the panel and off what is in the way."""
    mine = [f for f in layout.footprints if f.part == decision.part]
    outline = Polygon(polyline(layout.contour, OUTLINE_MM))
    if not mine:
        edge = limits.hole_edge_ratio * max(
            h.final_dia_mm for h in layout.holes if h.number in decision.holes
        )
        yield from _kept(outline.buffer(-edge), "edge of the panel")
        return
    face = mine[0].face
    outlines = [[(u - place[0], v - place[1]) for u, v in polyline(one.contour, OUTLINE_MM)] for one in mine]
    corners = [corner for outline_corners in outlines for corner in outline_corners]
    inside = shapely.intersection_all([translate(outline, -u, -v) for u, v in corners])
    yield from _kept(inside, "edge of the panel")
    for own in outlines:
        for keepout in layout.keepouts:
            if keepout.face == face and not keepout.movable:
                yield from _out_of(Polygon(polyline(keepout.contour, OUTLINE_MM)), own, keepout.name)
        for other in layout.footprints:
            if other.part != decision.part and other.face == face:
                yield from _out_of(_shape(other), own, other.part)


def _shape(footprint: Footprint) -> Polygon:
    return Polygon(polyline(footprint.contour, OUTLINE_MM))


def _kept(shape: BaseGeometry, name: str) -> Iterator[Bound]:
    for ring in rings(shape):
        yield Bound(name=name, ring=ring)


def _out_of(shape: Polygon, corners: Sequence[tuple[float, float]], name: str) -> Iterator[Bound]:
    """Places at which the outline would meet a body, taken convex: too careful rather than too bold."""
    hull = shapely.get_coordinates(shape.convex_hull).tolist()
    sums = MultiPoint([(x - u, y - v) for x, y in hull for u, v in corners]).convex_hull
    for ring in rings(sums):
        yield Bound(name=name, ring=ring, inside=False)
