"""Marking and drilling one panel: the steps for the person with the drill."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence

from generators.geometry.contours import bounds
from generators.model.install import HoleRef, PanelPicture, Phase, Step, StepTable
from generators.model.plan import PanelHole, PanelLayout, PartPlan
from generators.model.words import Face
from generators.sheets.install.existing import panel_checks
from generators.sheets.install.guide_steps import guide_steps
from generators.sheets.install.threads import insert_steps, weld_steps
from generators.units import format_length


def refs(layout: PanelLayout, holes: Sequence[PanelHole]) -> tuple[HoleRef, ...]:
    """Holes of a panel by its name and their numbers."""
    return tuple((layout.panel, hole.number) for hole in holes)


def holes_by_size(holes: Sequence[PanelHole]) -> Iterator[tuple[float, list[PanelHole]]]:
    """New holes grouped by final diameter, smallest first."""
    for size in sorted({h.final_dia_mm for h in holes}):
        yield size, [h for h in holes if h.final_dia_mm == size]


def named(holes: Sequence[PanelHole]) -> str:
    """``hole 1`` or ``holes 1, 2``."""
    return f"hole{'' if len(holes) == 1 else 's'} {numbers(holes)}"


def _crosses(holes: Sequence[PanelHole]) -> str:
    return "cross" if len(holes) == 1 else "crosses"


def numbers(holes: Sequence[PanelHole]) -> str:
    """Their numbers in a row."""
    return ", ".join(h.number for h in holes)


def to_make(layout: PanelLayout) -> list[PanelHole]:
    """The holes of a panel somebody drills."""
    return [h for h in layout.holes if h.status == "drill" or (h.status == "reuse" and h.tool)]


def size_table(holes: Sequence[PanelHole]) -> StepTable:
    """Final sizes with their holes, tools and purposes."""
    rows = tuple(
        (
            format_length(size),
            numbers(group),
            "; ".join(sorted({h.tool for h in group if h.tool})),
            "; ".join(sorted({h.purpose for h in group})),
        )
        for size, group in holes_by_size(holes)
    )
    return StepTable(head=("final", "holes", "tool", "for"), rows=rows, shares=(0.28, 0.16, 0.22, 0.34))


def drill_steps(layout: PanelLayout, holes: Sequence[PanelHole]) -> Iterator[Step]:
    """Pilot, final size and the table of sizes."""
    pilots = [h for h in holes if h.pilot_dia_mm > 0]
    for size in sorted({h.pilot_dia_mm for h in pilots}):
        group = [h for h in pilots if h.pilot_dia_mm == size]
        yield Step(do=f"Pilot drill {size:g} mm:", how=f"{named(group)}.", holes=refs(layout, group))
    yield Step(
        do="Open to final size, deburr both sides, paint the bare edges.",
        how="In thin sheet go up in steps of 2 to 3 mm or use a step drill, wood clamped behind: a large "
        "twist drill grabs and leaves a three-cornered hole.",
        holes=refs(layout, holes),
        drills=refs(layout, holes),
        tables=(size_table(holes),),
    )


def drill_phase(
    layout: PanelLayout, late: Collection[str], guides: Sequence[tuple[PartPlan, Face]] = ()
) -> Phase:
    """Everything done to one panel in one go; ``late`` holes wait for the hose that decides their place.

    ``guides`` are the tools that lead the drill, with the face each lies on.
    """
    new = [h for h in to_make(layout) if h.number not in late]
    marked = [h for h in layout.holes if h in new or h.status == "weld"]
    waiting = [h for h in to_make(layout) if h.number in late]
    # a panel whose own holes are used again is looked at all the same
    todo = "mark and drill" if marked or waiting else "nothing to drill"
    lit = tuple(h.number for h in new)
    return Phase(
        title=f"{layout.title}: {todo}",
        pictures=(PanelPicture(panel=layout.panel, lit=lit, name_all=True),),
        steps=tuple(_panel_steps(layout, new, marked, waiting, guides)),
    )


def _panel_steps(
    layout: PanelLayout,
    new: Sequence[PanelHole],
    marked: Sequence[PanelHole],
    waiting: Sequence[PanelHole],
    guides: Sequence[tuple[PartPlan, Face]],
) -> Iterator[Step]:
    yield from panel_checks(layout)
    for plan, face in guides:
        yield from guide_steps(plan, face, layout)
    engine = [h for h in marked if h.drill_face == "engine"]
    cab = [h for h in marked if h.drill_face == "cab"]
    for face, holes in (("cab", cab), ("engine", engine)):
        if not holes:
            continue
        witness = next((h for h in layout.holes if h.name == layout.witness_hole), None)
        hint = f" Hole {witness.number} on the paper must lie on the {witness.purpose}." if witness else ""
        yield Step(
            do=f"Tape the {face} template to the {face} side of the {layout.title.lower()}.",
            how=f"Both scale bars measured first. Line it up on the existing holes.{hint}",
        )
        yield Step(
            do=f"Centre-punch through the {_crosses(holes)} of {named(holes)} only.",
            how="Not the registration marks (quartered discs), not the lettered holes; a hole that shows on "
            "two sheets is punched once. Then check the hole-to-hole distances on the "
            "table page with a steel rule: where they differ, the rule is right.",
            holes=refs(layout, holes),
        )
        bored = [h for h in holes if h.status != "weld"]
        if bored:
            yield from drill_steps(layout, bored)
    yield from insert_steps(layout, new)
    yield from weld_steps(layout)
    if waiting:
        yield Step(
            do=f"Do NOT drill {named(waiting)} yet.",
            how="Draw round their circles only. A made-up hose decides where they go: a step after that hose "
            "drills them.",
            holes=refs(layout, waiting),
        )
    if not engine and (marked or waiting):
        yield Step(
            do="The engine template is for checking from behind, not for drilling.",
            how="It is the mirror image of the cab template: held against the engine side after drilling, "
            "every hole must show in its circle.",
        )
    yield from _blank_steps(layout)


def _blank_steps(layout: PanelLayout) -> Iterator[Step]:
    blanks = [h for h in layout.holes if h.status == "blank" and not _covered(layout, h)]
    if blanks:
        yield Step(
            do="Close the holes no longer used:",
            how="; ".join(f"{h.number}, {h.purpose}, {h.final_dia_mm:g} mm" for h in blanks)
            + ". A plate with sealant, bolted or riveted, no smaller than the hole plus 15 mm all round.",
            holes=refs(layout, blanks),
        )


def _covered(layout: PanelLayout, hole: PanelHole) -> bool:
    """True when a part of this job lies over the hole."""
    boxes = [bounds(f.contour) for f in layout.footprints]
    return any(u0 <= hole.u_mm <= u1 and v0 <= hole.v_mm <= v1 for u0, v0, u1, v1 in boxes)
