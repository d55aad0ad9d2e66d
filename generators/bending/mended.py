"""What a mend is, and how many ways may be tried to find one."""

from __future__ import annotations

from dataclasses import dataclass

from generators.bending.search import Search
from generators.model.spec.tools.machines import BentOn

MOST_TRIED = 400
"""Ways to make a bend that are tried for all mends of a part; ours, so that `check` takes seconds."""


@dataclass(slots=True)
class Budget:
    """How many ways may still be tried; what is not tried to its end is no mend."""

    left: int = MOST_TRIED

    def part(self, among: int) -> Budget:
        """A share of what is left for one of ``among`` mends."""
        share = self.left // among
        return Budget(share)

    def finds(self, search: Search) -> bool:
        """True when the search gives an order before the budget is used up."""
        if self.left <= 0:
            return False
        search.most, search.easier, search.brief = self.left, False, True
        found = search.run().found
        self.left -= len(search.memo)
        return found


@dataclass(frozen=True, slots=True, kw_only=True)
class Mend:
    """A change under which the part can be bent. ``from_mm`` and ``to_mm`` where a depth is changed.

    ``bent_on`` where another machine makes it: the word its key wants.
    """

    words: str
    from_mm: float | None = None
    to_mm: float | None = None
    bent_on: BentOn = ""
