"""The holes of a layout with what stands in them as it is bought, once lengths and washers are chosen."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from generators.model.joints.fasteners import FastenerSet
from generators.model.plan import BOLT_REACH_MM, PanelHole, PanelLayout
from generators.solve.bodies.fixings.stacks import covering, top_mm
from generators.solve.fasteners.joint import SAME_MM, bolt_name
from generators.solve.fasteners.standing import stands_mm
from generators.standards import fastener

PANEL = "panel"
"""The owner of a hole the spec gives to a panel itself."""


def with_bought(layouts: Sequence[PanelLayout], sets: Sequence[FastenerSet]) -> tuple[PanelLayout, ...]:
    """The layouts, each bolt reaching as far off the panel as the one bought does.

    Until then its reach is an estimate from its thread alone. A bolt no length is known of keeps it.
    """
    bolts = {
        made.key: made
        for made in sets
        if made.form == "bolt" and made.into == "locking nut" and made.length_mm is not None
    }
    return tuple(
        replace(layout, holes=tuple(_reaching(layout, hole, bolts) for hole in layout.holes))
        for layout in layouts
    )


def _reaching(layout: PanelLayout, hole: PanelHole, bolts: dict[str, FastenerSet]) -> PanelHole:
    made = bolts.get(bolt_name(layout.panel, hole.number))
    if made is None or hole.kind != "bolt" or hole.status not in ("drill", "reuse"):
        return hole
    at = (hole.u_mm, hole.v_mm)
    cab, engine = (top_mm(covering(layout, face, at)) for face in ("cab", "engine"))
    reach = {"cab": cab + stands_mm(made, "high"), "engine": engine + stands_mm(made, "low")}
    for face, was in (("cab", hole.reach_cab_mm), ("engine", hole.reach_engine_mm)):
        if PANEL in hole.owners and not _estimated(made, was):
            # the spec gives it: what is screwed on there may stand further off than the bolt
            reach[face] = max(reach[face], was)
    return replace(hole, reach_cab_mm=reach["cab"], reach_engine_mm=reach["engine"])


def _estimated(made: FastenerSet, reach_mm: float) -> bool:
    """True for the reach a bolt has while nobody knows its length."""
    return abs(reach_mm - max(BOLT_REACH_MM, fastener(made.thread).nut_stand_mm)) < SAME_MM
