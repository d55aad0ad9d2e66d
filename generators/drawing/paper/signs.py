"""How a hole looks on paper: its ring says when and how it is made, without a word and in grey.

A full cross is there to be punched, or to line the sheet up by. A hole that is not made through this paper
has none: it has a second ring where a part or a guide leads the drill, long dashes where a hose decides its
place.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from generators.drawing.paper.pen import BLACK, MEDIUM, THIN, Pen, wrap_text
from generators.model.plan import PanelHole
from generators.model.words import NEW

EXISTING_DASH = (2.0, 1.2)
LAST_DASH = (6.0, 1.6)
OUTER_MM = 2.4
"""How much wider, in diameter, the second ring is."""

TICK_MM, LEAST_ARM_MM, MOST_ARM_MM = 2.5, 4.0, 12.0
LEAST_RING_MM = 0.5
"""A ring this much narrower than another can be told from it."""

Segment = tuple[tuple[float, float], tuple[float, float]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Sign:
    """The lines of one hole.

    ``dash`` is that of its ring, ``inner_mm`` the diameter of an inner ring: pilot, or what is there.
    ``cross`` goes through the centre, ``ticks`` stand outside the ring only, ``outer`` is the second ring,
    ``closed`` an oblique cross within the ring.
    """

    dash: tuple[float, ...] | None = None
    inner_mm: float = 0.0
    inner_dash: tuple[float, ...] | None = None
    cross: bool = True
    ticks: bool = False
    outer: bool = False
    closed: bool = False

    def reach_mm(self, diameter_mm: float) -> float:
        """Radius of its widest ring, mm."""
        return (diameter_mm + (OUTER_MM if self.outer else 0.0)) / 2


def sign_of(hole: PanelHole) -> Sign:
    """The sign of a hole by its status and way."""
    work = hole.work
    if hole.status not in NEW:
        opened = work.when == "open" and LEAST_RING_MM < hole.final_dia_mm - hole.there_mm < hole.final_dia_mm
        return Sign(
            dash=EXISTING_DASH,
            inner_mm=hole.there_mm if opened else 0.0,
            inner_dash=EXISTING_DASH if opened else None,
            closed=work.when == "close",
        )
    if work.how == "hose":
        return Sign(dash=LAST_DASH, cross=False, ticks=True)
    pilot = hole.pilot_dia_mm if hole.pilot_dia_mm < hole.final_dia_mm - LEAST_RING_MM else 0.0
    if work.how in ("part", "guide"):
        return Sign(outer=True, cross=work.punched, inner_mm=pilot if work.punched else 0.0)
    return Sign(inner_mm=pilot)


def arms(x: float, y: float, diameter_mm: float, sign: Sign) -> Iterator[Segment]:
    """The straight lines of a sign at full size."""
    radius = sign.reach_mm(diameter_mm)
    arm = min(max(radius + TICK_MM, LEAST_ARM_MM), MOST_ARM_MM)
    for du, dv in ((1.0, 0.0), (0.0, 1.0)):
        if sign.cross:
            yield (x - arm * du, y - arm * dv), (x + arm * du, y + arm * dv)
        elif sign.ticks:
            for way in (-1.0, 1.0):
                near, far = way * (radius + 0.5), way * (radius + 0.5 + TICK_MM)
                yield (x + near * du, y + near * dv), (x + far * du, y + far * dv)
    if sign.closed:
        d = diameter_mm / 2 * math.sqrt(0.5)
        yield (x - d, y - d), (x + d, y + d)
        yield (x - d, y + d), (x + d, y - d)


def draw_sign(pen: Pen, x: float, y: float, diameter_mm: float, sign: Sign, line_mm: float = MEDIUM) -> None:
    """Draw a sign at full size; ``x`` and ``y`` in mm of the page, ``line_mm`` the width of its ring."""
    pen.stroke(line_mm, BLACK, sign.dash)
    pen.circle(x, y, diameter_mm)
    if sign.inner_mm:
        pen.stroke(THIN, BLACK, sign.inner_dash)
        pen.circle(x, y, sign.inner_mm)
    pen.stroke(THIN)
    if sign.outer:
        pen.circle(x, y, diameter_mm + OUTER_MM)
    for a, b in arms(x, y, diameter_mm, sign):
        pen.line(*a, *b)


# ------------------------------------------------------------------------------------------- the legend
SHOWN_MM, PILOT_MM, ROOM_MM, COLUMN_MM = 4.4, 1.8, 14.0, 56.0
LEGEND_LINE_MM = 0.28
"""Thinner than the ring of a hole at full size, so that no sign of the legend is taken for one."""

LEGEND: tuple[tuple[Sign, str], ...] = (
    (Sign(inner_mm=PILOT_MM), "Punch at the cross and drill now; the inner ring is the pilot."),
    (
        Sign(inner_mm=PILOT_MM, outer=True),
        "Punch and drill the pilot only; it is opened later, through the part named.",
    ),
    (
        Sign(cross=False, outer=True),
        "No cross: not through this paper. Drilled through the part or guide named, at its step.",
    ),
    (
        Sign(dash=LAST_DASH, cross=False, ticks=True),
        "No cross: not through this paper. Drilled last, where its hose puts it.",
    ),
    (Sign(dash=EXISTING_DASH), "There already: cut the paper out and line the sheet up by it."),
    (
        Sign(dash=EXISTING_DASH, inner_mm=PILOT_MM, inner_dash=EXISTING_DASH),
        "There already, the inner ring: open it up to the outer one.",
    ),
    (
        Sign(dash=EXISTING_DASH, closed=True),
        "There already: line the sheet up by it, cut the paper out; close it at its step.",
    ),
)


def _alike(sign: Sign) -> Sign:
    """A sign without its sizes, as the legend shows it."""
    return replace(sign, inner_mm=PILOT_MM if sign.inner_mm else 0.0)


def legend(holes: Sequence[PanelHole]) -> tuple[tuple[Sign, str], ...]:
    """The signs that stand on a sheet of these holes, with their meaning."""
    there = {_alike(sign_of(hole)) for hole in holes}
    if Sign() in there:  # a hole too small for a pilot is made as the others
        there.add(Sign(inner_mm=PILOT_MM))
    return tuple((sign, words) for sign, words in LEGEND if sign in there)


def draw_legend(
    pen: Pen, holes: Sequence[PanelHole], x: float, top: float, width: float, size: float
) -> float:
    """Draw what each sign on the sheets means, in columns from ``top`` down; returns the lower edge, mm."""
    rows = legend(holes)
    columns = max(1, min(len(rows), int(width // COLUMN_MM)))
    across = width / columns
    y = top
    for start in range(0, len(rows), columns):
        line = rows[start : start + columns]
        texts = [wrap_text(words, size, across - ROOM_MM - 2.0) for _, words in line]
        tall = max(SHOWN_MM + OUTER_MM + 2 * TICK_MM, max(len(text) for text in texts) * size * 1.3)
        for k, ((sign, _), text) in enumerate(zip(line, texts, strict=True)):
            left, middle = x + k * across, y - tall / 2
            draw_sign(pen, left + ROOM_MM / 2 - 0.5, middle, SHOWN_MM, sign, LEGEND_LINE_MM)
            high = middle + len(text) * size * 1.3 / 2
            for n, words in enumerate(text, 1):
                pen.text(left + ROOM_MM, high - n * size * 1.3 + 0.25 * size, words, size)
        y -= tall + 1.0
    return y
