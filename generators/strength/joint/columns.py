"""Each half of a part on its own column of bolts: a soft foot lets one cheek tilt without the other.

Bolts left and right of the middle are the columns; what acts goes to them by the lever rule, and along a
column as on an elastic group of its own, N/n + M y/Σy². The sheet at a bolt is bent across by what comes off
the cheek over the bolt's reach, by what leans the cheek over sideways, and by what acts on the foot between
the columns; along by what acts on the foot between its rows (clamped ends, P a b²/L², Roark table 8.1).

A column takes no less than nothing and no more than all of a force: one outside both columns goes wholly to
the nearer, and its moment about it is not in this model. The elastic group of all bolts has it, and the
larger of both counts (``loads.by_hand``).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol

from generators.strength.joint.group import Acting

Vector = tuple[float, float, float]

ON_FOOT_MM = 10.0
"""What acts so near the foot's plane acts on the foot: the bolts of a master. Ours."""
APART_MM = 1.0
"""Bolts nearer to the middle than this are in no column, rows nearer than this are one. Ours."""


class _Bolt(Protocol):
    @property
    def hole(self) -> str: ...
    @property
    def at(self) -> Vector: ...
    @property
    def reach_mm(self) -> float: ...


@dataclass(frozen=True, slots=True, kw_only=True)
class ColumnLoad:
    """What one bolt of a column carries: pull and shear, N, and the sheet's bending moment there, N mm."""

    pull_n: float
    shear_n: float
    bend_nmm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class _Column:
    bolts: tuple[_Bolt, ...]
    at: float
    """Its place across, and the other column's."""
    other: float
    acting: tuple[tuple[float, Acting], ...]
    """Everything that acts with this column's share of it."""

    @property
    def height(self) -> float:
        return self.bolts[0].at[2]

    @property
    def rows(self) -> list[float]:
        rows: list[float] = []
        for y in sorted(b.at[1] for b in self.bolts):
            if not rows or y - rows[-1] > APART_MM:
                rows.append(y)
        return rows

    def row_of(self, bolt: _Bolt) -> int:
        return min(range(len(self.rows)), key=lambda k: abs(self.rows[k] - bolt.at[1]))

    def in_row(self, bolt: _Bolt) -> int:
        return sum(1 for b in self.bolts if self.row_of(b) == self.row_of(bolt))

    def on_foot(self, acting: Acting) -> bool:
        return abs(acting.at[2] - self.height) <= ON_FOOT_MM

    def pull(self, bolt: _Bolt, acting: Sequence[tuple[float, Acting]]) -> float:
        """Pull on one bolt of these forces."""
        up = sum(b.at[1] for b in self.bolts) / len(self.bolts)
        squares = sum((b.at[1] - up) ** 2 for b in self.bolts)
        pull = sum(share * a.force[2] for share, a in acting)
        tilt = sum(
            share * ((a.at[1] - up) * a.force[2] - (a.at[2] - self.height) * a.force[1])
            for share, a in acting
        )
        turned = tilt * (bolt.at[1] - up) / squares if squares > APART_MM**2 else 0.0
        return pull / len(self.bolts) + turned

    def across(self, bolt: _Bolt) -> float:
        """Clamped-end moment at a bolt of what acts on the foot between the columns."""
        span, low = abs(self.other - self.at), min(self.at, self.other)
        total = 0.0
        for _, a in self.acting:
            if self.on_foot(a) and low <= a.at[0] <= low + span:
                near = abs(a.at[0] - self.at)
                total += a.force[2] * near * (span - near) ** 2 / span**2 * self._row_share(bolt, a.at[1])
        return abs(total) / self.in_row(bolt)

    def along(self, bolt: _Bolt) -> float:
        """Clamped-end moment at a bolt of what acts on the foot between the rows."""
        rows, here = self.rows, self.row_of(bolt)
        total = 0.0
        for k in (here - 1, here + 1):
            if not 0 <= k < len(rows):
                continue
            span = abs(rows[k] - rows[here])
            for share, a in self.acting:
                near, far = abs(a.at[1] - rows[here]), abs(a.at[1] - rows[k])
                if self.on_foot(a) and near + far <= span + 1e-6:
                    total += share * a.force[2] * near * far**2 / span**2
        return abs(total) / self.in_row(bolt)

    def _row_share(self, bolt: _Bolt, y: float) -> float:
        """Share of a bolt's row in what acts at a height, by the lever rule between its neighbours."""
        rows, here = self.rows, self.row_of(bolt)
        if y <= rows[0] or y >= rows[-1]:
            return 1.0 if here == (0 if y <= rows[0] else len(rows) - 1) else 0.0
        above = next(k for k, row in enumerate(rows) if row >= y)
        if here not in (above - 1, above):
            return 0.0
        share = (y - rows[above - 1]) / (rows[above] - rows[above - 1])
        return share if here == above else 1.0 - share

    def load(self, bolt: _Bolt) -> ColumnLoad:
        """What one bolt carries."""
        cheek = [(share, a) for share, a in self.acting if not self.on_foot(a)]
        pull = self.pull(bolt, self.acting)
        lean = abs(sum(share * (a.at[2] - self.height) * a.force[0] for share, a in cheek)) / len(self.bolts)
        off = max(abs(pull), abs(self.pull(bolt, cheek))) * bolt.reach_mm
        shear = math.hypot(*(sum(share * a.force[k] for share, a in self.acting) for k in (0, 1)))
        return ColumnLoad(
            pull_n=pull,
            shear_n=shear / len(self.bolts),
            bend_nmm=math.hypot(off + lean + self.across(bolt), self.along(bolt)),
        )


def columns(bolts: Sequence[_Bolt], acting: Sequence[Acting]) -> dict[str, ColumnLoad]:
    """What each bolt carries when each half of the part works for itself; nothing for bolts that make no
    two columns."""
    if not bolts:
        return {}
    middle = sum(b.at[0] for b in bolts) / len(bolts)
    left = tuple(b for b in bolts if b.at[0] < middle - APART_MM)
    right = tuple(b for b in bolts if b.at[0] > middle + APART_MM)
    if not left or not right:
        return {}
    low, high = (sum(b.at[0] for b in side) / len(side) for side in (left, right))
    out: dict[str, ColumnLoad] = {}
    for side, at, other in ((left, low, high), (right, high, low)):
        shares = tuple((min(max((a.at[0] - other) / (at - other), 0.0), 1.0), a) for a in acting)
        column = _Column(bolts=side, at=at, other=other, acting=shares)
        out |= {bolt.hole: column.load(bolt) for bolt in side}
    return out
