"""What the steps need and no bag holds: said once, from the model, before the first step."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from generators.hydraulics.pedal_sheet import PedalSheet
from generators.model.install import Listing, StepTable
from generators.model.joints.fasteners import FastenerSet
from generators.model.plan import PanelLayout
from generators.model.spec.titles import capital, within
from generators.sheets.bolting.words import absent_words
from generators.sheets.hose_words import LinesSheet, title_of
from generators.sheets.install.drill import numbers
from generators.sheets.install.fit import on_vehicle
from generators.sheets.pedal.words import rod_words

TITLE = "Not in the box: have these yourself"


def own_list(
    pedals: Sequence[PedalSheet],
    lines: LinesSheet,
    layouts: Sequence[PanelLayout],
    fasteners: Sequence[FastenerSet] = (),
) -> tuple[Listing, ...]:
    """The things whoever fits brings himself, by what they are for."""
    rows = (
        *_pedal_rows(pedals, lines),
        *_vehicle_rows(lines),
        *_brace_rows(fasteners),
        *_plate_rows(layouts),
    )
    table = StepTable(head=("for", "what no bag holds"), rows=rows, shares=(0.22, 0.78))
    return (Listing(title=TITLE, table=table),)


def _pedal_rows(pedals: Sequence[PedalSheet], lines: LinesSheet) -> Iterator[tuple[str, str]]:
    master = "" if any(c.kind == "master" for c in lines.components) else "; master cylinder"
    for pedal in pedals:
        bar = pedal.brake is not None and len(pedal.brake.circuits) > 1
        rod = f" ({rod_words(pedal)})" if pedal.clutch or pedal.brake else ""
        yield (
            capital(pedal.title),
            f"the pedal with its arm and pad; pushrod with lock nut, clevis and pin{rod}; return spring"
            f"{'; balance bar' if bar else ''}{master}",
        )
    if not pedals:
        yield "Pedal", f"the pedal with its pivot, pushrod, clevis and pin; return spring{master}"
    yield "Fluid", "fresh, from a sealed bottle, of the one type the cylinders' makers name"


def _vehicle_rows(lines: LinesSheet) -> Iterator[tuple[str, str]]:
    for component in lines.components:
        if on_vehicle(component, lines):
            rod = "; rod to the fork" if component.kind == "slave" else ""
            yield title_of(component), f"the vehicle's own bracket and bolts for it{rod}"


def _brace_rows(fasteners: Sequence[FastenerSet]) -> Iterator[tuple[str, str]]:
    waiting: dict[str, list[str]] = {}
    for made in fasteners:
        if absent := absent_words(made):
            what = absent.removeprefix("only for ").removesuffix(", not part of this job")
            waiting.setdefault(what, []).append(made.opening.replace("_", " "))
    for what, holes in waiting.items():
        yield (
            f"Hole{'s' if len(holes) > 1 else ''} {', '.join(dict.fromkeys(holes))}",
            f"{what}: this job has hole and bolt for it, not the thing; empty until it is there",
        )


def _plate_rows(layouts: Sequence[PanelLayout]) -> Iterator[tuple[str, str]]:
    for layout in layouts:
        holes = [h for h in layout.holes if h.work.when == "close" and not h.work.part]
        if holes:
            many = "s" if len(holes) > 1 else ""
            yield (
                f"Hole{many} {numbers(holes)}",
                f"plate{many}, sealant and rivets or bolts to close {'them' if many else 'it'}, "
                f"{within(layout.title)}",
            )
