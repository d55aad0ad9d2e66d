"""What the setup sheet says of press brake and tools, by their figures: whether another brake does the same.

A name means something only where the machine stands.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from generators.bending.setting import Machines
from generators.bending.steps import AnyStep, Step
from generators.drawing.bending.figures import radius
from generators.drawing.bending.gauge_words import beam_words, drawn_back_words, low_words
from generators.drawing.bending.views.on_brake import tools_of
from generators.figures import fixed, format_short
from generators.model.plan import PartPlan
from generators.model.spec.tools.press import Brake, Punch
from generators.units import UnitSystem

OPEN = "open toward you (the other way round: toward the gauge)"
OTHER = "or one with as much"


def brake_facts(brake: Brake, steps: Sequence[AnyStep], units: UnitSystem) -> Iterator[str]:
    """The brake by what it bends, presses and opens."""
    name = brake.name or "a plain one (ours, invented)"
    opens, stroke = (format_short(mm, units) for mm in (brake.open_mm, brake.stroke_mm))
    g = brake.gauge
    sizes = (g.finger_width_mm, g.finger_height_mm, g.finger_length_mm)
    gauge = [format_short(mm, units) for mm in sizes]
    clamp, table = (_wide(outline, units) for outline in (brake.ram, brake.table))
    yield (
        f"Brake: {name}, {OTHER}: bends {format_short(brake.length_mm, units)}, "
        f"{fixed(brake.force_n / 1000, 0)} kN; open {opens} from clamp to table, stroke {stroke}; clamp and "
        f"ram {clamp}, table {table} or less. Fingers "
        f"{gauge[0]} wide, {gauge[1]} high, {gauge[2]} long{beam_words(g, units)}"
        f"{drawn_back_words(steps, units)}{low_words(g, steps, units)}."
    )


def _wide(outline: Sequence[tuple[float, float]], units: UnitSystem) -> str:
    """``80 mm wide``, or ``40 mm toward you and 45 mm back`` where it is not the same both ways."""
    backs = [back for back, _ in outline]
    near, far = max(-min(backs), 0.0), max(*backs, 0.0)
    if near == far:
        return f"{format_short(near + far, units)} wide"
    return f"{format_short(near, units)} toward you and {format_short(far, units)} back"


def throat(punch: Punch, units: UnitSystem) -> str:
    """``, throat 50 mm deep from 60 mm to 215 mm over its tip, open toward you``; empty without a neck.

    With an outline of its own nobody knows which of its sides is called the throat.
    """
    if punch.neck_depth_mm <= 0 or punch.neck_from_mm is None or punch.profile:
        return ""
    deep, low, high = (
        format_short(mm, units) for mm in (punch.neck_depth_mm, punch.neck_from_mm, punch.throat_top_mm)
    )
    return f", throat {deep} deep from {low} to {high} over its tip, {OPEN}"


def tool_lines(
    steps: Sequence[AnyStep],
    machines: Machines,
    plan: PartPlan,
    units: UnitSystem = "metric",
) -> Iterator[str]:
    """Every tool that is put in, with the steps it is for."""
    seen: dict[tuple[str, str], list[tuple[int, Step]]] = {}
    for number, step in enumerate(steps, 1):
        if isinstance(step, Step):
            seen.setdefault(step.tools, []).append((number, step))
    for these in seen.values():
        punch, die = tools_of(these[0][1], machines, plan.thickness_mm)
        word, numbers = "Steps" if len(these) > 1 else "Step", ", ".join(str(n) for n, _ in these)
        yield (
            f"{word} {numbers}: {punch.name}, {math.degrees(punch.angle_rad):g}°, tip "
            f"{radius(punch.tip_radius_mm, units)}, {format_short(punch.height_mm, units)} high"
            f"{throat(punch, units)}; "
            f"die {die.name}, open {format_short(die.opening_mm, units)}, {math.degrees(die.angle_rad):g}°, "
            f"shoulders {radius(die.shoulder_radius_mm, units)}, {format_short(die.width_mm, units)} wide, "
            f"{format_short(die.height_mm, units)} high, "
            f"{'bottoming' if die.way == 'bottom' else 'air bending'}."
        )
