"""A bend of a kind, with radius and K of the sheet it is made from."""

from __future__ import annotations

from generators.model.plan import Bend
from generators.model.words import BendDirection
from generators.sheetmetal.allowance import BendRule

Point = tuple[float, float]


def bend_at(
    rule: BendRule,
    parent: str,
    child: str,
    start: Point,
    end: Point,
    angle_rad: float,
    *,
    direction: BendDirection = "up",
    name: str = "",
) -> Bend:
    """The bend from ``parent`` to ``child`` along ``start`` to ``end`` (see ``model.plan.Bend``).

    ``name`` is the child's where none is given.
    """
    return Bend(
        name=name or child,
        parent=parent,
        child=child,
        start=start,
        end=end,
        angle_rad=angle_rad,
        inside_radius_mm=rule.inside_radius_mm,
        direction=direction,
        k_factor=rule.k_factor,
        k_source=rule.k_source,
    )
