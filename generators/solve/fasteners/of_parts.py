"""Which fastener goes through which hole of a part, and which hole of a panel lies under it."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from generators.layout.mounting import PlacedPart, placement
from generators.layout.openings import REUSE_MM
from generators.model.joints.fasteners import FastenerSet
from generators.model.plan import PanelHole, PanelLayout
from generators.model.spec.job import Panel
from generators.sheetmetal.lying import on_panel
from generators.solve.fasteners.joint import bolt_name


@dataclass(frozen=True, slots=True, kw_only=True)
class Bolted:
    """What holds a part in one of its holes: the set, None where none is known (a rivet, a thing of the
    vehicle's), and the panel's hole with its panel, None where the part does not lie on it there."""

    made: FastenerSet | None
    panel: str = ""
    hole: PanelHole | None = None


Key = tuple[str, str]
"""A part and one of its holes."""


def bolted_holes(
    parts: Sequence[PlacedPart],
    panels: Sequence[Panel],
    layouts: Sequence[PanelLayout],
    sets: Sequence[FastenerSet],
) -> Mapping[Key, Bolted]:
    """Every hole and slot of every part with what goes through it."""
    by_key = {made.key: made for made in sets}
    out: dict[Key, Bolted] = {}
    for part in parts:
        name = part.spec.name
        for flange in part.plan.flanges:
            for opening in flange.openings:
                out[name, opening.name] = Bolted(made=by_key.get(bolt_name(name, opening.name)))
        if part.mount is None:
            continue
        panel = next(p for p in panels if p.name == part.mount.panel)
        layout = next(x for x in layouts if x.panel == panel.name)
        at = placement(panel, part.mount)
        for opening in on_panel(part.plan).openings:
            u, v = at.apply(opening.u_mm, opening.v_mm)
            near = [h for h in layout.holes if math.hypot(h.u_mm - u, h.v_mm - v) <= REUSE_MM]
            said = [h for h in layout.holes if h.stands_for == f"{name}.{opening.name}"]
            for hole in said or near[:1]:
                made = by_key.get(bolt_name(panel.name, hole.number)) or out[name, opening.name].made
                out[name, opening.name] = Bolted(made=made, panel=panel.name, hole=hole)
    return out
