"""How many bolts a finished bill must have, counted from plans and layouts and not from what was chosen."""

from __future__ import annotations

import math
from collections import Counter

from generators.layout.mounting import PlacedPart, placement
from generators.layout.openings import REUSE_MM
from generators.model.spec.lines import FRAME_THREAD
from generators.sheetmetal.lying import lying, on_panel
from generators.solve.fasteners.joint import bolt_of
from generators.solve.job import Prepared

OF_PANEL = ("bolt", "countersunk", "stud")
DONE = ("drill", "weld", "reuse")


def bolt_counts(prepared: Prepared) -> dict[str, int]:
    """Bolts by thread: a hole for one has one, and each clamp on the vehicle's own metal."""
    counted: Counter[str] = Counter()
    for layout in prepared.layouts:
        for hole in layout.holes:
            row = bolt_of(hole.shank_mm)
            if hole.status in DONE and hole.kind in OF_PANEL and row is not None:
                counted[row.thread] += 1
    for part in prepared.parts:
        counted.subtract(_studs(part, prepared))
    for made in prepared.fasteners:
        # into an insert or a weld nut goes a bolt only where something is held there
        if made.panel and made.into in ("insert", "weld nut"):
            counted[made.thread] += 1
    for part in prepared.parts:
        if not part.plan.tool:
            counted.update(_of_part(part))
    for clamp in prepared.file.job.clamp:
        if clamp.on.at is not None and clamp.fastener != "grommet":
            counted[clamp.thread or FRAME_THREAD] += 1
    return dict(counted)


def end_counts(prepared: Prepared) -> dict[str, int]:
    """What the ends of hoses and lines take, by its name: two of each, none where it comes made up."""
    counted: Counter[str] = Counter()
    for hose in prepared.file.job.hose:
        if hose.kind == "hose" and hose.service == "feed" and not (hose.from_end or hose.to_end):
            counted["hose clip"] += 2
        elif hose.made_up_mm is None:
            kinds = ("tube nut", "tube sleeve") if hose.kind == "rigid" else ("hose end",)
            counted.update({f"-{hose.dash} {kind}": 2 for kind in kinds})
    return dict(counted)


def _studs(part: PlacedPart, prepared: Prepared) -> Counter[str]:
    """Holes of a panel that a stud of a part goes through: they take its nut and no bolt."""
    counted: Counter[str] = Counter()
    if part.mount is None:
        return counted
    panel = next(p for p in prepared.file.job.panel if p.name == part.mount.panel)
    layout = next(x for x in prepared.layouts if x.panel == panel.name)
    place = placement(panel, part.mount)
    for own in on_panel(part.plan).holes:
        if own.fitting.kind != "stud" or own.finish is None or own.finish.side != "lower":
            continue
        at = place.apply(own.u_mm, own.v_mm)
        for hole in layout.holes:
            row = bolt_of(hole.shank_mm)
            near = math.dist(at, (hole.u_mm, hole.v_mm)) <= REUSE_MM
            if near and hole.status in DONE and hole.kind == "bolt" and row is not None:
                counted[row.thread] += 1
    return counted


def _of_part(part: PlacedPart) -> Counter[str]:
    """Bolts through a part alone; what is drilled in its panel as well is the panel's."""
    counted: Counter[str] = Counter()
    on_panel = part.mount is not None and part.mount.holes
    flat = {flange.name for flange, _ in lying(part.plan)}
    for flange in part.plan.flanges:
        for opening in flange.openings:
            row = bolt_of(opening.fitting.shank_mm)
            shared = on_panel and opening.mates and flange.name in flat
            if (
                opening.fitting.kind == "bolt"
                and row is not None
                and not opening.fitting.own_stud
                and not shared
            ):
                counted[row.thread] += part.plan.quantity
    return counted
