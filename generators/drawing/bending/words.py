"""What the setup sheet says of a step: plain lines, one for each thing the operator sets."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from generators.bending.steps import Step
from generators.drawing.bending.side_view import tools_of
from generators.model.plan import PartPlan
from generators.model.spec.tools.press import Brake
from generators.units import UnitSystem, format_short

BY_EYE = "No straight edge to stop on: scribe the bend line sharply and set it under the punch by eye."
SLIDE = "The part stays round the punch: slide it off sideways."
TURN_OVER = "TURN THE PART OVER. "
CAUTIONS = (
    "Hands clear of punch and die and of flanges that swing up; guard in place, one person at the pedal. "
    "Glasses on.",
    "Bend a scrap of the same sheet first, and set the depth by its angle, not by this sheet alone. Check "
    "each bend before the next. Remove burrs before bending.",
)


def shown(name: str) -> str:
    """A flange or bend as it is written for people."""
    return name.replace("_", " ")


def pieces(lengths: Sequence[float], units: UnitSystem) -> str:
    """``100 + 20 + 15 mm`` of a tool made up, longest first, or its one length."""
    if units == "metric":
        return f"{' + '.join(f'{p:g}' for p in lengths)} mm" + (
            f" = {math.fsum(lengths):g} mm" if len(lengths) > 1 else ""
        )
    return " + ".join(format_short(p, units) for p in lengths)


def head(number: int, step: Step, plan: PartPlan) -> str:
    """``2  Bend left: 90°``."""
    bend = next(b for b in plan.bends if b.name == step.bend)
    angle = math.degrees(bend.angle_rad)
    return f"{number}  Bend {shown(step.bend)}: {angle:g}°, R {bend.inside_radius_mm:g}"


def lines(step: Step, before: Step | None, plan: PartPlan, units: UnitSystem) -> Iterator[str]:
    """Lines of a step, in the order things are set."""
    side = "lower" if step.flipped else "upper"
    turned = before is not None and before.flipped != step.flipped
    over = TURN_OVER if turned else ""
    yield f"{over}Lay it with its {side} side up, {shown(step.rear)} toward the gauge."
    stop = step.stop
    if stop.on == "line":
        yield BY_EYE
    else:
        face = "the straight edge of" if stop.on == "edge" else "the outer face of"
        at = f"STOP {length(stop.distance_mm, units)} from the middle of the die"
        yield f"{at}, against {face} {shown(stop.flange)}."
    way = ", the other way round" if step.turned else ""
    yield f"PUNCH {step.punch}{way}: {pieces(step.punch_pieces_mm, units)}."
    yield f"DIE {step.die}: {length_over(math.fsum(step.die_pieces_mm), units)} or longer."
    pressed = math.degrees(step.pressed_rad)
    more = f" to {pressed:.1f}°, it springs back" if step.pressed_rad - step.angle_rad > 1e-6 else ""
    depth = f"DEPTH {length(step.depth_mm, units)} from touching the flat sheet{more}."
    yield f"{depth} FORCE {step.force_n / 1000:.0f} kN."
    if step.slide:
        yield SLIDE


def length(mm: float, units: UnitSystem) -> str:
    """A length as it is set on a machine: to 0.05 mm, or 0.001 in, rounded once."""
    return f"{mm:.2f} mm" if units == "metric" else f"{mm / 25.4:.3f} in"


def length_over(mm: float, units: UnitSystem) -> str:
    """A length of a tool, whole mm."""
    return format_short(mm, units, 0)


def tool_lines(
    steps: Sequence[Step], brake: Brake, opening_mm: float | None, plan: PartPlan
) -> Iterator[str]:
    """Every tool that is put in, with the steps it is for."""
    seen: dict[tuple[str, str], list[int]] = {}
    for number, step in enumerate(steps, 1):
        seen.setdefault((step.punch, step.die), []).append(number)
    for (_, _), numbers in seen.items():
        punch, die = tools_of(steps[numbers[0] - 1], brake, opening_mm, plan.thickness_mm)
        word = "Steps" if len(numbers) > 1 else "Step"
        yield (
            f"{word} {', '.join(map(str, numbers))}: {punch.name}, {math.degrees(punch.angle_rad):g}°, tip "
            f"R {punch.tip_radius_mm:g}, {punch.height_mm:g} mm high; die {die.name}, "
            f"{math.degrees(die.angle_rad):g}°, {'bottoming' if die.way == 'bottom' else 'air bending'}."
        )
