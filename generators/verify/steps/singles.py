"""The panel's own bolts and grommets: every one that was bought must be put in by some step."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from generators.verify.pdf.content import plain
from generators.verify.steps.text import says


@dataclass(frozen=True, slots=True, kw_only=True)
class Single:
    """One hole that takes a bolt or grommet alone: its panel in words, its number and what it is for."""

    panel: str
    number: str
    purpose: str


def single_problems(steps: Sequence[str], singles: Sequence[Single]) -> Iterator[str]:
    """Which of them no step fits, in texts without blanks."""
    for one in singles:
        own = [step for step in steps if step.startswith(plain("Fit what goes into hole"))]
        here = [step for step in own if says(step, f"of the {one.panel}.")]
        if not any(says(step, f"{one.number}, {one.purpose}") for step in here):
            yield f"has no step that fits what goes into hole {one.number} of the {one.panel}, {one.purpose}"
