"""What the installer does with a printed drill guide, before the paper template is taped on."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

from generators.model.plan import PanelLayout, PartPlan
from generators.model.words import Face
from generators.sheets.document import table

Step = Callable[[str, str], Any]
COLUMNS = (0.2, 0.5, 0.3)


def guide_steps(plan: PartPlan, face: Face, layout: PanelLayout, number: Step, width: float) -> Iterator[Any]:
    """Print it, lay it on, drill through it.

    ``number`` makes a numbered step of a bold beginning and a text; ``width`` is the body's, mm.
    """
    root = plan.flanges[0]
    bores = [h for h in root.holes if h.bush is not None]
    holes = [h.purpose.removeprefix("panel hole ") for h in bores]
    yield number(
        f"With a printer: print {plan.name} in {plan.material}, pegs up.",
        f"parts/{plan.name}/{plan.name}.3mf or .stl, at 100 %. Measure a peg and the distance of two bores "
        "on the print against its drawing: if they are out, use paper. Without a printer, skip to the paper: "
        "it shows these holes too.",
    )
    rows = [(hole, h.fitting.label, f"{h.diameter_mm:g} mm") for hole, h in zip(holes, bores, strict=True)]
    yield table(("hole", "bush and drill", "bore"), rows, [width * share for share in COLUMNS])
    pegs = ", ".join(peg.purpose.removeprefix("panel ") for peg in root.pegs)
    yield number(
        f"Lay it on the {face} side of the {layout.title.lower()}, pegs into the metal, and clamp it.",
        f"Pegs go into {pegs}: empty these first. {plan.notes[0]} {plan.notes[-1]}",
    )
    yield number(
        f"Drill {'holes' if len(holes) > 1 else 'hole'} {', '.join(holes)} through it, then take it off.",
        "Each bush is for the drill named beside it and no other. Leave these holes out when you punch "
        "through the paper.",
    )
