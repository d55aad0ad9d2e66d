"""What the steps need and no bag holds: said once, from the model, before the first step."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Sequence

from generators.figures import fixed, format_short
from generators.hydraulics.pedal_sheet import PedalSheet
from generators.layout.closing import closings
from generators.model.install import Listing, StepTable
from generators.model.joints.fasteners import ON_BEARINGS, ON_SPACER, FastenerSet
from generators.model.plan import PanelLayout, PartPlan
from generators.model.sold.packing import NOT_PACKED, Packing
from generators.model.spec.titles import capital, within
from generators.sheets.bolting.last_things import single_holes
from generators.sheets.bolting.on_vehicle import Seats
from generators.sheets.bolting.words import absent_words, brace_words, held_words
from generators.sheets.hose_words import LinesSheet, about
from generators.sheets.install.drill import SEALANT, named, plate_words
from generators.sheets.pedal.words import ANY_FLUID, bought_stop, fluid_words, rod_words

TITLE = "Not in the box: have these yourself"
PAINTED_AFTER = re.compile(
    r"(?i)\b(?:paint|primer|enamel|lacquer)\b.*\bafter\b|\bbare for\b.*\b(?:paint|primer|enamel|lacquer)\b"
)
"""A finish that is put on by whoever fits the part: the drawing's usual words, and the like."""

SIDE_PLAY_MM = (0.2, 0.5)
"""How far a hub may move along its shaft. Common practice, no source."""

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
        *_single_rows(layouts, lines, fasteners),
        *_plate_rows(layouts, sealed=bool(packing.holding("sealant"))),
        *_paint_rows(plans, sealed_in=bool(packing.holding("sealant"))),
    )
    table = StepTable(head=("for", "what no bag holds"), rows=rows, shares=(0.22, 0.78))
    return (Listing(title=TITLE, table=table),)


def painted_after(plan: PartPlan) -> bool:
    """True for a part that whoever fits it paints, once it was tried in place."""
    return not plan.printed and bool(PAINTED_AFTER.search(plan.finish))


def sealed(plan: PartPlan) -> bool:
    """True for a part whose finish asks for sealant where it lies on the metal."""
    return not plan.printed and "sealant" in plan.finish.lower()


def _paint_rows(plans: Sequence[PartPlan], *, sealed_in: bool) -> Iterator[tuple[str, str]]:
    """Paint for the parts that come bare, by their metal; the sealant of a finish unless the kit has some."""
    bare: dict[tuple[str, str], list[str]] = {}
    bedded = () if sealed_in else plans
    yield from ((f"Under the {within(plan.title)}", SEALANT) for plan in bedded if sealed(plan))
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
        lamp = (
            ""
            if pedal.brake is None
            else "; brake-light switch on a bracket, the vehicle's own or made for it"
        )
        rod = f" ({rod_words(pedal)})" if pedal.clutch or pedal.brake else ""
        yield (
            capital(pedal.title),
            f"the pedal with its arm and pad{_arm_words(pedal)}; pushrod with "
            f"lock nut, clevis, pin and what secures the pin (a split pin or clip of its size){rod}; "
            f"{BACK}{_bar_words(pedal) if bar else ''}{lamp}{master}",
        )
        if hub := hub_words(pedal, pedals, fasteners):
            yield f"Hub of the {within(pedal.title)}", hub
    if not pedals:
        yield "Pedal", f"the pedal with its pivot, pushrod, clevis, pin and what secures it; {BACK}{master}"
    if not packing.holding("fluid"):
        kinds = dict.fromkeys([fluid_words(pedal) for pedal in pedals] or [ANY_FLUID])
        yield "Fluid", f"fresh, from a sealed bottle: {', '.join(kinds)}"


def _bar_words(pedal: PedalSheet) -> str:
    """The balance bar, and how far apart its clevises are."""
    apart = f", its clevises {format_short(pedal.bar_mm, pedal.units)} apart" if pedal.bar_mm > 0 else ""
    return f"; balance bar with bearing and two clevises{apart}"


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


def absent_from_bags(
    pedals: Sequence[PedalSheet], lines: LinesSheet, fasteners: Sequence[FastenerSet], seats: Seats
) -> str:
    """What hangs or carries parts of the bags and lies in none, in a sentence; empty for nothing."""
    things = [f"the bracket the {within(title)} goes on, with its bolts" for title in seats.brackets(lines)]
    for pedal in pedals:
        hung = ", with its hub, bush and spacers" if hub_shaft(pedal, fasteners) else ""
        things.append(f"the {within(pedal.title)} itself{hung}")
    return f"In no bag: {'; '.join(things)}. See '{TITLE}'." if things else ""


