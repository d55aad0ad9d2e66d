"""The one list of rules, room by room, and the look-up behind ``pedalplate explain``."""

from __future__ import annotations

import difflib

from generators.checks import forms
from generators.checks.hose import clearances, fittings, lengths, places, rise, sag, tubes
from generators.checks.joint import (
    bolt_loads,
    bolts,
    braces,
    countersinks,
    inserts,
    mating,
    panel_give,
    part_room,
    wedges,
    welds,
)
from generators.checks.panel import folds, metal, notes, parts, room, unused
from generators.checks.part import (
    bending,
    bends,
    clash,
    die,
    die_radius,
    gauges,
    guides,
    hands,
    part,
    pivots,
    printed,
    reliefs,
)
from generators.checks.part.finishing import bearings, etching, fitted, threads, weld_gaps
from generators.checks.pedal import arm, brakes, defaults, hub, hydraulics, linings, order, stiffness, travel
from generators.checks.rule import Rule
from generators.checks.space import clash as space_clash
from generators.checks.space import crossing, floor, lids, pads, swing, zones
from generators.checks.survey import asdrilled, inside, inspected, readings
from generators.errors import LookupFault

RULES: tuple[Rule, ...] = (
    *part.RULES,
    *die.RULES,
    *die_radius.RULES,
    *bends.RULES,
    *reliefs.RULES,
    *bending.RULES,
    *pivots.RULES,
    *bearings.RULES,
    *etching.RULES,
    *hands.RULES,
    *threads.RULES,
    *weld_gaps.RULES,
    *fitted.RULES,
    *clash.RULES,
    *printed.RULES,
    *gauges.RULES,
    *guides.RULES,
    *metal.RULES,
    *folds.RULES,
    *notes.RULES,
    *unused.RULES,
    *room.RULES,
    *parts.RULES,
    *mating.RULES,
    *part_room.RULES,
    *bolts.RULES,
    *bolt_loads.RULES,
    *braces.RULES,
    *panel_give.RULES,
    *inserts.RULES,
    *welds.RULES,
    *countersinks.RULES,
    *wedges.RULES,
    *travel.RULES,
    *hydraulics.RULES,
    *brakes.RULES,
    *linings.RULES,
    *order.RULES,
    *stiffness.RULES,
    *arm.RULES,
    *hub.RULES,
    *defaults.RULES,
    *floor.RULES,
    *swing.RULES,
    *pads.RULES,
    *readings.RULES,
    *inside.RULES,
    *inspected.RULES,
    *asdrilled.RULES,
    *lengths.RULES,
    *tubes.RULES,
    *clearances.RULES,
    *fittings.RULES,
    *places.RULES,
    *rise.RULES,
    *space_clash.RULES,
    *lids.RULES,
    *crossing.RULES,
    *zones.RULES,
    *sag.RULES,
    *forms.RULES,
)
"""Every rule; each module of the room lists those it finds by."""


def explain(code: str) -> Rule:
    """The rule of that code. Raises ``LookupFault`` whose known codes begin with the likeliest."""
    for rule in RULES:
        if rule.code == code:
            return rule
    codes = [rule.code for rule in RULES]
    likely = difflib.get_close_matches(code, codes, n=3)
    raise LookupFault("rule", code, [*likely, *sorted(c for c in codes if c not in likely)])
