"""The order of work for the person with the drill: print, check, drill, fit.

The order follows one idea: what fixes a position comes before what depends on it. It is sorted by a graph
of what waits for what; a hose length is released only when both its ends are fixed by then.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import groupby
from pathlib import Path
from typing import Any

from generators.hydraulics.pedal_sheet import PedalSheet
from generators.model.findings import Finding, Waived
from generators.model.install import Task
from generators.model.plan import PanelLayout, PartPlan
from generators.model.words import Face
from generators.sheets.document import (
    TITLE,
    body_width,
    boxed,
    gap,
    heading,
    paragraph,
    waived_story,
    write_document,
)
from generators.sheets.hose_words import LinesSheet
from generators.sheets.install.drill import Steps, drill_story
from generators.sheets.install.fit import clamp_story, component_story, decided_story, part_story
from generators.sheets.install.hoses import cut_list, hose_story
from generators.sheets.install.pedal_steps import cautions, pedal_steps
from generators.sheets.install.tools import plug_steps, tool_list

BEFORE = (
    "Vehicle on level ground, wheels chocked, battery disconnected. Never work under a vehicle that stands "
    "on a jack.",
    "Brake fluid harms paint, eyes and skin: cover, gloves, glasses. Never mix fluid types.",
    "This sheet does not replace local codes or a licensed mechanic: have the finished work inspected before "
    "it goes on the road.",
)
HANG = (
    "Every bolt with a locking nut, every screw locked. The pedal moves freely and returns by itself.",
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
HEADINGS = {
    "part": "Fit the parts",
    "pedal": "Pedal",
    "component": "Cylinders and fittings",
    "clamp": "Clamps",
    "decided": "What the made-up hose decides",
    "hose": "Hoses and lines, one after the other",
}
PICTURED, PICTURED_MM = ("part", "component", "clamp", "decided"), 80.0
"""Kinds whose steps have a picture, and the room the first one needs with its heading."""


class _Sheet:
    """The story of one job's install sheet."""

    def __init__(
        self,
        layouts: Sequence[PanelLayout],
        mounted: Sequence[tuple[PartPlan, str, Face]],
        guides: Sequence[tuple[PartPlan, str, Face]],
        pedals: Sequence[PedalSheet],
        findings: Sequence[Finding],
        lines: LinesSheet,
        width: float,
    ) -> None:
        self.layouts: Mapping[str, PanelLayout] = {layout.panel: layout for layout in layouts}
        self.parts = {plan.name: (plan, panel, face) for plan, panel, face in mounted}
        self.guides = guides
        self.pedals = {pedal.spec.name: pedal for pedal in pedals}
        self.findings = findings
        self.lines = lines
        self.width = width
        self.number = Steps()

    def paper(self, revision: str) -> list[Any]:
        number = self.number
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

    def work(self) -> Iterator[Any]:
        """Every task in its order; where the kind of work changes, a heading."""
        bleeding = False
        for kind, group in groupby(self.lines.order.tasks, key=lambda task: task.kind):
            if kind == "bleed" and not bleeding:
                bleeding = True
                yield from self.by_hand()
            if kind in HEADINGS:
                yield from heading(HEADINGS[kind], PICTURED_MM if kind in PICTURED else 30.0)
            if kind == "clamp":
                yield from self.clamps(list(group))
                continue
            for task in group:
                self.number.begin(task.key)
                yield from self.task(task)
        if not bleeding:
            yield from self.by_hand()

    def task(self, task: Task) -> list[Any]:
        number, width, lines = self.number, self.width, self.lines
        if task.kind == "drill":
            layout = self.layouts[task.name]
            guides = [(plan, face) for plan, panel, face in self.guides if panel == task.name]
            return drill_story(layout, lines.late_holes(task.name), number, width, guides)
        if task.kind == "part":
            plan, panel, face = self.parts[task.name]
            carries = any(place.part == task.name for place in lines.places.values())
            return part_story(plan, self.layouts[panel], face, number, width, carries)
        if task.kind == "pedal":
            # a cylinder that is a component of the job has a step of its own
            own = any(component.kind == "master" for component in lines.components)
            what = task.title if own else f"master cylinder, the {task.title}"
            return [number(f"Fit the {what} and its pivot.", HANG[0])]
        if task.kind == "component":
            return component_story(lines.component(task.name), lines, self.layouts, number, width)
        if task.kind == "decided":
            decision = next(x for x in lines.decided if x.component == task.name)
            return decided_story(decision, lines, self.layouts, number, width)
        if task.kind == "hose":
            return hose_story(lines.hose(task.name), lines, number, width)
        return self.bleed(self.pedals[task.name])

    def clamps(self, tasks: Sequence[Task]) -> Iterator[Any]:
        """Clamps that come one after the other on one sheet make one step."""
        by_name = {clamp.name: clamp for clamp in self.lines.clamps}
        where = self.lines.places
        for _place, group in groupby(tasks, key=lambda t: (where[t.name].panel, where[t.name].part)):
            named = list(group)
            for task in named:
                self.number.begin(task.key)
            yield from clamp_story(
                [by_name[t.name] for t in named], self.lines, self.layouts, self.number, self.width
            )

    def by_hand(self) -> Iterator[Any]:
        yield from heading("Before fluid goes in")
        yield from plug_steps(self.layouts.values(), self.lines, self.number)
        if not self.pedals:
            yield self.number("Fit the master cylinder, the pedal and its pivot.", HANG[0])
        if not self.lines.hoses:
            yield self.number(*HANG[1])
        yield self.number(*HANG[2])

    def bleed(self, pedal: PedalSheet) -> list[Any]:
        return [
            *heading(f"Set and bleed the {'clutch' if pedal.clutch is not None else 'brakes'}"),
            boxed(cautions(pedal, self.findings), self.width),
            gap(1),
            *(self.number(bold, text) for bold, text in pedal_steps(pedal)),
        ]


def write_install_sheet(
    path: Path,
    *,
    title: str,
    revision: str,
    layouts: Sequence[PanelLayout],
    mounted: Sequence[tuple[PartPlan, str, Face]],
    lines: LinesSheet,
    paper: str,
    guides: Sequence[tuple[PartPlan, str, Face]] = (),
    pedals: Sequence[PedalSheet] = (),
    findings: Sequence[Finding] = (),
    waived: Sequence[Waived] = (),
) -> None:
    """Write ``install_sheet.pdf``; ``mounted`` lists plan, panel name and face of each mounted part.

    ``guides`` lists those of the tools that lead the drill.

    Waived ``findings`` of a pedal are repeated above its steps. What hangs in a loop of the order has no
    step: the loop stands in a frame in its place.
    """
    width = body_width(paper)
    sheet = _Sheet(layouts, mounted, guides, pedals, findings, lines, width)
    paper_story = sheet.paper(revision) if layouts else []
    work = list(sheet.work())
    prove = [*heading("Finish"), *(sheet.number(bold, text) for bold, text in PROVE)]
    story: list[Any] = [paragraph(title, TITLE), paragraph("Install sheet: tick each step as you finish it.")]
    story += [gap(2), boxed(BEFORE, width), *waived_story(waived, width)]
    if lines.loop:
        story += [
            gap(2),
            boxed([f"NO ORDER OF WORK IS POSSIBLE: {lines.loop}. None of these has a step."], width),
        ]
    story += cut_list(lines, sheet.number, width)
    story += tool_list(layouts, lines, width)
    write_document(
        path,
        [*story, *paper_story, *work, *prove],
        title=f"{title}: install sheet",
        subject=title,
        revision=revision,
        paper=paper,
        waived=waived,
    )
