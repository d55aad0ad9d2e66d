"""What the steps need and no bag holds: said once, from the model, before the first step."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Sequence

from generators.figures import fixed, format_short
from generators.hydraulics.pedal_sheet import PedalSheet
from generators.layout.closing import closings
from generators.model.install import Listing, StepTable
from generators.model.joints.fasteners import ON_BEARINGS, FastenerSet
from generators.model.plan import PanelLayout, PartPlan
from generators.model.sold.packing import NOT_PACKED, Packing
from generators.model.spec.titles import capital, within
from generators.sheets.bolting.on_vehicle import Seats
from generators.sheets.bolting.words import absent_words, brace_words, held_words
from generators.sheets.hose_words import LinesSheet, about
from generators.sheets.install.drill import SEALANT, named, plate_words
from generators.sheets.pedal.words import ANY_FLUID, fluid_words, rod_words

TITLE = "Not in the box: have these yourself"
PAINTED_AFTER = re.compile(r"(?i)\b(?:paint|primer|enamel|lacquer)\b.*\bafter\b")
"""A finish that is put on by whoever fits the part: the drawing's usual words, and the like."""

BACK = "return spring with its anchorage, and a stop it comes back against"


def own_list(
    pedals: Sequence[PedalSheet],
    lines: LinesSheet,
    layouts: Sequence[PanelLayout],
    fasteners: Sequence[FastenerSet] = (),
    seats: Seats | None = None,
    packing: Packing = NOT_PACKED,
    plans: Sequence[PartPlan] = (),
) -> tuple[Listing, ...]:
    """The things whoever fits brings himself, by what they are for; not what lies in the kit besides.

    ``plans`` are the made parts, some of which are painted by whoever fits them.
    """
    seats = seats or Seats(pedals=pedals, fasteners=fasteners)
    rows = (
        *_pedal_rows(pedals, lines, packing, fasteners),
        *seats.rows(lines),
        *_brace_rows(fasteners),
        *_held_rows(fasteners, seats),
        *_plate_rows(layouts, sealed=bool(packing.holding("sealant"))),
        *_paint_rows(plans),
    )
    table = StepTable(head=("for", "what no bag holds"), rows=rows, shares=(0.22, 0.78))
    return (Listing(title=TITLE, table=table),)


def painted_after(plan: PartPlan) -> bool:
    """True for a part that whoever fits it paints, once it was tried in place."""
    return not plan.printed and bool(PAINTED_AFTER.search(plan.finish))


def _paint_rows(plans: Sequence[PartPlan]) -> Iterator[tuple[str, str]]:
    """Paint for the parts that come bare, by their metal."""
    bare: dict[tuple[str, str], list[str]] = {}
    for plan in plans:
        if painted_after(plan):
            bare.setdefault((plan.finish, plan.material), []).append(within(plan.title))
    for (finish, metal), titles in bare.items():
        named_paint = re.search("primer|enamel|lacquer|zinc", finish, re.IGNORECASE)
        what = f"as its finish says: {finish}" if named_paint else f"primer for {metal} and a top coat"
        yield (
            f"Painting the {' and the '.join(dict.fromkeys(titles))}",
            f"{what}; brake fluid strips most paints: wipe it off at once",
        )


def asks_sealant(layouts: Sequence[PanelLayout]) -> bool:
    """True where a step asks for the sealant that stays soft."""
    return any(SEALANT in words for _, words in _plate_rows(layouts, sealed=False))


def _pedal_rows(
    pedals: Sequence[PedalSheet], lines: LinesSheet, packing: Packing, fasteners: Sequence[FastenerSet]
) -> Iterator[tuple[str, str]]:
    master = "" if any(c.kind == "master" for c in lines.components) else "; master cylinder"
    for pedal in pedals:
        bar = pedal.brake is not None and len(pedal.brake.circuits) > 1
        rod = f" ({rod_words(pedal)})" if pedal.clutch or pedal.brake else ""
        yield (
            capital(pedal.title),
            f"the pedal with its arm and pad{_arm_words(pedal)}{_hub_words(pedal, fasteners)}; pushrod with "
            f"lock nut, clevis, pin and what secures the pin (a split pin or clip of its size){rod}; "
            f"{BACK}{'; balance bar' if bar else ''}{master}",
        )
    if not pedals:
        yield "Pedal", f"the pedal with its pivot, pushrod, clevis, pin and what secures it; {BACK}{master}"
    if not packing.holding("fluid"):
        kinds = dict.fromkeys([fluid_words(pedal) for pedal in pedals] or [ANY_FLUID])
        yield "Fluid", f"fresh, from a sealed bottle: {', '.join(kinds)}"


