"""Fails that someone takes upon themselves, with the reason they gave."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace

from generators.model.findings import Finding, Severity


def apply_waivers(findings: Iterable[Finding], waivers: Mapping[str, str]) -> list[Finding]:
    """The findings with every fail of a waived code marked with its reason; order kept.

    ``waivers`` maps codes to reasons. Raises ``LookupFault`` for a code no rule has, and
    ``ValueError`` for a reason that says nothing.
    """
    if waivers:
        # the list of all rules loads rooms that a job without waivers never enters
        from generators.checks.register import explain  # noqa: PLC0415
    for code, reason in waivers.items():
        explain(code)
        if not reason.strip():
            raise ValueError(f"a waiver of {code} needs a reason")
    return [
        replace(f, waived=waivers[f.code].strip()) if f.severity is Severity.FAIL and f.code in waivers else f
        for f in findings
    ]
