"""What to have at hand before the first step, and the holes that stay empty at the end."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence

from generators.figures import format_length, format_opening, format_short
from generators.layout.closing import closings
from generators.layout.rivets import RIVET_WORDS, riveting
from generators.model.install import Listing, Step, StepTable
from generators.model.joints.fasteners import FastenerSet
from generators.model.plan import PanelHole, PanelLayout, PartPlan
from generators.model.sold.packing import NOT_PACKED, Packing
from generators.model.spec.titles import within
from generators.sheets.bolting.closing import end_closure
from generators.sheets.bolting.loose import loose_nuts
from generators.sheets.bolting.steps import bolt_table, tool_rows
from generators.sheets.hose_words import (
    LinesSheet,
    about,
    end_pieces,
    piece_mm,
    spanner_words,
    title_of,
    trimmed_mm,
)
from generators.sheets.install.drill import PIN, drill_words, goes_up, named, refs, to_make
from generators.sheets.install.existing import LONG_DRILL
from generators.sheets.install.guide_steps import bush_words
from generators.sheets.install.hoses import tried_in_wire
from generators.solve.fasteners.bags import panel_bag
from generators.standards import bulkhead
from generators.units import INCH_MM, UnitSystem

SPOT_KIND = "twist drill"
CALIPER_MM = 0.5
"""A band of limits narrower than a steel rule shows wants a caliper. Common practice, no source."""

CALIPER_READS = {"metric": "0.05 mm", "inch": "0.001 in"}
"""What a common caliper shows. Common practice, no source."""

RULE = " as long as the longest distance of the hole table (a tape is not read to half a millimetre)"

SINGLE_KINDS = ("bolt", "grommet")
"""What a panel's own hole takes that no step of a part, component or clamp puts in."""

OPEN_KIND = "bulkhead"
"""Holes that stay open until a fitting sits in them; a grommet's is for a cable nobody lists."""


def tool_list(
    layouts: Sequence[PanelLayout],
    lines: LinesSheet,
    fasteners: Sequence[FastenerSet] = (),
    units: UnitSystem = "metric",
    guides: Sequence[PartPlan] = (),
    *,
    tight: bool = False,
    packing: Packing = NOT_PACKED,
) -> tuple[Listing, ...]:
    """Tools and stores by what they are for, worked out from the holes, fittings and hoses of the job.

    ``tight`` where a step says that a drill's body has no room. Of what lies in the kit besides, ``packing``,
    it says only where.
    """
    rows: list[tuple[str, str]] = []
    holes = [hole for layout in layouts for hole in to_make(layout)]
    if holes:
        pricked = any(hole.work.scribed or hole.work.how == "hose" for hole in holes)
        scriber = ", scriber" if pricked else ""
        rows.append(
            (
                "marking",
                f"templates, scissors or knife, tape, pen for readings and marks, centre punch and hammer, "
                f"steel rule{RULE}, tape measure{scriber}",
            )
        )
        close = [hole.most_mm - hole.least_mm for hole in holes if hole.most_mm > hole.least_mm]
        if close and min(close) < CALIPER_MM:
            rows.append(("measuring holes", f"caliper with inside jaws, reading {CALIPER_READS[units]}"))
        rows.append(
            ("drilling", f"drilling machine for one hand; {'; '.join(_drills(holes, layouts[0].units))}")
        )
        if between := drills_between(holes, units):
            rows[-1] = "drilling", f"{rows[-1][1]}; to go up from the pilot, twist drill {', '.join(between)}"
        if tight:
            rows.append(("where a drill's body has no room", LONG_DRILL))
        lies = packing.holding("edge_paint")
        paint = f"; paint for bare edges is in {lies}" if lies else ", paint for bare edges"
        rows.append(("after drilling", f"deburring tool or half-round file, wood to back up{paint}"))
    if bushes := bush_words(guides):
        rows.append(
            ("drill guides", f"{bushes} (headless, to press in: not in the box), vice or hammer and wood")
        )
    rows += tool_rows(fasteners, units, packing.holding("thread_locker"))
    rows += _circlip_rows(fasteners, units)
    rows += _holding_rows(layouts, lines, fasteners, guides)
    rows += _measured_rows(fasteners)
    rows += _loose_rows(lines, fasteners)
    rows += _closing_rows(layouts)
    rows += _thread_rows(layouts)
    rows += line_rows(lines, packing)
    if not rows:
        return ()
    table = StepTable(head=("for", "tools and materials"), rows=tuple(rows), shares=(0.2, 0.8))
    return (Listing(title="At hand before you begin", table=table),)


