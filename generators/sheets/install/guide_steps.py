"""What the installer does with a printed drill guide, before the paper template is taped on."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence

from generators.model.install import Step, StepTable
from generators.model.plan import PanelHole, PanelLayout, PartPlan
from generators.model.spec.titles import within
from generators.model.words import Face
from generators.sheets.install.existing import side

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
        how="It may lie printed in its bag; else print "
        f"parts/{plan.name}/{plan.name}.3mf or .stl, at 100 %. Measure a peg and the distance of two "
        "bores on the print against its drawing: if they are out, print it again or use another printer. "
        "Without a printer have it printed: these holes do not go through the paper.",
        tables=(StepTable(head=("hole", "bush and drill", "bore"), rows=rows, shares=(0.2, 0.5, 0.3)),),
    )
    pegs = ", ".join(peg.purpose.removeprefix("panel ") for peg in root.pegs)
    yield Step(
        do=f"Lay it on the {side(layout, face)} of the {layout.title.lower()}, pegs into the metal, "
        "and clamp it.",
        how=f"Pegs go into {pegs}: empty these first. {plan.notes[0]} {plan.notes[-1]}",
    )
    yield Step(
        do=f"Drill {'holes' if len(holes) > 1 else 'hole'} {', '.join(holes)} through it, then take it off.",
        how="Each bush is for the drill named beside it and no other. The paper shows these holes as rings "
        f"without a cross: to compare, not to punch.{room}",
        tables=sizes,
        holes=tuple((layout.panel, hole) for hole in holes),
        drills=tuple((layout.panel, hole) for hole in holes if hole not in wider),
    )
