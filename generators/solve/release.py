"""What must be shown before the files of a job are released: that every loaded part holds."""

from __future__ import annotations

from dataclasses import replace

from generators.checks.pedal.stiffness import check_unsettled
from generators.checks.rule import ordered
from generators.checks.waivers import apply_waivers
from generators.solve.brackets.rack import stronger
from generators.solve.job import Prepared

MOST_SAID = 2


def released(prepared: Prepared) -> Prepared:
    """The job with a fail for each loaded part of which nobody has shown that it holds, waived as the job's
    waivers say. ``check`` only warns of them, as ``make`` may still solve them. Raises nothing."""
    if prepared.released:
        return prepared
    specs = {p.spec.name: p.spec for p in prepared.parts}
    found = [
        check_unsettled(name, _said(words), stronger(prepared.file, specs[name]))
        for name, words in prepared.unsettled.items()
        if words
    ]
    findings = ordered([*prepared.findings, *apply_waivers(found, prepared.waivers)])
    return replace(prepared, findings=tuple(findings), released=True)


def _said(words: tuple[str, ...]) -> str:
    more = len(words) - MOST_SAID
    return "; ".join(words[:MOST_SAID]) + (f"; and {more} more" if more > 0 else "")
