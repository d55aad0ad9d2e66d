"""What the drawing asks of one hole beside its size and place: the one home of a hole's callout."""

from __future__ import annotations

import math
import re

from generators.model.plan import Hole, Slot

FINE_MM = 0.05
"""A tolerance narrower than this is a fit: it is printed to 0.001 mm."""

INWARD = 1e-6
"""Of a hundredth: what is nearer to one than this is one."""


NONE = "–"

FIELD = re.compile(r"[A-Z]{1,2}\d{1,2}")
"""A tolerance class of ISO 286-1: the letters of its field and its grade."""


def deviations(item: Hole | Slot) -> str:
    """``H13 0/+0.22``: class and how far the diameter may be off in mm, rounded inward.

    The class alone is left out where there is none, and ``–`` stands for the general tolerance.
    """
    if item.tolerance is None:
        return NONE
    lower_mm, upper_mm = item.tolerance.lower_mm, item.tolerance.upper_mm
    places = 3 if upper_mm - lower_mm < FINE_MM else 2
    lower, upper = least_off(lower_mm, places), most_off(upper_mm, places)
    deviation = "/".join(f"{x:+.{places}f}" if x else "0" for x in (lower, upper))
    return f"{item.tolerance.name} {deviation}" if FIELD.fullmatch(item.tolerance.name) else deviation


def least_off(by: float, places: int) -> float:
    """A lower deviation with so many decimals, rounded inward."""
    return math.ceil(by * 10.0**places - INWARD) / 10.0**places + 0.0


def most_off(by: float, places: int) -> float:
    """An upper deviation with so many decimals, rounded inward."""
    return math.floor(by * 10.0**places + INWARD) / 10.0**places + 0.0


def takes(item: Hole | Slot) -> str:
    """What goes through it, where its purpose and its size do not say so already; else empty."""
    label = item.fitting.label
    own = f"{item.diameter_mm:g} mm bore" if isinstance(item, Hole) else ""
    thread = label.split(" ")[0]
    return "" if label in item.purpose or thread in item.purpose.split(" ") or label == own else label
