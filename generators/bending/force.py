"""The force of a bend, and the shop's springback."""

from __future__ import annotations

import math

from generators.model.spec.tools.press import Die

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


def pressed_angle(angle_rad: float, springback_rad: float) -> float:
    """What a bend is pressed to so that it comes back to ``angle_rad``.

    ``springback_rad`` is what the shop's square test bend lost; other angles lose in proportion (common
    practice, no source).
    """
    return angle_rad * (1.0 + springback_rad / RIGHT)
