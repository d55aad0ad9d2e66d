"""Engineering results: what a rule found, as data."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


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

    ``where`` is ``panel:name`` or ``part:name`` with the features concerned. ``value`` and
    ``limit`` are texts with units. ``source`` says where the limit comes from.
    """

    code: str
    severity: Severity
    where: str
    value: str
    limit: str
    source: str
    advice: str
    waived: str = ""

    @property
    def blocks(self) -> bool:
        """True when files must not be released because of this finding."""
        return self.severity is Severity.FAIL and not self.waived
