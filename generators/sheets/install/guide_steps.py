"""What the installer does with a printed drill guide, before the paper template is taped on."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence

from generators.figures import format_short
from generators.model.install import Step, StepTable
from generators.model.plan import PanelHole, PanelLayout, PartPlan
from generators.model.spec.titles import asked, within
from generators.model.words import Face
from generators.sheets.install.existing import side

LEAST_PEGS = 2
"""So many hold a guide from turning."""

SAME_MM = 0.01
"""Diameters no further apart are one."""


def wider_than_bush(plan: PartPlan, holes: Sequence[PanelHole]) -> list[PanelHole]:
    """The holes a guide only pilots: wider than the drill its bush is for."""
    led = {
        h.purpose.removeprefix("panel hole "): h.bush.drill_mm
        for h in plan.flanges[0].holes
        if h.bush is not None
    }
    return [h for h in holes if h.number in led and h.final_dia_mm > led[h.number] + SAME_MM]


def bush_words(plans: Sequence[PartPlan]) -> str:
    """The bushes guides are fitted with, counted by size: ``2 × bush 6 × 12, drill 3``."""
    found = Counter(h.fitting.label for plan in plans for h in plan.flanges[0].holes if h.bush is not None)
    return "; ".join(f"{count} × {label}" for label, count in found.items())


def guide_steps(
    plan: PartPlan, face: Face, layout: PanelLayout, sizes: tuple[StepTable, ...], room: str = ""
) -> Iterator[Step]:
    """Print it, lay it on, drill through it; ``sizes`` are those of the holes that have theirs after it.

    ``room`` says what a drill's body has no room beside, with a space before it.
    """
    wider = {h.number for h in wider_than_bush(plan, layout.holes)}
    root = plan.flanges[0]
    bores = [h for h in root.holes if h.bush is not None]
    holes = [h.purpose.removeprefix("panel hole ") for h in bores]
    rows = tuple(
        (hole, h.fitting.label, f"{h.diameter_mm:g} mm") for hole, h in zip(holes, bores, strict=True)
    )
    yield Step(
        do=f"Have the {within(plan.title)} ready, printed in {plan.material}, pegs up.",
        how="It may lie printed in its bag; else print, in plastic and not on paper, "
        f"parts/{plan.name}/{plan.name}.3mf or .stl of the job's folder, at 100 %. Measure a peg and the "
        f"distance of two bores on the print against parts/{plan.name}/{plan.name}_drawing.pdf: if they are "
        "out, print it again or use another printer. "
        "Without a printer have it printed: these holes do not go through the paper.",
        tables=(StepTable(head=("hole", "bush and drill", "bore"), rows=rows, shares=(0.2, 0.5, 0.3)),),
    )
    pegs = ", ".join(peg.purpose.removeprefix("panel ") for peg in root.pegs)
    yield Step(
        do=f"Lay it on the {side(layout, face)} of the {layout.title.lower()}, pegs into the metal, "
        "and clamp it.",
        how=f"Pegs go into {pegs}: empty these first.{_lent(plan, layout)} {plan.notes[0]} "
        f"{plan.notes[-1]}{_drops_in(plan, layout)}",
    )
    yield Step(
        do=f"Drill {'holes' if len(holes) > 1 else 'hole'} {', '.join(holes)} through it, then take it off.",
        how="Each bush is for the drill named beside it and no other. The paper shows them, where they "
        "lie on it, as rings "
        f"without a cross: to compare, not to punch.{_given_back(plan, layout)}{room}",
        tables=sizes,
        holes=tuple((layout.panel, hole) for hole in holes),
        drills=tuple((layout.panel, hole) for hole in holes if hole not in wider),
    )


def pegged(plan: PartPlan, layout: PanelLayout) -> list[PanelHole]:
    """The holes of a panel the pegs of its guide go into."""
    numbers = {peg.purpose.removeprefix("panel hole ").partition(",")[0] for peg in plan.flanges[0].pegs}
    return [hole for hole in layout.holes if hole.number in numbers]


def lent(plan: PartPlan, layout: PanelLayout) -> list[PanelHole]:
    """Of those the ones something stays in: it comes out for the pegs alone, and goes back."""
    return [hole for hole in pegged(plan, layout) if hole.status == "datum"]


def play_mm(plan: PartPlan) -> float:
    """How far two holes of pegs may be out between each other: what the two that fit closest leave, mm."""
    plays = sorted(peg.hole_mm - peg.diameter_mm for peg in plan.flanges[0].pegs)
    return sum(plays[:2]) / 2


def _lent(plan: PartPlan, layout: PanelLayout) -> str:
    """How a hole that keeps what is in it is emptied, in sentences with a space before them."""
    return "".join(
        f" What is in hole {hole.number} ({hole.purpose}) stays part of the vehicle: unplug and draw back "
        "what runs through it, cut nothing, and take the grommet or plug out for as long as the hole is "
        "measured from."
        for hole in lent(plan, layout)
    )


def _given_back(plan: PartPlan, layout: PanelLayout) -> str:
    """When it goes back, in a sentence with a space before it."""
    numbers = ", ".join(hole.number for hole in lent(plan, layout))
    return (
        f" What came out of hole {numbers} goes back at the end: its rim is measured from." if numbers else ""
    )


def _drops_in(plan: PartPlan, layout: PanelLayout) -> str:
    """What is done where the pegs do not drop in: the guide asks more of the panel than the first check."""
    if len(plan.flanges[0].pegs) < LEAST_PEGS:
        return ""
    return (
        f" The pegs drop in by hand: they leave {format_short(play_mm(plan), layout.units)} between their "
        f"holes and no more. Where they do not, file and force nothing and ask {asked(layout.contact)}."
    )


Guided = tuple[PartPlan, str, Face]
"""A guide, the panel it lies on and the face."""


def closer_by(guides: Sequence[Guided], layouts: Mapping[str, PanelLayout]) -> dict[str, tuple[str, str]]:
    """By panel the holes of a guide's pegs, in words, and how far out they may be between each other."""
    return {
        panel: (
            " and ".join(hole.number for hole in pegged(plan, layouts[panel])),
            format_short(play_mm(plan), layouts[panel].units),
        )
        for plan, panel, _face in guides
        if len(plan.flanges[0].pegs) >= LEAST_PEGS
        and all(hole.status != "drill" for hole in pegged(plan, layouts[panel]))
    }


def lent_by(guides: Sequence[Guided], layouts: Mapping[str, PanelLayout]) -> tuple[str, ...]:
    """What comes out of holes for guides and goes back at the end: ``main loom grommet in hole C``."""
    return tuple(
        dict.fromkeys(
            f"{hole.purpose} in hole {hole.number} of the {within(layouts[panel].title)}"
            for plan, panel, _face in guides
            for hole in lent(plan, layouts[panel])
        )
    )
