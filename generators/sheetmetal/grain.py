"""How bends lie to the rolling direction of the sheet, the grain a blank is ordered in.

EN 10025-2 gives radii for bend lines across the rolling direction and along it, none between: a line that is
not square to it counts as along it, which is never the smaller radius.
"""

from __future__ import annotations

import math
from typing import Literal

from generators.geometry.contours import bounds
from generators.model.plan import Bend, PartPlan
from generators.sheetmetal.folding import FlatPattern

Lie = Literal["across", "along", "unsaid"]

SQUARE_RAD = math.radians(1)
"""What still counts as square: the angle blanks are laid and cut to. Ours."""

AXES = {"along_u": ("X", (1.0, 0.0)), "along_v": ("Y", (0.0, 1.0))}


def grain_axis(plan: PartPlan) -> tuple[float, float] | None:
    """Unit vector along the grain on the blank; None where none is ordered."""
    return AXES[plan.grain][1] if plan.grain in AXES else None


def grain_letter(plan: PartPlan) -> str:
    """``X`` or ``Y`` of the flat, along which the grain lies; empty where none is ordered."""
    return AXES[plan.grain][0] if plan.grain in AXES else ""


def lie_of(plan: PartPlan, flat: FlatPattern, bend: Bend) -> Lie:
    """How a bend's line lies to the grain ordered."""
    axis = grain_axis(plan)
    if axis is None:
        return "unsaid"
    (u0, v0), (u1, v1) = next(b.middle for b in flat.bends if b.bend.name == bend.name)
    along = abs((u1 - u0) * axis[0] + (v1 - v0) * axis[1]) / math.hypot(u1 - u0, v1 - v0)
    return "across" if along <= math.sin(SQUARE_RAD) else "along"


def grain_words(plan: PartPlan, flat: FlatPattern) -> str:
    """``Grain along X of the blank: bends left, right across it; bend tab along it.``; empty without one."""
    letter = grain_letter(plan)
    if not letter:
        return ""
    said = []
    for lie in ("across", "along"):
        names = [b.name.replace("_", " ") for b in plan.bends if lie_of(plan, flat, b) == lie]
        if names:
            said.append(f"{'bends' if len(names) > 1 else 'bend'} {', '.join(names)} {lie} it")
    return f"Grain (rolling direction) along {letter} of the blank" + (f": {'; '.join(said)}" if said else "")


Line = tuple[tuple[float, float], tuple[float, float]]
ARROW_SHARE, HEAD_SHARE = 0.3, 0.12
HEAD_RAD = math.radians(20)


def grain_arrow(plan: PartPlan, flat: FlatPattern) -> tuple[Line, ...]:
    """A double-headed arrow along the grain, in the middle of the blank's box: shaft and four barbs, mm.

    Empty where none is ordered. It is a sign, on a layer of its own: it may lie over an opening.
    """
    axis = grain_axis(plan)
    if axis is None:
        return ()
    u0, v0, u1, v1 = bounds(flat.contour)
    long = ARROW_SHARE * ((u1 - u0) * axis[0] + (v1 - v0) * axis[1])
    middle, barb = ((u0 + u1) / 2, (v0 + v1) / 2), HEAD_SHARE * long
    lines: list[Line] = []
    tips = [
        (middle[0] + side * axis[0] * long / 2, middle[1] + side * axis[1] * long / 2) for side in (-1, 1)
    ]
    lines.append((tips[0], tips[1]))
    for side, tip in zip((-1, 1), tips, strict=True):
        back = math.atan2(-side * axis[1], -side * axis[0])
        lines += [
            (tip, (tip[0] + barb * math.cos(back + turn), tip[1] + barb * math.sin(back + turn)))
            for turn in (HEAD_RAD, -HEAD_RAD)
        ]
    return tuple(lines)
