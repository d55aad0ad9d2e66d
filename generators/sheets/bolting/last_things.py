"""What no task of the order fits: single holes, things that come from outside, the vehicle's own pipes."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from generators.model.install import Step
from generators.model.joints.fasteners import FastenerSet
from generators.model.plan import PanelHole, PanelLayout, PartPlan
from generators.model.spec.titles import capital, within
from generators.model.words import NEW
from generators.sheets.bolting.words import absent_words, held_words
from generators.sheets.hose_words import LinesSheet, title_of

THROTTLE = "throttle_pedal_bracket"
"""The kind of part that carries a throttle pedal."""

LOOM = "Lead its wiring{way} clear of every pedal through its whole travel, clip it, and plug it in. "
RETURNS = (
    "Pressed and let go, fast and slowly, its pedal comes back by itself from wherever it is, the covering "
    "in its place; neither another pedal nor a shoe on one reaches it."
)
"""Common practice, no source."""

NOT_OURS = (
    "Not in this job: the pipe, its thread, its flare and how tight it is are the vehicle's and the "
    "fitting's makers' to say. Have a licensed workshop join it."
)
OPEN_PIPE = (
    " Each pipe to the union of its own line; none stays open or plugged behind one, and each nut is looked "
    "at again, dry, while the brakes are held hard."
)


def last_steps(
    layouts: Sequence[PanelLayout],
    lines: LinesSheet,
    fasteners: Sequence[FastenerSet],
    plans: Sequence[PartPlan],
) -> Iterator[Step]:
    """The steps; ``plans`` are the parts on panels."""
    for plan in plans:
        yield from _held(plan, layouts, lines, fasteners)
    yield from _joined(lines)


def single_holes(
    layout: PanelLayout, lines: LinesSheet, fasteners: Sequence[FastenerSet]
) -> tuple[list[FastenerSet], list[PanelHole]]:
    """The fasteners of a panel that no part, component or clamp takes, and the grommets nothing sits in."""
    alone = [made for made in fasteners if made.task == f"drill:{layout.panel}" and made.hole]
    used = {(place.panel, place.hole) for place in lines.places.values()}
    grommets = [
        hole
        for hole in layout.holes
        if hole.status in NEW and hole.kind == "grommet" and (layout.panel, hole.number) not in used
    ]
    return alone, grommets


def held_things(plan: PartPlan, fasteners: Sequence[FastenerSet]) -> dict[str, str]:
    """What is bolted to a part and comes from elsewhere, by its words, with the bag its bolts are in."""
    return {
        what: made.bag
        for made in fasteners
        if made.part == plan.name and (what := held_words(made)) and not absent_words(made)
    }


def _held(
    plan: PartPlan, layouts: Sequence[PanelLayout], lines: LinesSheet, fasteners: Sequence[FastenerSet]
) -> Iterator[Step]:
    taken = {place.part for place in lines.places.values() if place.part}
    if plan.name in taken:
        return
    for what, bag in held_things(plan, fasteners).items():
        title = within(plan.title)
        how = f"With the bolts of the bag {bag}, as the table of the step that fits the {title} has them."
        if plan.kind == THROTTLE:
            ways = [
                f"hole {hole.number} of the {within(layout.title)} (its grommet first),"
                for layout in layouts
                for hole in single_holes(layout, lines, fasteners)[1]
                if "throttle" in f"{hole.name} {hole.purpose}"
            ]
            how += f" {LOOM.format(way=f' through {ways[0]}' if ways else '')}{RETURNS}"
        yield Step(do=f"Fit the {what} on the {title}.", how=how)


def _joined(lines: LinesSheet) -> Iterator[Step]:
    """The vehicle's own pipes on the unions where this job's lines end; in one place."""
    ends = [end.partition(".")[0] for hose in lines.hoses for end in (hose.spec.from_, hose.spec.to)]
    # where two lines of the job meet, nothing of the vehicle joins
    unions = [c for c in lines.components if c.kind == "line_end" and ends.count(c.name) < 2]
    if not unions:
        return
    names = [f"the {within(title_of(union))}" for union in unions]
    said = " ".join(
        f"{capital(within(title_of(union)))}: {union.joins.rstrip('.')}." for union in unions if union.joins
    )
    open_ = [f"the {within(title_of(union))}" for union in unions if not union.joins]
    ours = ""
    if open_:
        ours = (
            NOT_OURS if not said else f"{capital(' and '.join(open_))}: {NOT_OURS[0].lower()}{NOT_OURS[1:]}"
        )
    yield Step(
        do=f"Join the vehicle's own pipes to {' and '.join(names)}.",
        how=f"{' '.join(filter(None, (said, ours)))}{OPEN_PIPE}",
    )
