"""The order of work for the person with the drill: print, check, drill, fit.

The order follows one idea: what fixes a position comes before what hangs on it. Hose lengths are
therefore left to the end, measured on the vehicle between ends that are bolted down.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import combinations
from pathlib import Path
from typing import Any

from generators.geometry.contours import bounds
from generators.model.findings import Finding
from generators.model.plan import Hole, PanelHole, PanelLayout, PartPlan, Slot
from generators.sheets.document import (
    TITLE,
    body_width,
    boxed,
    gap,
    heading,
    paragraph,
    side_by_side,
    step,
    table,
    together,
    write_document,
)
from generators.sheets.panel_view import PanelView
from generators.sheets.pedal_steps import cautions, pedal_steps
from generators.sheets.pedal_words import PedalSheet
from generators.units import format_length

BEFORE = (
    "Vehicle on level ground, wheels chocked, battery disconnected. Never work under a vehicle that stands "
    "on a jack.",
    "Brake fluid harms paint, eyes and skin: cover, gloves, glasses. Never mix fluid types.",
    "This sheet does not replace local codes or a licensed mechanic: have the finished work inspected before "
    "it goes on the road.",
)
HANG = (
    (
        "Fit the master cylinder, the pedal and its pivot.",
        "Every screw with a locking nut or a locked thread. The pedal moves freely and returns by itself.",
    ),
    (
        "Now measure the hoses.",
        "Only when both ends of a hose are bolted down, its fittings on, engine and steering in place. "
        "Measure along the path it will take, with slack for movement; no hose length is given here "
        "before that.",
    ),
    (
        "Check by hand.",
        "Nothing touches a hose or the pedal through the full pedal travel and full steering lock. No sharp "
        "panel edge within reach of a hose.",
    ),
)
PROVE = (
    (
        "Prove before driving.",
        "With the vehicle on stands and the drive wheels clear, a helper at the pedal: full travel ten "
        "times, no leak, no movement of the hanger that you can see. Then have it inspected.",
    ),
)


def holes_by_size(holes: Sequence[PanelHole]) -> Iterator[tuple[float, list[PanelHole]]]:
    """New holes grouped by final diameter, smallest first."""
    for size in sorted({h.final_dia_mm for h in holes}):
        yield size, [h for h in holes if h.final_dia_mm == size]


def _numbers(holes: Sequence[PanelHole]) -> str:
    return ", ".join(h.number for h in holes)


def _datum_checks(layout: PanelLayout) -> list[tuple[str, str]]:
    fixed = [h for h in layout.holes if h.status in ("datum", "blank", "reuse")]
    return [
        (
            f"{a.number} ({a.name.replace('_', ' ')}) to {b.number} ({b.name.replace('_', ' ')})",
            format_length(math.hypot(a.u_mm - b.u_mm, a.v_mm - b.v_mm)),
        )
        for a, b in combinations(fixed, 2)
    ]


class _Steps:
    """Counts the steps through the whole sheet."""

    def __init__(self) -> None:
        self.count = 0

    def __call__(self, bold: str, text: str = "") -> Any:
        self.count += 1
        return step(self.count, text, bold)


def _drill_story(layout: PanelLayout, number: _Steps, width: float) -> list[Any]:
    new = [h for h in layout.holes if h.status == "drill" or (h.status == "reuse" and h.tool)]
    story: list[Any] = heading(f"{layout.title}: mark and drill")
    story.append(PanelView(layout, width_mm=width, lit=[h.number for h in new]))
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
    engine = [h for h in new if h.drill_face == "engine"]
    cab = [h for h in new if h.drill_face == "cab"]
    for face, holes in (("cab", cab), ("engine", engine)):
        if not holes:
            continue
        key = next((h for h in layout.holes if h.name == layout.key_hole), None)
        hint = f" Hole {key.number} on the paper must lie on the {key.purpose}." if key else ""
        story.append(
            number(
                f"Tape the {face} template to the {face} side of the {layout.title.lower()}.",
                f"Both scale bars measured first. Line it up on the existing holes.{hint}",
            )
        )
        story.append(
            number(
                f"Centre-punch through the crosses of holes {_numbers(holes)} only.",
                "Not the registration marks (quartered discs), not the lettered holes; a hole that shows on "
                "two sheets is punched once. Then take a steel rule to the hole-to-hole distances on the "
                "table page: the rule overrules the paper.",
            )
        )
        pilots = [h for h in holes if h.pilot_dia_mm > 0]
        for size in sorted({h.pilot_dia_mm for h in pilots}):
            group = [h for h in pilots if h.pilot_dia_mm == size]
            story.append(number(f"Pilot drill {size:g} mm:", f"holes {_numbers(group)}."))
        story.append(
            number(
                "Open to final size, deburr both sides, paint the bare edges.",
                "In thin sheet go up in steps of 2 to 3 mm or use a step drill, wood clamped behind: a large "
                "twist drill grabs and leaves a three-cornered hole.",
            )
        )
        rows = [
            (
                format_length(size),
                _numbers(group),
                "; ".join(sorted({h.tool for h in group if h.tool})),
                "; ".join(sorted({h.purpose for h in group})),
            )
            for size, group in holes_by_size(holes)
        ]
        shares = (0.28, 0.16, 0.22, 0.34)
        story.append(table(("final", "holes", "tool", "for"), rows, [width * s for s in shares]))
    if not engine:
        story.append(
            number(
                "The engine template is for checking from behind, not for drilling.",
                "It is the mirror image of the cab template: held against the engine side after drilling, "
                "every hole must show in its circle.",
            )
        )
    blanks = [h for h in layout.holes if h.status == "blank" and not _covered(layout, h)]
    if blanks:
        story.append(
            number(
                "Close the holes no longer used:",
                "; ".join(f"{h.number}, {h.purpose}, {h.final_dia_mm:g} mm" for h in blanks)
                + ". A plate with sealant, bolted or riveted, no smaller than the hole plus 15 mm all round.",
            )
        )
    return story


def _covered(layout: PanelLayout, hole: PanelHole) -> bool:
    """True when a part of this job lies over the hole."""
    boxes = [bounds(f.contour) for f in layout.footprints]
    return any(u0 <= hole.u_mm <= u1 and v0 <= hole.v_mm <= v1 for u0, v0, u1, v1 in boxes)


def _also_carries(plan: PartPlan) -> list[tuple[str, str]]:
    """What goes into the part itself and not into the panel, counted."""
    openings: list[Hole | Slot] = []
    for flange in plan.flanges:
        openings += [*flange.holes, *flange.slots]
    words = [o.purpose for o in openings if not o.mates and o.fitting.kind == "bolt"]
    return [("part", f"{words.count(text)} × {text}") for text in dict.fromkeys(words)]


def _fit_story(plan: PartPlan, layout: PanelLayout, face: str, number: _Steps, width: float) -> list[Any]:
    mine = [h for h in layout.holes if plan.name in h.source.split("+")]
    rows = [(h.number, h.purpose) for h in mine] + _also_carries(plan)
    side = "cab side" if face == "cab" else "engine side"
    view_width, table_width = width * 0.62, width * 0.36
    view = PanelView(layout, width_mm=view_width, face=face, lit=[h.number for h in mine], name_all=False)
    goes_in = (
        table(("hole", "what goes in"), rows, (table_width * 0.2, table_width * 0.8)) if rows else gap(1)
    )
    return [
        together(
            [
                number(
                    f"Fit the {plan.title.lower()} on the {side} of the {layout.title.lower()}.",
                    f"Offer it up dry first: every bolt must drop through by hand. Holes {_numbers(mine)}. "
                    f"Panel and part together are {layout.thickness_mm + plan.thickness_mm:g} mm thick: add "
                    "washers and nut for the length of the bolts.",
                ),
                side_by_side(view, goes_in, (view_width + width * 0.02, table_width)),
            ]
        )
    ]


def _pedal_story(pedal: PedalSheet, findings: Sequence[Finding], number: _Steps, width: float) -> list[Any]:
    return [
        *heading(f"Set and bleed the {'clutch' if pedal.clutch is not None else 'brakes'}"),
        boxed(cautions(pedal, findings), width),
        gap(1),
        *(number(bold, text) for bold, text in pedal_steps(pedal)),
    ]


def _paper_story(revision: str, number: _Steps) -> list[Any]:
    return [
        *heading("Paper"),
        number(
            "Print the templates at 100 %, no fit to page.",
            f"All sheets must carry revision {revision}; do not mix revisions.",
        ),
        number(
            "Measure the millimetre bar and the inch bar, across and up, on every sheet.",
            "One wrong bar: do not use that sheet.",
        ),
        number(
            "Join the sheets by their registration marks, not by the edges of the paper.",
            "The sheets overlap: cut one margin away and lay marks with the same u and v on top of each "
            "other.",
        ),
    ]


def fit_order(plans: Sequence[tuple[PartPlan, str, str]]) -> list[tuple[PartPlan, str, str]]:
    """Flat plates first, for they lie under the rest; then the heaviest bends last."""
    return sorted(plans, key=lambda item: (len(item[0].bends), item[0].name))


def write_install_sheet(
    path: Path,
    *,
    title: str,
    revision: str,
    layouts: Sequence[PanelLayout],
    mounted: Sequence[tuple[PartPlan, str, str]],
    paper: str,
    pedals: Sequence[PedalSheet] = (),
    findings: Sequence[Finding] = (),
    watermark: str = "",
) -> None:
    """Write ``install_sheet.pdf``; ``mounted`` lists plan, panel name and face of each mounted part.

    Waived ``findings`` of a pedal are repeated above its steps.
    """
    width = body_width(paper)
    number = _Steps()
    story: list[Any] = [paragraph(title, TITLE), paragraph("Install sheet: tick each step as you finish it.")]
    story += [gap(2), boxed(BEFORE, width)]
    if layouts:
        story += _paper_story(revision, number)
    by_name = {layout.panel: layout for layout in layouts}
    for layout in layouts:
        story += _drill_story(layout, number, width)
    if mounted:
        story += heading("Fit the parts")
        for plan, panel, face in fit_order(mounted):
            if panel in by_name:
                story += _fit_story(plan, by_name[panel], face, number, width)
    story += heading("Cylinder, pedal and hoses")
    story += [number(bold, text) for bold, text in HANG]
    for pedal in pedals:
        story += _pedal_story(pedal, findings, number, width)
    story += heading("Finish")
    story += [number(bold, text) for bold, text in PROVE]
    write_document(
        path,
        story,
        title=f"{title}: install sheet",
        subject=title,
        revision=revision,
        paper=paper,
        watermark=watermark,
    )
