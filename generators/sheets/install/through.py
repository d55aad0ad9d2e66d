"""Drilling a panel through the part fitted on it: bolted on with two holes, the rest drilled through it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from generators.figures import format_short
from generators.geometry.sight import Standing
from generators.measure.fitting.turned import telling, wrong_ways
from generators.model.install import PanelPicture, Step
from generators.model.joints.fasteners import FastenerSet
from generators.model.plan import PanelHole, PanelLayout, PartPlan
from generators.model.spec.titles import within
from generators.model.words import Face
from generators.sheets.bolting.words import held_by_words
from generators.sheets.install.drill import grabs, limit_words, named, refs, size_table
from generators.sheets.install.existing import drill_room, own_flanges, side
from generators.sheets.install.threads import insert_steps, weld_steps

FOR_NOW = "A plain nut will do for now: keep the locking nut for the last time."
"""Common practice, no source."""

AT_MM = 0.05
"""Less to a side is told of no hole."""

STEADY = "Nothing may shift meanwhile. Never force a drill through a thread."
CLAMPED = (
    "Two clamps, so that it cannot turn; then a line scribed round its edge on the metal: if it moves, it "
    "goes back to that line."
)
UNSEATED = (
    "Cut its tie. The hose stays on it, both tied up out of the way of the drill, its plugs and caps where "
    "they are: it is fitted at a step of its own, once the part is bolted down."
)
"""Common practice, no source."""

MARK_ONLY = "Mark only: a dimple as the drill's tip makes it, no deeper; the final tool would cut the part."
CENTRED = (
    "measure across the scribed circle twice, crosswise, and punch where the halves meet; then the pilot, "
    "then to size, and the circle shows whether it stays in the middle."
)


def through_steps(
    plan: PartPlan,
    layout: PanelLayout,
    face: Face,
    fasteners: Sequence[FastenerSet] = (),
    fitted: Sequence[Standing] = (),
) -> Iterator[Step]:
    """Bolting a part on with two holes and drilling the others through it, where that is wanted.

    ``fitted`` stands on the panel by then; while it is drilled through, the part's own flanges do too.
    """
    here = [h for h in layout.holes if h.work.how == "part" and h.work.part == plan.name]
    if not here:
        return
    holding = [h for h in layout.holes if plan.name in h.work.locates]
    second = [h for h in holding if h in here]
    first = [h for h in holding if h not in second]
    rest = [h for h in here if h not in second]
    there = (*fitted, *own_flanges(layout, plan.name))
    shown = (PanelPicture(panel=layout.panel, face=face, lit=tuple(h.number for h in holding)),)
    part, there_on = within(plan.title), f"on the {side(layout, face)} of the {layout.title.lower()}"
    if second:
        yield Step(
            do=f"Bolt the {part} {there_on} with {named(first)} alone, and turn it until the pilot of "
            f"{named(second)} lies in the middle of the part's own hole.",
            how=f"{way_round(plan, layout, face, holding)}"
            "The bolt just nipped while it turns, then tight: that bolt holds the part."
            f"{_bolts(fasteners, layout, first)}",
            holes=refs(layout, holding),
            pictures=shown,
        )
        yield _second(layout, second, part, face, _bolts(fasteners, layout, second, ""), there)
    else:
        yield Step(
            do=f"Bolt the {part} {there_on} with {named(holding)}.",
            how=f"{way_round(plan, layout, face, holding)}"
            "Bolts tight, the part flat on the metal: they hold it; a helper presses its far edges on."
            f"{_bolts(fasteners, layout, holding)}",
            holes=refs(layout, holding),
            pictures=shown,
        )
    if rest:
        yield from _drilled(layout, rest, part, face, there)
    yield from _bared(layout, here, part, fitted)


def way_round(plan: PartPlan, layout: PanelLayout, face: Face, holding: Sequence[PanelHole]) -> str:
    """How a part is laid on that its two bolts would let on otherwise, before a blank; empty for any other.

    Its telling openings, left or right and up or down of its bolt as whoever stands before that face sees it.
    """
    own = [h for h in layout.holes if plan.name in (*h.owners, *h.work.locates) or h.work.part == plan.name]
    ways = wrong_ways(own, holding, flat=len(plan.flanges) == 1)
    if not ways:
        return ""
    start, units = holding[0], layout.units
    said = []
    for hole in telling(own, holding, ways):
        along = (hole.u_mm - start.u_mm) * (1.0 if face == "cab" else -1.0)
        up = hole.v_mm - start.v_mm
        steps = [
            f"{format_short(abs(mm), units, 1)} {word[mm < 0]}"
            for mm, word in ((along, ("to the right", "to the left")), (up, ("up", "down")))
            if abs(mm) >= AT_MM
        ]
        size = format_short(hole.final_dia_mm, units)
        said.append(f"its opening for hole {hole.number} ({size}) lies {' and '.join(steps)}")
    return (
        "Which way round first, as its bolts would let it on otherwise too, with its holes wrong: as you "
        f"look at that face, {' and '.join(said)} of its hole for {start.number}, middle to middle. "
    )


def _bolts(
    fasteners: Sequence[FastenerSet],
    layout: PanelLayout,
    holes: Sequence[PanelHole],
    more: str = f" {FOR_NOW}",
) -> str:
    """Which bolts those are and which way round, in sentences; nothing where no set is known."""
    said = held_by_words(fasteners, layout.panel, (h.number for h in holes))
    return f" {_capital(said)}.{more}" if said else ""


def _second(
    layout: PanelLayout,
    holes: Sequence[PanelHole],
    part: str,
    face: Face,
    bolts: str,
    there: Sequence[Standing],
) -> Step:
    """The second hole of a pair, as wide as the part's own hole lets the tool pass."""
    late = [h for h in holes if h.work.bared(h.final_dia_mm)]
    do = f"Open {named(holes)} through the {part}, from the {face} side."
    room = drill_room(layout, holes, there)
    if late:
        drills = ", ".join(dict.fromkeys(h.work.spot for h in late if h.work.spot))
        return Step(
            do=do,
            how=f"From the pilot with {drills}, the part as a guide, no wider: the final tool would cut it. "
            f"Put its bolt in and tighten both.{bolts}{room}",
            holes=refs(layout, holes),
        )
    return Step(
        do=do,
        how=f"From the pilot to size with the part as a guide; put its bolt in and tighten both."
        f"{bolts} {limit_words(layout)}{grabs(layout, holes)}{room}",
        holes=refs(layout, holes),
        drills=refs(layout, holes),
        tables=(size_table(holes, layout.units),),
    )


