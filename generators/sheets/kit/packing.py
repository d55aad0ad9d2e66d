"""What lies in which bag and box of a kit, from the bill and the spec's ``[kit]``."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from types import MappingProxyType

from generators.errors import LookupFault
from generators.model.sold.packing import ON_HOSE, OWN_LIST, Bag, Box, Packing, Thing
from generators.model.spec.selling.kit import Kit, KitBox, KitExtra
from generators.sheets.bill import Item
from generators.sheets.bolting.words import ENDS_OPEN

ONE_BOX = KitBox(name="box", title="The whole kit")


NO_HOSES: Mapping[str, str] = MappingProxyType({})
NO_CAPS: Mapping[str, Sequence[Thing]] = MappingProxyType({})
PART_NUMBER = "part number:\u00a0................"
ENDS = "what is on its ends, pieces and sizes:\u00a0................"
"""Written in by whoever packs, where the spec names neither a thing of the shelf nor the ends of a shaft."""

SHELF = "from the shelf: "
BOUGHT_WHOLE = ("cylinder", "fitting")
LIST = Thing(quantity=1, item=OWN_LIST, size="the one in your hand", uses="to count by", kind="list")


def packed(
    items: Sequence[Item],
    kit: Kit,
    made_up: Mapping[str, str] = NO_HOSES,
    cut: Mapping[str, str] = NO_HOSES,
    caps: Mapping[str, Sequence[Thing]] = NO_CAPS,
    more: Mapping[str, str] = NO_HOSES,
) -> Packing:
    """Bags of the bill and of what goes along, in their boxes.

    A bag nothing is said of goes into the first box. ``made_up`` are hoses that come made up: their length in
    words by their title; what is on their ends is not looked for loose. ``cut`` are those the shop cuts, or
    leaves for the vehicle, by title too; ``caps`` what closes ports and ends, by bag, and what else is on
    them; ``more`` what is said of a part or a cylinder besides its size, by title. The list itself lies in
    the first box. Raises ``LookupFault`` for a bag of ``[kit]`` that holds nothing.
    """
    bags: dict[str, list[Thing]] = {}
    for item in items:
        on = item.kind == "end" and set(item.uses) <= set(made_up)
        uses = f"{ON_HOSE}: {'; '.join(item.uses)}" if on else "; ".join(item.uses)
        if item.kind in ("part", "cylinder") and all(use in item.item.lower() for use in item.uses):
            uses = ""  # its name says so
        known = made_up if set(item.uses) <= set(made_up) else cut
        made = item.kind == "hose" and set(item.uses) <= set(known)
        size = "; ".join(dict.fromkeys(known[use] for use in item.uses)) if made else item.size
        if item.kind in ("part", *BOUGHT_WHOLE) and item.item in more:
            size = "; ".join(filter(None, (size, more[item.item])))
        thing = Thing(
            quantity=item.quantity,
            item=item.item,
            size=size,
            uses=uses,
            kind=item.kind,
            apart=item.apart,
            written=_written(item),
        )
        bags.setdefault(item.bag, []).append(thing)
    for title, things in caps.items():
        if title in bags:
            bags[title] += things
    places = {row.bag: row.box for row in kit.bag}
    for extra in kit.extra:
        if extra.bag:
            bags.setdefault(extra.bag, []).append(_thing(extra))
            places.setdefault(extra.bag, extra.box)
    for row in kit.bag:
        if row.bag not in bags:
            raise LookupFault("bag", row.bag, sorted(bags))
    boxes = kit.box or (ONE_BOX,)
    notes = {row.bag: row.note for row in kit.bag}
    first, number, out = boxes[0].name, 0, []
    order = {row.bag: k for k, row in enumerate(kit.bag)}
    for count, box in enumerate(boxes, 1):
        mine = [title for title in bags if (places.get(title) or first) == box.name]
        mine.sort(key=lambda title: order.get(title, len(order)))
        held = []
        for title in mine:
            number += 1
            held.append(Bag(number=number, title=title, things=tuple(bags[title]), note=notes.get(title, "")))
        own = (LIST,) if count == 1 else ()
        loose = (*own, *(_thing(e) for e in kit.extra if not e.bag and (e.box or first) == box.name))
        out.append(Box(number=count, title=box.title, bags=tuple(held), loose=loose))
    return Packing(boxes=tuple(out), bolts=kit.bolts)


def _thing(extra: KitExtra) -> Thing:
    return Thing(
        quantity=extra.quantity, item=extra.item, size=extra.size, uses=extra.for_, serves=extra.serves
    )


def _written(item: Item) -> str:
    """What of a thing only whoever packs knows: which article it is, what holds a shaft."""
    if item.kind in BOUGHT_WHOLE and SHELF not in item.size and "by the shop" not in item.item:
        return PART_NUMBER
    return ENDS if item.kind == "fastener" and ENDS_OPEN in item.size else ""
