"""Pages of the report that show the job in the vehicle."""

from __future__ import annotations

import string
from collections.abc import Sequence
from functools import partial
from typing import Any

import numpy as np
from reportlab.platypus import PageBreak

from generators.drawing.part.views import Camera
from generators.drawing.space.views import FROM_ABOVE, FROM_BEHIND, FROM_LEFT, OBLIQUE
from generators.figures import fixed
from generators.sheets.document import body_height, gap, heading, paragraph, table, together
from generators.sheets.space.marks import gap_words
from generators.sheets.space.picture import SpaceView
from generators.sheets.space.sheet import SpaceSheet, places
from generators.solve.bodies.near import HELD_WORDS, NearPair

VIEWS = (
    (FROM_LEFT, "The front of the vehicle is on the left; the driver sits on the right."),
    (FROM_BEHIND, "As the driver sees it."),
    (FROM_ABOVE, "The front of the vehicle is up; the driver sits below."),
)
OBLIQUE_WORDS = (
    "The driver sits on your side and looks the way you look. u and v are each panel's own, from its origin."
)
OBLIQUE_SHARE, VIEW_SHARE, OTHER_SHARE = 0.55, 0.88, 0.42
"""How much of a page's height a picture may take; the last is for the places with fewer things."""
LEAD = (
    "Drawn from the bodies the rules look at. Dashed: a cylinder, reservoir, hose or pedal behind something. "
    "Dash and dot: a pedal at its stop. Thin and grey: what the vehicle has already, "
    "dashed where it is room that harms a hose. Letters: closest pairs."
)
PAIRS_LEAD = (
    "The least distance in space of things that are not fixed to each other, marked in the view that shows "
    "it longest."
)
Marked = tuple[str, NearPair]


def space_story(sheet: SpaceSheet, width: float, paper: str) -> list[Any]:
    """Views of every place of the job, and a table of the closest pairs; nothing where nothing is placed."""
    sights = sheet.sights()
    found = places(sights, sheet.feet)
    if not found:
        return []
    marked = lettered(sheet.pairs)
    out: list[Any] = [PageBreak(), *heading("In the vehicle"), paragraph(LEAD)]
    tall = body_height(paper)
    for number, place in enumerate(found):
        view = partial(SpaceView, sheet, sights, shown=place.shown, width_mm=width)
        share = VIEW_SHARE if number == 0 else OTHER_SHARE
        out.append(
            view(OBLIQUE, words=OBLIQUE_WORDS, tallest_mm=tall * min(OBLIQUE_SHARE, share), frames=True)
        )
        if number == 0:
            out += _pairs_story(marked, width)
        for camera, words in VIEWS:
            here = [row for row in marked if best_view(row[1]) is camera and place.holds(row[1].gap.at)]
            out += [gap(3), view(camera, words=words, tallest_mm=tall * share, marked=here)]
        out.append(gap(3))
    return out


def lettered(pairs: Sequence[NearPair]) -> list[Marked]:
    """Pairs with the letters that stand for them."""
    return list(zip(string.ascii_uppercase, pairs, strict=False))


def space_words(sheet: SpaceSheet) -> list[str]:
    """What the views must say: every gap they mark."""
    found = places(sheet.sights(), sheet.feet)
    return [
        gap_words(letter, pair.gap.gap_mm)
        for letter, pair in lettered(sheet.pairs)
        if any(place.holds(pair.gap.at) for place in found)
    ]


def best_view(pair: NearPair) -> Camera:
    """The view that shows a gap longest: at least √⅔ of its length, as the three look along three axes."""
    way = np.subtract(pair.gap.to, pair.gap.at)[None, :]
    return max(
        (camera for camera, _words in VIEWS), key=lambda c: round(float(np.linalg.norm(c.project(way))), 6)
    )


def pair_words(pair: NearPair) -> str:
    """What is to be said of a pair beside its two names, with a comma before it; empty for most."""
    return (", pedals at their stop" if pair.at_stop else "") + (f", {HELD_WORDS}" if pair.held else "")


def _pairs_story(marked: Sequence[Marked], width: float) -> list[Any]:
    if not marked:
        return []
    rows = [
        (
            letter,
            f"{fixed(pair.gap.gap_mm, 1)} mm",
            pair.first,
            pair.second + pair_words(pair),
            best_view(pair).name.lower(),
        )
        for letter, pair in marked
    ]
    shares = (0.07, 0.11, 0.33, 0.33, 0.16)
    heads = ("mark", "gap", "between", "and", "marked in")
    return [
        together(
            [
                *heading("Closest pairs"),
                paragraph(PAIRS_LEAD),
                table(heads, rows, [width * share for share in shares]),
            ]
        )
    ]
