"""Panel rules about room: what drills, nuts, spanners and fittings meet on either face."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from generators.checks.measure import Floats, Ints
from generators.checks.panel.moves import Moves, apart, apart_moves
from generators.checks.panel.view import PanelView, on_face
from generators.checks.panel.zones import Flags, Pairs, Zone
from generators.checks.rule import SAME_MM, Rule, finding, mm, more
from generators.model.findings import Finding, Severity
from generators.model.limits import Limits
from generators.model.plan import KeepOut
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


def drill_path_zone(panel: PanelView, k: int, limits: Limits) -> Zone:
    """Centres where a drill that breaks through would hit an obstacle, if one drills there."""
    near = panel.layout.keepouts[k].gap_mm < limits.drill_breakthrough_mm - SAME_MM
    return Zone(thing=panel.keepouts[k], within=panel.radius if near else np.zeros_like(panel.radius))


def _too_tall(panel: PanelView, k: int, face: str) -> Flags:
    out: Flags = panel.stand[face] > panel.layout.keepouts[k].gap_mm + SAME_MM
    return out


def keep_out_zone(panel: PanelView, k: int, face: str) -> Zone:
    """Centres whose fitting, too tall for the air there, would run into an obstacle on its face."""
    width = np.maximum(panel.radius, panel.nut[face])
    return Zone(thing=panel.keepouts[k], within=np.where(_too_tall(panel, k, face), width, 0.0))


def swing_zone(panel: PanelView, k: int, face: str) -> Zone:
    """Centres whose spanner would meet an obstacle on its face."""
    swing = panel.spanner[face]
    return Zone(thing=panel.keepouts[k], within=np.where(_too_tall(panel, k, face), swing, 0.0))


def outline_swing_zone(panel: PanelView, face: str) -> Zone:
    """Centres whose spanner would meet the outline of the panel."""
    return Zone(thing=panel.outline, within=np.where(panel.nut[face] > 0, panel.spanner[face], 0.0))


def nuts_apart(panel: PanelView, face: str) -> Pairs:
    """Centres of two nuts that would overlap."""
    nut = panel.nut[face]
    return lambda i, j: np.where((nut[i] > 0) & (nut[j] > 0), nut[i] + nut[j], 0.0)


def swings_apart(panel: PanelView, face: str) -> Pairs:
    """Centres of two nuts one of whose spanners would meet the other."""
    nut, spanner = panel.nut[face], panel.spanner[face]

    def within(i: Ints, j: Ints) -> Floats:
        swing = np.maximum(spanner[i] + nut[j], spanner[j] + nut[i])
        return np.where((nut[i] > 0) & (nut[j] > 0), swing, 0.0)

    return within


def zones(panel: PanelView, limits: Limits) -> Iterator[Zone]:
    """Where these rules let no centre lie; what can be moved aside stands in no drill's way for good."""
    for face in FACES:
        yield outline_swing_zone(panel, face)
    for k, keepout in enumerate(panel.layout.keepouts):
        if keepout.bead:
            continue
        if not keepout.movable:
            yield drill_path_zone(panel, k, limits)
        for face in FACES:
            if on_face(keepout, face):
                yield keep_out_zone(panel, k, face)
                yield swing_zone(panel, k, face)


def obstacles(panel: PanelView, limits: Limits, mend: Moves) -> Iterator[Finding]:
    """Fittings, drills and spanners against the obstacles of each face."""
    holes = np.array([h.status == "drill" for h in panel.layout.holes], dtype=np.bool_)
    drilled = holes | np.array([bool(h.tool) for h in panel.layout.holes], dtype=np.bool_) & panel.used
    for k, keepout in enumerate(panel.layout.keepouts):
        if keepout.bead:
            continue
        yield from _drills(
            panel, keepout, list(drill_path_zone(panel, k, limits).hits(drilled)), limits, mend
        )
        for face in FACES:
            if on_face(keepout, face):
                yield from _fittings(panel, k, face, mend)


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
            proposals=mend.hole_moves(i) if panel.new[i] and not keepout.movable else (),
        )


def _it(group: list[int]) -> str:
    return "them" if len(group) > 1 else "it"


def _stays(panel: PanelView, i: int, keepout: KeepOut) -> str:
    return (
        f"hole {panel.number(i)} exists and cannot be moved: use another hole, or move the "
        f"{keepout.reason} for good"
    )


def _fittings(panel: PanelView, k: int, face: Face, mend: Moves) -> Iterator[Finding]:
    keepout, zone = panel.layout.keepouts[k], keep_out_zone(panel, k, face)
    hit = zone.hits()
    short = {i: float(zone.within[i]) - out for i, out in hit.items()}
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
            proposals=mend.hole_moves(i) if panel.new[i] else (),
        )
    room = {i: out for i, out in swing_zone(panel, k, face).hits().items() if i not in hit}
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
            proposals=mend.hole_moves(i) if panel.new[i] else (),
        )


def nuts(panel: PanelView, mend: Moves) -> Iterator[Finding]:
    """Nuts and spanners against neighbouring nuts, and spanners against the outline."""
    i, j = panel.first, panel.second
    for face in FACES:
        needed, swing = nuts_apart(panel, face)(i, j), swings_apart(panel, face)(i, j)
        clash = ~panel.same & (panel.apart < needed - SAME_MM)
        yield from _pairs(mend, face, clash, needed, clash=True)
        tight = ~panel.same & ~clash & (panel.apart < swing - SAME_MM)
        yield from _pairs(mend, face, tight, swing, clash=False)
        room = outline_swing_zone(panel, face).hits(panel.depth >= panel.radius - SAME_MM)
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
            proposals=apart_moves(mend, i, j),
        )
