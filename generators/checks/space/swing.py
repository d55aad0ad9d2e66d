"""Rules on what a moving pedal comes near on its way from rest to the end of its travel."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from generators.checks.rule import SAME_MM, Rule, finding
from generators.checks.space.moves import SPARE_MM
from generators.figures import fixed
from generators.model.changes import Change, Proposal
from generators.model.findings import Finding, Severity
from generators.model.words import BodyKind
from generators.space.body import Body, Gap
from generators.space.distance import Space
from generators.space.motion import Met, Mover, least_gap_both
from generators.space.sweep import Sweep

PEDAL_SWING = Rule(
    code="pedal-swing",
    title="A pedal meets or nearly meets something on its way",
    meaning=(
        "Arm, pad and pushrod are carried from rest to the end of their travel and their distance to "
        "everything else is followed: panels, parts, obstacles, hoses, clamps, cylinders, bolts, and other "
        "pedals in any combination of places. Contact fails, less than the limit warns: paint, play in the "
        "pivot and a bent bracket use up a few millimetres. The floor itself has its own rule."
    ),
    formula="least distance over the whole travel >= moving_clear; fail at contact",
    source="6 mm: common practice, no source",
    trust="CP",
    mend="Bend or move the arm, shift the pad sideways, or move what is in the way.",
    limit_key="moving_clear_mm",
)

RULES = (PEDAL_SWING,)

TOUCHING_MM = 1e-3
"""Under this a gap is contact: what the distances are sure to."""

_LAST_RAD = 1e-3
_AHEAD = math.sqrt(0.5)
"""Cosine of 45 deg between the way to a thing and the way one goes: ahead rather than beside."""


_SAID_ELSEWHERE: frozenset[tuple[BodyKind, BodyKind]] = frozenset({("pedal", "hose"), ("pad", "hose")})
"""An arm or a pad beside a hose: the rules on hoses keep a wider gap."""


_CROSSING: frozenset[tuple[BodyKind, BodyKind]] = frozenset({("rod", "panel"), ("rod", "part")})
_OF_A_PEDAL: frozenset[BodyKind] = frozenset({"pedal", "pad", "rod"})
"""What of another pedal is one thing to run into."""


@dataclass(frozen=True, kw_only=True)
class Moving:
    """A pedal's moving bodies, each with its whole way, and the names of bodies it is not held against.

    ``apart`` has those by the mover's name: a rod and its cylinder, the floor of pad and arm, what other
    rules look at. ``through`` names those it may come near without touching: what a rod goes through.
    ``floor`` is the owner of what ends the travel, where that is no panel.
    """

    pedal: str
    movers: tuple[Mover, ...]
    apart: dict[str, frozenset[str]]
    through: dict[str, frozenset[str]]
    floor: str = ""


@dataclass(frozen=True, kw_only=True)
class _Near:
    """A gap on the way, its limit, and what it is between: words for the places, pad travel of each pedal."""

    mover: Mover
    other: Body
    gap: Gap
    limit_mm: float
    turn_rad: float
    other_mm: float | None = None
    contact_mm: float | None = None


def check_swing(moving: Sequence[Moving], standing: Sequence[Body], clear_mm: float) -> Iterator[Finding]:
    """What each pedal meets, once for each thing of the spec it comes too near."""
    space = Space([*(m.body for pedal in moving for m in pedal.movers), *standing])
    for pedal in moving:
        found = [near for m in pedal.movers for near in _beside(space, pedal, m, standing, clear_mm)]
        yield from _worst(pedal, found)
    for k, pedal in enumerate(moving):
        for other in moving[k + 1 :]:
            yield from _worst(pedal, _between(space, pedal, other, clear_mm))


def _beside(
    space: Space, pedal: Moving, mover: Mover, standing: Sequence[Body], clear_mm: float
) -> Iterator[_Near]:
    """What one body of a pedal comes near of those that stand still."""
    name = mover.body.name
    held = {
        space.number(body.name): body
        for body in standing
        if body.name not in pedal.apart.get(name, ())
        and not mover.body.joined & body.joined
        and (mover.body.what, body.what) not in _SAID_ELSEWHERE
    }
    sweep = Sweep(space, space.number(name), mover.motion, [*held], clear_mm)
    for number, body in held.items():
        if number not in sweep.near:
            continue
        limit = 0.0 if body.name in pedal.through.get(name, ()) else clear_mm
        met = sweep.least(number, limit)
        if met is None or (limit > 0 and met.gap.gap_mm >= limit - SAME_MM):
            continue
        if body.owner == pedal.floor and _come_to(mover, met):
            continue
        contact = sweep.first({number: 0.0}) if met.gap.gap_mm <= TOUCHING_MM else None
        if limit == 0.0 and contact is None:
            continue
        turn = None if contact is None else contact[0].turn_rad
        if turn == 0.0 and (mover.body.what, body.what) in _CROSSING:
            # what a rod goes through at rest has a rule of its own
            continue
        yield _Near(
            mover=mover,
            other=body,
            gap=met.gap,
            limit_mm=limit,
            turn_rad=met.turn_rad,
            contact_mm=None if turn is None else turn * mover.pad_mm,
        )


def _come_to(mover: Mover, met: Met) -> bool:
    """True for what is nearest at the end of the way and lies ahead, not beside: a bolt in what ends it."""
    end, way = mover.motion.end_rad, np.array(met.gap.to) - np.array(met.gap.at)
    if met.turn_rad < end - _LAST_RAD or met.gap.gap_mm <= TOUCHING_MM:
        return False
    at = np.linalg.solve(mover.motion.pose(met.turn_rad), np.array([*met.gap.at, 1.0]))
    goes = ((mover.motion.pose(end) - mover.motion.pose(end - _LAST_RAD)) @ at)[:3]
    far = float(np.linalg.norm(way)) * float(np.linalg.norm(goes))
    return abs(float(way @ goes)) > _AHEAD * far


def _between(space: Space, pedal: Moving, other: Moving, clear_mm: float) -> Iterator[_Near]:
    """What the bodies of one pedal come near of another's, each pedal anywhere on its way."""
    for mover in pedal.movers:
        for second in other.movers:
            if second.body.name in pedal.apart.get(mover.body.name, ()):
                continue
            met = least_gap_both(space, mover, second, clear_mm)
            if met is not None and met.gap.gap_mm < clear_mm - SAME_MM:
                yield _Near(
                    mover=mover,
                    other=second.body,
                    gap=met.gap,
                    limit_mm=clear_mm,
                    turn_rad=met.turns_rad[0],
                    other_mm=met.turns_rad[1] * second.pad_mm,
                    contact_mm=met.turns_rad[0] * mover.pad_mm if met.gap.gap_mm <= TOUCHING_MM else None,
                )


