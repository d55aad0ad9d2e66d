"""The report's page on what to buy and make."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from generators.sheets.bill import BILL_COLUMNS, Item
from generators.sheets.bolting.words import NOTES
from generators.sheets.document import heading, paragraph, table


def bill_story(items: Sequence[Item], width: float) -> list[Any]:
    """The report's page on what to buy and make."""
    if not items:
        return []
    shares = (0.14, 0.08, 0.26, 0.06, 0.2, 0.12, 0.14)
    return [
        *heading("Bill of materials", 50.0),
        paragraph(
            "Counted from parts, holes and hoses, by the bag they are packed in. Bolt lengths: all that is "
            "gripped, both washers, the locking nut and two threads more, in lengths that are stocked."
        ),
        *(paragraph(note) for note in NOTES),
        table(BILL_COLUMNS, [item.row() for item in items], [width * share for share in shares]),
    ]
