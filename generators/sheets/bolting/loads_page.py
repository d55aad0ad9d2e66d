"""The report's table of bolts under load: what each carries at worst, and by what factor it holds."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from generators.figures import fixed
from generators.sheets.document import gap, heading, paragraph, table, together
from generators.strength.joint.uses import BoltUse, JointSheet

HEADS = ("bolt", "worst case", "pull", "shear", "bolt", "hole", "pull-through")
SHARES = (0.24, 0.24, 0.1, 0.1, 0.1, 0.1, 0.12)
EXPLAINED = (
    "Pull with what the bent sheet pries. Factors: proof load over pull and shear; what the thinner sheet "
    "bears on the bolt; what the sheets hold of head or washer (pedalplate explain bolt-strength, "
    "bolt-bearing, bolt-pull-through)."
)
ENOUGH = 99.0
"""A factor from here on is printed as more than this."""


def joint_words(sheet: JointSheet) -> str:
    """What the report must say of a bracket's bolts, letter by letter."""
    least = min((use.least for use in sheet.uses), default=0.0)
    return f"Bolts of {sheet.title} ({sheet.part}): least factor {_factor(least)} of {sheet.limit:g} asked"


def _factor(value: float | None) -> str:
    if value is None:
        return "not judged"
    return f"over {ENOUGH:g}" if value > ENOUGH else fixed(value, 2)


def _row(use: BoltUse) -> tuple[str, ...]:
    return (
        f"{use.hole.replace('_', ' ')}: {use.words}",
        use.case,
        f"{use.pull_n:.0f} N",
        f"{use.shear_n:.0f} N",
        _factor(use.strength),
        _factor(use.bearing),
        _factor(use.pull_through),
    )


def joint_story(sheets: Sequence[JointSheet], width: float) -> list[Any]:
    """A table for each loaded bracket; nothing without one."""
    story: list[Any] = []
    for sheet in sheets:
        if not sheet.uses:
            continue
        how = (
            "Loads by hand (elastic bolt group, tilting, columns), which may be low by a factor of "
            f"{sheet.low:g}; finite elements know better."
            if sheet.low > 1
            else "Loads from the finite elements' reactions."
        )
        # what the figures are is said once, over the first
        first = not story
        body: list[Any] = [
            *(heading("Bolts under load") if first else [gap(2)]),
            *([paragraph(EXPLAINED)] if first else []),
            paragraph(f"{joint_words(sheet)}. {how}"),
            table(HEADS, [_row(use) for use in sheet.uses], [width * share for share in SHARES]),
        ]
        if sheet.structure:
            use = min(sheet.structure, key=lambda use: use.least)
            body.append(
                paragraph(
                    f"Structure only, {use.case}: least factor {_factor(use.least)} at "
                    f"{use.hole.replace('_', ' ')}."
                )
            )
        if sheet.give:
            body.append(paragraph(sheet.give))
        story.append(together(body))
    return story
