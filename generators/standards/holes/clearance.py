"""Clearance holes for bolts and screws: ISO 273 (metric) and ASME B18.2.8 (inch)."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType

from generators.errors import LookupFault
from generators.standards._table import Trust, find, index, read_table

__all__ = ["FIT_ALIASES", "ClearanceHole", "clearance_hole", "clearance_rows"]

FIT_ALIASES: Mapping[str, str] = MappingProxyType(
    {
        "fine": "close",
        "medium": "normal",
        "coarse": "loose",
        "close": "fine",
        "normal": "medium",
        "loose": "coarse",
    }
)
"""The name of a fit in the other system: ISO 273 fine, medium, coarse are ASME close, normal, loose.

The names correspond in order and purpose. The clearances they give do not.
"""


@dataclass(frozen=True, slots=True, kw_only=True)
class ClearanceHole:
    """A clearance hole for one bolt or screw and fit. ``diameter_mm`` is nominal, and the smallest (MMC)."""

    thread: str
    standard: str
    fit: str
    diameter_mm: float
    drill: str
    edition: str
    source: str
    trust: Trust


@cache
def clearance_rows() -> tuple[ClearanceHole, ...]:
    """Every row: ISO 273 for M3 to M16, ASME B18.2.8 for #10 to 1/2. Raises nothing."""
    return tuple(
        ClearanceHole(
            thread=row.text("thread"),
            standard=row.text("standard"),
            fit=row.text("fit"),
            diameter_mm=row.length_mm("diameter"),
            drill=row.text("drill"),
            edition=row.text("edition"),
            source=row.text("source"),
            trust=row.trust(),
        )
        for row in read_table("clearance")
    )


@cache
def _by_thread() -> Mapping[str, Mapping[str, ClearanceHole]]:
    threads = dict.fromkeys(row.thread for row in clearance_rows())
    return MappingProxyType(
        {
            thread: index("clearance.csv", ((r.fit, r) for r in clearance_rows() if r.thread == thread))
            for thread in threads
        }
    )


def clearance_hole(thread: str, fit: str) -> ClearanceHole:
    """The clearance hole of ``thread`` (``"M6"``, ``"#10"``, ``"1/4"``) at ``fit``; diameter in mm.

    ``fit`` may be the name of either system (see ``FIT_ALIASES``); the row says which name its
    own standard uses.

    Raises:
        LookupFault: no such thread, or no such fit; lists the ones there are.

    Source: ISO 273:1979; ASME B18.2.8-1999.
    """
    fits = find(_by_thread(), thread, "clearance hole for thread")
    row = fits.get(fit) or fits.get(FIT_ALIASES.get(fit, ""))
    if row is None:
        raise LookupFault(f"clearance fit for {thread}", fit, list(fits))
    return row
