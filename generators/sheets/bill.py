"""The bill of materials: what to make, buy and have at hand, counted from the plans, holes and hoses."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from types import MappingProxyType

from generators.figures import format_length, format_opening, format_short
from generators.hydraulics.pedal_sheet import PedalSheet
from generators.layout.stacking import gripped
from generators.model.joints.fasteners import FastenerSet
from generators.model.pedal_place import PressedBearing, PressedBush
from generators.model.plan import PanelLayout, PartPlan
from generators.model.words import BILL_KINDS, BillKind
from generators.sheets.bolting.cylinders import cylinder_words
from generators.sheets.bolting.pieces import pieces
from generators.sheets.bolting.words import absent_words
from generators.sheets.hose_words import LinesSheet, end_pieces, hose_item, length_words, title_of
from generators.sheets.pedal.words import bought_stop, length
from generators.sheets.tables import csv_text
from generators.solve.fasteners.holders import spacer_mm
from generators.standards import bulkhead
from generators.units import UnitSystem

NO_BAGS: Mapping[str, str] = MappingProxyType({})
BILL_COLUMNS = ("bag", "kind", "item", "quantity", "size", "torque", "for")


@dataclass(frozen=True, slots=True, kw_only=True)
class Item:
    """One line of the bill; lines of one ``bag`` that are equal but for use and quantity are added up.

    ``apart`` says of what is in the bag for something that is no part of the job what that is.
    """

    kind: BillKind
    item: str
    size: str
    quantity: int
    uses: tuple[str, ...]
    bag: str = ""
    torque: str = ""
    apart: str = ""

    def row(self) -> tuple[str, ...]:
        """As it is printed, in the order of ``BILL_COLUMNS``."""
        uses = "; ".join(self.uses)
        return self.bag, self.kind, self.item, str(self.quantity), self.size, self.torque, uses


def bill(
    plans: Sequence[PartPlan],
    layouts: Sequence[PanelLayout],
    lines: LinesSheet,
    fasteners: Sequence[FastenerSet] = (),
    bags: Mapping[str, str] = NO_BAGS,
    units: UnitSystem = "metric",
    pedals: Sequence[PedalSheet] = (),
) -> tuple[Item, ...]:
    """Everything a job needs, by bag; ``bags`` has the bag of each part, component, clamp, hose and panel."""
    items = [
        *_parts(plans, bags, units),
        *(item for layout in layouts for item in _panel_items(layout, lines, bags)),
        *(item for made in fasteners for item in _fastener_items(made, units)),
        *_line_items(lines, bags, pedals),
        *(item for pedal in pedals for item in _stop_items(pedal, bags)),
    ]
    return _added(items)


def _stop_items(pedal: PedalSheet, bags: Mapping[str, str]) -> Iterator[Item]:
    """The stop a clutch pedal is set by, where no part or bolt of the job and not the floor is it."""
    stop = bought_stop(pedal)
    if stop is not None:
        yield Item(
            kind="fitting",
            item="adjustable pedal stop with lock nut, and what carries it",
            size=f"stops the pad at {length(stop, pedal.units)}, takes the foot's whole force",
            quantity=1,
            uses=(pedal.title,),
            bag=bags.get(f"part:{pedal.spec.hanger}", pedal.title),
        )


def _fastener_items(made: FastenerSet, units: UnitSystem) -> Iterator[Item]:
    absent = absent_words(made)
    for piece in pieces(made, units):
        yield Item(
            kind="fastener",
            item=piece.item,
            size=piece.size,
            quantity=piece.quantity * made.quantity,
            uses=(f"{made.purpose}, {absent}" if absent else made.purpose,),
            bag=made.bag,
            torque=piece.torque,
            apart=absent,
        )


def _added(items: Sequence[Item]) -> tuple[Item, ...]:
    found: dict[tuple[str, ...], Item] = {}
    for item in items:
        # what a bolt grips is said, but it is the same bolt
        size = "" if item.kind == "fastener" else item.size
        key = (item.bag, item.kind, item.item, size, item.torque, item.apart)
        old = found.get(key)
        found[key] = item if old is None else _sum(old, item)
    return tuple(
        sorted(found.values(), key=lambda i: (i.bag, BILL_KINDS.index(i.kind), i.item, i.size, i.apart))
    )


def _sum(first: Item, second: Item) -> Item:
    """Two lots of one thing."""
    uses = tuple(dict.fromkeys((*first.uses, *second.uses)))
    sizes = dict.fromkeys((*first.size.split("; "), *second.size.split("; ")))
    return replace(first, quantity=first.quantity + second.quantity, uses=uses, size="; ".join(sizes))


def _parts(plans: Sequence[PartPlan], bags: Mapping[str, str], units: UnitSystem) -> Iterator[Item]:
    for plan in plans:
        bag = bags.get(f"part:{plan.name}", plan.title)
        if plan.wedge_rad:
            masters = sum(o.name.endswith("_bore") for o in plan.flanges[0].holes)
            yield Item(
                kind="fitting",
                item=f"wedge of {abs(math.degrees(plan.wedge_rad)):g} degree",
                size="as wide as the master's flange",
                quantity=masters * plan.quantity,
                uses=("under the master",),
                bag=bag,
            )
        if plan.bush is not None and plan.bush.bearing is not None:
            yield from _bearings(plan, plan.bush, plan.bush.bearing, bag)
        elif plan.bush is not None:
            bores = [h.diameter_mm for f in plan.flanges for h in f.holes if h.tolerance == plan.bush.fit]
            long = max(plan.bush.length_mm, plan.thickness_mm)
            yield Item(
                kind="fitting",
                item=f"wrapped bush {plan.bush.inside_mm:g} x {bores[0]:g} mm (ISO 3547)"
                + (f" with a flange of {plan.bush.flange_mm:g} mm" if plan.bush.flange_mm else ""),
                size=f"{format_short(long, units)} long, pressed into {bores[0]:g} {plan.bush.fit.name}",
                quantity=len(bores) * plan.quantity,
                uses=(f"pivot, {plan.title}",),
                bag=bag,
            )
        yield from _of_pivots(plan, bag, units)
        for made in (h.finish for f in plan.flanges for h in f.holes):
            if made is not None and made.fitted is not None:
                yield Item(
                    kind="fastener",
                    item=f"{made.fitted.item}, fitted by the shop",
                    size="",
                    quantity=plan.quantity,
                    uses=(f"in the {plan.title}",),
                    bag=bag,
                )
        yield Item(
            kind="part",
            item=plan.title,
            size=f"{plan.material}, {format_length(plan.thickness_mm, units)}",
            quantity=plan.quantity,
            uses=("tool, removed after use" if plan.tool else plan.kind.replace("_", " "),),
            bag=bag,
        )


def _bearings(plan: PartPlan, bush: PressedBush, bearing: PressedBearing, bag: str) -> Iterator[Item]:
    """Ball bearings pressed into pivots, and the circlips that keep them."""
    count = sum(h.tolerance == bush.fit for f in plan.flanges for h in f.holes) * plan.quantity
    rating = "" if bearing.static_n is None else f", C0 {bearing.static_n / 1000:g} kN or more"
    yield Item(
        kind="fitting",
        item=f"deep-groove ball bearing {bearing.number} (ISO 15), sealed or shielded on both sides"
        + (", clearance group C3" if bearing.clear else ""),
        size=f"{bush.inside_mm:g} x {bush.most_mm:g} x {bearing.width_mm:g} mm{rating}",
        quantity=count,
        uses=(f"pivot, {plan.title}",),
        bag=bag,
    )
    if (clip := bearing.clip) is not None:
        yield Item(
            kind="fitting",
            item=f"circlip for a bore of {clip.bore_mm:g} mm (DIN 472)",
            size=f"{clip.thickness_mm:g} mm thick",
            quantity=count,
            uses=(f"outside the bearings, {plan.title}",),
            bag=bag,
        )


def _of_pivots(plan: PartPlan, bag: str, units: UnitSystem) -> Iterator[Item]:
    """Bosses welded on the cheeks, and the tube between them."""
    for finish in (h.finish for f in plan.flanges for h in f.holes):
        if finish is not None and finish.ring is not None and finish.ring.welded:
            ring = finish.ring
            yield Item(
                kind="fitting",
                item=f"tube or turned ring Ø {ring.outside_mm:g} x Ø {finish.cut_mm:g} inside, weldable, "
                "welded on by the shop",
                size=f"{format_short(ring.height_mm, units)} long",
                quantity=plan.quantity,
                uses=(f"boss of a pivot, {plan.title}",),
                bag=bag,
            )
    if (tube := plan.spacer) is not None:
        yield Item(
            kind="fitting",
            item=f"spacer tube Ø {tube.outside_mm:g} x Ø {tube.inside_mm:g} inside",
            size=f"{format_short(tube.length_mm, units)} long, faced to the bent part",
            quantity=plan.quantity,
            uses=(f"between the cheeks, {plan.title}",),
            bag=bag,
        )


FITTED_LATER = "bulkhead fitting with nut and two washers, or a blanking plug,"
"""For a bulkhead hole of a job that lays out no lines: what goes through it is not known."""


def _panel_items(layout: PanelLayout, lines: LinesSheet, bags: Mapping[str, str]) -> Iterator[Item]:
    """What sits in a panel's holes beside bolts."""
    taken = {(lines.places[c.name].panel, lines.places[c.name].hole) for c in lines.components}
    bag = bags.get(f"panel:{layout.panel}", layout.title)
    for hole in layout.holes:
        if hole.status not in ("drill", "weld", "reuse"):
            continue
        item: tuple[BillKind, str, str] | None = None
        if hole.kind == "bulkhead" and (layout.panel, hole.number) not in taken:
            # where the job's own lines are laid out and none goes through, nothing but a plug does
            what = "blanking plug for " if lines.components else f"{FITTED_LATER} for "
            item = "fitting", f"{what}{format_short(hole.final_dia_mm, layout.units)}", ""
        elif hole.kind == "insert":
            grip, metal = hole.grip_mm or (0.0, 0.0), gripped(layout, hole)[0]
            item = (
                "insert",
                f"{hole.thread} threaded insert (rivet nut), hole "
                f"{format_opening(hole.final_dia_mm, layout.units)}",
                f"grip {format_short(grip[0], layout.units, 3).rpartition(' ')[0]} to "
                f"{format_short(grip[1], layout.units, 3)}, "
                f"sheet {format_short(metal, layout.units, 3)}",
            )
        elif hole.kind == "weld_nut":
            item = (
                "fastener",
                f"{hole.thread} weld nut",
                f"hole {format_opening(hole.final_dia_mm, layout.units)}",
            )
        elif hole.kind == "grommet":
            wide = format_opening(hole.final_dia_mm, layout.units)
            item = (
                "grommet",
                "grommet",
                f"hole {wide}, sheet {format_short(layout.thickness_mm, layout.units, 3)}",
            )
        elif hole.kind == "rivet":
            item = (
                "fastener",
                f"blind rivet {format_short(hole.shank_mm, layout.units, 4)}",
                hole.purpose.partition(", ")[2],
            )
        if item is not None:
            kind, words, size = item
            held = next((bags[key] for o in hole.owners if (key := f"part:{o}") in bags), bag)
            own = held if hole.kind == "rivet" else bag
            yield Item(kind=kind, item=words, size=size, quantity=1, uses=(hole.purpose,), bag=own)


