"""Which fitting is left loose while a rigid line goes in that does not go between two tight ones.

Which one: that which no other line has been joined to; a bulkhead before a cylinder, as one nut holds it;
then the one fitted last. It is tightened last, so that nothing pulls at the line: common practice, no source.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from generators.figures import fixed
from generators.model.joints.fasteners import FastenerSet, fasteners_for, on_own_studs
from generators.model.spec.lines import Component
from generators.model.spec.titles import within
from generators.routing.seating import apart_rad, goes_on_both
from generators.sheets.hose_words import HoseLine, LinesSheet, title_of, tube_making

ALONG = 0.9
"""Cosine to a bulkhead's own axis from which on a seat faces along it and not across."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Loose:
    """The end of a rigid line whose ``component`` stays loose; ``port`` is the line's there.

    ``joined`` is another line that has been put on it before, in words.
    """

    hose: HoseLine
    component: Component
    port: str
    apart_rad: float
    joined: str

    def held(self, fasteners: Sequence[FastenerSet]) -> str:
        """What holds it and is left loose: its nut, its bolts, or the nuts on studs of its own."""
        if self.component.kind == "bulkhead":
            return "nut"
        return "nuts" if on_own_studs(fasteners, f"component:{self.component.name}") else "bolts"


def loose_end(hose: HoseLine, lines: LinesSheet) -> Loose | None:
    """What a rigid line asks to be left loose; None where it goes on as it is, or one end is loose anyway."""
    spec, places = hose.spec, lines.order
    ends = [end.partition(".") for end in (spec.from_, spec.to)]
    at = places.place(f"hose:{spec.name}")
    ways = [lines.ways.get(end) for end in (spec.from_, spec.to)]
    if spec.kind != "rigid" or at is None or any(x.hose == spec.name for x in lines.decided):
        return None
    if ways[0] is None or ways[1] is None or goes_on_both(ways[0], ways[1]):
        return None
    found = []
    for name, _, port in ends:
        fitted = places.place(f"component:{name}")
        if fitted is None or fitted > at:
            return None
        component = lines.component(name)
        others = [h for h in lines.hoses if h is not hose and name in _ends(h)]
        before = [h for h in others if _place(h, lines, at) < at]
        joined = within(before[0].title) if before else ""
        rank = (bool(joined), component.kind != "bulkhead", -fitted)
        found.append((rank, component, port, joined))
    _rank, component, port, joined = min(found, key=lambda one: one[0])
    return Loose(
        hose=hose, component=component, port=port, apart_rad=apart_rad(ways[0], ways[1]), joined=joined
    )


def ends_first(hose: HoseLine, lines: LinesSheet) -> tuple[str, str]:
    """Both ends of a hose or line as ``component.port``, the one that is put on first before the other.

    What is fixed comes before what is loose or hangs; of a tube the end that is flared before it is bent
    comes before the one that is trimmed to its seat; else it is the order of the spec. Common practice, no
    source.
    """
    spec = hose.spec
    ends = spec.from_, spec.to
    hangs = next((x.component for x in lines.decided if x.hose == spec.name), "")
    loose = loose_end(hose, lines)
    last = loose.component.name if loose is not None else hangs
    early = tube_making(hose).early if spec.kind == "rigid" else (True, True)
    turned = ends[0].partition(".")[0] == last if last else early == (False, True)
    return ends[::-1] if turned else ends


def _place(hose: HoseLine, lines: LinesSheet, else_at: int) -> int:
    """Its place in the order; ``else_at`` for a hose that the order does not name."""
    place = lines.order.place(f"hose:{hose.spec.name}")
    return else_at if place is None else place


def _ends(hose: HoseLine) -> tuple[str, str]:
    return hose.spec.from_.partition(".")[0], hose.spec.to.partition(".")[0]


