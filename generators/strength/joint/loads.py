"""What one bolt of a bracket carries in one load case, by finite elements or by hand."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from generators.errors import GeometryFault
from generators.strength.bores import Held, Vector
from generators.strength.joint.columns import columns
from generators.strength.joint.group import Acting, Array, GroupBolt, elastic, tilting

HAND_RANGE = 1.25
SOFT_HAND_RANGE = 1.5
"""How far a bolt's load by hand may be below the real one, on a panel that does not give and on one that
does: on hangers drawn at random finite elements never gave more than the hand's figure times this
(``tests/strength/test_bolt_loads.py``)."""


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
        rows = [replace(r, bend_nmm=abs(r.pull_n) * bolt.reach_mm) for r in found[bolt.hole]]
        if bolt.hole in halves:
            half = halves[bolt.hole]
            rows.append(
                BoltForce(hole=bolt.hole, pull_n=half.pull_n, shear_n=half.shear_n, bend_nmm=half.bend_nmm)
            )
        if not rows:
            continue
        ways = [(r.pull_n, r.bend_nmm) for r in rows]
        tilted = pulls.get(bolt.hole, 0.0)
        pull, bend = max((*ways, (tilted, tilted * bolt.reach_mm)), key=lambda w: w[0] + w[1] / bolt.lever_mm)
        shear = max(r.shear_n for r in rows) + (thrust if bolt.lies else 0.0)
        out.append(BoltForce(hole=bolt.hole, pull_n=pull, shear_n=shear, bend_nmm=bend))
    if not out:
        raise GeometryFault("no bolt by which the part can be held by hand")
    return tuple(out)


THRUST = 0.6
"""How much of the largest pull a bent sheet thrusts its bolts apart across, where holes let nothing slip.
Ours: finite elements on hangers drawn at random."""


def _group_bolt(bolt: HeldBolt) -> GroupBolt:
    return GroupBolt(name=bolt.hole, at=bolt.at, axis=bolt.axis)


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
