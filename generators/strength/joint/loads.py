"""What one bolt of a bracket carries in one load case, by finite elements or by hand."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from generators.errors import GeometryFault
from generators.strength.joint.group import Acting, Array, GroupBolt, elastic, tilting
from generators.strength.problem import Held, Vector

HAND_RANGE = 2.0
"""By hand every bolt's load is taken this many times: on hangers drawn at random finite elements never gave
more than the hand's own figure times this (``tests/strength/test_bolt_loads.py``)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BoltForce:
    """One bolt: ``pull_n`` along it, positive where the part comes off what it is bolted to (of a bolt that
    goes into no panel, the size); ``shear_n`` across it; ``bend_nmm``, the sheet's bending moment there."""

    hole: str
    pull_n: float
    shear_n: float
    bend_nmm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class HeldBolt:
    """A bolt as both ways of computing see it, in the part's frame.

    ``lies`` where the sheet lies on the panel, whose normal is then z. ``reach_mm`` is from the bolt to where
    the load comes into its sheet, ``lever_mm`` to where the bent sheet can press on the panel.
    """

    hole: str
    at: Vector
    axis: Vector
    lies: bool
    reach_mm: float
    lever_mm: float


def of_solver(bolts: Sequence[HeldBolt], held: Mapping[str, Held]) -> tuple[BoltForce, ...]:
    """Loads of the bolts from the sums of nodal reactions at their bores."""
    out = []
    for bolt in bolts:
        force, moment = np.array(held[bolt.hole].force), np.array(held[bolt.hole].moment)
        axis = np.array(bolt.axis)
        # the turn about the bolt itself is friction's, not the sheet's
        bend = moment - float(moment @ axis) * axis
        out.append(_force(bolt, force, float(np.linalg.norm(bend))))
    return tuple(out)


def by_hand(
    bolts: Sequence[HeldBolt], acting: Sequence[Acting], foot: tuple[float, float, float, float]
) -> tuple[BoltForce, ...]:
    """Loads of the bolts: each gets the most of the ways in which a part may carry them.

    The part stiff on all its bolts, and on those of the panel alone (braces bend away); tilting about each
    edge of the ``foot``; and each half of a soft part on its own column of bolts (``columns``). The sheet at
    a bolt is bent by its pull over its reach, by what leans on the column, and by what acts on the foot
    between the rows; a bent sheet thrusts its bolts apart too. Raises ``GeometryFault`` when nothing holds
    the part.
    """
    on_panel = [b for b in bolts if b.lies]
    found: dict[str, list[BoltForce]] = {b.hole: [] for b in bolts}
    for group in [list(bolts), on_panel]:
        try:
            forces = elastic([_group_bolt(b) for b in group], acting) if group else {}
        except GeometryFault:
            continue
        for bolt in group:
            found[bolt.hole].append(_force(bolt, np.array(forces[bolt.hole]), 0.0))
    pulls = tilting([_group_bolt(b) for b in on_panel], acting, foot)
    halves = columns(on_panel, acting)
    if not any(found.values()):
        found |= _in_a_row(on_panel, acting)
    thrust = THRUST * max((abs(f.pull_n) for f in halves.values()), default=0.0)
    out = []
    for bolt in bolts:
        rows = [*found[bolt.hole], *([halves[bolt.hole]] if bolt.hole in halves else [])]
        if not rows:
            continue
        pull = max(pulls.get(bolt.hole, 0.0), *(r.pull_n for r in rows))
        bend = max(abs(pull), *(abs(r.pull_n) for r in rows)) * bolt.reach_mm
        out.append(
            BoltForce(
                hole=bolt.hole,
                pull_n=pull,
                shear_n=max(r.shear_n for r in rows) + (thrust if bolt.lies else 0.0),
                bend_nmm=bend + max(r.bend_nmm for r in rows),
            )
        )
    if not out:
        raise GeometryFault("no bolt by which the part can be held by hand")
    return tuple(out)


THRUST = 0.6
"""How much of the largest pull a bent sheet thrusts its bolts apart across, where holes let nothing slip.
Ours: finite elements on hangers drawn at random."""


def _group_bolt(bolt: HeldBolt) -> GroupBolt:
    return GroupBolt(name=bolt.hole, at=bolt.at, axis=bolt.axis)


