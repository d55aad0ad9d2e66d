"""Who scribes a bend line, on which side and from which edge; and what squares a bend its fingers do not."""

from __future__ import annotations

import math
from collections.abc import Mapping
from types import MappingProxyType

from generators.bending.gauging.square import FINGER_MM, GAP_MM, may_skew_mm, needs_square, skew_mm, square_mm
from generators.bending.steps import AnyStep, Face, Square, Step
from generators.drawing.bending.blank import bend_frame, on_side, sides_of
from generators.drawing.bending.figures import least, length, most
from generators.drawing.part.tables.corners import corners_of
from generators.drawing.part.tables.datums import find_datums
from generators.drawing.part.tables.scribing import scribed
from generators.model.plan import PartPlan
from generators.sheetmetal.folding import bend_length, flat_pattern
from generators.units import UnitSystem

BLADES: Mapping[tuple[Face, bool], str] = MappingProxyType(
    {
        ("front", True): "back over the die",
        ("front", False): "out toward you",
        ("back", True): "toward you over the die",
    }
)
"""Which way the blade lies, by the die's face its stock is against and whether it is over the die."""


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


def square_edge(plan: PartPlan, step: Step) -> tuple[str, str] | None:
    """The corners of the edge a square is laid along; None where no edge holds what the bend may be off."""
    square = step.stop.square
    if square is None or square.long_mm < square_mm(plan, step.bend):
        return None
    flat = flat_pattern(plan)
    frame = bend_frame(flat, step)
    middle = frame.at(frame.along_of(square.x), (square.low_y + square.high_y) / 2)
    return next((pair for pair, side in sides_of(flat) if on_side(middle, *side)), None)


def square_lengths(plan: PartPlan, step: Step, square: Square, units: UnitSystem) -> tuple[str, str]:
    """How much of a square's stock lies against the die, and along how much of the edge its blade."""
    return least(square.stock_mm, units), least(square_mm(plan, step.bend), units)


def square_words(plan: PartPlan, step: Step, units: UnitSystem) -> str:
    """`` SQUARE IT BY the edge c to d, …``: what squares a sheet its fingers do not, or empty."""
    pair, square = square_edge(plan, step), step.stop.square
    if pair is None or square is None:
        return ""
    stock, need = square_lengths(plan, step, square, units)
    near = " They do not square it:" if step.stop.apart_mm > 0 else ""
    room = ""
    if not math.isinf(square.free_mm):
        room = f", and no longer than {most(square.free_mm, units)} from the die"
    return (
        f"{near} SQUARE IT BY the edge {pair[0]} to {pair[1]}, which lies square to the bend: the stock of a "
        f"square, {stock} of it, against the {square.face} face of the die, "
        f"from that edge away from the sheet, its blade {BLADES[square.face, square.over]} along {need} or "
        f"more of that edge, no gap there over {length(GAP_MM, units)}{room}."
        f"{_die_runs_on(plan, step, square, units)}"
    )


def _die_runs_on(plan: PartPlan, step: Step, square: Square, units: UnitSystem) -> str:
    """How far past the bend's end the die goes on behind a stock; empty where it need not."""
    long = bend_length(next(b for b in plan.bends if b.name == step.bend))
    low, high = square.die_span(long)
    past = -low if square.way < 0 else high - long
    if past <= 0:
        return ""
    # what stands or hangs beyond the stock lets the die go no further there
    reach = step.die_reach
    flange, room = (reach.left, -reach.low) if square.way < 0 else (reach.right, reach.high - long)
    to = f"to {most(room, units)}" if flange else "or more"
    return f" The die runs on {least(past, units)} {to} past the bend's end there, behind the stock."


def skew_lines(plan: PartPlan, step: Step, units: UnitSystem) -> tuple[str, ...]:
    """What squares a bend that neither its fingers nor a square keep so; none where they keep its length."""
    stop = step.stop
    if not needs_square(plan, stop, step.bend) or square_edge(plan, step) is not None:
        return ()
    # down to a figure that is printed: no more than it may be
    one = 0.01 if units == "metric" else 0.0254
    may = length(max(math.floor(may_skew_mm(plan, step.bend) / one + 1e-6), 1) * one, units)
    if stop.apart_mm > 0:
        skew = skew_mm(plan, stop.apart_mm, step.bend)
        # and up to one: more than that
        finger, said = length(FINGER_MM, units), length(math.ceil(skew / one - 1e-6) * one, units)
        why = f"ITS FINGERS: {finger} between them is {said} from end to end of the bend, {may} may be."
    else:
        need = least(square_mm(plan, step.bend), units)
        why = f"ONE FINGER, and no straight edge square to the bend is free for a square along {need}."
    return (
        f"NOT SQUARE BY {why} {scribe_line(plan, step)} Both its ends lie under the tip of the punch, one no "
        f"more than {may} off against the other.",
    )
