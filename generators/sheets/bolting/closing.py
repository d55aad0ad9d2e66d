"""What keeps an open end closed: a cap goes over a thread, pipe or tube, a plug into a nut, port or bore.

Said once, for the packing list that counts them and the steps that take them off. A 37 degree port has its
thread outside and takes a cap; a swivel or tube nut has it inside and takes a plug with that thread, which
reaches the flare behind it; a pipe or bare tube has none and takes a cap to push on, a cut hose a plug for
its bore (SAE J514 for the threads; the rest common practice, no source).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from generators.errors import LookupFault
from generators.figures import format_short
from generators.model.spec.lines import Component
from generators.sheets.hose_words import HoseLine, LinesSheet, kind_words
from generators.standards import union37
from generators.units import UnitSystem

Word = Literal["cap", "plug"]
ON_PORTS, ON_PIPES = "one on each port with a thread", "one on each pipe a hose is pushed onto"
IN_PORTS, IN_NUTS = "one in each port", "one in the nut of each end"
ON_CUTS, IN_CUTS = "one on each cut end", "one in each cut end"
WHEN_FLARED = "for the nut of each end, once it is flared: that end has no cap then"


@dataclass(frozen=True, slots=True, kw_only=True)
class Closure:
    """One cap or plug: what it is called in a step, what it is on the list, and where it sits."""

    word: Word
    item: str
    where: str


def port_closure(port: str, dash: int | None, lines: LinesSheet) -> Closure:
    """Of ``component.port`` by its own size; else by what the hose that goes there is."""
    if dash:
        return _threaded(dash)
    for hose in lines.hoses:
        spec = hose.spec
        if port not in (spec.from_, spec.to):
            continue
        if spec.pushed_on:
            item = f"cap to push on, for the pipe of a -{spec.dash} hose"
            return Closure(word="cap", item=item, where=ON_PIPES)
        adapter = spec.from_adapter if port == spec.from_ else spec.to_adapter
        if adapter is None:
            return _threaded(spec.dash)
        if adapter.port_thread:
            return Closure(word="plug", item=f"plug {adapter.port_thread}, screwed in", where=IN_PORTS)
        return _threaded(adapter.port_dash)
    return _threaded(None)


def _threaded(dash: int | None) -> Closure:
    if dash:
        return Closure(word="cap", item=f"-{dash} cap{_thread(dash)}, screwed on", where=ON_PORTS)
    return Closure(word="plug", item="plug for the port, screwed in", where=IN_PORTS)


def _thread(dash: int) -> str:
    """The thread of a union of that size after a blank; nothing for a size not in the table."""
    try:
        return f" {union37(dash).thread.partition(' ')[0]}"
    except LookupFault:
        return ""


def end_closure(hose: HoseLine, units: UnitSystem, *, ready: bool) -> Closure:
    """Of one end of a hose or line; ``ready`` where its nut or fitting is on it."""
    spec = hose.spec
    if ready and not spec.pushed_on:
        return Closure(word="plug", item=f"-{spec.dash} plug{_thread(spec.dash)}, screwed in", where=IN_NUTS)
    if spec.kind == "rigid":
        tube = format_short(hose.outside_mm, units, 3)
        return Closure(word="cap", item=f"cap to push on, for {tube} tube", where=ON_CUTS)
    return Closure(word="plug", item=f"plug for the bore of {kind_words(hose, units)}", where=IN_CUTS)


def component_closures(component: Component, lines: LinesSheet) -> tuple[Closure, ...]:
    """One for each open end of a component: a bulkhead fitting has two."""
    if component.kind == "bulkhead":
        return (_threaded(component.dash),) * 2
    return tuple(port_closure(f"{component.name}.{p.name}", p.dash, lines) for p in component.port)


def stays_words(closures: Sequence[Closure], where: str, till: str = "") -> str:
    """``Caps stay on its ports until the hose comes.``; nothing where there is no open end."""
    if not closures:
        return ""
    words = [word for word in ("cap", "plug") if any(c.word == word for c in closures)]
    if len(words) > 1:
        return f"Its caps stay on and its plugs in{till}."
    (word,) = words
    lead = f"Its {word} stays" if len(closures) == 1 else f"{word.capitalize()}s stay"
    return f"{lead} {'on' if word == 'cap' else 'in'} {where}{till}."