def _worst(pedal: Moving, found: Iterable[_Near]) -> Iterator[Finding]:
    """One finding for each thing of the spec: at the least gap."""
    worst: dict[tuple[str, str], _Near] = {}
    for near in found:
        key = near.other.owner, "pedal" if near.other.what in _OF_A_PEDAL else near.other.what
        if key not in worst or near.gap.gap_mm < worst[key].gap.gap_mm:
            worst[key] = near
    for near in worst.values():
        yield _finding(pedal, near)


def _finding(pedal: Moving, near: _Near) -> Finding:
    contact = near.contact_mm is not None
    travel = near.turn_rad * near.mover.pad_mm
    place = place_words(near.gap.to)
    with_other = "" if near.other_mm is None else f", {near.other.owner} at {near.other_mm:.0f} mm"
    if contact and near.contact_mm is not None:
        found = f"{near.mover.body.title} meets {near.other.title} at {near.contact_mm:.0f} mm of pad travel"
        found += f"{with_other} ({place})"
        if near.gap.gap_mm < -1.0 and travel > near.contact_mm + 1.0:
            found += f", {-near.gap.gap_mm:.0f} mm in it at {travel:.0f} mm"
    else:
        found = (
            f"{fixed(near.gap.gap_mm, 1)} mm from {near.mover.body.title} to {near.other.title} at "
            f"{travel:.0f} mm of pad travel{with_other} ({place})"
        )
    return finding(
        PEDAL_SWING,
        Severity.FAIL if contact else Severity.WARN,
        f"pedal:{pedal.pedal} and {near.other.owner}",
        value=near.gap.gap_mm,
        limit=near.limit_mm,
        found=found,
        wanted=f"{near.limit_mm:g} mm" if near.limit_mm else "no contact",
        advice=f"bend the arm clear, move the pad sideways, or move {near.other.title}",
        proposals=sideways(pedal.pedal, near.limit_mm - near.gap.gap_mm),
    )


def sideways(pedal: str, short_mm: float) -> tuple[Proposal, ...]:
    """The pad shifted to either side by what is short, mm, with what of the arm goes over to it."""
    far = float(math.ceil(short_mm + SPARE_MM))
    return tuple(
        Proposal(
            words=f"shift the pad of {pedal} {{by}} to the {side}",
            steps=(Change(path=f"pedal[{pedal}].pad_side", by=sign * far),),
        )
        for side, sign in (("right", 1.0), ("left", -1.0))
    )


def place_words(at: Sequence[float]) -> str:
    """``x 12 mm, y 40 mm, z 300 mm``, in the vehicle."""
    return ", ".join(f"{axis} {round(value):d} mm" for axis, value in zip("xyz", at, strict=True))
