"""PanelView rules about metal: edges, spacing, ligaments, beads, folds, and notes on the holes themselves."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

import numpy as np

from generators.checks.measure import line_distance
from generators.checks.panel_view import BEAD, PanelView
from generators.checks.parts import ligament_limit
from generators.checks.rule import SAME_MM, Rule, finding, limit_text, listed, mm, mm_up, more, short_of
from generators.checks.rules_metal import (
    EDGE_FLOOR,
    HOLE_EDGE_DISTANCE,
    HOLE_LIGAMENT,
    HOLE_SPACING,
    SPACING_FLOOR,
)
from generators.checks.rules_panel import (
    EXISTING_NOT_BLANKED,
    HOLE_NEAR_FOLD,
    HOLE_OFF_PANEL,
    HOLE_SHARED,
    HOLE_TOOL,
    NO_KEY_HOLE,
    PANEL_BEAD,
    REUSE_OVERSIZE,
)
from generators.geometry.contours import bounds
from generators.model.findings import Finding, Severity
from generators.model.job import Limits

KEY_HOLE_OFF_MM = 10.0
BEARING_MM = 1.0
CORNERS_PER_FLATS = 2 / 3**0.5
BY_HAND = "twist drill"


def off_panel(panel: PanelView) -> Iterator[Finding]:
    """Openings that are not whole inside the outline."""
    for i in np.flatnonzero(panel.depth < panel.radius - SAME_MM).tolist():
        short = panel.radius[i] - panel.depth[i]
        existing = not panel.new[i]
        yield finding(
            HOLE_OFF_PANEL,
            Severity.WARN if existing else Severity.FAIL,
            panel.hole(i),
            value=mm(panel.depth[i]),
            limit=mm_up(panel.radius[i]),
            advice="measure the existing hole and the outline again"
            if existing
            else f"move hole {panel.number(i)} at least {more(short)} into the panel",
        )


def edges(panel: PanelView, limits: Limits) -> Iterator[Finding]:
    """Edge distance of fasteners and edge ligament of other new openings that lie on the panel."""
    t = panel.layout.thickness_mm
    whole = panel.depth >= panel.radius - SAME_MM
    ratio = np.where(panel.loaded, limits.hole_edge_ratio * 2 * panel.radius, np.inf)
    for i in np.flatnonzero(panel.used & whole & (panel.depth < ratio - SAME_MM)).tolist():
        if panel.loaded[i]:
            rule, value = HOLE_EDGE_DISTANCE, panel.depth[i]
            limit, floor = ratio[i], EDGE_FLOOR * 2 * panel.radius[i]
        else:
            rule, value = HOLE_LIGAMENT, panel.depth[i] - panel.radius[i]
            limit, floor = ligament_limit(t, limits), t
        severity = short_of(value, limit, floor)
        if severity is None:
            continue
        if panel.new[i]:
            advice = f"move hole {panel.number(i)} at least {more(limit - value)} away from the edge"
        else:
            severity = Severity.WARN  # nobody can move it, so it must not hold back the files
            advice = f"hole {panel.number(i)} exists: put a doubler behind it or use another hole"
        yield finding(
            rule,
            severity,
            f"{panel.hole(i)} and the edge",
            value=mm(value),
            limit=limit_text(limit, floor),
            advice=advice,
        )


def pairs(panel: PanelView, limits: Limits) -> Iterator[Finding]:
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
        yield _short(panel, k, HOLE_LIGAMENT, metal[k], ligament, t)
    width = 2 * np.maximum(panel.radius[i], panel.radius[j])
    spacing = limits.hole_spacing_ratio * width
    close = panel.loaded[i] & panel.loaded[j] & new & ~gone & (panel.apart < spacing - SAME_MM)
    for k in np.flatnonzero(close).tolist():
        yield _short(panel, k, HOLE_SPACING, panel.apart[k], spacing[k], SPACING_FLOOR * width[k])
    for k in np.flatnonzero(new & shared).tolist():
        size = 2 * max(panel.radius[i[k]], panel.radius[j[k]])
        yield finding(
            HOLE_SHARED,
            Severity.NOTE,
            panel.pair(int(i[k]), int(j[k])),
            value=f"{mm(panel.apart[k])} apart",
            limit="one hole",
            advice=f"drill holes {panel.number(int(i[k]))} and {panel.number(int(j[k]))} once, to {mm(size)}",
        )


def _short(panel: PanelView, k: int, rule: Rule, value: float, limit: float, floor: float) -> Finding:
    i, j = int(panel.first[k]), int(panel.second[k])
    stays, moves = panel.movable(i, j)
    severity = short_of(value, limit, floor) or Severity.WARN
    return finding(
        rule,
        severity,
        panel.pair(i, j),
        value=mm(value),
        limit=limit_text(limit, floor),
        advice=f"move hole {panel.number(moves)} at least {more(limit - value)} away from hole "
        f"{panel.number(stays)}",
    )


def beads(panel: PanelView) -> Iterator[Finding]:
    """New holes that meet a bead; a bead listed on both faces counts once."""
    for keepout, region in zip(panel.layout.keepouts, panel.keepouts, strict=True):
        if keepout.reason != BEAD:
            continue
        out = -region.depth
        hit = panel.new[region.index] & (out < panel.radius[region.index] - SAME_MM)
        for k in np.flatnonzero(hit).tolist():
            i = int(region.index[k])
            yield finding(
                PANEL_BEAD,
                Severity.FAIL,
                f"{panel.hole(i)} and bead {keepout.name}",
                value=mm(out[k]),
                limit=mm_up(panel.radius[i]),
                advice=f"move hole {panel.number(i)} at least {more(panel.radius[i] - out[k])} off the bead",
            )


def folds(panel: PanelView, limits: Limits) -> Iterator[Finding]:
    """New holes near an edge shared with another panel."""
    limit = limits.fold_clearance_mm
    for fold in panel.layout.folds:
        value = line_distance(panel.u, panel.v, fold.start, fold.end) - panel.radius
        for i in np.flatnonzero(panel.new & (value < limit - SAME_MM)).tolist():
            yield finding(
                HOLE_NEAR_FOLD,
                Severity.FAIL,
                f"{panel.hole(i)} and the fold to {fold.other}",
                value=mm(value[i]),
                limit=mm_up(limit),
                advice=f"move hole {panel.number(i)} at least {more(limit - value[i])} away from the fold",
            )


def notes(panel: PanelView) -> Iterator[Finding]:
    """What the installer should know: tools, open holes, the key hole, wide reused holes."""
    name = f"panel:{panel.layout.panel}"
    tools: dict[str, list[str]] = defaultdict(list)
    for i, hole in enumerate(panel.layout.holes):
        if panel.used[i] and hole.tool and hole.tool != BY_HAND:
            tools[hole.tool].append(panel.number(i))
    for tool, numbers in sorted(tools.items()):
        which = f"hole{'s' if len(numbers) > 1 else ''} {listed(numbers)}"
        yield finding(
            HOLE_TOOL,
            Severity.NOTE,
            f"{name} {which}",
            value=tool,
            limit=BY_HAND,
            advice=f"have this at hand for {which}: {tool}",
        )
    covered = {int(i) for r in panel.footprints for i in r.index[r.depth >= panel.radius[r.index] - SAME_MM]}
    swallowed = _swallowed(panel)
    left_open = [
        panel.number(i)
        for i, hole in enumerate(panel.layout.holes)
        if not panel.used[i] and hole.status != "blank" and i not in covered and i not in swallowed
    ]
    if left_open:
        which = f"hole{'s' if len(left_open) > 1 else ''} {listed(left_open)}"
        yield finding(
            EXISTING_NOT_BLANKED,
            Severity.NOTE,
            f"{name} {which}",
            value=f"{len(left_open)} open",
            limit="used or blanked",
            advice=f'set action = "blank" for {which} unless something goes through',
        )
    yield from _key_hole(panel)
    for i in np.flatnonzero(panel.used & ~panel.new).tolist():
        hole = panel.layout.holes[i]
        if hole.nut_circle_mm == 0 or hole.nut_face == "none":
            continue
        ring = (hole.nut_circle_mm / CORNERS_PER_FLATS - hole.final_dia_mm) / 2
        if ring < BEARING_MM - SAME_MM:
            yield finding(
                REUSE_OVERSIZE,
                Severity.WARN,
                panel.hole(i),
                value=mm(ring),
                limit=mm_up(BEARING_MM),
                advice=f"put a thick washer or a doubler under the nut in hole {panel.number(i)}: it needs "
                f"{more(BEARING_MM - ring)} more to bear on all round",
            )


def _swallowed(panel: PanelView) -> set[int]:
    """Existing openings that lie whole within a new hole."""
    i, j = panel.first, panel.second
    inner = panel.apart + panel.radius[i] <= panel.radius[j] + SAME_MM
    outer = panel.apart + panel.radius[j] <= panel.radius[i] + SAME_MM
    return {int(x) for x in i[inner & panel.new[j]]} | {int(x) for x in j[outer & panel.new[i]]}


def _key_hole(panel: PanelView) -> Iterator[Finding]:
    layout = panel.layout
    low, _, high, _ = bounds(layout.contour)
    key = next((h for h in layout.holes if h.name == layout.key_hole and h.status != "drill"), None)
    off = abs(key.u_mm - (low + high) / 2) if key is not None else 0.0
    if key is None or off < KEY_HOLE_OFF_MM - SAME_MM:
        yield finding(
            NO_KEY_HOLE,
            Severity.NOTE,
            f"panel:{layout.panel}",
            value=f"{mm(off)} off the middle" if key is not None else "no key hole",
            limit=f"{mm_up(KEY_HOLE_OFF_MM)} off the middle",
            advice=f"name an existing hole at least {more(KEY_HOLE_OFF_MM)} off the middle as key_hole",
        )
