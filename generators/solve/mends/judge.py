"""Whether a changed spec is mended: the finding gone, and nothing new in its place."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from generators.model.findings import Finding, Severity

_NUMBERED = r"\b(?:[0-9]+|[A-Z]{1,2}) \(([a-z][a-z0-9_.]*)\)"
_HOLES = re.compile(rf"holes? (?:{_NUMBERED}(?:, | and )?)+")
_COUNT = re.compile(r"\b[0-9]+\b")
WORSE = 1.02
"""What stays may lie this much further past its limit: less is how the rest of the job settles (ours)."""

_LEVEL = 1e-6


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
    names = frozenset(re.findall(_NUMBERED, finding.where))
    place = _COUNT.sub("#", _HOLES.sub("holes ", finding.where))
    return Subject(code=finding.code, place=f"{place} {finding.about}".strip(), names=names)


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


def worsened(before: Sequence[Finding], after: Sequence[Finding]) -> list[Finding]:
    """Warnings and fails that stayed and lie further past their limit than before."""
    known: dict[Subject, list[float]] = {}
    for found in serious(before):
        known.setdefault(subject(found), []).append(_past(found))
    return [
        found
        for found in serious(after)
        if (there := known.get(subject(found))) and _past(found) > WORSE * max(there) + _LEVEL
    ]


def _past(finding: Finding) -> float:
    """How far past its limit a finding lies; 0 where it has no numbers."""
    if finding.value is None or finding.limit is None:
        return 0.0
    return abs(finding.value - finding.limit)


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
