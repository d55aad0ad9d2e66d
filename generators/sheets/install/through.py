"""Drilling a panel through the part fitted on it: bolted on with two holes, the rest drilled through it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from generators.model.install import Step
from generators.model.plan import PanelHole, PanelLayout, PartPlan
from generators.model.spec.titles import within
from generators.model.words import Face
from generators.sheets.install.drill import named, refs, size_table
from generators.sheets.install.threads import insert_steps, weld_steps

SPOT = (
    "Spot each with a drill that just goes through the part's own hole, then the pilot in that mark, then to "
    "size; nothing may shift meanwhile. Never force a drill through a thread."
)
SCRIBE = "too wide for a drill; scribe round inside the part's own opening, take it off and cut to that line."


def through_steps(plan: PartPlan, layout: PanelLayout, face: Face) -> Iterator[Step]:
    """Bolting a part on with two holes and drilling the others through it, where that is wanted."""
    here = [h for h in layout.holes if h.work.how == "part" and h.work.part == plan.name]
    if not here:
        return
    holding = [h for h in layout.holes if plan.name in h.work.locates]
    second = [h for h in holding if h in here]
    first = [h for h in holding if h not in second]
    rest = [h for h in here if h not in second]
    part, side = within(plan.title), f"on the {face} side of the {layout.title.lower()}"
    if second:
        yield Step(
            do=f"Bolt the {part} {side} with {named(first)} alone, and turn it until the pilot of "
            f"{named(second)} lies in the middle of the part's own hole.",
            how="The bolt just nipped while it turns, then tight, and the part clamped.",
            holes=refs(layout, holding),
        )
        yield Step(
            do=f"Open {named(second)} through the {part}, from the {face} side.",
            how="From the pilot to size with the part as a guide; put its bolt in and tighten both.",
            holes=refs(layout, second),
            drills=refs(layout, second),
            tables=(size_table(second, layout.units),),
        )
    else:
        yield Step(
            do=f"Bolt the {part} {side} with {named(holding)}.",
            how="Bolts tight, the part flat on the metal; clamp its far edges as well.",
            holes=refs(layout, holding),
        )
    if rest:
        yield _drilled(layout, rest, part, face)
    yield from _bared(layout, here, part)


def held_steps(holes: Sequence[PanelHole], layout: PanelLayout, part: str, face: Face) -> Iterator[Step]:
    """Drilling through a part that is held where its hose puts it: one bolt first, then the rest."""
    first, rest = list(holes[:1]), list(holes[1:])
    yield Step(
        do=f"Clamp the {part} there and drill {named(first)} through it, from the {face} side.",
        how=f"{SPOT} Then put its bolt in and tighten it.",
        holes=refs(layout, first),
        drills=refs(layout, first),
        tables=(size_table(first, layout.units),),
    )
    if rest:
        yield _drilled(layout, rest, part, face)
    yield from _bared(layout, holes, part)


def _drilled(layout: PanelLayout, holes: Sequence[PanelHole], part: str, face: Face) -> Step:
    spots: dict[str, list[PanelHole]] = {}
    for hole in holes:
        spots.setdefault(hole.work.spot, []).append(hole)
    wide = named(spots.pop("")) if "" in spots else ""
    drills = "; ".join(f"{named(group)} with {spot}" for spot, group in spots.items())
    how = f"{SPOT} Spot {drills}." if drills else ""
    scribed = f"{wide[0].upper()}{wide[1:]}: {SCRIBE}" if wide else ""
    return Step(
        do=f"Drill {named(holes)} through the {part}, from the {face} side.",
        how=" ".join(text for text in (how, scribed) if text),
        holes=refs(layout, holes),
        drills=refs(layout, holes),
        tables=(size_table(holes, layout.units),),
    )


def _bared(layout: PanelLayout, holes: Sequence[PanelHole], part: str) -> Iterator[Step]:
    """Off again: edges, and the threads that sit in holes made just now."""
    yield Step(
        do=f"Take the {part} off again, deburr both sides of the panel, paint the bare edges.",
        how="Chips between the two keep them apart: wipe both clean.",
        holes=refs(layout, holes),
    )
    yield from insert_steps(layout, holes)
    yield from weld_steps(layout, holes)
