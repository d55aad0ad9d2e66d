"""What the setup sheet says of a bend on the folder: plain lines, one for each thing the operator sets."""

from __future__ import annotations

import math
from collections.abc import Iterator

from generators.bending.steps import FoldStep
from generators.drawing.bending.blank import between
from generators.drawing.bending.figures import angle_lines, beside, length, pieces, shown
from generators.drawing.bending.gauge_words import slide_words
from generators.drawing.bending.scribe import scribe_line
from generators.figures import fixed, format_short
from generators.model.plan import PartPlan
from generators.model.spec.tools.folder import Folder
from generators.sheetmetal.folding import bend_length
from generators.units import UnitSystem

NOSES = (
    "On the folder a stop is set from the front of the fingers' noses. The leaf is set down so that it turns "
    "about the middle of the bend's radius, and the fingers back from its face, as each step says."
)
LEAF_HANDS = (
    "Hands clear of the clamping beam, and of the leaf's swing and its counterweights; one person at the "
    "folder, or one who calls. Fingers locked before clamping. Glasses on."
)
BY_LINE = "No straight edge the stop reaches: set it by its scribed bend line."


def folder_facts(folder: Folder, units: UnitSystem) -> Iterator[str]:
    """The folder, its fingers' nose, and how much of what it bends."""
    rows = "; ".join(
        f"{format_short(c.thickness_mm, units)} over {format_short(c.length_mm, units)}"
        for c in folder.capacities
    )
    yield (
        f"Folder: {folder.name or 'a plain one (ours, invented)'}. Noses of R "
        f"{format_short(folder.nose_radius_mm, units)}. "
        f"It bends steel of {folder.tensile_mpa:.0f} MPa: {rows}."
    )


def fold_lines(step: FoldStep, laid: str, plan: PartPlan, units: UnitSystem) -> Iterator[str]:
    """Lines of a step, in the order things are set; ``laid`` begins the first."""
    bend = next(b for b in plan.bends if b.name == step.bend)
    front = bend.child if step.rear == bend.parent else bend.parent
    yield f"{laid}, {shown(step.rear)} under the fingers, {shown(front)} over the leaf."
    stop = step.stop
    if stop.on == "line":
        yield BY_LINE
    else:
        at = f"STOP {length(stop.distance_mm, units)} behind the front of the fingers"
        yield f"{at}, against the straight edge{between(plan, step)} of {shown(stop.flange)}."
    yield scribe_line(plan, step)
    where = "in front of" if step.line_mm >= 0 else "behind"
    line = length(abs(step.line_mm), units)
    yield f"LINE: the scribed bend line lies {line} {where} the front of the fingers."
    most = beside(step.reach, bend_length(bend), "stands", units)
    yield f"FINGERS {pieces(step.fingers_mm, units)}{most}."
    back = length(step.setback_mm, units)
    yield f"SET BACK {back} from the leaf's face stood upright to the front of the fingers."
    down = length(bend.inside_radius_mm + plan.thickness_mm, units)
    yield f"SET DOWN the leaf {down}: so far its face lies below the axis it turns about."
    yield from angle_lines(plan, bend)
    pressed = math.degrees(step.pressed_rad)
    more = (
        "it springs back as the test bend on the brake"
        if step.pressed_rad - step.angle_rad > 1e-6
        else "springback not measured"
    )
    yield f"LEAF to {fixed(pressed, 1)}°, {more}."
    if step.slide:
        yield slide_words(step.reach, "fingers")
