"""What the installer should know of a panel's holes: tools, the witness hole, wide reused holes."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence

import numpy as np

from generators.checks.panel.view import PanelView
from generators.checks.rule import (
    SAME_MM,
    Rule,
    finding,
    listed,
    mm,
    mm_up,
    more,
)
from generators.figures import fixed
from generators.geometry.contours import bounds
from generators.layout.closing import LEAST_LAP_MM, closings
from generators.model.findings import Finding, Severity
from generators.model.plan import PanelHole

WITNESS_HOLE_OFF_MM = 10.0
"""A witness hole nearer the middle than this looks right on a mirrored sheet too: ours."""

BEARING_MM = 1.0
"""Least rim of a nut or head round its hole: common practice, no source."""

CORNERS_PER_FLATS = 2 / 3**0.5
BY_HAND = "twist drill"
TWIST_MOST_MM = 13.0
"""Widest chuck of a common hand drill, 1/2 in: common practice, no source."""

TWIST_IN_SHEET_MM = 10.0
"""A wider twist drill leaves no round hole in thin sheet: common practice, no source."""


HOLE_TOOL = Rule(
    code="hole-tool",
    title="Needs more than a twist drill",
    meaning=(
        "A twist drill alone does not make this hole: it is too large for one in sheet, or no drill one can "
        "buy lies within the hole's limits, so that it is drilled below and filed to size."
    ),
    formula="D > 13 mm, > 10 mm in sheet under 3 mm; no size within limits; a head; an existing hole to open",
    source="common practice, no source",
    trust="CP",
    mend="Have the tool at hand before you start.",
)

NO_WITNESS_HOLE = Rule(
    code="no-witness-hole",
    title="Nothing shows a flipped sheet",
    meaning=(
        "A witness hole is an existing hole well off the middle of the panel. On a sheet taped the wrong way "
        "round its circle lies beside the real hole. Ours: at least 10 mm off, so that a flip shows by 20 mm."
    ),
    formula="witness hole at least 10 mm beside the outline's middle",
    source="ours, no source",
    trust="CP",
    mend="Name an existing hole that is well off the middle as witness_hole.",
)

REUSE_OVERSIZE = Rule(
    code="reuse-oversize",
    title="Reused hole nearly as wide as its nut",
    meaning="The nut would bear on too narrow a ring of metal. Ours: at least 1 mm all round.",
    formula="(nut across flats - hole) / 2 >= 1 mm",
    source="ours, no source",
    trust="CP",
    mend="Put a thick washer or a doubler under the nut, or drill a new hole.",
)

BLANK_ROOM = Rule(
    code="blank-room",
    title="No room to close an old hole",
    meaning=(
        "A plate over an old hole wants a flat ring for its rivets, a plug flat metal for its lips. Neither "
        "face leaves that between other parts, keep-outs, bolts, bends and the edge. Old holes near each "
        "other are taken under one plate."
    ),
    formula="ring on one face >= 12.7 mm (2 D of a 1/8 in rivet each way), or on both >= 5 mm for a plug",
    source="AC 43.13-1B 4-57c for the rivets, common practice for the plug",
    trust="CP",
    mend="Move the part beside it, use the hole again, or have a disc welded in flush.",
)

RULES = (
    BLANK_ROOM,
    HOLE_TOOL,
    NO_WITNESS_HOLE,
    REUSE_OVERSIZE,
)


def _why_that_size(panel: PanelView, holes: Sequence[int]) -> str:
    """Why holes get another size than was typed: what their limits are, where they all have the same."""
    drilled = [panel.layout.holes[i] for i in holes]
    limits = {(hole.least_mm, hole.most_mm) for hole in drilled}
    if any(hole.status != "drill" or hole.filed or hole.head_mm for hole in drilled) or len(limits) != 1:
        return ""
    ((least, most),) = limits
    return f", the size one can buy within {fixed(least, 2)} to {mm(most)}" if most > 0 else ""


def notes(panel: PanelView) -> Iterator[Finding]:
    """What the installer should know: tools, the witness hole, wide reused holes."""
    tools: dict[str, list[int]] = defaultdict(list)
    for i, hole in enumerate(panel.layout.holes):
        if panel.used[i] and hole.tool and not _by_twist_drill(hole):
            tools[hole.tool].append(i)
    for tool, holes in sorted(tools.items()):
        first = panel.layout.holes[holes[0]]
        sizes = listed(mm(d) for d in sorted({panel.layout.holes[i].final_dia_mm for i in holes}))
        wide = first.final_dia_mm > TWIST_MOST_MM
        large = first.status == "drill" and not first.head_mm and not first.filed
        yield finding(
            HOLE_TOOL,
            Severity.NOTE,
            panel.where(holes),
            value=max(panel.layout.holes[i].final_dia_mm for i in holes),
            limit=None if not large else TWIST_MOST_MM if wide else TWIST_IN_SHEET_MM,
            found=f"{sizes} in {panel.layout.thickness_mm:g} mm sheet",
            wanted="a plain hole"
            if first.head_mm
            else "a new hole"
            if first.status == "reuse"
            else "a drill one can buy within the hole's limits"
            if first.filed
            else f"{TWIST_MOST_MM:g} mm for a twist drill"
            if wide
            else f"{TWIST_IN_SHEET_MM:g} mm for a twist drill in sheet",
            advice=f"have this at hand for {panel.holes(holes)}: {tool}{_why_that_size(panel, holes)}",
        )
    yield from _witness_hole(panel)
    yield from _blank_room(panel)
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
                value=ring,
                limit=BEARING_MM,
                advice=f"put a thick washer or a doubler under the nut in hole {panel.number(i)}: it needs "
                f"{more(BEARING_MM - ring)} more to bear on all round",
            )


def _blank_room(panel: PanelView) -> Iterator[Finding]:
    for done in closings(panel.layout):
        if done.plate or done.plug:
            continue
        i = panel.layout.holes.index(done.holes[0])
        free = done.room.free_mm
        yield finding(
            BLANK_ROOM,
            Severity.WARN,
            panel.hole(i),
            value=free,
            limit=LEAST_LAP_MM,
            found=f"{mm(free)} on the {done.room.face} side, to {done.room.ends_at}",
            advice=f"use hole {panel.number(i)} again or have a disc welded in flush: no plate or plug fits",
        )


def _by_twist_drill(hole: PanelHole) -> bool:
    """True where an ordinary drill in an ordinary chuck makes the whole hole."""
    plain = hole.status == "drill" and not hole.head_mm and not hole.filed
    return plain and hole.tool.startswith(BY_HAND) and hole.final_dia_mm <= TWIST_MOST_MM


def _witness_hole(panel: PanelView) -> Iterator[Finding]:
    layout = panel.layout
    low, _, high, _ = bounds(layout.contour)
    witness = next((h for h in layout.holes if h.name == layout.witness_hole and h.status != "drill"), None)
    off = abs(witness.u_mm - (low + high) / 2) if witness is not None else 0.0
    if witness is None or off < WITNESS_HOLE_OFF_MM - SAME_MM:
        named = layout.witness_hole
        none = f"{named} is no existing hole" if named else "no witness_hole is named"
        least = mm_up(WITNESS_HOLE_OFF_MM)
        yield finding(
            NO_WITNESS_HOLE,
            Severity.NOTE,
            f"panel:{layout.panel}",
            value=None if witness is None else off,
            limit=WITNESS_HOLE_OFF_MM,
            found=none if witness is None else f"{witness.name} is {mm(off)} beside the middle of the panel",
            wanted=f"an existing hole at least {least} beside it"
            if witness is not None
            else f"an existing hole at least {least} beside the middle of the panel",
            advice="set witness_hole to an existing hole at least "
            f"{more(WITNESS_HOLE_OFF_MM)} left or right of the middle, so that a flipped sheet shows",
        )
