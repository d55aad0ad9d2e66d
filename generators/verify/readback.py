"""What reading one finished file gave."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadBack:
    """``facts`` are what was measured, in words; ``problems`` what does not agree with the plan."""

    path: str
    facts: tuple[str, ...] = ()
    problems: tuple[str, ...] = ()

    @property
    def good(self) -> bool:
        """True when the file says what the plan says."""
        return not self.problems
