"""A joggle: two bends of the same angle, one up and one down, close together, that step the sheet sideways.

With inside radius R and thickness T both bends together lift the sheet by ``(2R + T)(1 − cos A)``, a flat
of length L between their tangent lines by ``L sin A`` more (geometry).
"""

from __future__ import annotations

import itertools
import math

from generators.errors import GeometryFault
from generators.model.plan import Bend, PartPlan
from generators.sheetmetal.allowance import setback
from generators.sheetmetal.die import shoulder


def joggle_flat(offset_mm: float, angle_rad: float, inside_radius_mm: float, thickness_mm: float) -> float:
    """Flat between the two tangent lines for a step of ``offset_mm`` from face to same face, mm.

    Negative when two bends of that angle already step further.
    """
    curved = (2 * inside_radius_mm + thickness_mm) * (1 - math.cos(angle_rad))
    return (offset_mm - curved) / math.sin(angle_rad)


def joggle_angle(offset_mm: float, flat_mm: float, inside_radius_mm: float, thickness_mm: float) -> float:
    """Angle of both bends for a step of ``offset_mm`` with ``flat_mm`` between them, rad, at most 90°.

    From ``s (1 − cos A) + L sin A = h`` with ``s = 2R + T``:
    ``A = acos((s − h) / √(s² + L²)) − atan2(L, s)``. Raises ``GeometryFault`` for a step that a right angle
    does not reach, and for none.
    """
    both = 2 * inside_radius_mm + thickness_mm
    if not 0 < offset_mm <= both + flat_mm:
        raise GeometryFault(f"a joggle of {offset_mm:g} mm; more than 0, at most {both + flat_mm:g} mm")
    return math.acos((both - offset_mm) / math.hypot(both, flat_mm)) - math.atan2(flat_mm, both)


def joggle_length(angle_rad: float, flat_mm: float, inside_radius_mm: float, thickness_mm: float) -> float:
    """Run of the joggle along the sheet, from the first tangent line to the last, folded, mm."""
    return (2 * inside_radius_mm + thickness_mm) * math.sin(angle_rad) + flat_mm * math.cos(angle_rad)


def is_joggle(one: Bend, two: Bend) -> bool:
    """True for two bends of the same angle, one up and one down, the one after the other."""
    in_a_row = one.child == two.parent or two.child == one.parent
    same = math.isclose(one.angle_rad, two.angle_rad, abs_tol=1e-9)
    return in_a_row and same and one.direction != two.direction


def joggles(plan: PartPlan, opening_mm: float) -> list[tuple[str, str]]:
    """Names of bends too close together for a V so wide, made in pairs in one stroke of an offset die."""
    t = plan.thickness_mm
    found = []
    for a, b in itertools.combinations(plan.bends, 2):
        if not is_joggle(a, b):
            continue
        need = shoulder(opening_mm, a.angle_rad) - setback(a.angle_rad, a.inside_radius_mm, t)
        if _between(a, b) < need:
            found.append((a.name, b.name))
    return found


def _between(one: Bend, two: Bend) -> float:
    """Flat between a bend and the one on the flange it bends, mm: a flange begins at its bend, at v = 0."""
    after = two if one.child == two.parent else one
    return min(after.start[1], after.end[1])
