"""PanelView rules about room: what drills, nuts, spanners and fittings meet on either face."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from generators.checks.measure import Floats
from generators.checks.panel_view import BEAD, Flags, PanelView, Region, on_face
from generators.checks.rule import SAME_MM, finding, mm, mm_up, more
from generators.checks.rules_panel import DRILL_PATH, KEEP_OUT, NUT_CLASH, SPANNER_CLASH
from generators.model.findings import Finding, Severity
from generators.model.job import FACES, Limits
from generators.model.plan import KeepOut


def obstacles(panel: PanelView, limits: Limits) -> Iterator[Finding]:
    """Fittings, drills and spanners against the obstacles of each face."""
    drilled = panel.new | np.array([bool(h.tool) for h in panel.layout.holes], dtype=np.bool_) & panel.used
    for keepout, region in zip(panel.layout.keepouts, panel.keepouts, strict=True):
        if keepout.reason == BEAD:
            continue
        index, out = region.index, -region.depth
        if keepout.gap_mm < limits.drill_breakthrough_mm - SAME_MM:
            over = drilled[index] & (out < panel.radius[index] - SAME_MM)
            yield from _drills(panel, keepout, index[over].tolist(), limits)
        for face in FACES:
            if on_face(keepout, face):
                yield from _fittings(panel, keepout, region, face)


def _drills(panel: PanelView, keepout: KeepOut, holes: list[int], limits: Limits) -> Iterator[Finding]:
    for i in holes:
        near = on_face(keepout, panel.layout.holes[i].drill_face)
        side = "on the near side of" if near else "behind"
        movable = keepout.movable
        yield finding(
            DRILL_PATH,
            Severity.WARN if movable else Severity.FAIL,
            f"{panel.hole(i)} and {keepout.name}",
            value=mm(keepout.gap_mm),
            limit=mm_up(limits.drill_breakthrough_mm),
            advice=f"move the {keepout.reason} {side} hole {panel.number(i)} aside first, at least "
            f"{more(limits.drill_breakthrough_mm - keepout.gap_mm)}"
            if movable
            else f"move hole {panel.number(i)} clear of the {keepout.reason} {side} it: it needs "
            f"{more(limits.drill_breakthrough_mm - keepout.gap_mm)} more air",
        )


def _fittings(panel: PanelView, keepout: KeepOut, region: Region, face: str) -> Iterator[Finding]:
    index, out = region.index, -region.depth
    low = panel.stand[face][index] > keepout.gap_mm + SAME_MM
    width = np.maximum(panel.radius, panel.nut[face])[index]
    hit = low & (out < width - SAME_MM)
    for k in np.flatnonzero(hit).tolist():
        i = int(index[k])
        yield finding(
            KEEP_OUT,
            Severity.FAIL,
            f"{panel.hole(i)} and {keepout.name}, {face} face",
            value=f"{mm(keepout.gap_mm)} of air",
            limit=mm_up(panel.stand[face][i]),
            advice=f"move hole {panel.number(i)} at least {more(width[k] - out[k])} away from the "
            f"{keepout.reason}",
        )
    swing = panel.spanner[face][index]
    for k in np.flatnonzero(low & ~hit & (out < swing - SAME_MM)).tolist():
        i = int(index[k])
        yield _no_swing(panel, i, f"{keepout.name}, {face} face", out[k], swing[k], f"the {keepout.reason}")


def _no_swing(panel: PanelView, i: int, other: str, value: float, limit: float, what: str) -> Finding:
    return finding(
        SPANNER_CLASH,
        Severity.WARN,
        f"{panel.hole(i)} and {other}",
        value=mm(value),
        limit=mm_up(limit),
        advice=f"use a socket on hole {panel.number(i)}, or move it at least {more(limit - value)} away "
        f"from {what}",
    )


def nuts(panel: PanelView) -> Iterator[Finding]:
    """Nuts and spanners against neighbouring nuts, and spanners against the outline."""
    i, j = panel.first, panel.second
    for face in FACES:
        nut, spanner = panel.nut[face], panel.spanner[face]
        turning = (nut[i] > 0) & (nut[j] > 0) & ~panel.same
        needed = nut[i] + nut[j]
        clash = turning & (panel.apart < needed - SAME_MM)
        yield from _pairs(panel, face, clash, needed, clash=True)
        swing = np.maximum(spanner[i] + nut[j], spanner[j] + nut[i])
        tight = turning & ~clash & (panel.apart < swing - SAME_MM)
        yield from _pairs(panel, face, tight, swing, clash=False)
        inside = (panel.depth >= panel.radius - SAME_MM) & (nut > 0)
        for k in np.flatnonzero(inside & (panel.depth < spanner - SAME_MM)).tolist():
            yield _no_swing(
                panel, k, f"the outline, {face} face", panel.depth[k], spanner[k], "the panel's outline"
            )


def _pairs(panel: PanelView, face: str, chosen: Flags, needed: Floats, *, clash: bool) -> Iterator[Finding]:
    for k in np.flatnonzero(chosen).tolist():
        i, j = int(panel.first[k]), int(panel.second[k])
        stays, moves = panel.movable(i, j)
        short = more(needed[k] - panel.apart[k])
        move = f"move hole {panel.number(moves)} at least {short} away from hole {panel.number(stays)}"
        yield finding(
            NUT_CLASH if clash else SPANNER_CLASH,
            Severity.FAIL if clash else Severity.WARN,
            f"{panel.pair(i, j)}, {face} face",
            value=mm(panel.apart[k]),
            limit=mm_up(needed[k]),
            advice=move if clash else f"use a socket, or {move}",
        )
