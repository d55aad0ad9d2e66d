"""Caps and plugs on what is packed, labels on hoses: every open port and end has one, all of it counted.

Dirt in a cylinder or line wears out its seals; caps stay on till the other side comes: common practice, no
source. The steps say so of each, so they have to be there. Which it is follows from the end
(``sheets/bolting/closing``, which the steps ask as well). A tube that comes cut has caps to push on its bare
ends, and for each a plug besides: once it is flared, the nut is on and no cap goes over it.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping

from generators.model.sold.packing import Thing, ThingKind
from generators.sheets.bolting.closing import (
    WHEN_FLARED,
    Closure,
    component_closures,
    end_closure,
)
from generators.sheets.hose_words import LinesSheet, title_of

HOSES = "Hoses and lines"
LABEL = "label of a hose or line"
LABELLED = "tied on by us, one at each end: leave them on till the end is fitted"
IN_THE_MIDDLE = (
    "tied on by us round the middle of the tube, one for each end: clear of nuts, flaring bar and bender; "
    "leave them on till it is fitted"
)
BOTH_ENDS = 2


def caps(
    lines: LinesSheet, bags: Mapping[str, str], made_up: Collection[str] = ()
) -> Mapping[str, tuple[Thing, ...]]:
    """Caps and labels by bag; ``bags`` are those of ``component:NAME`` and ``hose:NAME``.

    ``made_up`` are the hoses that come with their ends on, by name.
    """
    counted: dict[str, dict[tuple[ThingKind, str, str], list[str]]] = {}
    for bag, (kind, item, where), what in _each(lines, bags, made_up):
        counted.setdefault(bag, {}).setdefault((kind, item, where), []).append(what)
    return {
        bag: tuple(
            Thing(quantity=len(on), item=item, size=where, uses="; ".join(dict.fromkeys(on)), kind=kind)
            for (kind, item, where), on in rows.items()
        )
        for bag, rows in counted.items()
    }


Row = tuple[ThingKind, str, str]
"""Kind, what it is, where it is."""


def _row(closure: Closure, where: str = "") -> Row:
    return "cap", closure.item, where or closure.where


def _each(
    lines: LinesSheet, bags: Mapping[str, str], made_up: Collection[str]
) -> Iterator[tuple[str, Row, str]]:
    """Bag, cap or label, on what: one for each port and end."""
    for component in lines.components:
        title = title_of(component)
        bag = bags.get(f"component:{component.name}", title)
        yield from ((bag, _row(one), title) for one in component_closures(component, lines))
    for hose in lines.hoses:
        bag = bags.get(f"hose:{hose.spec.name}", HOSES)
        ready = hose.made_up or hose.spec.name in made_up
        end = _row(end_closure(hose, lines.units, ready=ready))
        yield from [(bag, end, hose.title)] * BOTH_ENDS
        if hose.spec.kind == "rigid" and not ready:
            flared = _row(end_closure(hose, lines.units, ready=True), WHEN_FLARED)
            yield from [(bag, flared, hose.title)] * BOTH_ENDS
    for hose in lines.hoses:
        bag = bags.get(f"hose:{hose.spec.name}", HOSES)
        bare = hose.spec.kind == "rigid" and not (hose.made_up or hose.spec.name in made_up)
        label: Row = ("label", LABEL, IN_THE_MIDDLE if bare else LABELLED)
        yield from [(bag, label, hose.title)] * BOTH_ENDS
