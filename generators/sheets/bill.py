"""The bill of materials: what to make, buy and have at hand, counted from the plans, holes and hoses."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from generators.layout.stacking import gripped
from generators.model.plan import Hole, PanelHole, PanelLayout, PartPlan, Slot
from generators.model.spec.job import Panel
from generators.model.words import BILL_KINDS, BillKind
from generators.sheets.document import heading, paragraph, table
from generators.sheets.hose_words import LinesSheet, kind_words, length_words, title_of
from generators.sheets.tables import csv_text
from generators.standards import bulkhead
from generators.units import format_length

BILL_COLUMNS = ("kind", "item", "quantity", "size", "for")
BOLTED = ("bolt",)


@dataclass(frozen=True, slots=True, kw_only=True)
class Item:
    """One line of the bill; equal ``kind``, ``item`` and ``size`` are added up."""

    kind: BillKind
    item: str
    size: str
    quantity: int
    uses: tuple[str, ...]

    def row(self) -> tuple[str, ...]:
        """As it is printed, in the order of ``BILL_COLUMNS``."""
        return self.kind, self.item, str(self.quantity), self.size, "; ".join(self.uses)


def bill(
    plans: Sequence[PartPlan],
    mounted: Sequence[str],
    layouts: Sequence[PanelLayout],
    panels: Sequence[Panel],
    lines: LinesSheet,
) -> tuple[Item, ...]:
    """Everything a job needs; ``mounted`` names the parts that stay on a panel.

    A bolt through a panel is counted once, however many parts it holds; its stack is the metal under its
    head. Bolts of loose parts are counted with their parts.
    """
    by_name = {plan.name: plan for plan in plans}
    items = [
        *_parts(plans),
        *(item for layout in layouts for item in _panel_items(layout, panels, by_name, lines)),
        *(item for plan in plans if not plan.tool for item in _part_bolts(plan, plan.name in mounted)),
        *_line_items(lines),
    ]
    return _added(items)


def _added(items: Sequence[Item]) -> tuple[Item, ...]:
    found: dict[tuple[str, str, str], Item] = {}
    for item in items:
        key = (item.kind, item.item, item.size)
        old = found.get(key)
        found[key] = item if old is None else _sum(old, item)
    return tuple(sorted(found.values(), key=lambda i: (BILL_KINDS.index(i.kind), i.item, i.size)))


def _sum(first: Item, second: Item) -> Item:
    """Two lots of one thing."""
    uses = tuple(dict.fromkeys((*first.uses, *second.uses)))
    return replace(first, quantity=first.quantity + second.quantity, uses=uses)


def _parts(plans: Sequence[PartPlan]) -> Iterator[Item]:
    for plan in plans:
        if plan.wedge_rad:
            masters = sum(o.name.endswith("_bore") for o in plan.flanges[0].holes)
            yield Item(
                kind="fitting",
                item=f"wedge of {abs(math.degrees(plan.wedge_rad)):g} degree",
                size="as wide as the master's flange",
                quantity=masters * plan.quantity,
                uses=("under the master",),
            )
        yield Item(
            kind="part",
            item=plan.title,
            size=f"{plan.material}, {format_length(plan.thickness_mm)}",
            quantity=plan.quantity,
            uses=("tool, removed after use" if plan.tool else plan.kind.replace("_", " "),),
        )


def _openings(plan: PartPlan) -> Iterator[tuple[str, Hole | Slot]]:
    for flange in plan.flanges:
        both: list[Hole | Slot] = [*flange.holes, *flange.slots]
        for opening in both:
            yield flange.name, opening


def _thread(hole: PanelHole, panel: Panel, plans: Mapping[str, PartPlan]) -> str:
    """The thread that goes through a panel's hole: the spec's, or that of the nearest part's opening."""
    for spec in panel.hole:
        if spec.name == hole.name and spec.thread is not None:
            return spec.thread
    part, _, name = hole.name.partition(".")
    if part in plans:
        for _flange, opening in _openings(plans[part]):
            if opening.name == name:
                return opening.fitting.label.removesuffix(" bolt")
    for owner in hole.owners:
        for _flange, opening in _openings(plans[owner]) if owner in plans else ():
            if opening.mates and opening.fitting.kind == "bolt" and opening.purpose == hole.purpose:
                return opening.fitting.label.removesuffix(" bolt")
    return ""


def _panel_items(
    layout: PanelLayout, panels: Sequence[Panel], plans: Mapping[str, PartPlan], lines: LinesSheet
) -> Iterator[Item]:
    panel = next(p for p in panels if p.name == layout.panel)
    taken = {(lines.places[c.name].panel, lines.places[c.name].hole) for c in lines.components}
    for hole in layout.holes:
        if hole.status not in ("drill", "weld", "reuse"):
            continue
        if hole.kind in BOLTED:
            stack = layout.thickness_mm + math.fsum(
                plans[name].thickness_mm for name in hole.owners if name in plans
            )
            thread = _thread(hole, panel, plans)
            yield Item(
                kind="fastener",
                item=f"{thread or f'{hole.final_dia_mm:.4g} mm'} bolt, washers, locking nut",
                size=f"{stack:.4g} mm of metal under the head",
                quantity=1,
                uses=(hole.purpose,),
            )
        elif hole.kind == "bulkhead" and (layout.panel, hole.number) not in taken:
            yield Item(
                kind="fitting",
                item="bulkhead fitting with nut and two washers, or a blanking plug, for "
                f"{hole.final_dia_mm:.4g} mm",
                size="",
                quantity=1,
                uses=(hole.purpose,),
            )
        elif hole.kind == "insert":
            grip = hole.grip_mm or (0.0, 0.0)
            metal, gripping = gripped(layout, hole)
            yield Item(
                kind="insert",
                item=f"{hole.thread} threaded insert (rivet nut), hole {format_length(hole.final_dia_mm)}",
                size=f"grip {grip[0]:.4g} to {grip[1]:.4g} mm, sheet {metal:.4g} mm",
                quantity=1,
                uses=(hole.purpose,),
            )
            held = [name for name in hole.owners if name in plans and name not in gripping]
            yield from _bolt_in(hole, plans, held, 0.0)
        elif hole.kind in ("weld_nut", "stud", "countersunk"):
            yield from _welded_or_flush(layout, hole, plans)
        elif hole.kind == "grommet":
            yield Item(
                kind="grommet",
                item="grommet",
                size=f"hole {format_length(hole.final_dia_mm)}, sheet {layout.thickness_mm:.4g} mm",
                quantity=1,
                uses=(hole.purpose,),
            )


