"""Caps and plugs on what is packed: every open port and end has one, and the list counts them.

Dirt in a cylinder or line wears out its seals; caps stay on till the other side comes: common practice, no
source. The steps say so of each (``Caps stay on its ports``), so they have to be there.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from generators.model.sold.packing import Thing
from generators.sheets.hose_words import LinesSheet, title_of

HOSES = "Hoses and lines"
ON_PORTS, ON_ENDS = "one on each port", "one on each end"
BOTH_ENDS = 2


def caps(lines: LinesSheet, bags: Mapping[str, str]) -> Mapping[str, tuple[Thing, ...]]:
    """Caps by bag; ``bags`` are those of components (``component:NAME``) and hoses (``hose:NAME``)."""
    counted: dict[str, dict[tuple[str, str], list[str]]] = {}
    for bag, item, where, what in _each(lines, bags):
        counted.setdefault(bag, {}).setdefault((item, where), []).append(what)
    return {
        bag: tuple(
            Thing(quantity=len(on), item=item, size=where, uses="; ".join(dict.fromkeys(on)), kind="cap")
            for (item, where), on in rows.items()
        )
        for bag, rows in counted.items()
    }


def _each(lines: LinesSheet, bags: Mapping[str, str]) -> Iterator[tuple[str, str, str, str]]:
    """Bag, what it is, where it is, on what: one for each port and end."""
    sizes = {end: h.spec.dash for h in lines.hoses for end in (h.spec.from_, h.spec.to)}
    for component in lines.components:
        title = title_of(component)
        bag = bags.get(f"component:{component.name}", title)
        if component.kind == "bulkhead":
            ports = [component.dash] * BOTH_ENDS
        else:
            ports = [p.dash or sizes.get(f"{component.name}.{p.name}") for p in component.port]
        for dash in ports:
            yield bag, _cap(dash), ON_PORTS, title
    for hose in lines.hoses:
        bag = bags.get(f"hose:{hose.spec.name}", HOSES)
        for _ in range(BOTH_ENDS):
            yield bag, _cap(hose.spec.dash), ON_ENDS, "hoses and tubes"


def _cap(dash: int | None) -> str:
    return f"cap or plug -{dash}" if dash else "cap or plug"