def hub_shaft(pedal: PedalSheet, fasteners: Sequence[FastenerSet]) -> FastenerSet | None:
    """The shaft a pedal's hub is put on between the cheeks of its hanger; None where the job has none."""
    mine = (m for m in fasteners if m.form == "shaft" and m.part == pedal.spec.hanger and m.between_mm)
    return next(mine, None)


def hub_words(pedal: PedalSheet, pedals: Sequence[PedalSheet], fasteners: Sequence[FastenerSet]) -> str:
    """What a hub from the vehicle needs to hang here, and who decides it; empty without a shaft."""
    shaft = hub_shaft(pedal, fasteners)
    if shaft is None:
        return ""
    size = format_short(shaft.diameter_mm, pedal.units)
    bore = {
        ON_BEARINGS: f"to sit on the shaft of {size}, which turns with it in its bearings",
        ON_SPACER: "with a bush that turns without shake on the spacer tube of the hanger's bag",
    }.get(shaft.tighten.why, f"with a bush that turns without shake on the shaft of {size}")
    others = [within(p.title) for p in pedals if p is not pedal and hub_shaft(p, fasteners) is shaft]
    beside = f" and the hub of the {' and the '.join(others)}" if others else ""
    width = pedal.spec.hub_width_mm
    given = "" if width is None else f" of {format_short(width, pedal.units)}"
    return (
        f"from the vehicle, or made for it: a hub {bore}. The hub{given}{beside} and spacers "
        f"{_filled(pedal, shaft)}. Whoever fits it decides bush and spacers: measure hub and cheeks and have "
        "them made, of steel or bronze, before anything is drilled. A hub wider than that, or a bore no bush "
        "fills: stop and ask, as the head of this sheet says"
    )


def hung_words(pedal: PedalSheet | None, fasteners: Sequence[FastenerSet]) -> str:
    """What of a pedal no bag holds, where it is hung, before a blank; empty where no shaft has it."""
    if pedal is None or (shaft := hub_shaft(pedal, fasteners)) is None:
        return ""
    return (
        "The pedal with its hub, bush and spacers comes from the vehicle, or was made for it: in no bag, see "
        f"the list '{TITLE}'. All hubs and spacers on the shaft {_filled(pedal, shaft)}; nothing may bind. "
    )


def _filled(pedal: PedalSheet, shaft: FastenerSet) -> str:
    """How hubs and spacers take the room between the cheeks, and where that puts the arm."""
    wide = format_short(shaft.between_mm, pedal.units)
    least, most = (format_short(mm, pedal.units, 1) for mm in SIDE_PLAY_MM)
    play = f"but for {least} to {most} of play sideways (common practice, no source)"
    if shaft.tighten.why == ON_BEARINGS:
        play = "of the bearings, with shims to what was measured and no play"
    return f"together fill the {wide} between the cheeks {play}, the clevis pin {_in_line(pedal)}"


def _in_line(pedal: PedalSheet) -> str:
    """Where spacers put the arm along the shaft: by its pin, against the cylinder it pushes."""
    aside = pedal.spec.pin_side_mm
    if pedal.brake is not None and len(pedal.brake.circuits) > 1:
        return "or balance bar in line with the masters it pushes"
    if not aside:
        return "in line with the cylinder's middle"
    return (
        f"{format_short(abs(aside), pedal.units)} {'right' if aside > 0 else 'left'} of the cylinder's middle"
    )


def bought_stop_words(pedal: PedalSheet | None) -> str:
    """The stop that is bought for a clutch pedal goes on with it; set it is later, when it is bled."""
    if pedal is None or bought_stop(pedal) is None:
        return ""
    return (
        " Fit the adjustable stop of its bag where it meets the arm, on metal that takes the whole foot's "
        "force, and back it off: it is set after bleeding."
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


def _single_rows(
    layouts: Sequence[PanelLayout], lines: LinesSheet, fasteners: Sequence[FastenerSet]
) -> Iterator[tuple[str, str]]:
    """What the bolts of single holes hold and what goes through their grommets."""
    for layout in layouts:
        alone, grommets = single_holes(layout, lines, fasteners)
        bolted = {made.hole for made in alone}
        for hole in layout.holes:
            if hole.number in bolted:
                yield f"Hole {hole.number}, {within(layout.title)}", f"what its bolt holds: {hole.purpose}"
            elif hole in grommets:
                yield (
                    f"Hole {hole.number}, {within(layout.title)}",
                    f"what its grommet is for: {hole.purpose}",
                )


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
