"""Panel rules about room: what drills, nuts, spanners and fittings meet on either face."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from generators.checks.measure import Floats
from generators.checks.panel.moves import Moves, apart
from generators.checks.panel.view import Flags, PanelView, Region, on_face
from generators.checks.rule import SAME_MM, Rule, finding, mm, more
from generators.model.findings import Finding, Severity
from generators.model.plan import KeepOut
from generators.model.spec.job import Limits
from generators.model.words import FACES, Face

KEEP_OUT = Rule(
    code="keep-out",
    title="Fitting runs into an obstacle",
    meaning=(
        "What stands off the panel there (the fitting's reach, or the nut) is taller than the air under the "
        "obstacle, and the hole or nut circle meets it. A nut without a stated reach counts as tall as its "
        "hole is wide."
    ),
    formula="gap of the obstacle >= reach or nut height on that face, or circles clear of it",
    source="geometry",
    trust="C",
    mend="Move the hole, turn the fitting round, or move the obstacle for good.",
)

DRILL_PATH = Rule(
    code="drill-path",
    title="Drill breaks into something",
    meaning=(
        "A drill jumps when it breaks through, and on the near side its point and chuck need room. "
        "Something over the hole on either face nearer than that is hit. What can be moved is a warning."
    ),
    formula="gap of the obstacle over the hole >= drill_breakthrough_mm (25 mm)",
    source="common practice, no source",
    trust="CP",
    mend="Move it aside first, put a stop on the drill, or move the hole.",
    limit_key="drill_breakthrough_mm",
)

NUT_CLASH = Rule(
    code="nut-clash",
    title="Two nuts overlap",
    meaning="The corner circles of two nuts or heads on one face overlap, so one cannot be turned.",
    formula="centre to centre >= half of both corner circles",
    source="geometry; corner circle = across flats x 2 / sqrt(3)",
    trust="C",
    mend="Move one of the holes, or turn one fitting round.",
)

SPANNER_CLASH = Rule(
    code="spanner-clash",
    title="No room to swing a spanner",
    meaning="The circle a spanner's head sweeps meets another nut, an obstacle or the panel's outline.",
    formula="centre to it >= half the spanner circle (2.2 x across flats)",
    source="common practice, no source",
    trust="CP",
    mend="Use a socket, tighten in the right order, or move the hole.",
)

RULES = (
    KEEP_OUT,
    DRILL_PATH,
    NUT_CLASH,
    SPANNER_CLASH,
)


def obstacles(panel: PanelView, limits: Limits, mend: Moves) -> Iterator[Finding]:
    """Fittings, drills and spanners against the obstacles of each face."""
    drilled = panel.new | np.array([bool(h.tool) for h in panel.layout.holes], dtype=np.bool_) & panel.used
    for keepout, region in zip(panel.layout.keepouts, panel.keepouts, strict=True):
        if keepout.bead:
            continue
        index, out = region.index, -region.depth
        if keepout.gap_mm < limits.drill_breakthrough_mm - SAME_MM:
            over = drilled[index] & (out < panel.radius[index] - SAME_MM)
            yield from _drills(panel, keepout, index[over].tolist(), limits, mend)
        for face in FACES:
            if on_face(keepout, face):
                yield from _fittings(panel, keepout, region, face, mend)


def _drills(
    panel: PanelView, keepout: KeepOut, holes: list[int], limits: Limits, mend: Moves
) -> Iterator[Finding]:
    air = more(limits.drill_breakthrough_mm - keepout.gap_mm)
    for group in panel.groups(holes):
        i = group[0]
        # holes of one part start from one face
        near = on_face(keepout, panel.layout.holes[i].drill_face)
        side = "on the near side of" if near else "behind"
        if keepout.movable:
            advice = f"move the {keepout.reason} {side} {panel.holes(group)} aside first, at least {air}"
        elif panel.new[i]:
            advice = mend.hole(
                i, f"clear of the {keepout.reason} {side} {_it(group)}: it needs {air} more air"
            )
        else:
            advice = _stays(panel, i, keepout)
        yield finding(
            DRILL_PATH,
            Severity.WARN if keepout.movable else Severity.FAIL,
            f"{panel.where(group)} and {keepout.name}",
            value=keepout.gap_mm,
            found=f"{mm(keepout.gap_mm)} of air",
            limit=limits.drill_breakthrough_mm,
            advice=advice,
        )


def _it(group: list[int]) -> str:
    return "them" if len(group) > 1 else "it"


def _stays(panel: PanelView, i: int, keepout: KeepOut) -> str:
    return (
        f"hole {panel.number(i)} exists and cannot be moved: use another hole, or move the "
        f"{keepout.reason} for good"
    )


def _fittings(
    panel: PanelView, keepout: KeepOut, region: Region, face: Face, mend: Moves
) -> Iterator[Finding]:
    index, out = region.index, -region.depth
    low = panel.stand[face][index] > keepout.gap_mm + SAME_MM
    width = np.maximum(panel.radius, panel.nut[face])[index]
    hit = low & (out < width - SAME_MM)
    short = {int(index[k]): float(width[k] - out[k]) for k in np.flatnonzero(hit).tolist()}
    for group in panel.groups(short):
        i = max(group, key=lambda k: short[k])
        tall = max(float(panel.stand[face][k]) for k in group)
        away = f"at least {more(short[i])} away from the {keepout.reason}"
        yield finding(
            KEEP_OUT,
            Severity.FAIL,
            f"{panel.where(group)} and {keepout.name}, {face} face",
            value=keepout.gap_mm,
            found=f"{mm(keepout.gap_mm)} of air",
            limit=tall,
            advice=mend.hole(i, away) if panel.new[i] else _stays(panel, i, keepout),
        )
    swing = panel.spanner[face][index]
    tight = low & ~hit & (out < swing - SAME_MM)
    room = {int(index[k]): float(out[k]) for k in np.flatnonzero(tight).tolist()}
    yield from _no_swing(panel, room, f"{keepout.name}, {face} face", face, f"the {keepout.reason}", mend)


def _no_swing(
    panel: PanelView, room: dict[int, float], other: str, face: Face, what: str, mend: Moves
) -> Iterator[Finding]:
    """Spanners that have only ``room`` (mm, by hole) to swing beside something."""
    swing = panel.spanner[face]
    for group in panel.groups(room):
        i = max(group, key=lambda k: float(swing[k]) - room[k])
        socket = f"use a socket on {panel.holes(group)}"
        away = f"at least {more(swing[i] - room[i])} away from {what}"
        yield finding(
            SPANNER_CLASH,
            Severity.WARN,
            f"{panel.where(group)} and {other}",
            value=room[i],
            limit=swing[i],
            advice=f"{socket}, or {mend.hole(i, away)}" if panel.new[i] else socket,
        )


def nuts(panel: PanelView, mend: Moves) -> Iterator[Finding]:
    """Nuts and spanners against neighbouring nuts, and spanners against the outline."""
    i, j = panel.first, panel.second
    for face in FACES:
        nut, spanner = panel.nut[face], panel.spanner[face]
        turning = (nut[i] > 0) & (nut[j] > 0) & ~panel.same
        needed = nut[i] + nut[j]
        clash = turning & (panel.apart < needed - SAME_MM)
        yield from _pairs(mend, face, clash, needed, clash=True)
        swing = np.maximum(spanner[i] + nut[j], spanner[j] + nut[i])
        tight = turning & ~clash & (panel.apart < swing - SAME_MM)
        yield from _pairs(mend, face, tight, swing, clash=False)
        inside = (panel.depth >= panel.radius - SAME_MM) & (nut > 0)
        short = np.flatnonzero(inside & (panel.depth < spanner - SAME_MM)).tolist()
        room = {k: float(panel.depth[k]) for k in short}
        yield from _no_swing(panel, room, f"the outline, {face} face", face, "the panel's outline", mend)


def _pairs(mend: Moves, face: Face, chosen: Flags, needed: Floats, *, clash: bool) -> Iterator[Finding]:
    panel = mend.panel
    for k in np.flatnonzero(chosen).tolist():
        i, j = int(panel.first[k]), int(panel.second[k])
        move = apart(mend, i, j, more(needed[k] - panel.apart[k]))
        yield finding(
            NUT_CLASH if clash else SPANNER_CLASH,
            Severity.FAIL if clash else Severity.WARN,
            f"{panel.pair(i, j)}, {face} face",
            value=panel.apart[k],
            limit=needed[k],
            advice=move if clash else f"use a socket, or {move}",
        )
