"""The report's page on what to buy and make."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from generators.sheets.bill import Item
from generators.sheets.bolting.words import NOTES
from generators.sheets.document import heading, paragraph, table

BILL_HEAD = ("bag", "item", "no.", "size", "torque", "for")


def bill_story(items: Sequence[Item], width: float) -> list[Any]:
    """The report's page on what to buy and make."""
    if not items:
        return []
    shares = (0.16, 0.29, 0.05, 0.2, 0.14, 0.16)
    rows, last = [], ""
    for item in items:
        bag, _kind, words, count, size, torque, use = item.row()
        rows.append(("" if bag == last else bag, words, count, size, torque, use))
        last = bag
    return [
        *heading("Bill of materials", 50.0),
        paragraph(
            "Counted from parts, holes and hoses, by the bag they are packed in. Bolt lengths: all that is "
            "gripped, both washers, the locking nut and two threads more, in lengths that are stocked."
        ),
        *(paragraph(note) for note in NOTES),
        table(BILL_HEAD, rows, [width * share for share in shares]),
    ]
