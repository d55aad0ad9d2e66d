"""What the setup sheet says of press brake and tools, by their figures: whether another brake does the same.

A name means something only where the machine stands.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence

from shapely.geometry import LineString, Polygon

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
ALIKE_MM, FAR_MM = 1e-3, 1e5


def brake_facts(brake: Brake, steps: Sequence[AnyStep], units: UnitSystem) -> Iterator[str]:
    """The brake by what it bends, presses and opens."""
    name = brake.name or "a plain one (ours, invented)"
    opens, stroke = (format_short(mm, units) for mm in (brake.open_mm, brake.stroke_mm))
    g = brake.gauge
    sizes = (g.finger_width_mm, g.finger_height_mm, g.finger_length_mm)
    gauge = [format_short(mm, units) for mm in sizes]
    clamp, table = breadth_words(brake.ram, "punch", units), breadth_words(brake.table, "die", units)
    yield (
        f"Brake: {name}, {OTHER}: bends {format_short(brake.length_mm, units)}, "
        f"{fixed(brake.force_n / 1000, 0)} kN; open {opens} from clamp to table, stroke {stroke}; clamp and "
        f"ram {clamp}, table {table} or less. Fingers "
        f"{gauge[0]} wide, {gauge[1]} high, {gauge[2]} long{beam_words(g, units)}"
        f"{drawn_back_words(steps, units)}{low_words(g, steps, units)}."
    )


def breadth_words(outline: Sequence[tuple[float, float]], tool: str, units: UnitSystem) -> str:
    """``80 mm wide``: how wide clamp or table is all the way from its ``tool``; another brake's is no wider.

    One that widens has both: ``40 mm wide to 150 mm from the punch, 300 mm wide beyond``. What such a brake
    fills is all in this one's outline.
    """
    away = -1.0 if tool == "die" else 1.0
    levels = sorted({away * up for _, up in outline})
    shape = Polygon([(back, away * up) for back, up in outline])
    spans = [_least_reach(shape, low, high) for low, high in itertools.pairwise(levels)]
    near, far = spans[-1]
    last = len(spans) - 1
    while last > 0 and spans[last - 1][0] >= near - ALIKE_MM and spans[last - 1][1] >= far - ALIKE_MM:
        last -= 1
    if last == 0:
        return _wide(near, far, units)
    foot_near, foot_far = (min(span[k] for span in spans[:last]) for k in (0, 1))
    at = format_short(levels[last], units)
    return f"{_wide(foot_near, foot_far, units)} to {at} from the {tool}, {_wide(near, far, units)} beyond"


def _least_reach(shape: Polygon, low: float, high: float) -> tuple[float, float]:
    """How far an outline reaches toward the bender and back at least, between two heights of its corners."""
    ends = []
    for at in (low + ALIKE_MM, high - ALIKE_MM):
        cut = shape.intersection(LineString([(-FAR_MM, at), (FAR_MM, at)]))
        ends.append((0.0, 0.0) if cut.is_empty else (max(-cut.bounds[0], 0.0), max(cut.bounds[2], 0.0)))
    return min(near for near, _ in ends), min(far for _, far in ends)


def _wide(near: float, far: float, units: UnitSystem) -> str:
    """``80 mm wide``, or ``40 mm toward you and 45 mm back`` where it is not the same both ways."""
    if abs(near - far) < ALIKE_MM:
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
