"""What reading one finished file gave."""

from __future__ import annotations

from dataclasses import dataclass

from generators.errors import printable

LONGEST = 160


def said(error: BaseException) -> str:
    """What a library raised, on one short line: its kind, and its words where it has any."""
    words = printable(" ".join(str(error).split()), LONGEST)
    return f"{type(error).__name__}: {words}" if words else type(error).__name__


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark:
    """One line of a file's certificate: what was measured, as a plain value and in words."""

    key: str
    value: bool | int | float | str
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadBack:
    """``facts`` are what was measured, in words; ``problems`` what does not agree with the plan.

    ``certificate`` is what the one who makes the part asks of a file of its kind: closed, units, extents.
    """

    path: str
    facts: tuple[str, ...] = ()
    problems: tuple[str, ...] = ()
    certificate: tuple[Mark, ...] = ()

    @property
    def good(self) -> bool:
        """True when the file says what the plan says."""
        return not self.problems

    @property
    def line(self) -> str:
        """The certificate in one line; the facts where its kind has none."""
        return ", ".join(m.words for m in self.certificate if m.words) or "; ".join(self.facts)
