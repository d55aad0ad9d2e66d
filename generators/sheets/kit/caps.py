"""Caps and plugs on what is packed, labels on hoses: every open port and end has one, all of it counted.

Dirt in a cylinder or line wears out its seals; caps stay on till the other side comes: common practice, no
source. The steps say so of each (``Caps stay on its ports``), so they have to be there. Which it is follows
from the end: a 37 degree port has its thread outside and takes a cap, a swivel nut has it inside and takes a
plug, a pipe or cut tube has none and takes a cap to push on, a cut hose a plug for its bore.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping

from generators.figures import format_short
from generators.model.sold.packing import Thing, ThingKind
from generators.sheets.hose_words import HoseLine, LinesSheet, kind_words, title_of
from generators.units import UnitSystem

HOSES = "Hoses and lines"
ON_PORTS, ON_PIPES = "one on each port with a thread", "one on each pipe a hose is pushed onto"
IN_PORTS, IN_NUTS = "one in each port", "one in the nut of each end"
ON_CUTS, IN_CUTS = "one on each cut end", "one in each cut end"
LABEL = "label of a hose or line"
LABELLED = "tied on by us, one at each end: leave them on till the end is fitted"
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


def _each(
    lines: LinesSheet, bags: Mapping[str, str], made_up: Collection[str]
) -> Iterator[tuple[str, Row, str]]:
    """Bag, cap or label, on what: one for each port and end."""
    for component in lines.components:
        title = title_of(component)
        bag = bags.get(f"component:{component.name}", title)
        rows: list[Row]
        if component.kind == "bulkhead":
            rows = [_threaded(component.dash)] * BOTH_ENDS
        else:
            rows = [_of_port(f"{component.name}.{p.name}", p.dash, lines) for p in component.port]
        yield from ((bag, row, title) for row in rows)
    for hose in lines.hoses:
        bag = bags.get(f"hose:{hose.spec.name}", HOSES)
        end = _of_end(hose, lines.units, ready=hose.made_up or hose.spec.name in made_up)
        yield from [(bag, end, hose.title)] * BOTH_ENDS
    for hose in lines.hoses:
        bag = bags.get(f"hose:{hose.spec.name}", HOSES)
        label: Row = ("label", LABEL, LABELLED)
        yield from [(bag, label, hose.title)] * BOTH_ENDS


def _threaded(dash: int | None) -> Row:
    return ("cap", f"-{dash} cap, screwed on", ON_PORTS) if dash else ("cap", "cap or plug", IN_PORTS)


def _of_port(port: str, dash: int | None, lines: LinesSheet) -> Row:
    """By its own size; else by what the hose that goes there is: pushed on, by an adapter, or screwed on."""
    if dash:
        return _threaded(dash)
    for hose in lines.hoses:
        spec = hose.spec
        if port not in (spec.from_, spec.to):
            continue
        if spec.pushed_on:
            return "cap", f"cap to push on, for the pipe of a -{spec.dash} hose", ON_PIPES
        adapter = spec.from_adapter if port == spec.from_ else spec.to_adapter
        if adapter is None:
            return _threaded(spec.dash)
        if adapter.port_thread:
            return "cap", f"plug {adapter.port_thread}, screwed in", IN_PORTS
        return _threaded(adapter.port_dash)
    return _threaded(None)


def _of_end(hose: HoseLine, units: UnitSystem, *, ready: bool) -> Row:
    """Of one end of a hose or line; ``ready`` where its fittings are on it."""
    spec = hose.spec
    if ready and not spec.pushed_on:
        return "cap", f"-{spec.dash} plug, screwed in", IN_NUTS
    if spec.kind == "rigid":
        tube = format_short(hose.outside_mm, units, 3)
        return "cap", f"cap to push on, for {tube} tube", ON_CUTS
    return "cap", f"plug for the bore of {kind_words(hose, units)}", IN_CUTS
