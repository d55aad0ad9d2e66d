"""Which way round a part goes on its panel, by its own edges: its bolts often fit several ways."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from itertools import pairwise
from types import MappingProxyType

import shapely
from shapely.geometry import Polygon

from generators.figures import format_short
from generators.geometry.contours import polyline
from generators.model.plan import Footprint, PanelLayout, PartPlan
from generators.model.words import Face
from generators.sheetmetal.folding import flat_pattern
from generators.sheetmetal.marking.etching import etching

Point = tuple[float, float]
Turn = tuple[float, float]

TOLD_MM = 0.3
"""An opening that lands on a like one within this is no other place (ours, half a bolt's clearance in M5)."""

SEEN_MM = 3.0
"""From this difference on a rule laid on by hand tells edges apart (common practice, no source)."""

SQUARE = 0.85
"""Least share of its box an outline fills for its edges to be the box's (ours)."""

CHORD_MM = 0.02

TURNS: Mapping[str, Turn] = MappingProxyType(
    {"turned over": (-1.0, 1.0), "turned over endways": (1.0, -1.0), "upside down": (-1.0, -1.0)}
)
"""The other ways a plate goes on, u and v by these about its middle; one with legs is only turned about."""

PEN = "Mark it UP with a pen on the face you then see, and look at that each time it goes on."


@dataclass(frozen=True, slots=True, kw_only=True)
class _Mark:
    """An opening of a part as it lies, from the middle of its box, mm, with its number if it has one.

    A slot is ``long_mm`` along, a round one as long as it is wide.
    """

    at: Point
    wide_mm: float
    long_mm: float
    number: str

    def words(self, layout: PanelLayout) -> str:
        """``opening for hole 30 (30 mm wide)``."""
        what = "opening" if self.long_mm - self.wide_mm < TOLD_MM else "slot"
        return f"{what} for hole {self.number} ({format_short(self.wide_mm, layout.units, 1)} wide)"


def way_round_words(plan: PartPlan, layout: PanelLayout, face: Face) -> str:
    """Which way round a part lies, each sentence after a blank; empty for one that lies on no panel.

    Distances from its edges, of the opening that is furthest from its like in every other way round.
    """
    lies = next((f for f in layout.footprints if f.part == plan.name and f.face == face), None)
    if lies is None or plan.printed:
        return ""
    shape = Polygon(polyline(lies.contour, CHORD_MM))
    u0, v0, u1, v1 = shape.bounds
    middle, half = ((u0 + u1) / 2, (v0 + v1) / 2), ((u1 - u0) / 2, (v1 - v0) / 2)
    marks = list(_marks(lies, layout, middle))
    flat = len(plan.flanges) == 1
    turns = [turn for name, turn in TURNS.items() if flat or name == "upside down"]
    wrong = [turn for turn in turns if _differs(marks, shape, middle, turn)]
    etched = _etched(plan, marks, face)
    if not wrong:
        return f" It may go on {'any' if flat else 'either'} way round."
    told = [mark for mark in marks if mark.number]
    square = shape.area >= SQUARE * 4 * half[0] * half[1]
    best = max(told, key=lambda m: min(_off(m, marks, turn) for turn in wrong), default=None)
    if best is None or not square or not _off_any(best, marks, wrong):
        return f" Which way round: as its picture shows it.{etched} {PEN}"
    across, up = _edges(best, half, face), (half[1] - best.at[1], half[1] + best.at[1])
    head = f"as you stand on the {face} side: its {best.words(layout)} is"
    say = partial(format_short, units=layout.units, places=1)
    high = f"{say(up[0])} from its upper edge and {say(up[1])} from its lower one"
    if not flat:
        return f" Which way up, {head} {high.replace('its', 'the', 1)}, where it lies on the metal.{etched}"
    wide = f"{say(across[0])} from its left-hand edge and {say(across[1])} from its right-hand one"
    return f" Which way round, {head} {wide}, {high}.{_fits_wrong(best, marks, wrong)}{etched} {PEN}"


def _off_any(mark: _Mark, marks: Sequence[_Mark], wrong: Sequence[Turn]) -> bool:
    return max(_off(mark, marks, turn) for turn in wrong) > TOLD_MM


def _marks(lies: Footprint, layout: PanelLayout, middle: Point) -> Iterator[_Mark]:
    for opening in lies.openings:
        ring = Polygon(polyline(opening, CHORD_MM))
        u, v = ring.centroid.x, ring.centroid.y
        wide, long = _sides(ring)
        near = [h for h in layout.holes if abs(h.u_mm - u) < TOLD_MM and abs(h.v_mm - v) < TOLD_MM]
        yield _Mark(
            at=(u - middle[0], v - middle[1]),
            wide_mm=wide,
            long_mm=long,
            number=near[0].number if near else "",
        )


def _sides(ring: Polygon) -> Point:
    """Across an opening and along it, mm: of a round one the same twice."""
    corners = shapely.get_coordinates(shapely.minimum_rotated_rectangle(ring)).tolist()
    sides = sorted(math.dist(one, other) for one, other in pairwise(corners))
    return sides[0], sides[-1]


def _off(mark: _Mark, marks: Sequence[_Mark], turn: Turn) -> float:
    """How far an opening is from any like one once the part is turned, mm."""
    like = [m for m in marks if abs(m.wide_mm - mark.wide_mm) < TOLD_MM]
    return min(math.dist(mark.at, (turn[0] * m.at[0], turn[1] * m.at[1])) for m in like)


def _differs(marks: Sequence[_Mark], shape: Polygon, middle: Point, turn: Turn) -> bool:
    """True where a part that is turned so is another one: in its openings, or in its outline."""
    if any(_off(mark, marks, turn) > TOLD_MM for mark in marks):
        return True

    def turned(u: float, v: float) -> Point:
        return middle[0] + turn[0] * (u - middle[0]), middle[1] + turn[1] * (v - middle[1])

    other = Polygon([turned(u, v) for u, v in shape.exterior.coords])
    return shapely.symmetric_difference(shape, other).area > TOLD_MM * shape.length


def _edges(mark: _Mark, half: Point, face: Face) -> Point:
    """From the left-hand and the right-hand edge to the middle of an opening, as seen from that face, mm."""
    left, right = half[0] + mark.at[0], half[0] - mark.at[0]
    # from the engine side u runs to the left
    return (right, left) if face == "engine" else (left, right)


def _fits_wrong(mark: _Mark, marks: Sequence[_Mark], wrong: Sequence[Turn]) -> str:
    """That it looks right though it is not: what a rule has to tell."""
    least = min(_off(mark, marks, turn) for turn in wrong)
    if least >= SEEN_MM:
        return " Another way round its bolts may go in and its other openings be in the wrong place."
    return " Another way round looks the same: measure to half a millimetre."


def _etched(plan: PartPlan, marks: Sequence[_Mark], face: Face) -> str:
    """Where the etched letters look: they are on the upper side, and the lower one lies on the panel."""
    letters = etching(plan, flat_pattern(plan)) if plan.etch else None
    if letters is None or letters.flange != plan.flanges[0].name:
        return ""
    u0, v0, u1, v1 = letters.box
    upright = u1 - u0 >= v1 - v0 and _unturned(plan, marks, face)
    reads = ", upright to read" if upright else ""
    return f" Its etched letters {plan.etch} look away from the metal{reads}."


def _unturned(plan: PartPlan, marks: Sequence[_Mark], face: Face) -> bool:
    """True for a part whose own up is the panel's: every opening lies in its box as it does in the plan."""
    u0, v0, u1, v1 = Polygon(polyline(plan.flanges[0].contour, CHORD_MM)).bounds
    way = -1.0 if face == "engine" else 1.0
    own = [(way * (o.u_mm - (u0 + u1) / 2), o.v_mm - (v0 + v1) / 2) for o in plan.flanges[0].openings]
    return all(min(math.dist(at, mark.at) for mark in marks) < TOLD_MM for at in own) if marks else False
