"""Whether a changed spec is mended: the finding gone, and nothing new in its place."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from generators.model.findings import Finding, Severity

_NUMBERED = re.compile(r"\b(?:[0-9]+|[A-Z]{1,2}) \(([a-z][a-z0-9_.]*)\)")
_RANGE = re.compile(r"\b[0-9]+ to [0-9]+\b|\b[0-9]+\b")
_HOLES = re.compile(r"holes? ((?:[a-z0-9_.]+(?:, | and )?)+)")


@dataclass(frozen=True, slots=True, kw_only=True)
class Subject:
    """What a finding is about, whatever the holes are numbered: its rule, place and holes."""

    code: str
    place: str
    names: frozenset[str]

    def within(self, other: Subject) -> bool:
        """True when ``other`` says the same of these holes and perhaps of more."""
        return (self.code, self.place) == (other.code, other.place) and self.names <= other.names

    def touches(self, other: Subject) -> bool:
        """True when both say the same of some hole, or of the same thing without any."""
        same = (self.code, self.place) == (other.code, other.place)
        return same and (bool(self.names & other.names) or not (self.names or other.names))


def subject(finding: Finding) -> Subject:
    """The subject of a finding."""
    named = _NUMBERED.sub(r"\1", finding.where)
    match = _HOLES.search(named)
    names: frozenset[str] = frozenset()
    if match and named.startswith("panel:"):
        names = frozenset(re.split(r", | and ", match[1].strip()))
        names = frozenset(name for name in names if name)
        named = named[: match.start()] + "holes" + named[match.end() :]
    return Subject(code=finding.code, place=f"{_RANGE.sub('#', named)} {finding.about}".strip(), names=names)


def serious(findings: Sequence[Finding]) -> list[Finding]:
    """Warnings and fails, waived or not."""
    return [f for f in findings if f.severity is not Severity.NOTE]


def brought(before: Sequence[Finding], after: Sequence[Finding]) -> list[Finding]:
    """Warnings and fails of ``after`` that were not there, or were less grave, ``before``; gravest first."""
    known = [(subject(f), f.severity.rank) for f in serious(before)]
    counts = Counter(s for s, _ in known)
    out = []
    for found in serious(after):
        this = subject(found)
        covers = [s for s, rank in known if this.within(s) and rank >= found.severity.rank]
        if not covers or (this in counts and counts[this] <= 0 and all(s == this for s in covers)):
            out.append(found)
        elif this in counts:
            counts[this] -= 1
    return out


def left(finding: Finding, before: Sequence[Finding], after: Sequence[Finding]) -> Finding | None:
    """What still says of ``finding``'s subject what it said, or None when it is gone."""
    this = subject(finding)
    mine = [f for f in serious(after) if subject(f).touches(this)]
    if not mine:
        return None
    others = [f for f in serious(before) if f != finding and subject(f).touches(this)]
    # findings that were there beside this one may stay
    for found in mine:
        stays = next((f for f in others if subject(found).within(subject(f))), None)
        if stays is None:
            return found
        others.remove(stays)
    return None
