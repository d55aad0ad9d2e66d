"""What stands before what, seen along a bend from an end of the machine; from which end less is hidden."""

from __future__ import annotations

from dataclasses import dataclass

from generators.bending.legs import Laid, PartShape
from generators.bending.shadow import Shadow, shadows
from generators.bending.steps import Step
from generators.geometry.joined import joined
from generators.model.plan import PartPlan

HIDES_MM2, BEYOND_MM = 1.0, 0.1
"""By so much less must be in the way from the left end for a step to be seen from there."""


def from_the_left(plan: PartPlan, step: Step) -> bool:
    """True where more stands beyond the right end of the bend than beyond the left, seen along it."""
    bend = next(b for b in plan.bends if b.name == step.bend)
    laid = PartShape(plan=plan).laid(bend, frozenset(step.done), step.child_rear)
    hidden = {
        right: sum(_area(s) for s in shadows(laid) if _before(s, laid, right=right))
        for right in (True, False)
    }
    return hidden[False] < hidden[True] - HIDES_MM2


def _area(shadow: Shadow) -> float:
    return float(joined(getattr(shadow.shape, "geoms", [shadow.shape])).area)


def _before(shadow: Shadow, laid: Laid, *, right: bool) -> bool:
    """True for what is nearer to that end of the machine than the bend's own end."""
    return shadow.high_x > laid.length + BEYOND_MM if right else shadow.low_x < -BEYOND_MM


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Layers:
    """What stands off the sheet: beyond the far end of the bend, over it, beyond its near end."""

    behind: tuple[Shadow, ...]
    over: tuple[Shadow, ...]
    before: tuple[Shadow, ...]


def layers(laid: Laid, *, right: bool) -> Layers:
    """Every flange by itself, the farthest from that end of the machine first.

    Tools are as long as the bend at least, and no flange is where they are: one that stands over the bend
    and past an end of it meets their outline, seen along the bend, only past that end. One past both ends
    is cut at the far one.
    """
    behind: list[Shadow] = []
    over: list[Shadow] = []
    before: list[Shadow] = []
    far = shadows(laid, high=0.0) if right else shadows(laid, low=laid.length)
    near = shadows(laid, low=0.0) if right else shadows(laid, high=laid.length)
    for shadow in shadows(laid):
        ahead, beyond = _before(shadow, laid, right=right), _before(shadow, laid, right=not right)
        if ahead and beyond:
            this = (shadow.flange, shadow.rear)
            behind += [s for s in far if (s.flange, s.rear) == this]
            before += [s for s in near if (s.flange, s.rear) == this]
        else:
            (before if ahead else behind if beyond else over).append(shadow)
    for layer in (behind, over, before):
        layer.sort(key=lambda s: s.high_x if right else -s.low_x)
    return Layers(behind=tuple(behind), over=tuple(over), before=tuple(before))
