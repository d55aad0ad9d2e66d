"""Which things of a job stand closest to each other, at rest and with the pedals at their stop.

A thing is all of one owner: a bracket with its bolts, a hose with its ends, a pedal. Pairs that are fixed to
each other somewhere have no gap to look at, nor do things and the panel they stand on: those have rules.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, replace

from generators.model.words import BodyKind
from generators.solve.bodies.passing import held_there
from generators.solve.bodies.scene import Scene
from generators.solve.hoses.lines import HoseAnswer
from generators.space.body import Body, Gap
from generators.space.distance import Space
from generators.space.pieces import moved

LOOKED_AT: frozenset[BodyKind] = frozenset(
    {"part", "bolt", "cylinder", "reservoir", "fitting", "hose", "pedal", "pad", "stop", "obstacle"}
)
"""Not rods: one end is in the hanger's bore and the other inside a cylinder."""

TOUCH_MM = 0.05
"""Nearer than that is contact or an overlap, for the rules to judge."""


@dataclass(frozen=True, kw_only=True)
class NearPair:
    """The least gap between two things, with the titles of the bodies it is between; ``at_stop`` with the
    pedals at their stop, ``held`` where it is that of a hose's end to what holds the thing it is on."""

    first: str
    second: str
    things: tuple[str, str]
    gap: Gap
    at_stop: bool = False
    held: bool = False


HELD_WORDS = "the hose is held there by its end and cannot rub"
"""What is said of a pair that is ``held``, beside which no rule asks for air."""


def closest_pairs(
    scene: Scene, within_mm: float, count: int, hoses: Sequence[HoseAnswer] = ()
) -> tuple[NearPair, ...]:
    """The pairs of things nearest to each other, the nearest first, and the nearest of each pedal."""
    standing = [body for body in scene.bodies if body.what in LOOKED_AT]
    movers = [mover for mover in scene.movers if mover.body.what in LOOKED_AT]
    rest = [mover.body for mover in movers]
    there = [
        replace(
            mover.body,
            forms=tuple(moved(p, mover.motion.pose(mover.motion.end_rad)) for p in mover.body.pieces),
        )
        for mover in movers
    ]
    best: dict[frozenset[str], NearPair] = {}
    for bodies, at_stop in (([*standing, *rest], False), ([*standing, *there], True)):
        if at_stop and not there:
            continue
        # what stands is as far from what stands as it was
        for key, pair in _pairs(bodies, within_mm, at_stop, {body.name for body in there}):
            if key not in best or pair.gap.gap_mm < best[key].gap.gap_mm - TOUCH_MM:
                best[key] = pair
    found = [pair for pair in best.values() if pair.gap.gap_mm >= TOUCH_MM]
    found.sort(key=lambda pair: (round(pair.gap.gap_mm, 3), pair.gap.first, pair.gap.second))
    chosen = found[:count]
    for pedal in dict.fromkeys(body.owner for body in rest):
        thing = f"pedal:{pedal}"
        own = next((p for p in found if thing in p.things), None)
        if own is not None and own not in chosen:
            chosen.append(own)
    return tuple(replace(pair, held=held_there(pair.gap, hoses, scene.bodies)) for pair in chosen)


def _pairs(
    bodies: Sequence[Body], within_mm: float, at_stop: bool, moved_there: Collection[str]
) -> Iterator[tuple[frozenset[str], NearPair]]:
    """Pairs a person asks of, each with its gap; ``at_stop`` those alone of which one has ``moved_there``."""
    space = Space(bodies)
    fixed = {frozenset((_thing(a), _thing(b))) for a in bodies for b in bodies if a.joined & b.joined}
    of = {body.name: body for body in bodies}
    hoses = {body for pair in fixed for body in pair if body.startswith("hose:")}
    held = {hose: set().union(*(pair for pair in fixed if hose in pair)) - {hose} for hose in hoses}
    named = {_thing(body) for body in bodies if body.what != "bolt"}

    def wanted(one: Body, two: Body) -> bool:
        """Told before the gap is worked out, which takes long."""
        if at_stop and not (one.name in moved_there or two.name in moved_there):
            return False
        key = frozenset((_thing(one), _thing(two)))
        if len(key) != 2 or key in fixed or not key <= named:
            return False  # one thing, or two fixed to each other; or a clamp's bolt, which goes with its hose
        if {one.what, two.what} == {"obstacle"}:
            return False  # what the vehicle has stands as it does
        # two hoses from the two ends of one fitting are as far apart as it is long
        return not held.get(_thing(one), set()) & held.get(_thing(two), set())

    for gap in space.gaps(within_mm, wanted):
        one, two = of[gap.first], of[gap.second]
        things = _thing(one), _thing(two)
        yield (
            frozenset(things),
            NearPair(first=one.title, second=two.title, things=things, gap=gap, at_stop=at_stop),
        )


def _thing(body: Body) -> str:
    """What a body belongs to: a bracket's bolts are the bracket's."""
    table = body.name.partition(":")[0]
    return f"{'part' if table == 'bolt' else table}:{body.owner}"
