"""Who scribes a bend line, on which side and from which edge; and which bends two fingers do not square."""

from __future__ import annotations

from generators.bending.steps import AnyStep, Stop
from generators.drawing.bending.figures import length
from generators.drawing.part.tables.corners import corners_of
from generators.drawing.part.tables.datums import find_datums
from generators.drawing.part.tables.scribing import scribed
from generators.figures import fixed
from generators.model.plan import PartPlan
from generators.sheetmetal.folding import bend_length, flat_pattern
from generators.units import UnitSystem

FINGER_MM = 0.1
"""Two fingers may stand so far out of line, a burr or the gauge's own play. Common practice, no source."""


def scribe_line(plan: PartPlan, step: AnyStep) -> str:
    """Where the bender scribes the line of a step, as the drawing's table of bends has it.

    The side that lies up is the inside of the bend: there a scratch is pressed together, not torn open.
    """
    flat = flat_pattern(plan)
    strip = next(b for b in flat.bends if b.bend.name == step.bend)
    at, runs = scribed(strip, find_datums(flat), corners_of(flat.contour))
    return (
        f"SCRIBE the bend line first, on the side that lies up, never on the other: {at}, {runs}, in mm as "
        "in the drawing's BENDS. The cut blank does not have it."
    )


def skew_mm(plan: PartPlan, stop: Stop, bend: str) -> float:
    """How far one end of a bend may lie out against the other, by what two fingers may be out of line, mm.

    0 where no two fingers stand on the stop.
    """
    this = next(b for b in plan.bends if b.name == bend)
    return FINGER_MM / stop.apart_mm * bend_length(this) if stop.apart_mm > 0 else 0.0


def skew_lines(plan: PartPlan, step: AnyStep, units: UnitSystem) -> tuple[str, ...]:
    """What squares a bend whose fingers stand too near to one another; none where they keep its length."""
    skew = skew_mm(plan, step.stop, step.bend)
    if skew <= plan.bent_mm:
        return ()
    finger, off = length(FINGER_MM, units), fixed(skew, 1)
    may = length(plan.bent_mm, units)
    said = f"{off} mm" if units == "metric" else length(skew, units)
    return (
        f"NOT SQUARE BY ITS FINGERS: {finger} between them is {said} from end to end of the bend, {may} may "
        f"be. {scribe_line(plan, step)} Both its ends lie under the tip of the punch, one no more than {may} "
        "off against the other.",
    )
