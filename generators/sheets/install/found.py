"""Where something is that sits in no hole of the job: from what a tape can be held to, in words."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from generators.geometry.frames import Matrix
from generators.model.plan import PanelHole, PanelLayout
from generators.model.spec.titles import within
from generators.model.words import OTHER, Face
from generators.sheets.hose_words import LinesSheet, about
from generators.units import UnitSystem

WAYS = (("rearward", "forward"), ("right", "left"), ("up", "down"))


@dataclass(frozen=True, slots=True, kw_only=True)
class Known:
    """A place a tape can be held to: a point of the vehicle, mm, and what it is called."""

    at: Matrix
    words: str


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