def _arm_words(pedal: PedalSheet) -> str:
    """What the pedal is made to: both lever arms and the angle between them; nothing without an answer."""
    answer = pedal.clutch or pedal.brake
    if answer is None:
        return ""
    link, u = answer.linkage, pedal.units
    (pin_out, pin_up), (pad_out, pad_up) = link.pin, link.pad
    # out is rearward: seen from the left, front on the left, to the right
    turn = math.degrees(math.atan2(pin_out * pad_up - pin_up * pad_out, pin_out * pad_out + pin_up * pad_up))
    way = "counter-clockwise" if turn > 0 else "clockwise"
    return (
        f" ({about(link.pin_radius_mm, u)} from the middle of the pivot to that of the clevis pin, "
        f"{about(link.pad_radius_mm, u)} to that of the pad's face. Seen from the vehicle's left, front on "
        f"the left, the line from pivot to pad is turned {fixed(abs(turn), 1)} deg {way} from the line from "
        "pivot to clevis pin. Have it before you begin)"
    )


def _hub_words(pedal: PedalSheet, fasteners: Sequence[FastenerSet]) -> str:
    """What its hub is made to: the shaft it turns on, and the room between the cheeks it hangs in."""
    shaft = next((m for m in fasteners if m.form == "shaft" and m.part == pedal.spec.hanger), None)
    if shaft is None or not shaft.between_mm:
        return ""
    u, does = pedal.units, "sit" if shaft.tighten.why == ON_BEARINGS else "turn"
    return (
        f"; its hub to {does} on the shaft of {format_short(shaft.diameter_mm, u)} and to go between the "
        f"cheeks, {format_short(shaft.between_mm, u)} apart"
    )


def _brace_rows(fasteners: Sequence[FastenerSet]) -> Iterator[tuple[str, str]]:
    waiting: dict[tuple[str, str], list[str]] = {}
    for made in fasteners:
        if absent := absent_words(made):
            what = absent.removeprefix("only for ").removesuffix(", not part of this job")
            waiting.setdefault((what, brace_words(made)), []).append(made.opening.replace("_", " "))
    for (what, said), holes in waiting.items():
        each = f", {len(holes)} of them, one at each hole" if len(holes) > 1 else ""
        yield (
            f"Hole{'s' if len(holes) > 1 else ''} {', '.join(dict.fromkeys(holes))}",
            f"{what}{each}: this job has hole and bolt for it, not the thing: have it before you begin. "
            f"{said}",
        )


def _held_rows(fasteners: Sequence[FastenerSet], seats: Seats) -> Iterator[tuple[str, str]]:
    """What is bolted to a part of the job and comes from elsewhere: the bolts are in the part's bag."""
    own = {plan.name for plan in seats.loose}
    for made in dict.fromkeys((held_words(m), m.bag) for m in fasteners if m.part not in own):
        what, bag = made
        absent = any(held_words(m) == what and absent_words(m) for m in fasteners)
        if what and not absent:
            yield capital(what), f"the thing itself; its bolts are in the bag {bag}"


def _plate_rows(layouts: Sequence[PanelLayout], *, sealed: bool) -> Iterator[tuple[str, str]]:
    for layout in layouts:
        under = [h for h in layout.holes if h.work.when == "close" and h.work.part]
        if under and not sealed:
            yield f"{capital(named(under))}, {within(layout.title)}", f"{SEALANT} under what closes it"
        for done in closings(layout):
            yield (
                f"{capital(named(done.holes))}, {within(layout.title)}",
                plate_words(layout, done, sealed=sealed),
            )
