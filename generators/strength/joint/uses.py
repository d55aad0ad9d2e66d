"""How the bolts of a loaded bracket are used: their sheets, what each carries, by what factor it holds."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from generators.model.changes import Proposal
from generators.model.words import LoadCase
from generators.strength.joint.bearing import bolt_load_n, prying_n
from generators.strength.joint.loads import BoltForce
from generators.strength.joint.sheets import Sheet, Under, bears_n, holds_n
from generators.strength.joint.strut import BraceLoad

SAME = 1e-9
"""Loads and factors nearer than this are one. A float's noise."""


@dataclass(frozen=True, slots=True, kw_only=True)
class JudgedBolt:
    """One bolt with what it goes through.

    ``proof_n`` is None for a bolt of no known class. ``own`` is the part's sheet, ``pulled`` what the far
    end pulls on: panel and doublers beyond it; ``bears`` what resists it sideways under the part. ``unknown``
    says why the far end is not judged. ``lever_mm`` is that of prying.
    """

    hole: str
    words: str
    thread: str
    bolt_mm: float
    proof_n: float | None
    grade: str
    lever_mm: float
    own: Sheet
    near: Under
    far: Under
    pulled: tuple[Sheet, ...] = ()
    bears: tuple[Sheet, ...] = ()
    unknown: str = ""
    proposals: tuple[Proposal, ...] = ()

    def pulls_far(self, use: BoltUse) -> bool:
        """True where it is the far end that gives first: what spreads the pull there helps."""
        return use.sheet != self.own.words


@dataclass(frozen=True, slots=True, kw_only=True)
class JudgedLoad:
    """A load case with what each bolt carries in it."""

    name: str
    kind: LoadCase
    what: str
    forces: tuple[BoltForce, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class BoltUse:
    """How a bolt is used in one case: what it carries, N, and each factor; None where one is not judged.
    ``held_n`` is what the ``sheet`` holds that gives first, ``borne_n`` what the ``rim`` bears."""

    hole: str
    words: str
    case: str
    pull_n: float
    shear_n: float
    strength: float | None
    bearing: float | None
    pull_through: float | None
    held_n: float
    sheet: str
    borne_n: float
    rim: str

    @property
    def least(self) -> float:
        """The least of its factors."""
        return min(
            (f for f in (self.strength, self.bearing, self.pull_through) if f is not None), default=math.inf
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class JointSheet:
    """What the report says of a bracket's bolts: of each the case nearest its limits.

    ``low`` is by what factor the loads may be below the real ones: 1 as solved, more by hand.
    ``structure`` is the same of a brake's structure-only case, empty without one. ``give`` says how far the
    panel gives, where that is computed; ``braces`` what each brace has to carry.
    """

    part: str
    title: str
    low: float
    limit: float
    uses: tuple[BoltUse, ...]
    structure: tuple[BoltUse, ...] = ()
    give: str = ""
    braces: tuple[BraceLoad, ...] = ()


def worst_uses(loads: Sequence[JudgedLoad], bolts: Sequence[JudgedBolt]) -> tuple[BoltUse, ...]:
    """Of each bolt the use with its least factor, in the bolts' order."""
    out = []
    for bolt in bolts:
        uses = [
            use_of(bolt, force, load.what)
            for load in loads
            for force in load.forces
            if force.hole == bolt.hole
        ]
        if uses:
            out.append(min(uses, key=lambda use: use.least))
    return tuple(out)


def use_of(bolt: JudgedBolt, force: BoltForce, case: str) -> BoltUse:
    """Factors of one bolt under one load."""
    pull = max(0.0, force.pull_n + prying_n(force.bend_nmm, bolt.lever_mm))
    shear = force.shear_n
    whole = bolt_load_n(pull, shear)
    sides = [(holds_n([bolt.own], bolt.near, bolt.bolt_mm), bolt.own.words)]
    if not bolt.unknown:
        held_far = holds_n(bolt.pulled, bolt.far, bolt.bolt_mm)
        sides.append((held_far, " and ".join(s.words for s in bolt.pulled)))
    known = [(held, words) for held, words in sides if held is not None]
    held, sheet = min(known, default=(0.0, ""))
    around = [
        (borne, " and ".join(s.words for s in sheets))
        for sheets in ((bolt.own,), bolt.bears)
        if (borne := bears_n(sheets, bolt.bolt_mm)) is not None
    ]
    borne, rim = min(around, default=(0.0, ""))
    return BoltUse(
        hole=bolt.hole,
        words=bolt.words,
        case=case,
        pull_n=pull,
        shear_n=shear,
        strength=None if bolt.proof_n is None else _factor(bolt.proof_n, whole),
        bearing=_factor(borne, shear) if around else None,
        # what falls through its hole holds nothing, whether or not this case pulls on it
        pull_through=(_factor(held, pull) if held > SAME else 0.0) if known else None,
        held_n=held,
        sheet=sheet,
        borne_n=borne,
        rim=rim,
    )


def _factor(bears: float, load: float) -> float:
    return bears / load if load > SAME else math.inf