def _circlip_rows(fasteners: Sequence[FastenerSet], units: UnitSystem) -> Iterator[tuple[str, str]]:
    """Pliers, where the spec says that a shaft's ends are held by circlips."""
    held = [made for made in fasteners if "circlip" in made.ends.lower()]
    if held:
        sizes = ", ".join(dict.fromkeys(format_short(made.diameter_mm, units) for made in held))
        yield "pivot shaft", f"circlip pliers for outside circlips on a shaft of {sizes}"


def _holding_rows(
    layouts: Sequence[PanelLayout],
    lines: LinesSheet,
    fasteners: Sequence[FastenerSet],
    guides: Sequence[PartPlan],
) -> Iterator[tuple[str, str]]:
    """Plain nuts for the bolts that hold a part while it is drilled through, clamps where none does yet."""
    said = []
    held = {(x.panel, h.number) for x in layouts for h in x.holes if h.work.locates}
    mine = [m for m in fasteners if (m.panel, m.hole) in held and m.into == "locking nut" and m.standard]
    if mine:
        said.append(f"plain nuts for their bolts: {_threads(mine)}")
    hung = any(decision.part and decision.panel for decision in lines.decided)
    if guides or hung or any(done.plate for layout in layouts for done in closings(layout)):
        said.append("two clamps that reach over the panel's edge, or props with wedges where they do not")
    if hung:
        said.append("cable ties")
    if said:
        yield "holding parts to drill", "; ".join(said)


def _measured_rows(fasteners: Sequence[FastenerSet]) -> Iterator[tuple[str, str]]:
    """The drills of holes that are in no panel of the job: where a clamp goes is measured on the vehicle."""
    drills = dict.fromkeys(made.hole_drill for made in fasteners if made.hole_mm and made.hole_drill)
    if drills:
        yield "holes measured on the vehicle", f"{', '.join(drills)}, after a pilot"


def _loose_rows(lines: LinesSheet, fasteners: Sequence[FastenerSet]) -> Iterator[tuple[str, str]]:
    """Plain nuts for what is on and off again till a rigid line is on: a locking nut is turned on once."""
    for component in lines.components:
        mine = loose_nuts(component, lines, fasteners)
        if mine:
            yield (
                "till a line is on",
                f"plain nuts for the {within(title_of(component))}, in place of its locking nuts: "
                f"{_threads(mine)}",
            )


def _threads(sets: Sequence[FastenerSet]) -> str:
    """``2 × M6, 1 × M8``."""
    threads: dict[str, int] = {}
    for made in sets:
        name = made.thread if made.thread.startswith("M") else made.designation
        threads[name] = threads.get(name, 0) + made.quantity
    return ", ".join(f"{n} × {name}" for name, n in threads.items())


def _drills(holes: Sequence[PanelHole], units: UnitSystem) -> Iterator[str]:
    """Each tool of the holes by its kind with its sizes, pilots first; drills that only mark among them."""
    pilots = sorted({hole.pilot_dia_mm for hole in holes if hole.pilot_dia_mm > 0})
    if pilots:
        yield "pilot drill " + ", ".join(format_short(size, units) for size in pilots)
    named = [(hole.final_dia_mm, hole.tool) for hole in holes if hole.tool]
    named += [(hole.work.spot_mm, hole.work.spot) for hole in holes if hole.work.spot]
    tools = dict.fromkeys(tool for _, tool in sorted(named, key=lambda pair: pair[0]))
    spots: set[str] = {SPOT_KIND} if any(hole.work.spot for hole in holes) else set()
    kinds = sorted(spots | {hole.tool_kind for hole in holes if hole.tool_kind})
    for kind in kinds:
        own = [tool.removeprefix(f"{kind} ") for tool in tools if tool.startswith(f"{kind} ")]
        if own:
            yield f"{kind} {', '.join(own)}"
    yield from (tool for tool in tools if not tool.startswith(tuple(f"{kind} " for kind in kinds)))


