"""What lies in which bag and box of a kit, as every paper of it says it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from generators.model.spec.selling.kit import BoltsCome, Serves
from generators.model.words import BillKind

COME: dict[BoltsCome, str] = {
    "plain": "bare steel, dry",
    "plated": "plated",
    "waxed": "waxed",
    "oiled": "oiled",
}
ON_HOSE = "already on the hose"
ThingKind = BillKind | Literal["cap", "label", "list"]
"""The bill's kinds, caps and plugs, labels tied on, and the packing list itself."""

OWN_LIST = "packing list"
"""What the list calls itself: it lies in the first box, and is counted as all else there."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Thing:
    """One line to tick: how many of what, its size, and what it is for.

    ``kind`` is None for what goes along besides; that may say what it ``serves``. ``apart`` says of what is
    in the bag for something that is no part of the job what that is. ``written`` is for whoever packs to
    fill in.
    """

    quantity: int
    item: str
    size: str = ""
    uses: str = ""
    kind: ThingKind | None = None
    serves: Serves = ""
    apart: str = ""
    written: str = ""

    @property
    def words(self) -> str:
        """``4 × locking nut M4, ISO 7040``."""
        return f"{self.quantity} × {self.item}"

    @property
    def on_hose(self) -> bool:
        """True for an end that is on its hose: nobody looks for it loose."""
        return self.uses.startswith(ON_HOSE)

    @property
    def sized(self) -> str:
        """The same with its size, as a label has it; of an end on its hose that it is there."""
        on = ("on the hose",) if self.on_hose else ()
        tail = ", ".join((*on, *([self.size] if self.size else [])))
        return f"{self.words}: {tail}" if tail else self.words


@dataclass(frozen=True, slots=True, kw_only=True)
class Bag:
    """One bag, numbered over all boxes."""

    number: int
    title: str
    things: tuple[Thing, ...]
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Box:
    """One box with its bags, and what lies loose in it."""

    number: int
    title: str
    bags: tuple[Bag, ...]
    loose: tuple[Thing, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Packing:
    """The whole kit; ``bolts`` is how its bolts, nuts and washers come, empty where nobody says."""

    boxes: tuple[Box, ...]
    bolts: BoltsCome = ""

    @property
    def bolts_words(self) -> str:
        """``Bolts, nuts and washers: plated``; empty where nobody says."""
        return f"Bolts, nuts and washers: {COME[self.bolts]}" if self.bolts else ""

    @property
    def bags(self) -> tuple[Bag, ...]:
        """All bags, by number."""
        return tuple(bag for box in self.boxes for bag in box.bags)

    @property
    def things(self) -> tuple[Thing, ...]:
        """All that is in it, bag by bag, then what lies loose."""
        inside = [thing for bag in self.bags for thing in bag.things]
        return (*inside, *(thing for box in self.boxes for thing in box.loose))

    def numbered(self, bag: Bag) -> str:
        """``Bag 3 of 9``."""
        return f"Bag {bag.number} of {len(self.bags)}"

    def head(self, bag: Bag) -> str:
        """``Bag 3 of 9: Clutch reservoir bracket``."""
        return f"{self.numbered(bag)}: {bag.title}"

    def box_number(self, box: Box) -> str:
        """``Box 1 of 2``."""
        return f"Box {box.number} of {len(self.boxes)}"

    def box_head(self, box: Box) -> str:
        """``Box 1 of 2: steel parts``."""
        return f"{self.box_number(box)}: {box.title}"

    def holding(self, serves: Serves) -> str:
        """Where what serves for that lies, within a sentence: ``bag 4 of 9``; empty where none is packed."""
        for box in self.boxes:
            for bag in box.bags:
                if any(thing.serves == serves for thing in bag.things):
                    return f"bag {bag.number} of {len(self.bags)}"
            if any(thing.serves == serves for thing in box.loose):
                return f"box {box.number} of {len(self.boxes)}, loose"
        return ""


NOT_PACKED = Packing(boxes=())
"""Of a job that is no kit."""
