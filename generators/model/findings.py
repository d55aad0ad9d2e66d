"""Engineering results: what a rule found, as data."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from enum import StrEnum

from generators.model.changes import Mend, Proposal


class Severity(StrEnum):
    """How much a finding matters; ``FAIL`` holds back the files until it is waived."""

    NOTE = "note"
    WARN = "warn"
    FAIL = "fail"

    @property
    def rank(self) -> int:
        """0 for a note, 1 for a warning, 2 for a fail."""
        return ("note", "warn", "fail").index(self.value)


@dataclass(frozen=True, slots=True, kw_only=True)
class Waived:
    """A rule whose failing somebody took upon themselves, and why."""

    code: str
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """One result of one rule.

    ``where`` is ``panel:name`` or ``part:name`` with the features concerned. ``found`` says in words, with
    units, what was found and ``wanted`` what was to be; ``value`` and ``limit`` are the same as finite
    numbers in ``unit`` (mm, mm2, mm3, N, MPa, deg, or empty for a ratio or a count), None where there is no
    such number. ``limit`` is where the finding begins; a lower fail limit is in ``wanted`` only. ``source``
    says where the limit comes from. ``about`` tells findings of one rule in one place apart (the body a
    hose is too near); ``proposals`` are changes of the spec that may clear it, best first, and ``mend`` is
    what came of trying them, None before that. Findings that differ in their proposals alone are the same.
    """

    code: str
    severity: Severity
    where: str
    found: str
    wanted: str
    source: str
    advice: str
    value: float | None = None
    limit: float | None = None
    unit: str = ""
    waived: str = ""
    about: str = ""
    proposals: Sequence[Proposal] = field(default=(), compare=False)
    mend: Mend | None = None

    @property
    def blocks(self) -> bool:
        """True when files must not be released because of this finding."""
        return self.severity is Severity.FAIL and not self.waived


def usual_cure(finding: Finding) -> str:
    """The rule's advice, marked as such where something is wrong: general, and not tried on this job."""
    return finding.advice if finding.severity is Severity.NOTE else f"Usual cure: {finding.advice}"


def unmended(mend: Mend) -> str:
    """That nothing tried clears a finding, and what stands against the best; or that nothing was tried."""
    if mend.tries == 0:
        return "Not tried yet: clear the findings above and check again"
    count = "the one change" if mend.tries == 1 else f"{mend.tries} changes"
    return f"No single change clears this ({count} tried): to {mend.words} {mend.against}"