_UP_MM: dict[UnitSystem, float] = {"metric": 2.0, "inch": INCH_MM / 16}
"""The step ``GO_UP_BY`` names, mm."""


def drills_between(holes: Sequence[PanelHole], units: UnitSystem) -> tuple[str, ...]:
    """The drills by which large twist drills are led up to from their pilots, each once, smallest first."""
    up = _UP_MM[units]
    sizes = {
        round(hole.pilot_dia_mm + k * up, 4)
        for hole in holes
        if goes_up(hole)
        for k in range(1, math.ceil(round((hole.final_dia_mm - hole.pilot_dia_mm) / up, 6)))
    }
    return tuple(format_short(size, units) for size in sorted(sizes))


def _closing_rows(layouts: Sequence[PanelLayout]) -> Iterator[tuple[str, str]]:
    """What plates over old holes are cut, drilled and riveted with."""
    plates = [layout for layout in layouts for done in closings(layout) if done.plate]
    if plates:
        units = plates[0].units
        made = [riveting(done, x.thickness_mm, units) for x in layouts for done in closings(x) if done.plate]
        drills = ", ".join(dict.fromkeys(drill_words(one, units) for one in made))
        pin = "" if all(one.bolted for one in made) else f", {PIN} to hold a plate while it is drilled"
        setter = "" if all(one.bolted for one in made) else f"; blind rivet tool for {RIVET_WORDS[units]}"
        yield (
            "closing old holes",
            f"tin snips or fine saw, file, tape{pin}; {drills}{setter}",
        )


def _thread_rows(layouts: Iterable[PanelLayout]) -> Iterator[tuple[str, str]]:
    """What sets inserts and welds nuts and studs on."""
    holes = [hole for layout in layouts for hole in layout.holes]
    inserts = sorted({hole.thread for hole in holes if hole.kind == "insert"})
    if inserts:
        yield "threaded inserts", f"setting tool with mandrels {', '.join(inserts)}"
    if any(hole.kind in ("weld_nut", "stud") for hole in holes):
        yield "welding", "welder, fire blanket, extinguisher, wire brush, primer for the bare metal"


def line_rows(lines: LinesSheet, packing: Packing = NOT_PACKED) -> Iterator[tuple[str, str]]:
    """What fittings, hoses and tubes are put in with, and bled."""
    sizes = sorted({c.dash for c in lines.components if c.kind == "bulkhead" and c.dash is not None})
    if sizes:
        nuts = ", ".join(
            f"{format_length(bulkhead(dash).nut_af_mm, lines.units)} (-{dash})" for dash in sizes
        )
        yield "bulkhead fittings", f"two spanners: for nuts {nuts}, and one for the body (size: look at it)"
    turned = sorted({(hose.spec.dash, words) for hose in lines.hoses if (words := spanner_words(hose))})
    if turned:
        nuts = ", ".join(f"{words.removeprefix('flare-nut spanner ')} (-{dash})" for dash, words in turned)
        yield (
            "nuts of hoses and tubes",
            f"flare-nut spanner {nuts}, and open spanners for the bodies they go on (sizes: "
            "look at the fittings)",
        )
    made = [hose.spec for hose in lines.hoses]
    if any(hose.kind == "rigid" for hose in made):
        radii = sorted({hose.radius_mm for hose in lines.hoses if hose.spec.kind == "rigid"})
        bender = ", ".join(format_length(radius, lines.units) for radius in radii)
        own = [h for h in lines.hoses if h.spec.kind == "rigid" and not h.made_up]
        cutter = any(h.comes is None or trimmed_mm(h) for h in own)
        yield (
            "rigid line",
            f"{'tube cutter, ' if cutter else ''}bender of {bender} radius with a scale of degrees"
            f"{', 37 degree flaring tool' if own else ''}{_wire_words(lines)}",
        )
    if any(h.spec.kind == "hose" and h.comes is None and not h.made_up for h in lines.hoses):
        yield (
            "hoses",
            "string, hose cutter or fine saw, what the maker of the hose ends says of fitting them",
        )
    if made:
        come = any(thing.kind == "cap" for thing in packing.things)
        ends = dict.fromkeys(end_closure(hose, lines.units, ready=True).item for hose in lines.hoses)
        caps = "the caps and plugs that come on ports and ends" if come else f"two of each: {', '.join(ends)}"
        yield "blowing lines clean", f"dry compressed air or a hand pump; eye protection; {caps}"
        clips = any(item == "hose clip" for hose in lines.hoses for item, _size, _n in end_pieces(hose))
        driver = "screwdriver or key for the hose clips; " if clips else ""
        yield (
            "bleeding",
            f"{driver}spanners for the bleed screw and the lock nuts of the rods (sizes: look at the "
            "cylinders first), clear hose, jar, gloves, glasses, rags",
        )
        yield (
            "vehicle",
            "jack, stands and chocks; plugs and caps for its own lines and ports; a helper, for bleeding "
            "and for bolts with head and nut on different sides of a panel; a second one where a clutch's "
            "release is tried by hand",
        )


