"""The table of corners: with it the outline of a blank follows from printed sizes alone.

A corner that is rounded stands with its theoretical sharp corner, where its straight sides would meet,
and its radius. Where an arc turns so far that this point lies far off the part, or is none at all, the
arc's middle stands instead; the sides run into it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from generators.drawing.part.tables.datums import Datums
from generators.drawing.part.tables.openings import Opening
from generators.drawing.part.tables.table import Table
from generators.figures import fixed
from generators.geometry.contours import arc_middle, arc_of, segments
from generators.model.contour import Contour, Vertex
from generators.model.plan import Hole

Point = tuple[float, float]

LETTERS = "abcdefhkmnrstuvwxz"
"""Without those that look like figures, and those that reach below the line and touch the outline."""

SHARP_TURN_RAD = math.radians(120)
"""An arc that turns farther is given by its middle: at 120° the sharp corner is its radius outside it."""

SAME_MM = 1e-6
NONE = "–"


@dataclass(frozen=True, slots=True, kw_only=True)
class Corner:
    """A corner of a blank: ``place`` is its theoretical sharp corner or, of a ``round`` one, its centre.

    ``seen`` lies on the outline; ``enters`` and ``leaves`` are the ends of its arc, or the corner itself. A
    ``hollow`` one is round about a middle outside the sheet. Blank coordinates, mm.
    """

    letter: str
    place: Point
    radius_mm: float
    seen: Point
    enters: Point
    leaves: Point
    round: bool = False
    hollow: bool = False
    hole: str = ""


def _letter(index: int) -> str:
    count = len(LETTERS)
    return LETTERS[index] if index < count else LETTERS[index // count - 1] + LETTERS[index % count]


def corners_of(contour: Contour, openings: Sequence[Opening] = ()) -> tuple[Corner, ...]:
    """The corners of an outline in turn, counter-clockwise from the lower left one.

    ``openings`` are those an arc may be about; it is then given by their number.
    """
    sides = list(segments(contour))
    found: list[Corner] = []
    for (before, _), (a, b) in zip([sides[-1], *sides], sides, strict=False):
        if a.bulge:
            corner = _arc(a, b, openings)
            last = found[-1] if found else None
            if last is None or not (
                last.round and corner.round and math.dist(last.place, corner.place) < SAME_MM
            ):
                found.append(corner)
        elif not before.bulge:
            place = (a.u, a.v)
            found.append(
                Corner(letter="", place=place, radius_mm=0.0, seen=place, enters=place, leaves=place)
            )
    first = min(range(len(found)), key=lambda i: (round(sum(found[i].seen), 6), i))
    ordered = found[first:] + found[:first]
    return tuple(replace(c, letter=_letter(i)) for i, c in enumerate(ordered))


def _arc(a: Vertex, b: Vertex, openings: Sequence[Opening]) -> Corner:
    arc = arc_of(a, b)
    middle = arc_middle(a, b)
    enters, leaves = (a.u, a.v), (b.u, b.v)
    if abs(arc.sweep) <= SHARP_TURN_RAD:
        # along the tangent at its beginning
        heading = arc.start + math.copysign(math.pi / 2, arc.sweep)
        back = arc.radius * math.tan(abs(arc.sweep) / 2)
        sharp = a.u + back * math.cos(heading), a.v + back * math.sin(heading)
        return Corner(letter="", place=sharp, radius_mm=arc.radius, seen=middle, enters=enters, leaves=leaves)
    centre = arc.cu, arc.cv
    about = next(
        (
            o.number.rstrip("*")
            for o in openings
            if isinstance(o.item, Hole) and math.dist((o.item.u_mm, o.item.v_mm), centre) < SAME_MM
        ),
        "",
    )
    return Corner(
        letter="",
        place=centre,
        radius_mm=arc.radius,
        seen=middle,
        round=True,
        hollow=arc.sweep < 0,
        hole=about,
        enters=enters,
        leaves=leaves,
    )


def _round_table(only: Corner, datums: Datums) -> Table:
    """A blank that is one circle."""
    place = fixed(only.place[0] - datums.u_mm, 2), fixed(only.place[1] - datums.v_mm, 2)
    return Table(
        name="corners",
        title="OUTLINE",
        heads=("outline", "X mm", "Y mm", "Ø mm"),
        rows=(("circle", *place, fixed(2 * only.radius_mm, 2)),),
        left=(True, False, False, False),
    )


def corner_table(corners: Sequence[Corner], datums: Datums) -> Table:
    """Letter, place and radius of every corner."""
    if len(corners) == 1 and corners[0].round:
        return _round_table(corners[0], datums)
    rounds = any(c.round for c in corners)
    rows = []
    for c in corners:
        place = fixed(c.place[0] - datums.u_mm, 2), fixed(c.place[1] - datums.v_mm, 2)
        if c.hole:
            place = f"hole {c.hole}", NONE
        row = (c.letter, *place, fixed(c.radius_mm, 2) if c.radius_mm else NONE)
        kind = "corner" if not c.round else "centre, hollow" if c.hollow else "centre"
        rows.append((*row, kind) if rounds else row)
    notes = ["Counter-clockwise in turn. X, Y: where the straight sides meet. R: radius there, – none."]
    if rounds:
        notes.append("centre: X, Y are the arc's centre; the straight sides run into it.")
    return Table(
        name="corners",
        title="CORNERS",
        heads=("corner", "X mm", "Y mm", "R mm", *(("X, Y are",) if rounds else ())),
        rows=tuple(rows),
        left=(True, False, False, False, *((True,) if rounds else ())),
        notes=tuple(notes),
    )
