"""Issue letters of a drawing office, and the mark of an issue on a sheet."""

from __future__ import annotations

import re
from dataclasses import dataclass, field

LETTERS = "ABCDEFGHJKLMNPRTUVWY"
"""ASME Y14.35: I, O, Q, S, X and Z are not used (R2; after Y comes AA, then AB … AY, BA)."""

LETTER = re.compile(f"[{LETTERS}]{{1,3}}")


def next_letter(last: str) -> str:
    """The letter after ``last``; A after none."""
    if not last:
        return LETTERS[0]
    place = LETTERS.index(last[-1]) + 1
    if place < len(LETTERS):
        return last[:-1] + LETTERS[place]
    return next_letter(last[:-1]) + LETTERS[0]


@dataclass(frozen=True, slots=True, kw_only=True)
class IssueMark:
    """The issue a job stands under: its letter, the date it was given, and the list that says so."""

    letter: str
    date: str
    listed: bytes = field(default=b"", repr=False)

    def marked(self, revision: str) -> str:
        """Letter, date and check value as every sheet says them: ``B 2026-11-29 7cdb7ba``."""
        return f"{self.letter} {self.date} {revision}"

    def changed(self, how: str, revision: str) -> str:
        """Of a job that was changed for one vehicle after it: ``as drilled, from B 2026-11-29, 7cdb7ba``."""
        return f"{how}, from {self.letter} {self.date}, {revision}"
