"""Everything the drawn views show, as plain data, and the neighbourhoods they show it in."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np

from generators.drawing.space.sights import Sight, hose_sight, panel_sight, part_sight, piece_sight
from generators.geometry.frames import Matrix
from generators.model.hose_path import HosePath
from generators.model.plan import PanelLayout, PartPlan
from generators.solve.bodies.near import NearPair
from generators.space.pieces import Array, Point3
from generators.space.shown import AT_STOP, ZONES, Shown

APART_MM = 450.0
"""Things further than that from each other get views of their own."""
AROUND_MM = 40.0
"""What is shown round them."""
FOOT_MM = 90.0
"""Length of the arrow that shows the driver's foot, and its room."""
CORES = ("part", "cylinder", "reservoir", "fitting", "pedal", "pad", "rod", "stop")


@dataclass(frozen=True, kw_only=True)
class Foot:
    """Where a driver presses: the middle of a pad's face at rest, and the unit way it is pressed."""

    pedal: str
    at: Point3
    way: Point3


@dataclass(frozen=True, kw_only=True)
class SpaceSheet:
    """The job in the vehicle for the views: plans and paths with their poses, pieces, titles, gaps."""

    panels: tuple[tuple[PanelLayout, Matrix], ...] = ()
    parts: tuple[tuple[PartPlan, Matrix], ...] = ()
    hoses: tuple[tuple[HosePath, str], ...] = ()
    bodies: tuple[tuple[Shown, str], ...] = ()
    pairs: tuple[NearPair, ...] = ()
    feet: tuple[Foot, ...] = ()

    def sights(self) -> list[Sight]:
        """All of it as things to look at."""
        return list(self._sights)

    # several sheets show it
    @cached_property
    def _sights(self) -> tuple[Sight, ...]:
        out = [panel_sight(layout, matrix, layout.title) for layout, matrix in self.panels]
        out += [part_sight(plan, matrix, plan.title) for plan, matrix in self.parts]
        out += [hose_sight(path, title) for path, title in self.hoses]
        out += [
            piece_sight(body.name, title, body.kind, body.pieces, hides=body.group not in (AT_STOP, ZONES))
            for body, title in self.bodies
        ]
        return tuple(out)


@dataclass(eq=False)
class Place:
    """Things that stand near each other, and the room they take."""

    low: Array
    high: Array
    names: set[str] = field(default_factory=set)
    shown: list[tuple[Array, Array]] = field(default_factory=list)
    """Boxes of what a view must hold."""

    def holds(self, point: Point3) -> bool:
        """True for a point in the room."""
        return bool(np.all(np.array(point) >= self.low) and np.all(np.array(point) <= self.high))


def places(sights: Sequence[Sight], feet: Sequence[Foot] = ()) -> list[Place]:
    """Neighbourhoods, each with the panels its things stand on and all that stands whole within; the one with
    most things first."""
    out: list[Place] = []
    for sight in sights:
        if sight.kind in CORES:
            _join(out, Place(low=sight.low, high=sight.high, names={sight.name}))
    for place in out:
        low, high = place.low - 1.0, place.high + 1.0
        for panel in sights:
            if panel.kind == "panel" and np.all(panel.low < high) and np.all(panel.high > low):
                place.low, place.high = np.minimum(place.low, panel.low), np.maximum(place.high, panel.high)
        place.low, place.high = low, high = place.low - AROUND_MM, place.high + AROUND_MM
        place.shown = [(s.low, s.high) for s in sights if np.all(s.low >= low) and np.all(s.high <= high)]
        for foot in feet:
            back = np.array(foot.at) - FOOT_MM * np.array(foot.way)
            if np.all(np.array(foot.at) > low) and np.all(np.array(foot.at) < high):
                place.shown.append((back, back))
    return sorted(out, key=lambda place: -len(place.names))


def _join(out: list[Place], new: Place) -> None:
    """Put a thing to the neighbourhoods it is near, which it makes one."""
    near = [
        p
        for p in out
        if np.linalg.norm(np.maximum(np.maximum(p.low - new.high, new.low - p.high), 0.0)) <= APART_MM
    ]
    for other in near:
        out.remove(other)
        new.low, new.high = np.minimum(new.low, other.low), np.maximum(new.high, other.high)
        new.names |= other.names
    out.append(new)
