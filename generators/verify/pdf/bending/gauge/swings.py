"""What passes a stop while a part is bent, beside its fingers or over them: folded anew, angle by angle."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from generators.geometry.frames import Matrix
from generators.model.plan import PartPlan
from generators.sheetmetal.folding import flat_pattern
from generators.verify.pdf.bending.below import drawn_large_mm
from generators.verify.pdf.bending.blank import in_mm, shown
from generators.verify.pdf.bending.gauge.at_stop import AtStop, at_stops
from generators.verify.pdf.bending.gauged import BEGINS_MM, FINE_MM, Point, stop_mm
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
DRAWN_MM, COARSE, STEPS = 0.15, 40, 400
INSIDE_MM = NEAR_MM + 1e-6


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
    for one in at_stops(steps, letters, plan, tools):
        yield from _step(one)


def _step(at: AtStop) -> Iterator[str]:
    match, where, zone = at.match, at.where, at.zone
    (low, high), gauge = at.span, at.brake.gauge
    stop = stop_mm(match, at.bend, flat_pattern(at.plan), at.plan)
    slack = drawn_large_mm(at.plan)
    # a finger may stand over the ends of what is shorter than itself
    over = max(gauge.finger_width_mm - (high - low), 0.0)
    said = {m["flange"]: m for m in ITEM.finditer(match["swings_by"] or "")}
    clouds: dict[str, list[tuple[Matrix, float]]] = {}
    # what passes between the fingers' sides may have no rim there
    sides = low - over, high + over, *at.stand
    for name, points, side in at.points(
        [x + off for x, off in zip(sides, (INSIDE_MM, -INSIDE_MM) * 2, strict=True)]
    ):
        clouds.setdefault(shown(name), []).append((points, side))
    drawn_to = at.drawn_to_mm or stop
    for name, pieces in clouds.items():
        way = surely = _all_of(at, pieces, (stop, stop), over)
        drives = way is not None and way.behind and drawn_to > stop
        if drives:
            # through the fingers' place only until they are drawn back: what comes further is past them, and
            # how far they are drawn back is rounded up
            way, surely = (_all_of(at, pieces, (stop, drawn_to + off), over) for off in (-DRAWN_MM, DRAWN_MM))
        one = said.pop(name, None)
        if one is not None and way is not None:
            yield from _told(f"{where}: {name} is said to", one, way, surely or way, over, zone[1], slack)
        elif one is not None:
            yield f"{where}: {name} is said to swing past the stop, and does not"
        elif surely is not None and (drives or name != match["swings"]):
            # else it drives the gauge back, which is judged by itself
            least, drawn_back = drawn_to - stop if drives else 0.0, bool(match["draws"])
            yield from _silent(f"{where}: {name} swings", surely, over, slack, least, drawn_back=drawn_back)
    for name in said:
        yield f"{where}: {name} is said to swing past the stop, and does not"


def _all_of(
    at: AtStop, pieces: Sequence[tuple[Matrix, float]], lines: tuple[float, float], over: float
) -> _Way | None:
    """A flange by its clouds of points, each with 1 for the leg at the gauge and -1 for the other."""
    whole: _Way | None = None
    for points, side in pieces:
        way = _way(at, points, side, lines, over)
        if way is not None:
            whole = way if whole is None else _both(way, whole)
    return whole


def _silent(
    what: str, way: _Way, over: float, slack: float, least: float, *, drawn_back: bool
) -> Iterator[str]:
    """``least``: so far past the stop the fingers stand when it comes, mm."""
    if way.behind and not least:
        if not drawn_back:
            yield f"{what} through the fingers' place, and the gauge is not drawn back"
        return
    further = way.far > max(way.rests, 0.0) + MORE_MM + ROUNDED_MM + slack
    nearer = 0.0 <= way.beside < way.beside_at_rest - over - MORE_MM - NEAR_MM
    if way.far > least + TOLD_MM + ROUNDED_MM + slack and (further or nearer):
        yield f"{what} {way.far:.1f} mm past the stop, and the sheet is silent"


def _told(
    what: str, one: re.Match[str], way: _Way, surely: _Way, over: float, top: float, slack: float
) -> Iterator[str]:
    """``surely`` is ``way`` at the far end of what is not known of where it begins to be past.

    ``top``: so high over the die's top the fingers and the air over them reach, mm.
    """
    has = in_mm(one["mm"], one["unit"])
    if not way.far - ROUNDED_MM < has < way.far + ROUNDED_MM + slack:
        yield f"{what} swing {has:.1f} mm past the stop; folded it is {way.far:.1f} mm"
    if one["gap"] is not None:
        gap = in_mm(one["gap"], one["unit"])
        # a round begins between two points of a rim, nearer than the first of them past the stop
        if not way.beside - over - FINE_MM - NEAR_MM < gap < surely.beside + NEAR_MM:
            yield f"{what} pass {gap:.1f} mm beside the fingers, it is {way.beside:.1f} mm"
    elif way.beside > over + NEAR_MM:
        yield f"{what} pass over or under the fingers, it is {way.beside:.1f} mm beside them"
    elif one["low"] is not None:
        low = in_mm(one["low"], one["unit"]) * (1.0 if one["level"] == "over" else -1.0)
        if low < top - NEAR_MM:
            yield f"{what} pass {low:.1f} mm over the die's top, where it meets the fingers"
        if not way.low - NEAR_MM - slack < low < surely.low + ROUNDED_MM:
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


def _way(at: AtStop, points: Matrix, side: float, lines: tuple[float, float], over: float) -> _Way | None:
    """What of a flange's points passes a line; None where none does.

    ``lines``: where the stop is, from which it is told how far, and what is passed: that, or where the gauge
    is drawn back to. ``over``: how far past the ends of what they touch fingers may reach.
    """
    (stop, line), span, stand, zone = lines, at.span, at.stand, at.zone
    if (
        max(float(at.turned(points, side, k / COARSE)[0].max()) for k in range(COARSE + 1))
        < line + TOLD_MM / 2
    ):
        return None
    aside = np.maximum(points[:, 0] - span[1], span[0] - points[:, 0])
    at_stop = np.array([[0.0, stop, 0.0], [0.0, stop, at.plan.thickness_mm]])
    far, beside, low, behind = -math.inf, math.inf, math.inf, False
    rests, beside_at_rest = -math.inf, math.inf
    for k in range(STEPS + 1):
        y, z = at.turned(points, side, k / STEPS)
        past = y > line + TOLD_MM
        if not np.any(past):
            continue
        near = float(aside[past].min())
        # from where it begins to be past: the round of a corner comes nearest there; what slips out with the
        # edge at the stop is not
        edge, _ = at.turned(at_stop, 1.0, k / STEPS)
        if np.any(begun := (y > max(line, float(edge.max())) + BEGINS_MM) & (aside > 0.0)):
            near = min(near, float(aside[begun].min()))
        far, beside = max(far, float(y.max()) - stop), min(beside, near)
        if k == 0:
            rests, beside_at_rest = far, beside
        over_them = past & (aside < over - NEAR_MM)
        low = min(low, float(z[over_them].min())) if np.any(over_them) else low
        here = (points[:, 0] > stand[0] + NEAR_MM) & (points[:, 0] < stand[1] - NEAR_MM)
        within = past & here & (z > zone[0] + NEAR_MM) & (z < zone[1] - NEAR_MM)
        behind = behind or bool(np.any(within))
    if math.isinf(far):
        return None
    return _Way(far=far, rests=rests, beside=beside, beside_at_rest=beside_at_rest, low=low, behind=behind)
