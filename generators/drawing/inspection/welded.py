"""What is measured before a part is welded, what only then, and what again: a weld pulls as it cools."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from generators.drawing.inspection.item import Item, length
from generators.drawing.part.tables.welded import flat_face, welded_flanges
from generators.model.plan import PartPlan

ONLY_THEN = frozenset("AFHJKMNPQUXYZ")
"""Letters of what is there, or counts, only once welds have cooled: of items on the bent part."""

TURN = {"A": 0, "Z": 0, "B": 1, "L": 1, "Y": 1}
"""Welds are looked at first, then what they pulled; all else comes after."""


def in_turn(item: Item) -> tuple[bool, bool, int]:
    """The order of work: the blank, the bent part, the welded part."""
    return item.bent, item.welded, TURN.get(item.key[0], 2) if item.welded else 0


def staged(plan: PartPlan, items: Sequence[Item]) -> Iterator[Item]:
    """The items of a part with welds as they are measured, in turn; those of any other as they are.

    Angles and outside lengths of a welded flange are read again, to what the drawing says of them once
    welded; so is the face that bolts on, where it is welded.
    """
    names = welded_flanges(plan)
    if not names:
        yield from items
        return
    yield from (replace(i, welded=i.bent and i.key[0] in ONLY_THEN) for i in items)
    for item in items:
        if not set(item.flanges) & set(names):
            continue
        off = plan.bent_rad if item.unit == "angle" else plan.bent_mm
        least, most = item.nominal - off, item.nominal + off
        yield replace(item, key=f"{item.key}W", least=least, most=most, welded=True, at=())
    if (face := flat_face(plan)) is not None:
        name, within = face
        what = f"lower side of {name}: widest gap under an edge laid across it, along and crosswise"
        flat = length("Y1", what, "straightedge and feelers", 0.0, (0.0, within), bent=True)
        yield replace(flat, welded=True)
