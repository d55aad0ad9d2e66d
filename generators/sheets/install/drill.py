"""Marking and drilling one panel: the steps for the person with the drill."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator, Sequence
from itertools import combinations
from typing import Any

from generators.geometry.contours import bounds
from generators.model.plan import PanelHole, PanelLayout, PartPlan
from generators.model.words import Face
from generators.sheets.document import gap, heading, step, table, together
from generators.sheets.install.guide_steps import guide_steps
from generators.sheets.install.threads import insert_steps, weld_steps
from generators.sheets.panel_view import PanelView
from generators.units import format_length


class Steps:
    """Counts the steps through the whole sheet and remembers at which one each task begins."""

    def __init__(self) -> None:
        self.count = 0
        self.first: dict[str, int] = {}

    def begin(self, key: str) -> None:
        """The next step is the first of that task."""
        self.first[key] = self.count + 1

    def __call__(self, bold: str, text: str = "") -> Any:
        """The next step: the order in bold, how to do it beside it."""
        self.count += 1
        return step(self.count, text, bold)


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


def _datum_checks(layout: PanelLayout) -> list[tuple[str, str]]:
    fixed = [h for h in layout.holes if h.status in ("datum", "blank", "reuse")]
    return [
        (
            f"{a.number} ({a.name.replace('_', ' ')}) to {b.number} ({b.name.replace('_', ' ')})",
            format_length(math.hypot(a.u_mm - b.u_mm, a.v_mm - b.v_mm)),
        )
        for a, b in combinations(fixed, 2)
    ]


def _checks(layout: PanelLayout, number: Steps, width: float) -> list[Any]:
    story: list[Any] = []
    checks = _datum_checks(layout)
    if checks:
        check = number(
            "Check that your panel is the one in the spec.",
            "Measure centre to centre. If one is more than 2 mm out, stop: measure the panel again and "
            "make new files.",
        )
        distances = table(("existing holes", "centre to centre"), checks, (width * 0.5, width * 0.5))
        story.append(together([check, distances, gap(2)]))
    near = [k for k in layout.keepouts if not k.bead]
    movable = [f"{k.reason} ({k.face} side)" for k in near if k.movable]
    if movable:
        story.append(number("Move aside before drilling:", ", ".join(movable) + "."))
    fixed = [f"{k.reason} ({k.face} side)" for k in near if not k.movable]
    if fixed:
        story.append(number("Find these on the metal and keep away from them:", ", ".join(fixed) + "."))
    return story


def size_table(holes: Sequence[PanelHole], width: float) -> Any:
    """Final sizes with their holes, tools and purposes."""
    rows = [
        (
            format_length(size),
            numbers(group),
            "; ".join(sorted({h.tool for h in group if h.tool})),
            "; ".join(sorted({h.purpose for h in group})),
        )
        for size, group in holes_by_size(holes)
    ]
    return table(("final", "holes", "tool", "for"), rows, [width * s for s in (0.28, 0.16, 0.22, 0.34)])


def drill_steps(holes: Sequence[PanelHole], number: Steps, width: float) -> Iterator[Any]:
    """Pilot, final size and the table of sizes."""
    pilots = [h for h in holes if h.pilot_dia_mm > 0]
    for size in sorted({h.pilot_dia_mm for h in pilots}):
        group = [h for h in pilots if h.pilot_dia_mm == size]
        yield number(f"Pilot drill {size:g} mm:", f"{named(group)}.")
    opened = number(
        "Open to final size, deburr both sides, paint the bare edges.",
        "In thin sheet go up in steps of 2 to 3 mm or use a step drill, wood clamped behind: a large "
        "twist drill grabs and leaves a three-cornered hole.",
    )
    yield together([opened, size_table(holes, width)])


def drill_story(
    layout: PanelLayout,
    late: Collection[str],
    number: Steps,
    width: float,
    guides: Sequence[tuple[PartPlan, Face]] = (),
) -> list[Any]:
    """Everything done to one panel in one go; ``late`` holes wait for the hose that decides their place.

    ``guides`` are the tools that lead the drill, with the face each lies on.
    """
    new = [h for h in to_make(layout) if h.number not in late]
    view = PanelView(layout, width_mm=width, lit=[h.number for h in new])
    marked = [h for h in layout.holes if h in new or h.status == "weld"]
    waiting = [h for h in to_make(layout) if h.number in late]
    # a panel whose own holes are used again is looked at all the same
    todo = "mark and drill" if marked or waiting else "nothing to drill"
    story: list[Any] = heading(f"{layout.title}: {todo}", view.size[1] + 15)
    story.append(view)
    story += _checks(layout, number, width)
    for plan, face in guides:
        story += guide_steps(plan, face, layout, number, width)
    engine = [h for h in marked if h.drill_face == "engine"]
    cab = [h for h in marked if h.drill_face == "cab"]
    for face, holes in (("cab", cab), ("engine", engine)):
        if not holes:
            continue
        witness = next((h for h in layout.holes if h.name == layout.witness_hole), None)
        hint = f" Hole {witness.number} on the paper must lie on the {witness.purpose}." if witness else ""
        story.append(
            number(
                f"Tape the {face} template to the {face} side of the {layout.title.lower()}.",
                f"Both scale bars measured first. Line it up on the existing holes.{hint}",
            )
        )
        story.append(
            number(
                f"Centre-punch through the {_crosses(holes)} of {named(holes)} only.",
                "Not the registration marks (quartered discs), not the lettered holes; a hole that shows on "
                "two sheets is punched once. Then check the hole-to-hole distances on the "
                "table page with a steel rule: where they differ, the rule is right.",
            )
        )
        bored = [h for h in holes if h.status != "weld"]
        story += drill_steps(bored, number, width) if bored else []
    story += insert_steps(layout, new, number)
    story += weld_steps(layout, number)
    if waiting:
        story.append(
            number(
                f"Do NOT drill {named(waiting)} yet.",
                "Draw round their circles only. A made-up hose decides where they go: a step after that hose "
                "drills them.",
            )
        )
    if not engine and (marked or waiting):
        story.append(
            number(
                "The engine template is for checking from behind, not for drilling.",
                "It is the mirror image of the cab template: held against the engine side after drilling, "
                "every hole must show in its circle.",
            )
        )
    story += _blank_story(layout, number)
    return story


def _blank_story(layout: PanelLayout, number: Steps) -> list[Any]:
    blanks = [h for h in layout.holes if h.status == "blank" and not _covered(layout, h)]
    if not blanks:
        return []
    return [
        number(
            "Close the holes no longer used:",
            "; ".join(f"{h.number}, {h.purpose}, {h.final_dia_mm:g} mm" for h in blanks)
            + ". A plate with sealant, bolted or riveted, no smaller than the hole plus 15 mm all round.",
        )
    ]


def _covered(layout: PanelLayout, hole: PanelHole) -> bool:
    """True when a part of this job lies over the hole."""
    boxes = [bounds(f.contour) for f in layout.footprints]
    return any(u0 <= hole.u_mm <= u1 and v0 <= hole.v_mm <= v1 for u0, v0, u1, v1 in boxes)
