"""Where something is that sits in no hole of the job: from what a tape can be held to, in words."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from generators.geometry.determining import determining_pair
from generators.geometry.frames import Matrix
from generators.geometry.sight import Standing, in_the_way
from generators.model.install import Laid, StepTable, Task
from generators.model.plan import PanelHole, PanelLayout
from generators.model.spec.titles import within
from generators.model.words import OTHER, Face
from generators.sheets.hose_words import LinesSheet, about
from generators.sheets.install.paper import pricked
from generators.units import UnitSystem

WAYS = (("rearward", "forward"), ("right", "left"), ("up", "down"))


@dataclass(frozen=True, slots=True, kw_only=True)
class Known:
    """A place a tape can be held to: a point of the vehicle, mm, and what it is called."""

    at: Matrix
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class By:
    """What is so by a step: what stands on the panel, the tasks done, the sheets chosen."""

    fitted: tuple[Standing, ...] = ()
    done: tuple[Task, ...] = ()
    laid: tuple[Laid, ...] = ()


NOT_BEGUN = By()
SHOW, SHOWS = (f"{verb} the place it was worked out for" for verb in ("show", "shows"))


def told_from(here: Matrix, known: Sequence[Known], units: UnitSystem) -> str:
    """Where a point of the vehicle is, from the nearest known place; nothing where none is known.

    The straight distance is what a tape can check; the three others are level and plumb.
    """
    if not known:
        return ""
    nearest = min(known, key=lambda k: float(np.linalg.norm(here - k.at)))
    away = here - nearest.at
    steps = [
        f"{about(abs(d), units)} {way[int(d < 0)]}"
        for d, way in zip(away, WAYS, strict=True)
        if abs(d) >= 0.5
    ]
    straight = about(float(np.linalg.norm(away)), units)
    return f"{', '.join(steps) or 'at the very place'} of {nearest.words}; {straight} straight across"


def known_holes(here: Matrix, lines: LinesSheet, layouts: Mapping[str, PanelLayout]) -> tuple[Known, ...]:
    """The holes to measure from: those of bolts, whose middle can be found with the bolt in or out.

    Where no panel has one, those that something sits in.
    """
    bolts = [
        Known(at=at, words=f"the middle of hole {hole.number} (a bolt's) {where}")
        for layout in layouts.values()
        for hole in layout.holes
        if hole.kind == "bolt" and hole.status == "drill"
        for at, where in _faced(here, hole, lines, layout)
    ]
    return tuple(bolts) or tuple(
        Known(at=at, words=f"the middle of hole {hole.number} {where}")
        for place in lines.places.values()
        if place.panel and place.hole
        for layout in (layouts[place.panel],)
        for hole in layout.holes
        if hole.number == place.hole
        for at, where in _faced(here, hole, lines, layout)
    )


def _faced(
    here: Matrix, hole: PanelHole, lines: LinesSheet, layout: PanelLayout
) -> Iterator[tuple[Matrix, str]]:
    """The middle of a hole on the face that looks at a point, and where that is in words."""
    panel = next((p for p in lines.panels if p.name == layout.panel), None)
    if panel is None:
        return
    u, v = np.array(panel.u), np.array(panel.v)
    toward_cab = np.cross(u, v)
    at = np.array(panel.origin) + hole.u_mm * u + hole.v_mm * v
    face: Face = "cab"
    if float((here - at) @ toward_cab) < 0:
        face, at = OTHER[face], at - layout.thickness_mm * toward_cab
    yield at, f"of the {within(layout.title)}, on its {face} face"


def compared(layout: PanelLayout, holes: Sequence[PanelHole], face: Face, by: By) -> StepTable | None:
    """Where two holes of a part that is held on ``face`` were worked out to lie, from bolts fitted there.

    Each by its distances from the two bolts that fix it best, a rule's way clear on that face; the two holes
    are those furthest apart, so that the part cannot be turned. None where that face has no such bolts.
    """
    done = {task.key for task in by.done}
    there = [h for h in layout.holes if h.work.task in done and h.status in ("drill", "reuse")]
    bolts = [h for h in there if h.kind == "bolt"]
    ends = max(combinations(holes, 2), key=lambda two: _apart(*two), default=tuple(holes[:1]))
    rows = []
    for hole in ends:
        seen = [b for b in bolts if not in_the_way(layout, b, hole, face, by.fitted)]
        pair = determining_pair((hole.u_mm, hole.v_mm), [(b.u_mm, b.v_mm) for b in seen])
        if pair is None:
            return None
        rows += [(hole.number, seen[k].number, about(_apart(seen[k], hole), layout.units)) for k in pair]
    head = ("the part's own hole", "from the middle of hole or its bolt", "middle to middle")
    return StepTable(head=head, rows=tuple(rows), shares=(0.3, 0.4, 0.3)) if rows else None


def _apart(a: PanelHole, b: PanelHole) -> float:
    return math.hypot(a.u_mm - b.u_mm, a.v_mm - b.v_mm)


def worked_out(
    layout: PanelLayout | None, holes: Sequence[PanelHole], face: Face, by: By
) -> tuple[str, StepTable | None]:
    """What shows where a hose was worked out to put a thing, on the face it is held on."""
    if layout is not None and any(h.drill_face == face for h in pricked(layout, by.laid)):
        return f"What was pricked through the rings of its paper {SHOWS}.", None
    table = compared(layout, holes, face, by) if layout is not None else None
    if table is not None:
        return f"The distances below, read on the {face} face, {SHOW}.", table
    return f"The rings of its sheet, laid there by its existing holes, {SHOW}.", None
