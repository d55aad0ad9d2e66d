"""What sheets hold of a head, nut or washer pulled against them, and bear on a shank, as they lie together.

Diameters and thicknesses mm, strengths MPa, forces N.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from generators.strength.joint.bearing import (
    bearing_n,
    pull_over_mm,
    pull_through_n,
    soft_pull_through_n,
)

PLAIN_HOLE_MM = 25.4 / 16
"""A hole so much wider than its bolt is what the pull-over forms are for: AISI S100 table J3-1, oversized
holes of bolts under 1/2 in, from memory. Wider ones are reduced by what is left of the ring."""
BEHIND = 0.5
"""Share that counts of sheets not under the head. Ours, on the safe side: AISI S100 J4.4.2 gives the sheet
in contact with the head alone, and says nothing of sheets behind it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """A sheet a bolt goes through. ``tensile_mpa`` is None where nobody knows its metal; ``edge_mm`` from the
    hole's middle to the nearest edge. A ``slotted`` hole is a slot ``hole_mm`` wide."""

    words: str
    thickness_mm: float
    tensile_mpa: float | None
    soft: bool
    hole_mm: float
    edge_mm: float
    slotted: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Under:
    """What bears on a sheet: head or nut ``head_mm`` wide (0 where the tables have none), ``flats_mm`` across
    the flats of a hexagon (0 for a round one), a washer's thickness and diameter (0 for none)."""

    head_mm: float
    flats_mm: float = 0.0
    washer_mm: float = 0.0
    outside_mm: float = 0.0

    def diameter_mm(self, sheet_mm: float) -> float:
        """What counts of it on a thin sheet."""
        return pull_over_mm(self.head_mm, self.washer_mm, sheet_mm, self.outside_mm)

    @property
    def punched_mm(self) -> float:
        """What counts of it on a plate: the mean of across flats and across corners, washers left out
        (EN 1993-1-8 table 3.4); a round head's diameter."""
        return self.flats_mm * (1 + 2 / math.sqrt(3)) / 2 or self.head_mm


def ring_share(under_mm: float, sheet: Sheet, bolt_mm: float) -> float:
    """How much of a head counts over a hole, 0 to 1. Ours: the ring beside the hole over that beside a hole
    1/16 in wider than the bolt; over a slot also the share of the ring that is not over its two ends."""
    if sheet.hole_mm >= under_mm:
        return 0.0
    plain = bolt_mm + PLAIN_HOLE_MM
    share = 1.0 if sheet.hole_mm <= plain else (under_mm - sheet.hole_mm) / (under_mm - plain)
    if sheet.slotted:
        share *= 1 - 2 * math.asin(sheet.hole_mm / under_mm) / math.pi
    return share


def sheet_holds_n(sheet: Sheet, under: Under, bolt_mm: float) -> float | None:
    """What one sheet holds of what is pulled against it, N; None where its metal or the head is not known."""
    if sheet.tensile_mpa is None or under.head_mm <= 0:
        return None
    wide, punched = under.diameter_mm(sheet.thickness_mm), under.punched_mm
    form = soft_pull_through_n if sheet.soft else pull_through_n
    return form(
        sheet.thickness_mm,
        wide,
        sheet.tensile_mpa,
        punched_mm=punched,
        over_share=ring_share(wide, sheet, bolt_mm),
        punch_share=ring_share(punched, sheet, bolt_mm),
    )


def holds_n(sheets: Sequence[Sheet], under: Under, bolt_mm: float) -> float | None:
    """What sheets together hold of a head pulled against the last of them, N; None where one's metal or the
    head is not known.

    The sheet under the head and half of the others, and never less than the strongest by itself: what is
    under the head lies on it as a washer would.
    """
    each = [sheet_holds_n(sheet, under, bolt_mm) for sheet in sheets]
    known = [held for held in each if held is not None]
    if not known or len(known) < len(each):
        return None
    return max(known[-1] + BEHIND * sum(known[:-1]), *known)


def bears_n(sheets: Sequence[Sheet], bolt_mm: float) -> float | None:
    """What sheets round one hole bear together, N; None where one's metal is not known."""
    if not sheets or any(s.tensile_mpa is None for s in sheets):
        return None
    return sum(bearing_n(bolt_mm, s.thickness_mm, s.tensile_mpa or 0.0, s.edge_mm, s.hole_mm) for s in sheets)
