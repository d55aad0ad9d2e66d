"""Panel rules about metal: the outline, edges, spacing, ligaments, beads, and holes listed twice."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from generators.checks.measure import Floats, Ints
from generators.checks.panel.moves import Moves, apart, apart_moves
from generators.checks.panel.view import PanelView
from generators.checks.panel.zones import Pairs, Zone
from generators.checks.part.part import (
    EDGE_FLOOR,
    HOLE_EDGE_DISTANCE,
    HOLE_LIGAMENT,
    HOLE_SPACING,
    SPACING_FLOOR,
)
from generators.checks.rule import (
    MEASURE_AGAIN,
    OFF_PANEL,
    SAME_MM,
    Rule,
    finding,
    mm,
    more,
    short_of,
)
from generators.model.findings import Finding, Severity
from generators.model.limits import Limits

HOLE_OFF_PANEL = Rule(
    code=OFF_PANEL,
    title="Opening not whole on the panel",
    meaning=(
        "The opening crosses the outline or lies outside it. An existing one was measured wrong, and so is "
        "what is placed from it."
    ),
    formula="centre inside the outline and centre to outline >= D/2",
    source="geometry",
    trust="C",
    mend="Move the hole, or measure the outline and the datum again.",
)

PANEL_BEAD = Rule(
    code="panel-bead",
    title="Hole in a stiffening bead",
    meaning="A hole in a bead takes away the stiffness it was pressed for, and nothing seats flat on it.",
    formula="the opening does not meet the bead",
    source="common practice, no source",
    trust="CP",
    mend="Move the hole off the bead.",
)

HOLE_SHARED = Rule(
    code="hole-shared",
    title="Two holes in one place",
    meaning="Two openings are listed at the same centre. It is one hole: drill it once, to the larger size.",
    formula="centres within 0.1 mm",
    source="geometry",
    trust="C",
    mend="Nothing, if they are meant to be one; otherwise move one.",
)

RULES = (
    HOLE_OFF_PANEL,
    PANEL_BEAD,
    HOLE_SHARED,
)


def off_panel_zone(panel: PanelView) -> Zone:
    """Centres whose opening would not be whole on the panel."""
    return Zone(thing=panel.outline, within=panel.radius)


def edge_distance_zone(panel: PanelView, limits: Limits) -> Zone:
    """Centres of fasteners too near the edge."""
    return Zone(
        thing=panel.outline, within=np.where(panel.loaded, limits.hole_edge_ratio * 2 * panel.radius, 0.0)
    )


def edge_ligament_zone(panel: PanelView, limits: Limits) -> Zone:
    """Centres of other openings that would leave too little metal at the edge."""
    least = limits.least_ligament_mm(panel.layout.thickness_mm)
    return Zone(thing=panel.outline, within=np.where(panel.loaded, 0.0, panel.radius + least))


def bead_zone(panel: PanelView, k: int) -> Zone:
    """Centres whose opening would meet a bead."""
    return Zone(thing=panel.keepouts[k], within=panel.radius)


def ligament_apart(panel: PanelView, limits: Limits) -> Pairs:
    """Centres of two openings that would leave too little metal between them."""
    least = limits.least_ligament_mm(panel.layout.thickness_mm)
    return lambda i, j: panel.radius[i] + panel.radius[j] + least


def spacing_apart(panel: PanelView, limits: Limits) -> Pairs:
    """Centres of two fasteners too close together."""

    def within(i: Ints, j: Ints) -> Floats:
        wide = 2 * np.maximum(panel.radius[i], panel.radius[j])
        return np.where(panel.loaded[i] & panel.loaded[j], limits.hole_spacing_ratio * wide, 0.0)

    return within


def zones(panel: PanelView, limits: Limits) -> Iterator[Zone]:
    """Where these rules let no centre lie."""
    yield off_panel_zone(panel)
    yield edge_distance_zone(panel, limits)
    yield edge_ligament_zone(panel, limits)
    yield from (bead_zone(panel, k) for k, keepout in enumerate(panel.layout.keepouts) if keepout.bead)


def off_panel(panel: PanelView, mend: Moves) -> Iterator[Finding]:
    """Openings that are not whole inside the outline."""
    for group in panel.groups(off_panel_zone(panel).hits()):
        i = max(group, key=lambda k: float(panel.radius[k] - panel.depth[k]))
        existing = not panel.new[i]
        outside = bool(panel.depth[i] < -SAME_MM)
        yield finding(
            HOLE_OFF_PANEL,
            Severity.WARN if existing and not outside else Severity.FAIL,
            panel.where(group),
            value=panel.depth[i],
            limit=panel.radius[i],
            advice=f"{MEASURE_AGAIN} hole {panel.number(i)} again, or the outline"
            if existing
            else mend.hole(i, f"at least {more(panel.radius[i] - panel.depth[i])} into the panel"),
            proposals=() if existing else mend.hole_moves(i),
        )


def edges(panel: PanelView, limits: Limits, mend: Moves) -> Iterator[Finding]:
    """Edge distance of fasteners and edge ligament of other new openings that lie on the panel."""
    here = panel.used & (panel.depth >= panel.radius - SAME_MM)
    none, sheet = np.zeros_like(panel.radius), np.full_like(panel.radius, panel.layout.thickness_mm)
    # a fastener is judged from its centre, any other opening from its rim
    for rule, zone, rim, floor in (
        (HOLE_EDGE_DISTANCE, edge_distance_zone(panel, limits), none, EDGE_FLOOR * 2 * panel.radius),
        (HOLE_LIGAMENT, edge_ligament_zone(panel, limits), panel.radius, sheet),
    ):
        value, limit = panel.depth - rim, zone.within - rim
        for group in panel.groups(zone.hits(here)):
            graves = {k: short_of(value[k], limit[k], floor[k]) or Severity.WARN for k in group}
            i = max(group, key=lambda k: (graves[k].rank, float(limit[k] - value[k])))
            if panel.new[i]:
                severity = graves[i]
                advice = mend.hole(i, f"at least {more(limit[i] - value[i])} away from the edge")
            else:
                severity = Severity.WARN  # nobody can move it, so it must not hold back the files
                advice = f"hole {panel.number(i)} exists: put a doubler behind it or use another hole"
            yield finding(
                rule,
                severity,
                f"{panel.where(group)} and the edge",
                value=value[i],
                limit=limit[i],
                floor=floor[i],
                advice=advice,
                proposals=mend.hole_moves(i) if panel.new[i] else (),
            )


def pairs(panel: PanelView, limits: Limits, mend: Moves) -> Iterator[Finding]:
    """Spacing and ligament of neighbours, at least one of them new, and holes listed twice."""
    i, j = panel.first, panel.second
    new = panel.new[i] | panel.new[j]
    metal = panel.apart - panel.radius[i] - panel.radius[j]
    # an opening a new and larger hole swallows whole is gone, so nothing is left between the two
    swallowed = (panel.new[i] & (panel.apart + panel.radius[j] <= panel.radius[i] + SAME_MM)) | (
        panel.new[j] & (panel.apart + panel.radius[i] <= panel.radius[j] + SAME_MM)
    )
    both_new = panel.new[i] & panel.new[j]
    # a new hole within a larger existing one is no hole at all: that runs into it like any other
    lost = ~both_new & (
        np.where(panel.new[i], panel.radius[j] - panel.radius[i], panel.radius[i] - panel.radius[j]) > SAME_MM
    )
    shared = panel.same & ~lost
    gone = shared | (swallowed & ~both_new)
    within = ligament_apart(panel, limits)(i, j)
    for k in np.flatnonzero(new & ~gone & (panel.apart < within - SAME_MM)).tolist():
        ligament = metal[k] + within[k] - panel.apart[k]
        yield _short(mend, k, HOLE_LIGAMENT, metal[k], ligament, panel.layout.thickness_mm)
    width = 2 * np.maximum(panel.radius[i], panel.radius[j])
    spacing = spacing_apart(panel, limits)(i, j)
    for k in np.flatnonzero(new & ~gone & (panel.apart < spacing - SAME_MM)).tolist():
        yield _short(mend, k, HOLE_SPACING, panel.apart[k], spacing[k], SPACING_FLOOR * width[k])
    for k in np.flatnonzero(new & shared).tolist():
        size = 2 * max(panel.radius[i[k]], panel.radius[j[k]])
        yield finding(
            HOLE_SHARED,
            Severity.NOTE,
            panel.pair(int(i[k]), int(j[k])),
            value=panel.apart[k],
            found=f"{mm(panel.apart[k])} apart",
            wanted="one hole",
            advice=f"drill {panel.holes([int(i[k]), int(j[k])])} once, to {mm(size)}",
        )


def _short(mend: Moves, k: int, rule: Rule, value: float, limit: float, floor: float) -> Finding:
    panel = mend.panel
    i, j = int(panel.first[k]), int(panel.second[k])
    severity = short_of(value, limit, floor) or Severity.WARN
    return finding(
        rule,
        severity,
        panel.pair(i, j),
        value=value,
        limit=limit,
        floor=floor,
        advice=apart(mend, i, j, more(limit - value)),
        proposals=apart_moves(mend, i, j),
    )


def beads(panel: PanelView, mend: Moves) -> Iterator[Finding]:
    """New holes that meet a bead; a bead listed on both faces counts once."""
    for k, keepout in enumerate(panel.layout.keepouts):
        out = bead_zone(panel, k).hits(panel.new) if keepout.bead else {}
        for group in panel.groups(out):
            i = max(group, key=lambda k: float(panel.radius[k]) - out[k])
            yield finding(
                PANEL_BEAD,
                Severity.FAIL,
                f"{panel.where(group)} and bead {keepout.name}",
                value=out[i],
                limit=panel.radius[i],
                advice=mend.hole(i, f"at least {more(panel.radius[i] - out[i])} off the bead"),
                proposals=mend.hole_moves(i),
            )
