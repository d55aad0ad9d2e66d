"""Rules on holes beside and on the folds of a panel."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from generators.checks.measure import line_distance
from generators.checks.panel.moves import Moves, setback
from generators.checks.panel.view import PanelView
from generators.checks.rule import (
    MEASURE_AGAIN,
    SAME_MM,
    Rule,
    finding,
    more,
)
from generators.model.findings import Finding, Severity
from generators.model.spec.job import Limits

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
                value=value[i],
                limit=limit,
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
                value=value[i],
                limit=limit,
                advice=mend.hole(i, f"at least {more(limit - value[i])} away from the fold"),
            )
