"""PanelView rules about metal: edges, spacing, ligaments, beads, folds, and notes on the holes themselves."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

import numpy as np

from generators.checks.measure import line_distance
from generators.checks.panel.moves import Moves, apart, setback
from generators.checks.panel.rules_panel import (
    HOLE_IN_FOLD,
    HOLE_NEAR_FOLD,
    HOLE_OFF_PANEL,
    HOLE_SHARED,
    HOLE_TOOL,
    NO_WITNESS_HOLE,
    PANEL_BEAD,
    REUSE_OVERSIZE,
)
from generators.checks.panel.view import PanelView
from generators.checks.part.part import ligament_limit
from generators.checks.part.rules_metal import (
    EDGE_FLOOR,
    HOLE_EDGE_DISTANCE,
    HOLE_LIGAMENT,
    HOLE_SPACING,
    SPACING_FLOOR,
)
from generators.checks.rule import (
    MEASURE_AGAIN,
    SAME_MM,
    Rule,
    finding,
    limit_text,
    listed,
    mm,
    mm_up,
    more,
    short_of,
)
from generators.geometry.contours import bounds
from generators.model.findings import Finding, Severity
from generators.model.spec.job import Limits

WITNESS_HOLE_OFF_MM = 10.0
BEARING_MM = 1.0
CORNERS_PER_FLATS = 2 / 3**0.5
BY_HAND = "twist drill"
TWIST_MOST_MM = 13.0


def off_panel(panel: PanelView, mend: Moves) -> Iterator[Finding]:
    """Openings that are not whole inside the outline."""
    for group in panel.groups(np.flatnonzero(panel.depth < panel.radius - SAME_MM).tolist()):
        i = max(group, key=lambda k: float(panel.radius[k] - panel.depth[k]))
        existing = not panel.new[i]
        outside = bool(panel.depth[i] < -SAME_MM)
        yield finding(
            HOLE_OFF_PANEL,
            Severity.WARN if existing and not outside else Severity.FAIL,
            panel.where(group),
            value=mm(panel.depth[i]),
            limit=mm_up(panel.radius[i]),
            advice=f"{MEASURE_AGAIN} hole {panel.number(i)} again, or the outline"
            if existing
            else mend.hole(i, f"at least {more(panel.radius[i] - panel.depth[i])} into the panel"),
        )


def edges(panel: PanelView, limits: Limits, mend: Moves) -> Iterator[Finding]:
    """Edge distance of fasteners and edge ligament of other new openings that lie on the panel."""
    t = panel.layout.thickness_mm
    whole = panel.depth >= panel.radius - SAME_MM
    least = ligament_limit(t, limits)
    value = np.where(panel.loaded, panel.depth, panel.depth - panel.radius)
    limit = np.where(panel.loaded, limits.hole_edge_ratio * 2 * panel.radius, least)
    floor = np.where(panel.loaded, EDGE_FLOOR * 2 * panel.radius, t)
    near = panel.used & whole & (value < limit - SAME_MM)
    for rule, kind in ((HOLE_EDGE_DISTANCE, panel.loaded), (HOLE_LIGAMENT, ~panel.loaded)):
        for group in panel.groups(np.flatnonzero(near & kind).tolist()):
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
                value=mm(value[i]),
                limit=limit_text(limit[i], floor[i]),
                advice=advice,
            )


def pairs(panel: PanelView, limits: Limits, mend: Moves) -> Iterator[Finding]:
    """Spacing and ligament of neighbours, at least one of them new, and holes listed twice."""
    i, j = panel.first, panel.second
    new = panel.new[i] | panel.new[j]
    t = panel.layout.thickness_mm
    ligament = ligament_limit(t, limits)
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
    for k in np.flatnonzero(new & ~gone & (metal < ligament - SAME_MM)).tolist():
        yield _short(mend, k, HOLE_LIGAMENT, metal[k], ligament, t)
    width = 2 * np.maximum(panel.radius[i], panel.radius[j])
    spacing = limits.hole_spacing_ratio * width
    close = panel.loaded[i] & panel.loaded[j] & new & ~gone & (panel.apart < spacing - SAME_MM)
    for k in np.flatnonzero(close).tolist():
        yield _short(mend, k, HOLE_SPACING, panel.apart[k], spacing[k], SPACING_FLOOR * width[k])
    for k in np.flatnonzero(new & shared).tolist():
        size = 2 * max(panel.radius[i[k]], panel.radius[j[k]])
        yield finding(
            HOLE_SHARED,
            Severity.NOTE,
            panel.pair(int(i[k]), int(j[k])),
            value=f"{mm(panel.apart[k])} apart",
            limit="one hole",
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
        value=mm(value),
        limit=limit_text(limit, floor),
        advice=apart(mend, i, j, more(limit - value)),
    )


def beads(panel: PanelView, mend: Moves) -> Iterator[Finding]:
    """New holes that meet a bead; a bead listed on both faces counts once."""
    for keepout, region in zip(panel.layout.keepouts, panel.keepouts, strict=True):
        if not keepout.bead:
            continue
        hit = panel.new[region.index] & (-region.depth < panel.radius[region.index] - SAME_MM)
        out = {int(region.index[k]): float(-region.depth[k]) for k in np.flatnonzero(hit).tolist()}
        for group in panel.groups(out):
            i = max(group, key=lambda k: float(panel.radius[k]) - out[k])
            yield finding(
                PANEL_BEAD,
                Severity.FAIL,
                f"{panel.where(group)} and bead {keepout.name}",
                value=mm(out[i]),
                limit=mm_up(panel.radius[i]),
                advice=mend.hole(i, f"at least {more(panel.radius[i] - out[i])} off the bead"),
            )


def in_folds(panel: PanelView, mend: Moves) -> Iterator[Finding]:
    """Holes, new or there already, that reach onto the arc of a fold."""
    for fold in panel.layout.folds:
        limit = setback(panel.layout, fold)
        value = line_distance(panel.u, panel.v, fold.start, fold.end) - panel.radius
        for group in panel.groups(np.flatnonzero(value < limit - SAME_MM).tolist()):
            i = min(group, key=lambda k: float(value[k]))
            again = f"{MEASURE_AGAIN} {panel.holes(group)} again, or the fold"
            yield finding(
                HOLE_IN_FOLD,
                Severity.FAIL if panel.new[i] else Severity.WARN,
                f"{panel.where(group)} and the fold to {fold.other}",
                value=mm(value[i]),
                limit=mm_up(limit),
                advice=mend.hole(i, f"at least {more(limit - value[i])} away from the fold")
                if panel.new[i]
                else again,
            )


def folds(panel: PanelView, limits: Limits, mend: Moves) -> Iterator[Finding]:
    """New holes near an edge shared with another panel."""
    limit = limits.fold_clearance_mm
    for fold in panel.layout.folds:
        value = line_distance(panel.u, panel.v, fold.start, fold.end) - panel.radius
        for group in panel.groups(np.flatnonzero(panel.new & (value < limit - SAME_MM)).tolist()):
            i = min(group, key=lambda k: float(value[k]))
            yield finding(
                HOLE_NEAR_FOLD,
                Severity.FAIL,
                f"{panel.where(group)} and the fold to {fold.other}",
                value=mm(value[i]),
                limit=mm_up(limit),
                advice=mend.hole(i, f"at least {more(limit - value[i])} away from the fold"),
            )


def notes(panel: PanelView) -> Iterator[Finding]:
    """What the installer should know: tools, the witness hole, wide reused holes."""
    tools: dict[str, list[int]] = defaultdict(list)
    for i, hole in enumerate(panel.layout.holes):
        if panel.used[i] and hole.tool and hole.tool != BY_HAND:
            tools[hole.tool].append(i)
    for tool, holes in sorted(tools.items()):
        sizes = listed(mm(d) for d in sorted({panel.layout.holes[i].final_dia_mm for i in holes}))
        yield finding(
            HOLE_TOOL,
            Severity.NOTE,
            panel.where(holes),
            value=f"{sizes} in {panel.layout.thickness_mm:g} mm sheet",
            limit="a new hole" if BY_HAND in tool else f"{TWIST_MOST_MM:g} mm for a twist drill",
            advice=f"have this at hand for {panel.holes(holes)}: {tool}",
        )
    yield from _witness_hole(panel)
    for i in np.flatnonzero(panel.used & ~panel.new).tolist():
        hole = panel.layout.holes[i]
        if hole.nut_circle_mm == 0 or hole.nut_face == "none":
            continue
        ring = (hole.nut_circle_mm / CORNERS_PER_FLATS - hole.final_dia_mm) / 2
        if ring < BEARING_MM - SAME_MM:
            yield finding(
                REUSE_OVERSIZE,
                Severity.FAIL if ring < 0 else Severity.WARN,
                panel.hole(i),
                value=mm(ring),
                limit=mm_up(BEARING_MM),
                advice=f"put a thick washer or a doubler under the nut in hole {panel.number(i)}: it needs "
                f"{more(BEARING_MM - ring)} more to bear on all round",
            )


def _witness_hole(panel: PanelView) -> Iterator[Finding]:
    layout = panel.layout
    low, _, high, _ = bounds(layout.contour)
    witness = next((h for h in layout.holes if h.name == layout.witness_hole and h.status != "drill"), None)
    off = abs(witness.u_mm - (low + high) / 2) if witness is not None else 0.0
    if witness is None or off < WITNESS_HOLE_OFF_MM - SAME_MM:
        none = (
            f"{layout.witness_hole} is no existing hole"
            if layout.witness_hole
            else "no witness_hole is named"
        )
        yield finding(
            NO_WITNESS_HOLE,
            Severity.NOTE,
            f"panel:{layout.panel}",
            value=none if witness is None else f"{witness.name} is {mm(off)} beside the middle of the panel",
            limit=f"an existing hole at least {mm_up(WITNESS_HOLE_OFF_MM)} beside it"
            if witness is not None
            else f"an existing hole at least {mm_up(WITNESS_HOLE_OFF_MM)} beside the middle of the panel",
            advice="set witness_hole to an existing hole at least "
            f"{more(WITNESS_HOLE_OFF_MM)} left or right of the middle, so that a flipped sheet shows",
        )
