"""A bend whose leg is against a stop by a setup sheet: its fingers, and the part on its way past them."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping, Sequence, Set
from dataclasses import dataclass
from functools import partial

from generators.geometry.frames import Matrix
from generators.model.plan import Bend, PartPlan
from generators.model.spec.tools.press import Brake, Die
from generators.sheetmetal.folding import flat_pattern
from generators.verify.pdf.bending.below import risen
from generators.verify.pdf.bending.blank import in_mm
from generators.verify.pdf.bending.gauge.wider import room_past
from generators.verify.pdf.bending.gauged import Point, leg_points, nearer, seat_of
from generators.verify.pdf.bending.instead import in_turn
from generators.verify.pdf.bending.machine import depth_mm, worst_rad
from generators.verify.pdf.bending.tools import Tools

Span = tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class AtStop:
    """``span``: what fingers touch, and ``stand``: where they may stand, from where to where along the bend.

    ``worst_rad``: how far it is bent at worst; ``rises``: the height of the inside of the bend over the die
    at an angle.
    """

    match: re.Match[str]
    bend: Bend
    before: Set[str]
    plan: PartPlan
    brake: Brake
    span: Span
    stand: Span
    worst_rad: float
    rises: Callable[[float], float]

    @property
    def where(self) -> str:
        """How a problem of it begins."""
        return f"step {self.match['number']}"

    @property
    def below(self) -> bool:
        """True where the fingers are set to below the die's top."""
        return bool(self.match["level"] == "below")

    @property
    def zone(self) -> Span:
        """From which height to which something is in the fingers' way, over the die's top, mm."""
        gauge, room = self.brake.gauge, self.brake.room_mm
        foot = -gauge.below_mm if self.below else 0.0
        return foot - room, foot + gauge.finger_height_mm + room

    @property
    def drawn_to_mm(self) -> float | None:
        """How far from the die's middle the fingers are once they are drawn back, if they are."""
        return in_mm(self.match["swung"], self.match["draws_unit"]) if self.match["draws"] else None

    def points(self, at: Sequence[float]) -> Iterator[tuple[str, Matrix, float]]:
        """``leg_points``, each with 1 for the leg at the gauge and -1 for the one in front."""
        for name, points, rear in leg_points(self.match, self.bend, self.before, self.plan, at):
            yield name, points, 1.0 if rear else -1.0

    def turned(self, points: Matrix, side: float, share: float) -> tuple[Matrix, Matrix]:
        """How far toward the gauge and how high points are when so much of the way is done."""
        h = self.worst_rad / 2 * share
        y, z = risen(points, self.bend, self.plan.thickness_mm, h, self.rises(2 * h))
        return side * y, z


def _inside_mm(die: Die, inside_radius_mm: float, thickness_mm: float, angle_rad: float) -> float:
    """How high the inside of a bend stands over its die at an angle, mm."""
    return thickness_mm - depth_mm(die, angle_rad, inside_radius_mm, thickness_mm)


def at_stops(
    steps: Sequence[re.Match[str]], letters: Mapping[str, Point], plan: PartPlan, tools: Tools
) -> Iterator[AtStop]:
    """Each such bend whose die and place can be read; the others are told of where those are judged."""
    flat = flat_pattern(plan)
    for match, bend, before in in_turn(steps, plan):
        if not match.groupdict().get("on") or not match["stop"]:
            continue
        die = next((d for d in tools.dies if d.name == match["die"]), None)
        span = seat_of(match, letters, bend, flat, plan)
        if die is None or isinstance(span, str):
            continue
        past = room_past(match, nearer(match, letters, bend, flat, span)) or (0.0, 0.0)
        yield AtStop(
            match=match,
            bend=bend,
            before=before,
            plan=plan,
            brake=tools.brake,
            span=span,
            stand=(span[0] - past[0], span[1] + past[1]),
            worst_rad=worst_rad(match, bend, die, tools.over_rad),
            rises=partial(_inside_mm, die, bend.inside_radius_mm, plan.thickness_mm),
        )
