"""How far what swings out through the fingers' place drives the gauge back: the part folded anew."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence

import numpy as np

from generators.geometry.frames import Matrix
from generators.model.plan import PartPlan
from generators.verify.pdf.bending.below import drawn_large_mm
from generators.verify.pdf.bending.blank import in_mm, shown
from generators.verify.pdf.bending.gauge.at_stop import AtStop, Span, at_stops
from generators.verify.pdf.bending.gauged import Point
from generators.verify.pdf.bending.tools import Tools

DRAWS = (
    r"DRAW BACK the gauge (?P<draws>[\d.]+) (?P<draws_unit>mm|in) or more as the stroke begins, or take it "
    r"away once the punch holds the sheet: (?P<swings>[a-z0-9 ]+) swings out to (?P<swung>[\d.]+) (?:mm|in)\."
)
TOLD_MM, ROUNDED_MM, STEPS = 1.0, 0.15, 400
EDGE_MM, LEVEL = 0.3, 1 / 3
"""Rims are looked at in points, and where fingers may stand is said to a tenth of a millimetre; their height
is known better.
"""


def draw_back_problems(
    steps: Sequence[re.Match[str]], letters: Mapping[str, Point], plan: PartPlan, tools: Tools
) -> Iterator[str]:
    """A draw-back that is too little, or none where what the fingers touch swings out past the stop."""
    for one in at_stops(steps, letters, plan, tools):
        # without either, what stands on the leg, or its own end, comes toward the punch
        if one.below or one.match["draws"]:
            yield from _step(one)


def _step(one: AtStop) -> Iterator[str]:
    match, where, stop = one.match, one.where, in_mm(one.match["stop"], one.match["unit"])
    name = match["swings"] or match["flange"]
    least, most = (_far(one, name, aside) for aside in (-EDGE_MM, EDGE_MM))
    swung = one.drawn_to_mm
    if swung is None:
        if least > stop + TOLD_MM + ROUNDED_MM:
            yield f"{where}: {name} swings {least - stop:.1f} mm past the stop, and the sheet is silent"
        return
    said = in_mm(match["draws"], match["draws_unit"])
    if abs(swung - stop - said) > ROUNDED_MM:
        yield f"{where}: {name} out to {swung:.1f} mm, the stop at {stop:.1f}: not {said:.1f} mm to draw back"
    if not least - ROUNDED_MM < swung < most + ROUNDED_MM + drawn_large_mm(one.plan):
        yield f"{where}: {name} is said to swing out to {swung:.1f} mm; folded it comes to {most:.1f} mm"


def _far(one: AtStop, name: str, aside: float) -> float:
    """How far toward the gauge from the die's middle a flange comes at most where fingers are, mm.

    ``aside``: so much further than they and their air it is looked at.
    """
    wide, (low, high) = one.brake.room_mm + aside, one.zone
    # what is touched counts however low it hangs: another finger may be set lower
    level: Span = (
        -np.inf if one.below and name == one.match["flange"] else low - aside * LEVEL,
        high + aside * LEVEL,
    )
    left, right = one.stand[0] - wide, one.stand[1] + wide
    far = 0.0
    for flange, points, side in one.points((left + 1e-6, right - 1e-6)):
        if shown(flange) == name:
            here = points[(points[:, 0] > left) & (points[:, 0] < right)]
            far = max(far, *(_at(one, here, side, k / STEPS, level) for k in range(STEPS + 1)))
    return far


def _at(one: AtStop, points: Matrix, side: float, share: float, level: Span) -> float:
    y, z = one.turned(points, side, share)
    here = (z > level[0]) & (z < level[1])
    return float(y[here].max()) if np.any(here) else 0.0
