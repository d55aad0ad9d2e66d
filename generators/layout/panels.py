"""One layout per panel: what every template, table and rule reads."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import replace

from generators.geometry.contours import (
    circle,
    counter_clockwise,
    polygon,
    rectangle,
    stadium,
    transformed,
)
from generators.layout.bodies import part_bodies
from generators.layout.folds import fold_lines
from generators.layout.mounting import PlacedPart, placement
from generators.layout.openings import letters, panel_holes
from generators.layout.stacking import reaching
from generators.model.contour import Contour
from generators.model.folds import FoldLine
from generators.model.plan import (
    DatumMark,
    Flange,
    Footprint,
    KeepOut,
    PanelHole,
    PanelLayout,
)
from generators.model.spec.job import Job, Obstacle, Panel
from generators.model.spec.load import Bead
from generators.model.spec.pattern import Pattern
from generators.sheetmetal.lying import lying, moved
from generators.units import UnitSystem

STRAIGHT_DEG = 0.05
"""Angles nearer than this to a right one are said as that."""

BEAD_DEPTH_MM = 3.0

_FROM = re.compile(r"from ([a-z0-9_]+)(?=,|$)")
"""A datum's name in the words of a place."""


def obstacle_contour(obstacle: Obstacle) -> Contour:
    """The outline of a thing on a panel, counter-clockwise, in the panel's frame, mm."""
    if obstacle.corner is not None and obstacle.size is not None:
        u, v = obstacle.corner
        return rectangle(u, v, u + obstacle.size[0], v + obstacle.size[1])
    if obstacle.centre is not None and obstacle.diameter_mm is not None:
        return circle(*obstacle.centre, obstacle.diameter_mm)
    return counter_clockwise(polygon(obstacle.outline or ()))


def _bead_contour(bead: Bead) -> Contour:
    (au, av), (bu, bv) = bead.start, bead.end
    length = math.dist(bead.start, bead.end)
    nu, nv = -(bv - av) / length * bead.width_mm / 2, (bu - au) / length * bead.width_mm / 2
    return polygon([(au - nu, av - nv), (bu - nu, bv - nv), (bu + nu, bv + nv), (au + nu, av + nv)])


def keepouts(panel: Panel) -> tuple[KeepOut, ...]:
    """What drills, nuts and brackets keep clear of on a panel, from its spec."""
    out = [
        KeepOut(
            name=o.name,
            face=o.face,
            contour=obstacle_contour(o),
            gap_mm=o.gap_mm,
            depth_mm=o.depth_mm,
            reason=o.what,
            movable=o.movable,
        )
        for o in panel.obstacle
        if o.zone is None
    ]
    out += [
        KeepOut(
            name=b.name,
            face=face,
            contour=_bead_contour(b),
            gap_mm=0.0,
            depth_mm=BEAD_DEPTH_MM,
            reason="bead",
            bead=True,
        )
        for b in panel.bead
        for face in ("cab", "engine")
    ]
    return tuple(out)


def _datums(panel: Panel) -> tuple[DatumMark, ...]:
    return tuple(
        DatumMark(name=d.name, kind=d.kind, u_mm=d.at[0], v_mm=d.at[1], what=d.what) for d in panel.datum
    )


def root_openings(flange: Flange) -> tuple[Contour, ...]:
    """Outlines of the holes and slots of a flange, in its frame."""
    return (
        *(circle(h.u_mm, h.v_mm, h.diameter_mm) for h in flange.holes),
        *(stadium(s.u_mm, s.v_mm, s.width_mm, s.travel_mm, s.angle_rad) for s in flange.slots),
    )


LEVEL = math.cos(math.radians(15.0))
"""Sine of the tilt from which a panel lies level: within 15° nobody in a seat sees its face (ours)."""


def facing(panel: Panel) -> str:
    """Which way the cab face of a turned or level panel looks; empty for one that faces the driver."""
    if abs(math.sin(panel.tilt_rad)) > LEVEL:
        return "up" if math.sin(panel.tilt_rad) > 0 else "down"
    turn = math.degrees(math.remainder(panel.turn_rad, 2 * math.pi))
    if abs(turn) < STRAIGHT_DEG:
        return ""
    side = "right" if turn > 0 else "left"
    if abs(abs(turn) - 90) < STRAIGHT_DEG:
        return f"to the vehicle's {side}"
    if abs(abs(turn) - 180) < STRAIGHT_DEG:
        return "forward"
    return f"rearward, turned {abs(turn):g}° to the vehicle's {side}"