def held_steps(
    holes: Sequence[PanelHole],
    layout: PanelLayout,
    part: str,
    face: Face,
    fasteners: Sequence[FastenerSet] = (),
    fitted: Sequence[Standing] = (),
    over: str = "",
) -> Iterator[Step]:
    """Drilling through a part that is held where its hose puts it: one bolt first, then the rest.

    ``fitted`` as in ``through_steps``; ``over`` is what sits on holes of the part that are drilled through:
    with the part clamped it has shown the place, and comes off.
    """
    there = (*fitted, *(one for name in _parts(holes) for one in own_flanges(layout, name)))
    lead = [h for h in holes if not h.work.bared(h.final_dia_mm)][:1]
    if over:
        yield Step(do=f"Clamp the {part} there, and take the {over} off it.", how=f"{CLAMPED} {UNSEATED}")
    elif not lead:
        # none may be opened through the part: clamps alone hold it while all are marked
        yield Step(do=f"Clamp the {part} there.", how="Two clamps, so that it cannot turn.")
    if not lead:
        yield from _drilled(layout, holes, part, face, there)
        yield from _bared(layout, holes, part, fitted)
        return
    rest = [h for h in holes if h not in lead]
    yield Step(
        do=f"Drill {named(lead)} through the clamped {part}, from the {face} side."
        if over
        else f"Clamp the {part} there and drill {named(lead)} through it, from the {face} side.",
        how=f"{_spotted(lead)} {_sized(lead)} {STEADY} Then put its bolt in and tighten it."
        f"{_bolts(fasteners, layout, lead)} {limit_words(layout)}{grabs(layout, lead)}"
        f"{drill_room(layout, lead, there)}",
        holes=refs(layout, lead),
        drills=refs(layout, lead),
        tables=(size_table(lead, layout.units),),
    )
    if rest:
        yield from _drilled(layout, rest, part, face, there)
    yield from _bared(layout, holes, part, fitted)