def loose_nuts(
    component: Component, lines: LinesSheet, fasteners: Sequence[FastenerSet]
) -> tuple[FastenerSet, ...]:
    """The bolts with locking nuts of a component that some line leaves loose: plain nuts hold it till then.

    A locking nut that is turned off again does not lock as it did: common practice, no source.
    """
    mine = fasteners_for(fasteners, f"component:{component.name}")
    locking = tuple(made for made in mine if made.into == "locking nut")
    if component.kind == "bulkhead" or not locking:
        return ()
    found = [loose_end(hose, lines) for hose in lines.hoses]
    return locking if any(x is not None and x.component is component for x in found) else ()


def left_words(component: Component, lines: LinesSheet, fasteners: Sequence[FastenerSet] = ()) -> str:
    """What the step that fits a component says of a line it waits for, a blank after it; else nothing."""
    plain = bool(loose_nuts(component, lines, fasteners))
    for hose in lines.hoses:
        loose = loose_end(hose, lines)
        if loose is None or loose.component is not component:
            continue
        if not loose.joined:
            till = "Till then plain nuts hold it. " if plain else ""
            return (
                f"Leave its {loose.held(fasteners)} finger tight for now: the {within(hose.title)} does not "
                f"go in otherwise, and with that on it is tightened. {till}"
            )
        # it is tight by then, and comes off again
        return f"With plain nuts for now: they come off again for the {within(hose.title)}. " if plain else ""
    return ""


def goes_in_words(hose: HoseLine, lines: LinesSheet, fasteners: Sequence[FastenerSet] = ()) -> str:
    """How a line gets between its seats, each sentence after a blank; nothing where it just goes."""
    loose = loose_end(hose, lines)
    if loose is None:
        return ""
    name = within(title_of(loose.component))
    still = f"the {name} is still loose"
    if loose.joined:
        still = f"take the {loose.joined} off the {name} again, and slacken that"
    apart = fixed(math.degrees(loose.apart_rad), 0)
    return (
        f" Its two seats face {apart} degrees apart, so it cannot be put onto both while both fittings are "
        f"tight: {still}. {_moved(loose, lines, fasteners)}"
    )


def _moved(loose: Loose, lines: LinesSheet, fasteners: Sequence[FastenerSet]) -> str:
    if loose.component.kind != "bulkhead":
        plain = "plain " if loose_nuts(loose.component, lines, fasteners) else ""
        first, last = f"Take its {plain}nuts and its bolts out", f"bolts in and {plain}nuts on by hand"
        if loose.held(fasteners) == "nuts":
            first, last = f"Turn its {plain}nuts off its studs", f"the {plain}nuts on again by hand"
        return (
            f"{first}, move that clear, put the line on both, and bring it back with the line on it, {last}."
        )
    axis = lines.places[loose.component.name].frame[:3, 0]
    way = lines.ways[f"{loose.component.name}.{loose.port}"]
    if abs(float(axis @ np.array(way))) > ALONG:
        return (
            "Push that back through its hole as far as its nut, run back, lets it; bring it up to the line."
        )
    return (
        "Take off what closes that end, its nut and its washer, and draw it out of its hole to the "
        f"{loose.port} side; put the line on both fittings, its nuts a few turns on; swing that fitting, the "
        "line on it, back into its hole, and put washer and nut on again by hand, and what closes it till "
        "its own hose comes."
    )


def last_words(hose: HoseLine, lines: LinesSheet, fasteners: Sequence[FastenerSet] = ()) -> str:
    """What is tightened when the line's own nuts are, in a sentence with a blank before it."""
    loose = loose_end(hose, lines)
    if loose is None:
        return ""
    turned = ", its leg where its own step has it" if loose.component.elbows else ""
    nuts = loose_nuts(loose.component, lines, fasteners)
    swapped = ", a locking nut in place of each plain one, one after the other" if nuts else ""
    return (
        f" Last of all tighten the {loose.held(fasteners)} of the {within(title_of(loose.component))}"
        f"{turned}{swapped}, with nothing pulling at the line."
    )