USE_PATCHES = " Use the patch sheets, one place at a time."
OR_PATCHES = ", or use the patch sheets"
"""Ends of notes for who has other sheets to choose from."""


def _notes(panel: Panel) -> tuple[str, ...]:
    """What is to be said of a turned panel, and where paper cannot lie flat on the metal."""
    notes = []
    if looks := facing(panel):
        notes.append(
            f"This panel's cab face looks {looks}. Right, left and 'as the driver sees it' are as seen by "
            "somebody who looks square at that face."
        )
    if panel.surface == "curved":
        notes.append(f"This panel is curved: a large sheet does not lie true on it.{USE_PATCHES}")
    if panel.bead:
        notes.append(f"Do not bridge a bead with paper: cut the sheet along it{OR_PATCHES}.")
    return tuple(notes)


def panel_layout(
    panel: Panel,
    parts: Sequence[PlacedPart],
    folds: tuple[FoldLine, ...],
    patterns: Sequence[Pattern] = (),
    units: UnitSystem = "metric",
) -> PanelLayout:
    """The layout of one panel with the parts that lie on it, for people who measure in ``units``."""
    here = [p for p in parts if p.mount is not None and p.mount.panel == panel.name]
    return PanelLayout(
        panel=panel.name,
        title=panel.title,
        material=panel.material,
        thickness_mm=panel.thickness_mm,
        contour=counter_clockwise(polygon(panel.outline)),
        holes=reaching(panel, here, panel_holes(panel, here, patterns, units)),
        keepouts=keepouts(panel),
        footprints=tuple(
            Footprint(
                part=p.spec.name,
                face=p.mount.face,
                contour=transformed(flange.contour, placement(panel, p.mount)),
                openings=tuple(transformed(c, placement(panel, p.mount)) for c in root_openings(flange)),
                lift_mm=p.lift_mm,
                thickness_mm=p.plan.thickness_mm,
                doubler=p.plan.doubler,
                title=p.plan.title,
            )
            for p in here
            if p.mount is not None
            for flange in (moved(f, place) for f, place in lying(p.plan))
        ),
        folds=folds,
        datums=_datums(panel),
        witness_hole=panel.witness_hole,
        notes=_notes(panel),
        facing=facing(panel),
        units=units,
        bodies=tuple(
            body
            for p in here
            if p.mount is not None
            for body in part_bodies(p.plan, p.mount.face, placement(panel, p.mount), p.lift_mm)
        ),
    )


def numbered_through(layouts: Sequence[PanelLayout]) -> tuple[PanelLayout, ...]:
    """The same with one number per hole in the whole job: numbers and letters run on from panel to panel.

    A sheet that goes round a fold, the install sheet and the tables then call a hole the same.
    """
    out, new, old = [], 0, 0
    for layout in layouts:
        holes = []
        for hole in layout.holes:
            if hole.number.isdigit():
                new += 1
                holes.append(replace(hole, number=str(new)))
            else:
                holes.append(replace(hole, number=letters(old)))
                old += 1
        out.append(replace(layout, holes=_measured_from(holes)))
    return tuple(out)


def _measured_from(holes: Sequence[PanelHole]) -> tuple[PanelHole, ...]:
    """Places told from an existing hole name it as the sheets do, those from a line by its name in words."""
    called = {hole.name: f"hole {hole.number}" for hole in holes if not hole.number.isdigit()}

    def words(found: re.Match[str]) -> str:
        return f"from {called.get(found[1], found[1].replace('_', ' '))}"

    return tuple(replace(h, position_note=_FROM.sub(words, h.position_note)) for h in holes)


def job_layouts(
    job: Job, parts: Sequence[PlacedPart], units: UnitSystem = "metric"
) -> tuple[PanelLayout, ...]:
    """Layouts of all panels, holes numbered through.

    Raises ``GeometryFault`` (path in ``parameter``) for a fold that is none.
    """
    panels = {p.name: p for p in job.panel}
    folds: dict[str, list[FoldLine]] = {name: [] for name in panels}
    for index, fold in enumerate(job.fold):
        for name, line in fold_lines(fold, panels, f"fold[{index}]").items():
            folds[name].append(line)
    laid = [panel_layout(p, parts, tuple(folds[p.name]), job.pattern, units) for p in job.panel]
    return numbered_through([replace(layout, contact=job.job.contact) for layout in laid])