def _wire_words(lines: LinesSheet) -> str:
    """Wire for the tubes that are bent in wire first, as long as the longest of them."""
    tried = [hose for hose in lines.hoses if tried_in_wire(hose)]
    if not tried:
        return ""
    longest = max(piece_mm(hose) for hose in tried)
    long = f", {about(longest, lines.units)} at least" if longest > 0 else ", as long as the tube"
    return f", stiff wire to bend and try in place first{long}"


def single_steps(
    layouts: Iterable[PanelLayout], lines: LinesSheet, fasteners: Sequence[FastenerSet], units: UnitSystem
) -> Iterator[Step]:
    """A step for the panel's own bolts and grommets, which hold no part, component or clamp of this job."""
    used = {(p.panel, number) for p in lines.places.values() for number in (p.hole, *p.holes)}
    for layout in layouts:
        free = [
            hole
            for hole in to_make(layout)
            if hole.kind in SINGLE_KINDS
            and set(hole.owners) <= {"panel"}
            and (layout.panel, hole.number) not in used
        ]
        if not free:
            continue
        numbers = {hole.number for hole in free}
        sets = [made for made in fasteners if made.panel == layout.panel and made.hole in numbers]
        table = bolt_table(sets, units)
        what = "; ".join(f"{hole.number}, {hole.purpose}" for hole in free)
        first = " A grommet goes in before what it is for: a bare edge cuts." if _grommets(free) else ""
        yield Step(
            do=f"Fit what goes into {named(free)} of the {within(layout.title)}.",
            how=f"{what}. Bolts and grommets are in the bag {panel_bag(layout.title)}; what they hold, and a "
            f"clamp round it, is the vehicle's own.{first}",
            holes=refs(layout, free),
            tables=(table,) if table is not None else (),
        )


def _grommets(holes: Sequence[PanelHole]) -> bool:
    return any(hole.kind == "grommet" for hole in holes)


def plug_steps(layouts: Iterable[PanelLayout], lines: LinesSheet) -> Iterator[Step]:
    """A step for the bulkhead holes drilled for later, in which nothing of this job sits."""
    if not lines.components:
        return
    used = {(place.panel, place.hole) for place in lines.places.values()}
    for layout in layouts:
        free = [
            hole
            for hole in to_make(layout)
            if hole.kind == OPEN_KIND and (layout.panel, hole.number) not in used
        ]
        if free:
            what = "; ".join(
                f"{hole.number}, {hole.purpose}, {format_opening(hole.final_dia_mm, layout.units)}"
                for hole in free
            )
            yield Step(
                do=f"Plug the holes that stay empty in the {layout.title.lower()}:",
                how=f"{what}. Nothing of this job goes through: fit a plug or a cap.",
                holes=refs(layout, free),
            )
