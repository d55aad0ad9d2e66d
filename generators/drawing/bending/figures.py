"""How the setup sheet writes names, lengths, pieces of tools and forces."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from generators.bending.steps import Reach, Step
from generators.drawing.part.tables.welds import never_past_text
from generators.figures import fixed, nearest_64th
from generators.model.plan import Bend, PartPlan
from generators.units import UnitSystem

US_TON_N = 8896.443
"""2000 lbf (pound-force 4.4482216 N, NIST SP 811)."""


def shown(name: str) -> str:
    """A flange or bend as it is written for people."""
    return name.replace("_", " ")


def pieces(lengths: Sequence[float], units: UnitSystem) -> str:
    """``100 + 20 + 15 mm = 135 mm`` of a tool made up, longest first, or its one length.

    Pieces are called what they are called in the shop: inches only where all are whole sixteenths.
    """
    if units == "inch" and all(abs(p / 25.4 * 16 - round(p / 25.4 * 16)) < 1e-6 for p in lengths):
        unit, names, total = (
            "in",
            [nearest_64th(p / 25.4) for p in lengths],
            nearest_64th(math.fsum(lengths) / 25.4),
        )
    else:
        unit, names, total = "mm", [f"{p:g}" for p in lengths], f"{math.fsum(lengths):g}"
    return f"{' + '.join(names)} {unit}" + (f" = {total} {unit}" if len(lengths) > 1 else "")


def beside(reach: Reach, long: float, does: str, units: UnitSystem) -> str:
    """What a tool must not be longer than, for flanges bent earlier beside the bend; empty where none is.

    ``, NO LONGER THAN 109.4 mm, front and back hang beside it``. With one of them, how far the tool may reach
    past that end of the bend; rounded to what is shorter. What comes down on the way alone ``swings down``.
    """
    if reach.swings:
        none_hangs = set(reach.swings) >= {reach.left, reach.right} - {""}
        does = "swings down" if none_hangs else "hangs or swings down"
    if reach.left and reach.right:
        names = f"flange {shown(reach.left)}"
        if reach.left != reach.right:
            names = f"flanges {shown(reach.left)} and {shown(reach.right)}"
            does = " ".join(w.removesuffix("s") for w in does.split(" "))
        return f", NO LONGER THAN {_outward(reach.most_mm, units, -1)}, {names} {does} beside it"
    if not reach.left and not reach.right:
        return ""
    over, name = (-reach.low, reach.left) if reach.left else (reach.high - long, reach.right)
    where = f"the bend's end where flange {shown(name)} {does} beside it"
    if over < 0:
        return f", ITS END {_outward(-over, units, 1)} SHORT OF {where}"
    return f", NO MORE THAN {_outward(over, units, -1)} PAST {where}"


def most(mm: float, units: UnitSystem) -> str:
    """A length there is no more of: rounded down."""
    return _outward(mm, units, -1)


def least(mm: float, units: UnitSystem) -> str:
    """A length that is wanted: rounded up."""
    return _outward(mm, units, 1)


def _outward(mm: float, units: UnitSystem, way: int) -> str:
    """A limit to 0.1 mm or 0.001 in, rounded up (``way`` 1) or down (-1), whichever leaves more air."""
    places, one = (1, 1.0) if units == "metric" else (3, 25.4)
    scaled = mm / one * 10**places
    whole = math.ceil(scaled - 1e-6) if way > 0 else math.floor(scaled + 1e-6)
    return f"{fixed(whole / 10**places, places)} {'mm' if units == 'metric' else 'in'}"


def force(step: Step, units: UnitSystem) -> str:
    """``48 kN, 356 kN on a metre``; with inches also US tons, and those on a foot."""
    said = f"{fixed(step.force_n / 1000, 0)} kN, {fixed(step.metre_n / 1000, 0)} kN on a metre"
    if units == "metric":
        return said
    tons, on_a_foot = step.force_n / US_TON_N, step.metre_n * 0.3048 / US_TON_N
    return f"{said} ({fixed(tons, 1)} US tons, {fixed(on_a_foot, 1)} on a foot)"


def borne(step: Step, units: UnitSystem) -> str:
    """What punch and die may take on a metre by their marks; or that nobody has told, and what to do then.

    No step asks for more: the search has taken no tool that may take less. Rounded down; with inches also in
    US tons on a foot, as tools are marked there.
    """
    told = (("punch", step.punch_most_n), ("die", step.die_most_n))
    may = [f"the {tool} may take {_mark(most, units)}" for tool, most in told if most is not None]
    unknown = [tool for tool, most in told if most is None]
    ok = f"On a metre {' and '.join(may)}: ok." if may else ""
    if not unknown:
        return ok
    asked = f"What the {' and the '.join(unknown)} may take nobody has told: look for the mark on it first."
    return f"{ok} {asked}".strip()


def _mark(newton: float, units: UnitSystem) -> str:
    """A tool's mark, N on a metre."""
    said = f"{math.floor(newton / 1000)} kN"
    if units == "metric":
        return said
    return f"{said} ({fixed(math.floor(newton * 0.3048 / US_TON_N * 10) / 10, 1)} US tons on a foot)"


def radius(mm: float, units: UnitSystem) -> str:
    """``R 3``, or ``R 0.118 in``."""
    return f"R {mm:g}" if units == "metric" else f"R {fixed(mm / 25.4, 3)} in"


def length(mm: float, units: UnitSystem) -> str:
    """A length as it is set on a machine: to 0.01 mm, or 0.001 in, rounded once."""
    return f"{fixed(mm, 2)} mm" if units == "metric" else f"{fixed(mm / 25.4, 3)} in"


def angle_lines(plan: PartPlan, bend: Bend) -> Iterator[str]:
    """``ANGLE bent by 89° to 90° ….``: the limits of a bend that has its own, and why."""
    if words := never_past_text(plan, bend):
        yield f"ANGLE {words}."