def columns(bolts: Sequence[HeldBolt], acting: Sequence[Acting]) -> dict[str, BoltForce]:
    """Each half of a part on its own column of bolts: a soft foot lets one cheek tilt without the other.

    Bolts left and right of the middle are the columns, forces go to them by the lever rule. A column takes
    its pull N/n + M y/Σy² about its own middle. ``bend_nmm`` is what the forces that stand off the foot lean
    it over sideways, shared by the column, and what acts on the foot between the rows (clamped ends,
    P a b²/L²). Nothing for bolts that make no two columns.
    """
    if not bolts:
        return {}
    middle = sum(b.at[0] for b in bolts) / len(bolts)
    sides = [[b for b in bolts if b.at[0] < middle - 1.0], [b for b in bolts if b.at[0] > middle + 1.0]]
    if not all(sides):
        return {}
    low, high = (sum(b.at[0] for b in side) / len(side) for side in sides)
    out: dict[str, BoltForce] = {}
    for side, right in zip(sides, (False, True), strict=True):
        shares = [_share(a.at[0], low, high, right=right) for a in acting]
        height = side[0].at[2]
        up = sum(b.at[1] for b in side) / len(side)
        squares = sum((b.at[1] - up) ** 2 for b in side)
        pull = sum(s * a.force[2] for s, a in zip(shares, acting, strict=True))
        tilt = sum(
            s * ((a.at[1] - up) * a.force[2] - (a.at[2] - height) * a.force[1])
            for s, a in zip(shares, acting, strict=True)
        )
        lean = abs(sum(s * (a.at[2] - height) * a.force[0] for s, a in zip(shares, acting, strict=True)))
        across = [sum(s * a.force[k] for s, a in zip(shares, acting, strict=True)) for k in (0, 1)]
        for bolt in side:
            arm = bolt.at[1] - up
            n = pull / len(side) + (tilt * arm / squares if squares > 1.0 else 0.0)
            out[bolt.hole] = BoltForce(
                hole=bolt.hole,
                pull_n=n,
                shear_n=math.hypot(*across) / len(side),
                bend_nmm=lean / len(side) + _between(bolt, side, acting, shares),
            )
    return out


def _share(at: float, low: float, high: float, *, right: bool) -> float:
    share = min(max((at - low) / (high - low), 0.0), 1.0)
    return share if right else 1.0 - share


def _between(
    bolt: HeldBolt, side: Sequence[HeldBolt], acting: Sequence[Acting], shares: Sequence[float]
) -> float:
    """Clamped-end moment at a bolt of what acts on the foot between the rows of its column, N mm."""
    rows = sorted({round(b.at[1], 3) for b in side})
    here = rows.index(round(bolt.at[1], 3))
    total = 0.0
    for other in (here - 1, here + 1):
        if not 0 <= other < len(rows):
            continue
        span = abs(rows[other] - rows[here])
        for share, a in zip(shares, acting, strict=True):
            near, far = abs(a.at[1] - rows[here]), abs(a.at[1] - rows[other])
            if abs(a.at[2] - bolt.at[2]) < 1.0 and near + far <= span + 1e-6:
                total += share * a.force[2] * near * far**2 / span**2
    return abs(total) / sum(1 for b in side if round(b.at[1], 3) == rows[here])


def _in_a_row(bolts: Sequence[HeldBolt], acting: Sequence[Acting]) -> dict[str, list[BoltForce]]:
    """Bolts in one line: the panel's face takes the tilt, the bolts share what is across."""
    total = np.sum([a.force for a in acting], axis=0, dtype=float)
    each = float(np.linalg.norm(total[:2])) / len(bolts) if bolts else 0.0
    return {
        b.hole: [BoltForce(hole=b.hole, pull_n=float(total[2]) / len(bolts), shear_n=each, bend_nmm=0.0)]
        for b in bolts
    }


def _force(bolt: HeldBolt, force: Array, bend: float) -> BoltForce:
    axis = np.array((0.0, 0.0, 1.0) if bolt.lies else bolt.axis)
    along = float(force @ axis)
    shear = math.sqrt(max(float(force @ force) - along**2, 0.0))
    return BoltForce(hole=bolt.hole, pull_n=along if bolt.lies else abs(along), shear_n=shear, bend_nmm=bend)
