"""The force of a bend, the shop's springback, and the radius that comes out."""

from __future__ import annotations

import math

from generators.model.plan import Bend, PartPlan
from generators.model.spec.tools.press import Die
from generators.sheetmetal.folding import past_limit

AIR = 1.42
"""Published factors of the air-bending formula run from 1.33 to 1.42: the larger one is taken."""

BOTTOMING = 4.0
"""Bottoming takes about four times the force of air bending (common practice, no source)."""

RIGHT = math.pi / 2


def bending_force(tensile_mpa: float, length_mm: float, thickness_mm: float, die: Die) -> float:
    """Force of a bend, N: ``1.42 Rm L t² / V``, as several makers of presses and handbooks print it.

    The formula is the largest force of the stroke, whatever the angle. A bottomed bend takes four times that.
    """
    air = AIR * tensile_mpa * length_mm * thickness_mm**2 / die.opening_mm
    return air * BOTTOMING if die.way == "bottom" else air


LEAST_V, MOST_V = 8.0, 6.0
"""Air bending makes an inside radius of V/8 to V/6 (common practice, no source), no less than the tip's."""


def made_radius(opening_mm: float, tip_mm: float, *, bottom: bool = False) -> tuple[float, float]:
    """Least and greatest inside radius a die makes under a punch's tip, mm; bottomed it is the tip's."""
    if bottom:
        return tip_mm, tip_mm
    return max(tip_mm, opening_mm / LEAST_V), max(tip_mm, opening_mm / MOST_V)


def legs_grow(angle_rad: float, drawn_mm: float, made_mm: float) -> float:
    """By how much the outside legs of a bend together come out longer when another radius is made, mm.

    The blank is cut for ``2 tan(A/2) (R + t) - A (R + K t)`` less than its legs; with the same K the
    difference of two radii is ``(2 tan(A/2) - A)`` times theirs. Half of it goes to each leg with its holes.
    """
    return (2 * math.tan(angle_rad / 2) - angle_rad) * (made_mm - drawn_mm)


def aimed_angle(plan: PartPlan, bend: Bend) -> float:
    """What a bend is to have once sprung back, rad: the middle of its limits, scatter goes either way.

    One that may not go past its angle as others may is bent by less: aimed at the angle itself, half of what
    comes out would be past it.
    """
    return bend.angle_rad + (past_limit(plan, bend) - plan.bent_rad) / 2


def pressed_angle(angle_rad: float, springback_rad: float) -> float:
    """What a bend is pressed to so that it comes back to ``angle_rad``.

    ``springback_rad`` is what the shop's square test bend lost; other angles lose in proportion (common
    practice, no source).
    """
    return angle_rad * (1.0 + springback_rad / RIGHT)


UNMEASURED_RAD = math.radians(3)
"""What a square bend is taken to spring back by where the shop has not said: mild steel over a V of 8 t does
so by 1 to 2 degrees. Common practice, no source."""


def pressed_on(springback_rad: float, past_rad: float) -> float:
    """How much further than to its ``pressed_angle`` a bend may be pressed at worst, rad.

    It may end ``past_rad`` past its angle, and where the shop has measured no springback it has some.
    """
    return past_rad + (0.0 if springback_rad else UNMEASURED_RAD)
