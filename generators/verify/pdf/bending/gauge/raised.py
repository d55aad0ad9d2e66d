"""How far the ram is raised before a part round the punch is slid along, by the part folded anew."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator

from generators.geometry.frames import Matrix
from generators.model.plan import Bend, PartPlan
from generators.model.spec.tools.press import Brake, Die
from generators.verify.pdf.bending.below import drawn_large_mm, hanging_points, risen
from generators.verify.pdf.bending.blank import in_mm, shown

TOLD_MM, ROUNDED_MM, NEAR_MM = 1.0, 0.15, 0.3


def raise_problems(
    where: str,
    match: re.Match[str],
    bend: Bend,
    before: Iterable[str],
    plan: PartPlan,
    die: Die,
    brake: Brake,
    most_rad: float,
    inside: Callable[[float], float],
) -> Iterator[str]:
    """A part slid along with a flange beside the die still below its top, or raised for what is not there.

    ``most_rad`` is how far it is bent at worst, ``inside`` the height of the inside of the bend over the die
    at an angle, both by the caller.
    """
    if match["stays"] is None:
        return
    found = list(_deepest(bend, before, plan, most_rad, inside))
    half = die.width_mm / 2 + brake.room_mm
    deep = _at(found, half - NEAR_MM, TOLD_MM + ROUNDED_MM)
    wide = _at(found, half + NEAR_MM, TOLD_MM - ROUNDED_MM)
    low = max(deep.values(), default=0.0)
    named = max(deep, key=lambda name: deep[name], default="")
    if not match["raised"]:
        if deep:
            yield f"{where}: slid along while {named} hangs {low:.1f} mm below the die's top beside it"
        return
    said = in_mm(match["raised"], match["raised_unit"])
    if said < low + brake.room_mm - ROUNDED_MM:
        yield f"{where}: the ram is raised {said:.1f} mm, and {named} hangs {low:.1f} mm beside the die"
    most = max(wide.values(), default=0.0)
    slack = drawn_large_mm(plan)
    if match["hung"] not in wide:
        yield f"{where}: {match['hung']} is said to hang beside the die, and does not"
    elif said > most + brake.room_mm + slack + ROUNDED_MM:
        yield f"{where}: the ram is raised {said:.1f} mm for what hangs {most:.1f} mm beside the die"
    if said > brake.stroke_mm:
        yield f"{where}: the ram is raised {said:.1f} mm, its stroke is {brake.stroke_mm:g} mm"


def _at(found: Iterable[tuple[str, Matrix, Matrix]], near_mm: float, low_mm: float) -> dict[str, float]:
    """How deep all of each flange is below the die's top that is so low somewhere so near to its middle."""
    out: dict[str, float] = {}
    beside: set[str] = set()
    for name, y, z in found:
        out[name] = max(out.get(name, 0.0), -float(z.min()))
        if bool(((abs(y) < near_mm) & (z < -low_mm)).any()):
            beside.add(name)
    return {name: deep for name, deep in out.items() if name in beside}


def _deepest(
    bend: Bend, before: Iterable[str], plan: PartPlan, most_rad: float, inside: Callable[[float], float]
) -> Iterator[tuple[str, Matrix, Matrix]]:
    """Points of each flange, off the die's middle and over its top, bent and pressed at worst."""
    for child in (True, False):
        for flange, points in hanging_points(plan, bend, {*before}, child):
            for h in (bend.angle_rad / 2, most_rad / 2):
                yield shown(flange), *risen(points, bend, plan.thickness_mm, h, inside(most_rad))
