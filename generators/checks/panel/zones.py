"""Where the centre of a hole may not lie: said once by a rule, for its check and for the moves that mend."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from generators.checks.measure import Floats, Ints
from generators.checks.rule import SAME_MM
from generators.model.plan import Body, KeepOut

Flags = NDArray[np.bool_]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Thing:
    """What holes keep off: an outline or a fold line; for the panel itself (``inward``) its edge.

    ``index`` are the holes that may be near, ``depth`` how deep their centres lie inside, mm, arcs exact;
    negative is how far outside. ``shape`` is the same within the accuracy of a polygon.
    """

    shape: BaseGeometry
    index: Ints
    depth: Floats
    inward: bool = False

    @property
    def away(self) -> Floats:
        """Distance of those centres on the side where they may lie, mm; negative on the other."""
        return self.depth if self.inward else -self.depth


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Zone:
    """The blocked region of one rule round one thing, for every hole of the panel.

    The centre of hole ``i`` may not lie nearer to ``thing`` than ``within[i]`` mm, nor beyond it; 0 where
    the rule does not mind that hole. On a ``rim`` only the outline counts: another rule has the inside.
    """

    thing: Thing
    within: Floats
    rim: bool = False

    def hits(self, among: Flags | None = None) -> dict[int, float]:
        """The holes (of ``among``, or any) whose centre lies in the region, each with its distance in mm."""
        index, away, within = self.thing.index, self.thing.away, self.within[self.thing.index]
        inside = (within > 0) & ((np.abs(away) if self.rim else away) < within - SAME_MM)
        if among is not None:
            inside &= among[index]
        return {int(index[k]): float(away[k]) for k in np.flatnonzero(inside).tolist()}


def stands_in(body: Body, keepout: KeepOut) -> bool:
    """True when a folded-up flange is as far off its face as the obstacle there: over it, it stands in it."""
    deep = min(body.far_mm, keepout.gap_mm + keepout.depth_mm) - max(body.near_mm, keepout.gap_mm)
    return keepout.face == body.face and not keepout.bead and deep > SAME_MM


Pairs: TypeAlias = Callable[[Ints, Ints], Floats]
"""The blocked region of a rule on two holes: by pair, how near their centres may not be, mm; 0 where it
does not mind them. It is a circle round either centre."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Blocked:
    """All that a move must keep clear of.

    ``under`` are, for each footprint of the panel, the things its part may not come to lie on.
    """

    zones: tuple[Zone, ...]
    pairs: tuple[Pairs, ...]
    under: tuple[frozenset[Thing], ...]
