"""One line of the bill: a published value, and the same from the program."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass


@dataclass(frozen=True, kw_only=True)
class Check:
    """``reference`` as published, in ``unit``; ``within`` is how far its printing lets ours lie off.

    ``trust`` as in the contributor guide: R1 read in the document, R2 and R2+ in transcriptions, C a closed form
    worked here by hand, M-high from memory, sure.
    """

    room: str
    what: str
    source: str
    reference: float
    unit: str
    ours: Callable[[], float]
    within: float
    trust: str

    @property
    def off(self) -> float:
        """Ours less the published value."""
        return self.ours() - self.reference

    @property
    def holds(self) -> bool:
        """True where ours is within what the printing lets it be."""
        return abs(self.off) <= self.within + 1e-12
