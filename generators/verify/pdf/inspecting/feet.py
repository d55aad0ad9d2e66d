"""Feet of a part on one panel: found on the folded part, and what a drawing must say of them."""

from __future__ import annotations

import re
from collections.abc import Iterator

import numpy as np

from generators.geometry.contours import polyline
from generators.geometry.frames import apply
from generators.model.plan import PartPlan
from generators.sheetmetal.folding import folded_frames

FLAT = {10: 0.1, 30: 0.2, 100: 0.4, 300: 0.8, 1000: 1.2, 3000: 1.6}
"""ISO 2768-2 class L by length, mm, written down anew (from memory)."""

LEVEL, ROUNDED_MM = 1e-6, 0.05
FEET = re.compile(
    r"FEET (?P<names>[a-z0-9 ,]+): lower sides on one plane within (?P<within>[\d.]+) mm once bent "
    r"\(ISO 2768-2 L\)"
)


def feet_of(plan: PartPlan) -> tuple[list[str], float] | None:
    """Flanges whose lower side lies in the root's plane, and what they may be off it; None for one alone."""
    if plan.printed or not plan.bends:
        return None
    names, points = [], []
    for flange in plan.flanges:
        frame = folded_frames(plan)[flange.name]
        ring = np.array([(u, v, 0.0) for u, v in polyline(flange.contour, ROUNDED_MM)])
        placed = apply(frame, ring)
        if frame[2, 2] > 1 - LEVEL and np.abs(placed[:, 2]).max() < LEVEL:
            names.append(flange.name.replace("_", " "))
            points.append(placed[:, :2])
    if len(names) < 2:
        return None
    long = float(np.ptp(np.vstack(points), axis=0).max())
    return names, next((by for to, by in FLAT.items() if long <= to), FLAT[3000])


def feet_problems(text: str, plan: PartPlan) -> Iterator[str]:
    """What is wrong with what a drawing says of feet on one plane."""
    found, said = feet_of(plan), FEET.search(text)
    if found is None:
        if said is not None:
            yield f"the drawing wants {said['names']} on one plane, and the part stands on one flange"
        return
    names, within = found
    if said is None:
        yield f"the drawing does not say that {' and '.join(names)} must be on one plane"
    elif sorted(said["names"].split(", ")) != sorted(names) or float(said["within"]) != within:
        wanted = f"{', '.join(names)}, {within:g} mm"
        yield f"{said['names']} on one plane within {said['within']} mm; it is {wanted}"
