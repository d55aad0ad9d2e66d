"""Rules on holes beside and on the folds of a panel."""

from __future__ import annotations

import math
from collections.abc import Iterator

from generators.checks.panel.moves import Moves
from generators.checks.panel.view import PanelView
from generators.checks.panel.zones import Zone
from generators.checks.rule import (
    MEASURE_AGAIN,
    Rule,
    finding,
    more,
)
from generators.model.findings import Finding, Severity
from generators.model.folds import FoldLine
from generators.model.limits import Limits
from generators.model.plan import PanelLayout

HOLE_NEAR_FOLD = Rule(
    code="hole-near-fold",
    title="Hole too near a fold",
    meaning="Near a fold of the panel a nut or drill meets the other panel, and the metal is stretched.",
    formula="hole edge to fold line >= fold_clearance_mm (10 mm)",
    source="common practice, no source",
    trust="CP",
    mend="Move the hole away from the fold.",
    limit_key="fold_clearance_mm",
)

HOLE_IN_FOLD = Rule(
    code="hole-in-fold",
    title="Hole on the arc of a fold",
    meaning=(
        "The metal turns there, so the opening does not lie on a flat: no drill starts square on it, nothing "
        "seats, and a sheet round the fold shows it beside its true place."
    ),
    formula="hole edge to fold line >= (inside radius + thickness) x tan(angle / 2), the outside setback",
    source="geometry; setback as in FAA-H-8083-31 ch. 4",
    trust="C",
    mend="Move the hole past the tangent line of the fold; measure an existing one again.",
)

RULES = (
    HOLE_NEAR_FOLD,
    HOLE_IN_FOLD,
)


def setback(layout: PanelLayout, fold: FoldLine) -> float:
    """Fold line to tangent line in mm, on the outside of the fold: the more of its two faces."""
    return (fold.inside_radius_mm + layout.thickness_mm) * math.tan(fold.angle_rad / 2)


def in_fold_zone(panel: PanelView, k: int) -> Zone:
    """Centres whose hole reaches onto the arc of a fold."""
    return Zone(thing=panel.folds[k], within=panel.radius + setback(panel.layout, panel.layout.folds[k]))


def near_fold_zone(panel: PanelView, k: int, limits: Limits) -> Zone:
    """Centres whose hole lies too near an edge shared with another panel."""
    return Zone(thing=panel.folds[k], within=panel.radius + limits.fold_clearance_mm)


def zones(panel: PanelView, limits: Limits) -> Iterator[Zone]:
    """Where these rules let no centre lie."""
    for k in range(len(panel.folds)):
        yield in_fold_zone(panel, k)
        yield near_fold_zone(panel, k, limits)


def in_folds(panel: PanelView, mend: Moves) -> Iterator[Finding]:
    """Holes, new or there already, that reach onto the arc of a fold."""
    for k, fold in enumerate(panel.layout.folds):
        zone = in_fold_zone(panel, k)
        for group, i, value, limit in _worst(panel, zone, zone.hits()):
            yield finding(
                HOLE_IN_FOLD,
                Severity.FAIL if panel.new[i] else Severity.WARN,
                f"{panel.where(group)} and the fold to {fold.other}",
                value=value,
                limit=limit,
                advice=mend.hole(i, f"at least {more(limit - value)} away from the fold")
                if panel.new[i]
                else f"{MEASURE_AGAIN} {panel.holes(group)} again, or the fold",
                proposals=mend.hole_moves(i) if panel.new[i] else (),
            )


def folds(panel: PanelView, limits: Limits, mend: Moves) -> Iterator[Finding]:
    """New holes near an edge shared with another panel."""
    for k, fold in enumerate(panel.layout.folds):
        zone = near_fold_zone(panel, k, limits)
        for group, i, value, limit in _worst(panel, zone, zone.hits(panel.new)):
            yield finding(
                HOLE_NEAR_FOLD,
                Severity.FAIL,
                f"{panel.where(group)} and the fold to {fold.other}",
                value=value,
                limit=limit,
                advice=mend.hole(i, f"at least {more(limit - value)} away from the fold"),
                proposals=mend.hole_moves(i),
            )


def _worst(
    panel: PanelView, zone: Zone, hits: dict[int, float]
) -> Iterator[tuple[list[int], int, float, float]]:
    """Holes mended together, the worst of them, and from its edge to the fold: what is and what is to be."""
    for group in panel.groups(hits):
        i = min(group, key=lambda k: hits[k] - float(panel.radius[k]))
        radius = float(panel.radius[i])
        yield group, i, hits[i] - radius, float(zone.within[i]) - radius
