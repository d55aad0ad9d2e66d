"""Rules on a drill guide where it lies: what it lies on, and whether it goes on in one way only."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence

from shapely.geometry import Polygon

from generators.checks.rule import SAME_MM, Rule, finding, listed, mm
from generators.geometry.contours import Placement, polyline, transformed
from generators.model.findings import Finding, Severity
from generators.model.plan import PanelHole, PanelLayout, PartPlan, Peg
from generators.model.words import Face

TOUCH_MM2 = 0.01


LOOSEST_MM = 2.0
"""A peg with more play than this to each side plainly is in the wrong hole: ours."""

GUIDE_NO_ROOM = Rule(
    code="guide-no-room",
    title="Guide does not lie flat",
    meaning=(
        "Something on that face of the panel, a bead or a thing mounted there, lies under the block: the "
        "guide rocks, its bores lean, and its pegs do not go home."
    ),
    formula="no bead, and nothing nearer to the face than the block is thick, under the outline of the block",
    source="closed form",
    trust="C",
    mend="Choose other pegs or guide fewer holes, so that the block keeps clear; or move the thing aside.",
)

GUIDE_REVERSIBLE = Rule(
    code="guide-reversible",
    title="Guide also fits the wrong way round",
    meaning=(
        "Turned on the panel, every peg finds a hole again, and all new holes would come in the wrong place. "
        "Only its drawing and its step show it."
    ),
    formula="no other turn puts every peg into an existing hole with up to 2 mm of play to each side",
    source="rigid motion, closed form; a peg that is looser than that is noticed: ours",
    trust="CP",
    mend="Add a peg in a third hole, or choose two holes of clearly different diameters.",
)

RULES = (
    GUIDE_NO_ROOM,
    GUIDE_REVERSIBLE,
)


def check_guide(plan: PartPlan, place: Placement, face: Face, layout: PanelLayout) -> Iterator[Finding]:
    """Findings on a guide that lies with its root frame at ``place`` on a face of a panel."""
    where = f"part:{plan.name} on panel:{layout.panel}"
    block = Polygon(polyline(transformed(plan.flanges[0].contour, place)))
    for keepout in layout.keepouts:
        if keepout.face != face or keepout.gap_mm >= plan.thickness_mm - SAME_MM:
            continue
        if block.intersection(Polygon(polyline(keepout.contour))).area <= TOUCH_MM2:
            continue
        movable = keepout.movable and not keepout.bead
        yield finding(
            GUIDE_NO_ROOM,
            Severity.NOTE if movable else Severity.FAIL,
            f"{where} and {keepout.name}",
            value=keepout.gap_mm,
            found=f"{mm(keepout.gap_mm)} of air",
            limit=plan.thickness_mm,
            advice=f"move the {keepout.reason} aside before the guide goes on"
            if movable
            else f"choose pegs and holes so that the block keeps clear of the {keepout.reason}",
        )
    yield from _ways_round(plan.flanges[0].pegs, place, layout, where)


def _at(peg: Peg, place: Placement) -> complex:
    return complex(*place.apply(peg.u_mm, peg.v_mm))


def _ways_round(pegs: Sequence[Peg], place: Placement, layout: PanelLayout, where: str) -> Iterator[Finding]:
    """The first other way to lay the guide on: a turn and a shift, for the pegs all stand on one side.

    Two pegs and the holes they are put in fix the move; then every peg must find a hole.
    """
    spots = [_at(peg, place) for peg in pegs]
    # while it lies there only these holes are open: what the panel has, and what its own pegs drop into
    holes = [
        h
        for h in layout.holes
        if h.status in ("datum", "blank") or any(abs(_centre(h) - s) <= SAME_MM for s in spots)
    ]
    first = spots[0]
    far = max(range(len(spots)), key=lambda i: abs(spots[i] - first))
    arm = spots[far] - first
    for one, other in itertools.permutations(holes, 2):
        goal = _centre(other) - _centre(one)
        slack = _play(one, pegs[0]) + _play(other, pegs[far])
        if abs(_centre(one) - first) + abs(_centre(other) - spots[far]) <= SAME_MM:
            continue  # as it should lie
        if not (_takes(one, pegs[0]) and _takes(other, pegs[far])) or abs(goal) < SAME_MM:
            continue
        if abs(abs(goal) - abs(arm)) > slack + SAME_MM:
            continue
        turn = goal / arm / abs(goal / arm)
        found = [
            _hole_at(_centre(one) + turn * (spot - first), peg, holes)
            for spot, peg in zip(spots, pegs, strict=True)
        ]
        found[0], found[far] = one, other
        if all(found):
            moved = [f"{p.name} in hole {h.number}" for p, h in zip(pegs, found, strict=True) if h]
            yield finding(
                GUIDE_REVERSIBLE,
                Severity.WARN,
                where,
                found=listed(moved),
                wanted="one way round",
                advice="add a peg in a third hole, or choose holes of different diameters",
            )
            return


def _centre(hole: PanelHole) -> complex:
    return complex(hole.u_mm, hole.v_mm)


def _play(hole: PanelHole, peg: Peg) -> float:
    """How far a peg's middle may lie off the hole's, mm; negative when it does not go in."""
    return (hole.final_dia_mm - peg.diameter_mm) / 2


def _takes(hole: PanelHole, peg: Peg) -> bool:
    """True when the peg goes into the hole and looks as if it belonged there."""
    return -SAME_MM <= _play(hole, peg) <= LOOSEST_MM


def _hole_at(place: complex, peg: Peg, holes: Sequence[PanelHole]) -> PanelHole | None:
    """The hole that takes this peg when its middle is put at ``place``, or None."""
    for hole in holes:
        if _takes(hole, peg) and abs(place - _centre(hole)) <= _play(hole, peg) + SAME_MM:
            return hole
    return None
