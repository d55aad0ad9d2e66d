"""What passes a stop while a part is bent, beside its fingers or over them: folded anew, angle by angle."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterator, Mapping, Sequence, Set
from dataclasses import dataclass

import numpy as np

from generators.geometry.frames import Matrix
from generators.model.plan import Bend, PartPlan
from generators.model.spec.tools.press import Brake
from generators.sheetmetal.folding import flat_pattern
from generators.verify.pdf.bending.below import drawn_large_mm, risen
from generators.verify.pdf.bending.blank import in_mm, shown
from generators.verify.pdf.bending.gauged import BEGINS_MM, FINE_MM, Point, leg_points, seat_of, stop_mm
from generators.verify.pdf.bending.instead import in_turn
from generators.verify.pdf.bending.machine import depth_mm, worst_rad
from generators.verify.pdf.bending.tools import Tools

ITEM = re.compile(
    r"(?P<flange>[a-z][a-z0-9 ]*?) (?P<mm>[\d.]+) (?P<unit>mm|in), (?:(?P<gap>[\d.]+) (?:mm|in) beside the "
    r"fingers|over the fingers, (?P<low>[\d.]+) (?:mm|in) (?P<level>over|under) the die's top|"
    r"(?P<under>under) the fingers)"
)
SWINGS = (
    r"SWINGS PAST THE STOP as it is bent: (?P<swings_by>[^:]+?(?:fingers|top))\. "
    r"No finger nor what holds it may reach in there\."
)
TOLD_MM, MORE_MM, NEAR_MM, ROUNDED_MM = 1.0, 1.0, 0.3, 0.15
COARSE, STEPS = 40, 400

Rises = Callable[[float], float]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Way:
    """A flange past a stop on the way, and as laid in: how far, how near to the fingers, how low over them.

    ``beside`` is less than 0 where it is over, under or behind them; ``behind``: at their own height.
    """

    far: float
    rests: float
    beside: float
    beside_at_rest: float
    low: float
    behind: bool


def swing_problems(
    steps: Sequence[re.Match[str]], letters: Mapping[str, Point], plan: PartPlan, tools: Tools
) -> Iterator[str]:
    """Flanges that pass a stop on the way and are not told, or otherwise than they do."""
    flat = flat_pattern(plan)
    for match, bend, before in in_turn(steps, plan):
        if not match.groupdict().get("on") or not match["stop"]:
            continue
        die = next((d for d in tools.dies if d.name == match["die"]), None)
        span = seat_of(match, letters, bend, flat, plan)
        if die is None or isinstance(span, str):
            continue  # said where dies and fingers' places are judged
        worst = worst_rad(match, bend, die, tools.over_rad)
        r, t = bend.inside_radius_mm, plan.thickness_mm
        rises = lambda angle, die=die, r=r, t=t: t - depth_mm(die, angle, r, t)  # noqa: E731
        yield from _step(match, bend, before, plan, tools.brake, span, (worst, rises))


def _step(
    match: re.Match[str],
    bend: Bend,
    before: Set[str],
    plan: PartPlan,
    brake: Brake,
    span: tuple[float, float],
    stroke: tuple[float, Rises],
) -> Iterator[str]:
    where, gauge = f"step {match['number']}", brake.gauge
    stop = stop_mm(match, bend, flat_pattern(plan), plan)
    slack = drawn_large_mm(plan)
    # a finger may stand over the ends of what is shorter than itself
    over = max(gauge.finger_width_mm - (span[1] - span[0]), 0.0)
    foot = -gauge.below_mm if match["level"] == "below" else 0.0
    zone = foot - brake.room_mm, foot + gauge.finger_height_mm + brake.room_mm
    said = {m["flange"]: m for m in ITEM.finditer(match["swings_by"] or "")}
    seen: dict[str, _Way] = {}
    for name, points, rear in leg_points(match, bend, before, plan):
        way = _way(points, 1.0 if rear else -1.0, bend, plan, stop, (span, over), zone, stroke)
        if way is not None:
            other = seen.get(shown(name))
            seen[shown(name)] = way if other is None else _both(way, other)
    for name, way in seen.items():
        one = said.pop(name, None)
        if one is not None:
            yield from _told(f"{where}: {name} is said to", one, way, over, zone[1], slack)
        elif name != match["swings"]:  # else it drives the gauge back, which is judged by itself
            yield from _silent(f"{where}: {name} swings", way, over, slack, drawn_back=bool(match["draws"]))
    for name in said:
        yield f"{where}: {name} is said to swing past the stop, and does not"


def _silent(what: str, way: _Way, over: float, slack: float, *, drawn_back: bool) -> Iterator[str]:
    if way.behind:
        if not drawn_back:
            yield f"{what} through the fingers' place, and the gauge is not drawn back"
        return
    further = way.far > max(way.rests, 0.0) + MORE_MM + ROUNDED_MM + slack
    nearer = 0.0 <= way.beside < way.beside_at_rest - over - MORE_MM - NEAR_MM
    if way.far > TOLD_MM + ROUNDED_MM + slack and (further or nearer):
        yield f"{what} {way.far:.1f} mm past the stop, and the sheet is silent"


def _told(what: str, one: re.Match[str], way: _Way, over: float, top: float, slack: float) -> Iterator[str]:
    """``top``: so high over the die's top the fingers and the air over them reach, mm."""
    has = in_mm(one["mm"], one["unit"])
    if not way.far - ROUNDED_MM < has < way.far + ROUNDED_MM + slack:
        yield f"{what} swing {has:.1f} mm past the stop; folded it is {way.far:.1f} mm"
    if one["gap"] is not None:
        gap = in_mm(one["gap"], one["unit"])
        # a round begins between two points of a rim, nearer than the first of them past the stop
        if not way.beside - over - FINE_MM - NEAR_MM < gap < way.beside + NEAR_MM:
            yield f"{what} pass {gap:.1f} mm beside the fingers, it is {way.beside:.1f} mm"
    elif way.beside > over + NEAR_MM:
        yield f"{what} pass over or under the fingers, it is {way.beside:.1f} mm beside them"
    elif one["low"] is not None:
        low = in_mm(one["low"], one["unit"]) * (1.0 if one["level"] == "over" else -1.0)
        if low < top - NEAR_MM:
            yield f"{what} pass {low:.1f} mm over the die's top, where it meets the fingers"
        if not way.low - NEAR_MM - slack < low < way.low + ROUNDED_MM:
            yield f"{what} pass {low:.1f} mm over the die's top; folded it is {way.low:.1f} mm"


