"""Whether what was read on a finished part lies within the limits of its inspection sheet."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator, Sequence

from generators.checks.rule import SAME_MM, Rule, finding, mm
from generators.model.findings import Finding, Severity

APART = "set the part apart; make it again, or ask who designed it"

INSPECTION = Rule(
    code="inspection-limits",
    title="Part is out of its limits",
    meaning=(
        "An item of the part's inspection sheet was read outside the limits printed beside it. What follows "
        "from that depends on the item: a hole may still take its bolt, a bend that is off puts the pedal "
        "elsewhere. Whether the part still goes on its panel is weighed apart."
    ),
    formula="least <= read <= most, as printed",
    source=(
        "limits of the part's drawing: its holes' tolerances, [position] of the shop, ISO 2768-1; of the "
        "thickness half the step to the next stock sheet, or what outside lengths and gaps of welds leave, "
        "ours; of gaps AWS D1.1; of a welded face ISO 13920"
    ),
    trust="R2",
    mend="Set the part apart; make it again, or ask who designed it.",
)

UNREAD = Rule(
    code="inspection-unread",
    title="Items of the sheet were not read",
    meaning=(
        "A part is as drawn when every item of its inspection sheet was read and lies within its limits. "
        "What was left out may be off by anything."
    ),
    formula="items read = items on the sheet",
    source="ours",
    trust="CP",
    mend="Read the items named and write them into the file.",
)

RULES = (INSPECTION, UNREAD)
NAMED = 8
"""So many items left out are named, the rest counted."""


def check_inspected(
    part: str,
    item: str,
    what: str,
    value: float | None = None,
    least: float | None = None,
    most: float | None = None,
    *,
    angle: bool = False,
    goes: bool = False,
) -> Iterator[Finding]:
    """A finding on an item out of its limits, mm or rad; on a thing that was tried, where it does not go."""
    where = f"part:{part} item {item}"
    if value is None:
        if not goes:
            yield finding(
                INSPECTION,
                Severity.FAIL,
                where,
                found=f"{what}: does not go",
                wanted="it goes through by hand and turns freely",
                advice=APART,
            )
        return
    said, one = (degrees, math.radians(1)) if angle else (mm, 1.0)
    for limit, side, out in (
        (least, "more", least is not None and value < least - SAME_MM),
        (most, "less", most is not None and value > most + SAME_MM),
    ):
        if out and limit is not None:
            yield finding(
                INSPECTION,
                Severity.FAIL,
                where,
                value=value / one,
                limit=limit / one,
                unit="deg" if angle else "mm",
                found=f"{what}: {said(value)}",
                wanted=f"{said(limit)} or {side}",
                advice=APART,
            )


def check_unread(part: str, items: Sequence[str], read: Collection[str]) -> Iterator[Finding]:
    """A finding where not every one of the ``items`` was ``read``, both by their numbers on the sheet."""
    left = [item for item in items if item not in read]
    if left:
        more = f" and {len(left) - NAMED} more" if len(left) > NAMED else ""
        yield finding(
            UNREAD,
            Severity.WARN,
            f"part:{part}",
            found=f"{len(items) - len(left)} of {len(items)} items read",
            wanted="every item of the sheet",
            advice=f"read {', '.join(left[:NAMED])}{more}",
        )


def degrees(angle_rad: float) -> str:
    """An angle to a hundredth of a degree."""
    return f"{math.degrees(angle_rad):.2f} deg"
