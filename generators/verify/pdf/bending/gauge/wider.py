"""A finger wider than the edge it bears on: how far past the ends the sheet lets it stand, what is there."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping

import numpy as np

from generators.geometry.frames import Matrix
from generators.model.spec.tools.press import Brake
from generators.verify.pdf.bending.blank import in_mm

OVER = (
    r", and may stand (?P<room>[\d.]+) (?P<room_unit>mm|in) past "
    r"(?:(?P<either>either end of that)|the end of that (?:farther from (?P<farther>[a-z]{1,2}) alone|"
    r"nearer (?P<nearer>[a-z]{1,2})(?: and (?P<room_other>[\d.]+) (?:mm|in) past the other| alone)))"
)
ROUNDED_MM, NEAR_MM = 0.15, 0.25


def room_past(match: re.Match[str], nearer: bool | None) -> tuple[float, float] | None:
    """How far a finger may stand past the lower and the upper end of what it bears on, mm; 0 where not told.

    ``nearer``: whether the lower end is the one nearer to the letter that room is told from; None where the
    blank has no such letter, and then neither is known.
    """
    one, other = (
        in_mm(match[key], match["room_unit"]) if match[key] else 0.0 for key in ("room", "room_other")
    )
    if not match["room"] or match["either"]:
        return one, one
    if nearer is None:
        return None
    # what is told first is at the corner's own end, or at the other one
    return (one, other) if nearer == bool(match["nearer"]) else (other, one)


def wider_problems(
    where: str,
    match: re.Match[str],
    span: tuple[float, float],
    nearer: bool | None,
    laid: Mapping[str, Matrix],
    brake: Brake,
) -> Iterator[str]:
    """One finger on less edge than it is wide: no room for it told, or room where something stands.

    ``span`` is what it touches, from where to where along the bend; ``nearer`` whether its lower end is the
    one nearer to the letter that room is told from; ``laid`` are points of the part laid in.
    """
    if not match["short"]:
        return
    gauge, short = brake.gauge, in_mm(match["short"], match["unit"])
    lacks = gauge.finger_width_mm - short
    if not match["room"]:
        if lacks > ROUNDED_MM:
            yield (
                f"{where}: one finger {gauge.finger_width_mm:g} mm wide on {short:.1f} mm of edge, and "
                "nothing says that it may stand past it"
            )
        return
    told = room_past(match, nearer)
    if told is None:
        yield f"{where}: a finger's room is told from a corner the blank has not"
        return
    low, high = told
    if low + high < lacks - ROUNDED_MM:
        yield f"{where}: a finger lacks {lacks:.1f} mm of edge, and may stand {low + high:.1f} mm past it"
    if max(low, high) > lacks + ROUNDED_MM:
        yield f"{where}: a finger that may stand {max(low, high):.1f} mm past an end is off its edge"
    stop = in_mm(match["stop"], match["unit"])
    foot = -gauge.below_mm if match["level"] == "below" else 0.0
    for name, points in laid.items():
        there = points[
            (points[:, 1] > stop + NEAR_MM)
            & (points[:, 1] < stop + gauge.finger_length_mm - NEAR_MM)
            & (points[:, 2] > foot + NEAR_MM)
            & (points[:, 2] < foot + gauge.finger_height_mm - NEAR_MM)
        ][:, 0]
        air = brake.room_mm - NEAR_MM
        before = (there > span[0] - low - air) & (there < span[0] - NEAR_MM)
        after = (there > span[1] + NEAR_MM) & (there < span[1] + high + air)
        # with no finger past an end what stands there is judged beside the others
        if (low > 0 and bool(np.any(before))) or (high > 0 and bool(np.any(after))):
            yield f"{where}: {name} stands where a finger may stand past its edge"
