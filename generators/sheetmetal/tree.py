"""What makes flanges and bends a part that can be folded: one tree, and angles a press brake reaches.

A punch and an open die press a bend to about 150° of turn before the flange meets the punch; beyond that
the sheet is flattened onto itself, a hem, which is made otherwise (common practice, no source).
"""

from __future__ import annotations

import math
from collections.abc import Iterable

from generators.errors import GeometryFault
from generators.model.plan import Bend, PartPlan

LARGEST_BEND_RAD = math.radians(150)
# an angle written in degrees is not exactly the float of the bound
ROUNDING_RAD = 1e-9


def require_foldable(plan: PartPlan) -> None:
    """Raises ``GeometryFault`` unless bends join all flanges into one tree from the first, each once, by
    more than 0° and at most 150°, up or down."""
    names = [f.name for f in plan.flanges]
    if len(set(names)) != len(names):
        raise GeometryFault("two flanges have the same name")
    for bend in plan.bends:
        _require_bend(bend, names)
    hung = [b.child for b in plan.bends]
    twice = next((name for name in hung if hung.count(name) > 1), "")
    if twice:
        raise GeometryFault(f"flange {twice!r} hangs on two bends")
    if names and names[0] in hung:
        raise GeometryFault(f"flange {names[0]!r} is the root and hangs on a bend")
    loose = sorted(set(names) - set(reached(plan)))
    if loose:
        raise GeometryFault(f"flange {loose[0]!r} is joined to the rest by no bend")


def _require_bend(bend: Bend, names: list[str]) -> None:
    for name in (bend.parent, bend.child):
        if name not in names:
            raise GeometryFault(f"bend {bend.name!r} joins {name!r}, which is no flange")
    degrees = math.degrees(bend.angle_rad)
    if not 0 < bend.angle_rad <= LARGEST_BEND_RAD + ROUNDING_RAD:
        raise GeometryFault(f"bend {bend.name!r} turns {degrees:.5g} deg; 0 to 150 deg can be bent, no hems")
    if bend.direction not in ("up", "down"):
        raise GeometryFault(f"bend {bend.name!r} goes {bend.direction!r}, neither up nor down")
    if bend.inside_radius_mm < 0:
        raise GeometryFault(f"bend {bend.name!r} has a negative inside radius")


def reached(plan: PartPlan) -> Iterable[str]:
    """Flanges that bends lead to from the first one, itself included, parents before children."""
    done = [plan.flanges[0].name] if plan.flanges else []
    for name in done:  # grows while it is walked
        done.extend(b.child for b in plan.bends if b.parent == name and b.child not in done)
    return done
