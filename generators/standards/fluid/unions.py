"""Nuts and flares of 37 degree unions by dash size: what spanner turns them, how long, how wide the flare."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from generators.standards._table import Trust, find, index, read_table

__all__ = ["FLARE_RAD", "Union37", "flare_takes_mm", "nut_long_mm", "union37", "union37_rows"]

FLARE_RAD = math.radians(37)
"""Half the angle of the flare, from the tube's axis."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Union37:
    """One size: thread, tube nut across flats, outside of the tube and of its flare, mm.

    The swivel nut of a hose end has the same hexagon (SAE J514, a manual's transcription). ``nut_long_mm`` is
    what a tube nut with its sleeve takes along the tube.
    """

    dash: int
    tube_od_mm: float
    thread: str
    nut_af_mm: float
    nut_af_text: str
    flare_mm: float
    nut_long_mm: float
    edition: str
    source: str
    trust: Trust
    flare_source: str
    flare_trust: Trust
    nut_long_source: str
    nut_long_trust: Trust

    @property
    def flare_takes_mm(self) -> float:
        """How much longer the tube is cut than it reaches, for one flare, mm.

        The cone's side is longer than its height: (D - d) / 2 · (1 / sin 37° - 1 / tan 37°). Closed form,
        with the flare's rim where the tube is to reach.
        """
        out = (self.flare_mm - self.tube_od_mm) / 2
        return out * (1 / math.sin(FLARE_RAD) - 1 / math.tan(FLARE_RAD))


@cache
def union37_rows() -> tuple[Union37, ...]:
    """Every size, -3 to -10. Raises nothing."""
    return tuple(
        Union37(
            dash=row.integer("dash"),
            tube_od_mm=row.length_mm("tube_od"),
            thread=row.text("thread"),
            nut_af_mm=row.length_mm("nut_af"),
            nut_af_text=f"{row.text('spanner')} in",
            flare_mm=row.length_mm("flare"),
            nut_long_mm=row.length_mm("nut_long"),
            edition=row.text("edition"),
            source=row.text("source"),
            trust=row.trust(),
            flare_source=row.text("flare_source"),
            flare_trust=row.trust("flare_trust"),
            nut_long_source=row.text("nut_long_source"),
            nut_long_trust=row.trust("nut_long_trust"),
        )
        for row in read_table("unions")
    )


@cache
def _by_dash() -> Mapping[int, Union37]:
    return index("unions.csv", ((row.dash, row) for row in union37_rows()))


def union37(dash: int) -> Union37:
    """The union of ``dash`` size, mm.

    Raises:
        LookupFault: no such size; lists the ones there are.

    Source: AN818 Rev 20 for nut and thread; ``flare_source`` for the flare.
    """
    return find(_by_dash(), dash, "37 degree union dash size")


def flare_takes_mm(dash: int) -> float:
    """Tube one flare takes beyond what it reaches, mm; 0 for a size not in the table. Raises nothing."""
    return next((row.flare_takes_mm for row in union37_rows() if row.dash == dash), 0.0)


def nut_long_mm(dash: int) -> float:
    """What a tube nut with its sleeve takes along the tube, mm; the longest for a size not in the table.

    Raises nothing.
    """
    rows = union37_rows()
    return next((row.nut_long_mm for row in rows if row.dash == dash), max(row.nut_long_mm for row in rows))
