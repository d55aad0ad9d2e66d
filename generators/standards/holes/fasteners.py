"""Bolts with their nut, washer and tap drill, and the room a spanner sweeps.

Coarse threads, hexagon heads, plain hexagon nuts and plain washers only. The head, nut and washer figures
are from memory of the standards named in each row; check a fastener in the hand where a millimetre counts.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from generators.standards._table import Trust, find, index, read_table
from generators.standards.holes.taps import tap_drill

__all__ = ["Fastener", "fastener", "fastener_rows", "spanner_circle_mm"]

_SPANNER_PER_AF = 2.2
_PITCHES_PAST = 2.0
_WASHER_PER_D = 0.27


@dataclass(frozen=True, slots=True, kw_only=True)
class Fastener:
    """One bolt size. ``nut_corners_mm`` is the sharp hexagon, across flats x 2 / sqrt(3).

    ``tap_drill_mm`` comes from the tap drill table, whose row has its own source and trust.
    """

    thread: str
    designation: str
    major_mm: float
    pitch_mm: float
    nut_af_mm: float
    nut_corners_mm: float
    nut_height_mm: float
    head_af_mm: float
    head_height_mm: float
    washer_od_mm: float
    tap_drill_mm: float
    edition: str
    source: str
    trust: Trust

    @property
    def nut_stand_mm(self) -> float:
        """How far a nut on its washer stands off a face, with the bolt's end, mm.

        Nut, washer and two pitches. A plain washer is at most 0.27 of the thread thick (1.6 mm under M6, ISO
        7089, from memory); two pitches past the nut are common practice.
        """
        return self.nut_height_mm + _WASHER_PER_D * self.major_mm + _PITCHES_PAST * self.pitch_mm


@cache
def fastener_rows() -> tuple[Fastener, ...]:
    """Every row: M4 to M16, #10, 1/4 to 1/2. Raises nothing."""
    return tuple(
        Fastener(
            thread=row.text("thread"),
            designation=row.text("designation"),
            major_mm=row.length_mm("major"),
            pitch_mm=row.length_mm("pitch"),
            nut_af_mm=row.length_mm("nut_af"),
            nut_corners_mm=row.length_mm("nut_af") * 2 / math.sqrt(3),
            nut_height_mm=row.length_mm("nut_height"),
            head_af_mm=row.length_mm("head_af"),
            head_height_mm=row.length_mm("head_height"),
            washer_od_mm=row.length_mm("washer_od"),
            tap_drill_mm=tap_drill(row.text("designation")).diameter_mm,
            edition=row.text("edition"),
            source=row.text("source"),
            trust=row.trust(),
        )
        for row in read_table("fasteners")
    )


@cache
def _by_thread() -> Mapping[str, Fastener]:
    return index("fasteners.csv", ((row.thread, row) for row in fastener_rows()))


def fastener(thread: str) -> Fastener:
    """The fastener of ``thread`` (``"M6"``, ``"#10"``, ``"1/4"``), lengths in mm.

    Raises:
        LookupFault: no such thread; lists the ones there are.

    Source: ISO 4014, ISO 4032 and ISO 7089; ASME B18.2.1, B18.2.2 and B18.21.1; from memory.
    """
    return find(_by_thread(), thread, "fastener")


def spanner_circle_mm(af_mm: float) -> float:
    """Diameter, in mm, of the circle an open spanner's head sweeps about a hexagon ``af_mm`` wide.

    Raises nothing. Source: common practice, 2.2 times the width across flats.
    """
    return _SPANNER_PER_AF * af_mm