def _bolt_in(
    hole: PanelHole, plans: Mapping[str, PartPlan], held: Sequence[str], sheet_mm: float
) -> Iterator[Item]:
    """The bolt that holds parts by a thread of the panel."""
    if held:
        metal = sheet_mm + math.fsum(plans[name].thickness_mm for name in held)
        yield Item(
            kind="fastener",
            item=f"{hole.thread} bolt, washer",
            size=f"{metal:.4g} mm of metal and the {hole.kind.replace('_', ' ')}",
            quantity=1,
            uses=(hole.purpose,),
        )


def _welded_or_flush(layout: PanelLayout, hole: PanelHole, plans: Mapping[str, PartPlan]) -> Iterator[Item]:
    held = [name for name in hole.owners if name in plans]
    stack = layout.thickness_mm + math.fsum(plans[name].thickness_mm for name in held)
    if hole.kind == "weld_nut":
        item, size = f"{hole.thread} weld nut", f"hole {format_length(hole.final_dia_mm)}"
        yield from _bolt_in(hole, plans, held, layout.thickness_mm)
    elif hole.kind == "stud":
        item = f"{hole.thread} weld stud, washer, locking nut"
        size = f"{hole.reach_cab_mm or hole.reach_engine_mm:.4g} mm long off the panel"
    else:
        angle = math.degrees(hole.head_angle_rad)
        item = f"{hole.thread} countersunk screw {angle:g} degree, washer, locking nut"
        size = f"head {hole.head_mm:g} mm, {stack:.4g} mm of metal with the head"
    yield Item(kind="fastener", item=item, size=size, quantity=1, uses=(hole.purpose,))


def _part_bolts(plan: PartPlan, mounted: bool) -> Iterator[Item]:
    """Bolts of a part that no panel counts: of its other flanges, and of all when it is on no panel."""
    for _flange, opening in _openings(plan):
        if opening.fitting.kind != "bolt" or (opening.mates and mounted):
            continue
        yield Item(
            kind="fastener",
            item=f"{opening.fitting.label}, washers, locking nut",
            size=f"{plan.thickness_mm:.4g} mm of metal under the head and what it holds",
            quantity=plan.quantity,
            uses=(opening.purpose,),
        )


def _line_items(lines: LinesSheet) -> Iterator[Item]:
    for component in lines.components:
        if component.kind == "bulkhead":
            row = bulkhead(component.dash or 0)
            shape = ("straight", "90 degree", "90 degree on both faces")[len(component.elbows)]
            place = lines.places[component.name]
            yield Item(
                kind="fitting",
                item=f"-{component.dash} bulkhead fitting, {shape}, {row.thread} nut and two washers",
                size=f"through {place.through_mm:.4g} mm",
                quantity=1,
                uses=(title_of(component),),
            )
        else:
            ports = ", ".join(f"{p.name}{f' -{p.dash}' if p.dash else ''}" for p in component.port)
            kind: BillKind = "fitting" if component.kind in ("tee", "line_end") else "cylinder"
            yield Item(
                kind=kind, item=title_of(component), size=f"ports {ports}", quantity=1, uses=(component.kind,)
            )
    for clamp in lines.clamps:
        if clamp.fastener == "grommet":
            continue  # counted as the hole it sits in
        held = "on an insert" if clamp.fastener == "insert" else "bolt and locking nut"
        yield Item(
            kind="clamp",
            item=f"-{clamp.dash} cushioned clamp",
            size=f"{clamp.dash}/16 in inside, {held}",
            quantity=1,
            uses=(clamp.name.replace("_", " "),),
        )
    for adapter in (a for hose in lines.hoses for a in (hose.spec.from_adapter, hose.spec.to_adapter)):
        if adapter is not None:
            yield Item(
                kind="fitting",
                item=adapter.title,
                size=f"seat to seat {format_length(adapter.length_mm)}",
                quantity=1,
                uses=("between port and hose",),
            )
    for hose in lines.hoses:
        yield Item(
            kind="hose", item=kind_words(hose), size=length_words(hose), quantity=1, uses=(hose.title,)
        )


def bill_text(items: Sequence[Item]) -> str:
    """``bom.csv``."""
    return csv_text(BILL_COLUMNS, [item.row() for item in items])


def write_bill(items: Sequence[Item], path: Path) -> None:
    """Write ``bom.csv``."""
    path.write_text(bill_text(items), encoding="utf-8", newline="\n")


def bill_story(items: Sequence[Item], width: float) -> list[Any]:
    """The report's page on what to buy and make."""
    if not items:
        return []
    shares = (0.09, 0.3, 0.09, 0.28, 0.24)
    return [
        *heading("Bill of materials", 50.0),
        paragraph(
            "Counted from the holes. Bolt lengths: the metal named, what is bolted on, two washers, the nut "
            "and two threads more."
        ),
        table(BILL_COLUMNS, [item.row() for item in items], [width * share for share in shares]),
    ]
