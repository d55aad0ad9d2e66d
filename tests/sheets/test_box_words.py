"""Page one names what lies in the box by what it is: a pedal stop is no clutch pedal."""

from __future__ import annotations

from generators.jobs.make.pack_files import box_words
from generators.sheets.bill import Item


def test_fittings_are_named_by_what_they_are() -> None:
    def fitting(item: str, use: str, quantity: int = 1) -> Item:
        return Item(kind="fitting", item=item, size="", quantity=quantity, uses=(use,), bag="b")

    items = [
        fitting("adjustable pedal stop with lock nut, and what carries it", "Clutch pedal"),
        fitting("Brake union", "line end"),
        fitting("-4 bulkhead fitting, straight, 7/16-20 nut and two washers", "Fitting near the master"),
        fitting("-4 bulkhead fitting, 90 degree, 7/16-20 nut and two washers", "Fitting over the slave"),
    ]
    assert box_words(items) == (
        ("Fittings", "adjustable pedal stop with lock nut, Brake union, -4 bulkhead fitting ×2"),
    )