def _parts(holes: Sequence[PanelHole]) -> tuple[str, ...]:
    """The parts holes are drilled through."""
    return tuple(dict.fromkeys(h.work.part for h in holes if h.work.part))


def _drilled(
    layout: PanelLayout, holes: Sequence[PanelHole], part: str, face: Face, there: Sequence[Standing]
) -> Iterator[Step]:
    """Through the part to size where its own hole lets the tool pass; else only the marks."""
    straight = [h for h in holes if not h.work.bared(h.final_dia_mm)]
    late = [h for h in holes if h not in straight]
    if straight:
        yield Step(
            do=f"Drill {named(straight)} through the {part}, from the {face} side.",
            how=f"{_spotted(straight)} {_sized(straight)} {STEADY} {limit_words(layout)}"
            f"{grabs(layout, straight)}{drill_room(layout, straight, there)}",
            holes=refs(layout, straight),
            drills=refs(layout, straight),
            tables=(size_table(straight, layout.units),),
        )
    if late:
        spots = [h for h in late if not h.work.scribed]
        wide = [h for h in late if h.work.scribed]
        how = [f"{_spotted(spots)} {MARK_ONLY}"] if spots else []
        how += [f"Scribe round inside the part's own opening for {named(wide)}."] if wide else []
        yield Step(
            do=f"Mark {named(late)} through the {part}, from the {face} side.",
            how=" ".join([*how, STEADY]) + drill_room(layout, spots, there),
            holes=refs(layout, late),
        )


def _spotted(holes: Sequence[PanelHole]) -> str:
    """With which drill each is marked through the part."""
    groups: dict[str, list[PanelHole]] = {}
    for hole in holes:
        groups.setdefault(hole.work.spot, []).append(hole)
    drills = "; ".join(f"{named(group)} with {spot}" for spot, group in groups.items() if spot)
    said = "Spot with a drill that just goes through the part's own hole"
    return f"{said}: {drills}." if drills else f"{said}."


def _sized(holes: Sequence[PanelHole]) -> str:
    """From the mark to the size; only what has a pilot gets one."""
    bare = [h for h in holes if not h.pilot_dia_mm]
    if not bare:
        return "Then the pilot in that mark, then to size."
    if len(bare) == len(holes):
        return "Then to size in that mark, without a pilot."
    return f"Then the pilot in that mark, then to size; {named(bare)} without a pilot."


def _opened(layout: PanelLayout, holes: Sequence[PanelHole], fitted: Sequence[Standing]) -> Step:
    """To size with the part off: holes that were only marked through it, or opened as far as it lets."""
    ready = [h for h in holes if h.work.locates]
    spots = [h for h in holes if not h.work.scribed and h not in ready]
    wide = [h for h in holes if h.work.scribed]
    how = [f"{_capital(named(spots))}: {_sized(spots).removeprefix('Then ')}"] if spots else []
    how += [f"{_capital(named(ready))}: from the hole there is to size."] if ready else []
    how += [f"{_capital(named(wide))}: {CENTRED}"] if wide else []
    return Step(
        do=f"Open {named(holes)} to size, the part off, from the {holes[0].drill_face} side.",
        how=" ".join([*how, limit_words(layout)]) + grabs(layout, holes) + drill_room(layout, holes, fitted),
        holes=refs(layout, holes),
        drills=refs(layout, holes),
        tables=(size_table(holes, layout.units),),
    )


def _capital(text: str) -> str:
    return f"{text[0].upper()}{text[1:]}"


def _bared(
    layout: PanelLayout, holes: Sequence[PanelHole], part: str, fitted: Sequence[Standing]
) -> Iterator[Step]:
    """Off again: what is opened without the part, edges, and the threads that sit in holes made just now."""
    late = [h for h in holes if h.work.bared(h.final_dia_mm)]
    if late:
        yield Step(do=f"Take the {part} off again.", how="", holes=refs(layout, holes))
        yield _opened(layout, late, fitted)
    off = "Deburr" if late else f"Take the {part} off again, deburr"
    yield Step(
        do=f"{off} both sides of the panel, paint the bare edges.",
        how="Chips between the two keep them apart: wipe both clean.",
        holes=refs(layout, holes),
    )
    yield from insert_steps(layout, holes)
    yield from weld_steps(layout, holes)