def _lies(thing: str) -> str:
    """That a thing is taken of the shop's shelf, by what it is called there; nothing for one that is not."""
    return f"; from the shelf: {thing}" if thing else ""


def _line_items(lines: LinesSheet, bags: Mapping[str, str], pedals: Sequence[PedalSheet]) -> Iterator[Item]:
    for component in lines.components:
        bag = bags.get(f"component:{component.name}", title_of(component))
        if component.kind == "bulkhead":
            row = bulkhead(component.dash or 0)
            shape = ("straight", "90 degree", "90 degree on both faces")[len(component.elbows)]
            place = lines.places[component.name]
            yield Item(
                kind="fitting",
                item=f"-{component.dash} bulkhead fitting, {shape}, {row.thread} nut and two washers",
                size=f"through {format_short(place.through_mm, lines.units, 3)}{_lies(component.shelf)}",
                quantity=1,
                torque="the fitting maker's figure",
                uses=(title_of(component),),
                bag=bag,
            )
        else:
            kind: BillKind = "fitting" if component.kind in ("tee", "line_end") else "cylinder"
            yield Item(
                kind=kind,
                item=title_of(component),
                size=f"{cylinder_words(component, lines, pedals)}{_lies(component.shelf)}",
                quantity=1,
                uses=(component.kind.replace("_", " "),),
                bag=bag,
            )
    for clamp in lines.clamps:
        if clamp.fastener == "grommet":
            continue  # counted as the hole it sits in
        held = "on an insert" if clamp.fastener == "insert" else "on a bolt"
        yield Item(
            kind="clamp",
            item=f"-{clamp.dash} cushioned clamp",
            size=f"{clamp.dash}/16 in inside, {held}{_lies(clamp.shelf)}",
            quantity=1,
            uses=(clamp.name.replace("_", " "),),
            bag=bags.get(f"clamp:{clamp.name}", "Clamps"),
        )
        if (spacer := spacer_mm(clamp)) > 0:
            yield Item(
                kind="fastener",
                item=f"spacer {format_short(spacer, lines.units, 1)} long, under a clamp",
                size="over its bolt",
                quantity=1,
                uses=(clamp.name.replace("_", " "),),
                bag=bags.get(f"clamp:{clamp.name}", "Clamps"),
            )
    for hose in lines.hoses:
        bag = bags.get(f"hose:{hose.spec.name}", "Hoses and lines")
        for adapter in (hose.spec.from_adapter, hose.spec.to_adapter):
            if adapter is not None:
                yield Item(
                    kind="fitting",
                    item=adapter.title,
                    size=f"seat to seat {format_length(adapter.length_mm, lines.units)}",
                    quantity=1,
                    uses=("between port and hose",),
                    bag=bag,
                )
        yield Item(
            kind="hose",
            item=hose_item(hose, lines.units),
            size=length_words(hose, lines.units),
            quantity=1,
            uses=(hose.title,),
            bag=bag,
        )
        for item, size, count in end_pieces(hose, lines.units):
            yield Item(kind="end", item=item, size=size, quantity=count, uses=(hose.title,), bag=bag)


def bill_text(items: Sequence[Item]) -> str:
    """``bom.csv``."""
    return csv_text(BILL_COLUMNS, [item.row() for item in items])


def write_bill(items: Sequence[Item], path: Path) -> None:
    """Write ``bom.csv``."""
    path.write_text(bill_text(items), encoding="utf-8", newline="\n")