def _both(one: _Way, two: _Way) -> _Way:
    return _Way(
        far=max(one.far, two.far),
        rests=max(one.rests, two.rests),
        beside=min(one.beside, two.beside),
        beside_at_rest=min(one.beside_at_rest, two.beside_at_rest),
        low=min(one.low, two.low),
        behind=one.behind or two.behind,
    )


def _way(
    points: Matrix,
    side: float,
    bend: Bend,
    plan: PartPlan,
    stop: float,
    place: tuple[tuple[float, float], float],
    zone: tuple[float, float],
    stroke: tuple[float, Rises],
) -> _Way | None:
    """What of a flange's points passes a stop; None where none does.

    ``place``: what fingers touch, and how far they may stand over its ends.
    """
    (span, over), (worst, rises) = place, stroke

    def turned(k: int, count: int) -> tuple[Matrix, Matrix]:
        h = worst / 2 * k / count
        y, z = risen(points, bend, plan.thickness_mm, h, rises(2 * h))
        return side * y, z

    if max(float(turned(k, COARSE)[0].max()) for k in range(COARSE + 1)) < stop + TOLD_MM / 2:
        return None
    aside = np.maximum(points[:, 0] - span[1], span[0] - points[:, 0])
    at_stop = np.array([[0.0, stop, 0.0], [0.0, stop, plan.thickness_mm]])
    far, beside, low, behind = -math.inf, math.inf, math.inf, False
    rests, beside_at_rest = -math.inf, math.inf
    for k in range(STEPS + 1):
        y, z = turned(k, STEPS)
        past = y > stop + TOLD_MM
        if not np.any(past):
            continue
        near = float(aside[past].min())
        # from where it begins to be past: the round of a corner comes nearest there; what slips out with the
        # edge at the stop is not
        h = worst / 2 * k / STEPS
        edge, _ = risen(at_stop, bend, plan.thickness_mm, h, rises(2 * h))
        if np.any(begun := (y > max(stop, float(edge.max())) + BEGINS_MM) & (aside > 0.0)):
            near = min(near, float(aside[begun].min()))
        far, beside = max(far, float(y.max()) - stop), min(beside, near)
        if k == 0:
            rests, beside_at_rest = far, beside
        over_them = past & (aside < over - NEAR_MM)
        low = min(low, float(z[over_them].min())) if np.any(over_them) else low
        # over its ends fingers stand only where nothing is in their way
        within = past & (aside < -NEAR_MM) & (z > zone[0] + NEAR_MM) & (z < zone[1] - NEAR_MM)
        behind = behind or bool(np.any(within))
    if math.isinf(far):
        return None
    return _Way(far=far, rests=rests, beside=beside, beside_at_rest=beside_at_rest, low=low, behind=behind)
