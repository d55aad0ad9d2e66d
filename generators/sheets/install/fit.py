"""Fitting parts, cylinders, fittings and clamps: one step each, with the panel and its holes lit."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from types import MappingProxyType

import numpy as np

from generators.figures import format_length, format_opening, format_short
from generators.geometry.sight import Standing
from generators.layout.spots import Place, clamp_size
from generators.layout.stacking import doublers_under
from generators.model.hose_path import Point3
from generators.model.install import HoleRef, PanelPicture, Step, StepTable
from generators.model.joints.fasteners import FastenerSet
from generators.model.plan import PanelHole, PanelLayout, PartPlan
from generators.model.spec.lines import Clamp, Component
from generators.model.spec.titles import asked, capital, within
from generators.model.words import Face
from generators.sheets.bolting.closing import component_closures, stays_words
from generators.sheets.bolting.cylinders import circuit_words
from generators.sheets.bolting.in_place import bulkhead_words, goes_in
from generators.sheets.bolting.loose import left_words, loose_nuts
from generators.sheets.bolting.on_vehicle import Seats, lid_words, on_vehicle
from generators.sheets.bolting.own_things import painted_after, sealed
from generators.sheets.bolting.steps import bolt_table
from generators.sheets.bolting.way_round import way_round_words
from generators.sheets.hose_words import DecisionLine, LinesSheet, about, title_of
from generators.sheets.install.drill import SEALANT, drill_steps, named
from generators.sheets.install.existing import side
from generators.sheets.install.found import NOT_BEGUN, WAYS, By, Known, known_holes, told_from, worked_out
from generators.sheets.install.threads import insert_steps
from generators.sheets.install.through import held_steps, through_steps
from generators.solve.fasteners.holders import spacer_mm

Rows = Sequence[tuple[str, str]]
FRAME = "Into a frame rail only through its web, and only where the vehicle's maker allows a hole."
"""Common practice, no source."""

NOTHING: Mapping[str, str] = MappingProxyType({})
TILL = " until the hose comes"
THROUGH = " What closes the end in the hole comes off for washer and nut, and goes on again at once."

NUMBERS = 12
"""Letters of a list of holes a narrow column holds in two lines (ours); a longer one has a wider column."""

PLAIN_WAY = math.cos(math.radians(10))
"""Cosine of how far from an axis of the vehicle a port may look and still be said to look along it. Ours."""


def _pictured(step: Step, layout: PanelLayout, face: Face, lit: Sequence[str], rows: Rows) -> Step:
    """A step with its panel and a table of what goes where."""
    # holes that take the same are one row
    alike: dict[str, list[str]] = {}
    for number, words in rows:
        alike.setdefault(words, []).append(number)
    said = tuple((", ".join(those), words) for words, those in alike.items())
    longest = max((len(holes) for holes, _ in said), default=0)
    first = 0.15 if longest <= NUMBERS else 0.4
    table = StepTable(head=("hole", "what goes in"), rows=said, shares=(first, 1 - first))
    return replace(
        step,
        holes=tuple((layout.panel, number) for number in lit),
        pictures=(PanelPicture(panel=layout.panel, face=face, lit=tuple(lit)),),
        tables=(table,) if rows else (),
    )


def part_steps(
    plan: PartPlan,
    layout: PanelLayout,
    face: Face,
    later: Mapping[str, str] = NOTHING,
    fasteners: Sequence[FastenerSet] = (),
    fitted: Sequence[Standing] = (),
    sealant_in: str = "",
) -> Iterator[Step]:
    """Bolting one part to its panel.

    ``later`` names what is put into some of its holes in a step of its own, by the hole's number; ``fitted``
    is what stands on the panel by then, ``sealant_in`` where sealant lies in the kit, if it does.
    """
    yield from through_steps(plan, layout, face, fasteners, fitted)
    every = [h for h in layout.holes if plan.name in h.owners]
    mine = [h for h in every if h.number not in later]
    rows = [(h.number, h.purpose) for h in mine]
    doubled = doublers_under(layout, plan.name, every)
    wait = _waiting([h for h in every if h.number in later], later)
    what = "Panel, doubler and part" if doubled else "Panel and part"
    if plan.wedge_rad:
        thick = "down" if plan.wedge_rad > 0 else "up"
        wait += (
            f" Under each master a wedge of {abs(math.degrees(plan.wedge_rad)):g}°, its thick side {thick}."
        )
    closes = [h for h in layout.holes if h.work.when == "close" and h.work.part == plan.name]
    if closes:
        lies = f": that of {sealant_in}" if sealant_in else ""
        wait += f" {capital(SEALANT)} round {named(closes)}, between plate and panel{lies}."
    stack = layout.thickness_mm + doubled + plan.thickness_mm
    way = way_round_words(plan, layout, face)
    if way and any(h.work.how == "part" and h.work.part == plan.name for h in every):
        way = " The same way round as it was drilled through."
    step = Step(
        do=f"Fit the {within(plan.title)} on the {side(layout, face)} of the {layout.title.lower()}.",
        how=f"Offer it up dry first: every bolt must drop through by hand.{way}{_finished(plan)} "
        f"{what} together are {format_short(stack, layout.units, 4)} thick.{wait}",
    )
    yield _pictured(step, layout, face, [h.number for h in mine], rows)


def _finished(plan: PartPlan) -> str:
    """What is done to a bare part between trying and fitting it, a blank before it; common practice.

    One that comes finished says so, and takes the sealant of its finish now.
    """
    if not painted_after(plan):
        bed = (
            " The sealant of that goes on now, thin, all over the face on the metal." if sealed(plan) else ""
        )
        return f" It comes finished ({plan.finish}): no paint between metals.{bed}" if plan.finish else ""
    return f" Then off again for its finish ({plan.finish}): cut edges and drilled holes too, and dry."


def _waiting(holes: Sequence[PanelHole], later: Mapping[str, str]) -> str:
    """Which of a part's holes stay empty, and for what."""
    groups: dict[str, list[PanelHole]] = {}
    for hole in holes:
        groups.setdefault(later[hole.number], []).append(hole)
    return "".join(
        f" {capital(named(group))} {'stays' if len(group) == 1 else 'stay'} empty until the {what} is fitted."
        for what, group in groups.items()
    )


def seat_holes(
    component: Component, lines: LinesSheet, fasteners: Sequence[FastenerSet]
) -> tuple[HoleRef, ...]:
    """The holes of a panel a component takes: its bore or its feet, and those of its own bolts."""
    place = lines.places[component.name]
    seats = [(place.panel, number) for number in place.holes or (place.hole,) if place.panel]
    bolts = [(made.panel, made.hole) for made in fasteners if made.task == f"component:{component.name}"]
    return tuple(dict.fromkeys((*seats, *(ref for ref in bolts if ref[0] and ref[1]))))


def _face(lines: LinesSheet, name: str, layout: PanelLayout) -> Face:
    """The face of the panel something stands on, seen by its direction."""
    return _face_of(lines.places[name], lines, layout.panel)


def _face_of(place: Place, lines: LinesSheet, name: str) -> Face:
    panel = next((p for p in lines.panels if p.name == name), None)
    if panel is None:
        return "cab"
    normal = np.cross(np.array(panel.u), np.array(panel.v))
    return "cab" if float(place.frame[:3, 0] @ normal) > 0 else "engine"


def _where(component: Component, lines: LinesSheet, layouts: Mapping[str, PanelLayout]) -> str:
    place = lines.places[component.name]
    if place.panel:
        numbers = place.holes or (place.hole,)
        held = f"in hole {numbers[0]}" if len(numbers) == 1 else f"with its bolts in holes {_both(numbers)}"
        return f"{held} of the {within(layouts[place.panel].title)}"
    if place.part:
        return f"on the {lines.part_title(place.part)}"
    return "in its place on the vehicle"


def _faces(way: Point3 | None) -> str:
    """Which way a port looks, after a comma; nothing where it looks askew."""
    if way is None:
        return ""
    axis = max(range(3), key=lambda k: abs(way[k]))
    return f", facing {WAYS[axis][way[axis] < 0]}" if abs(way[axis]) >= PLAIN_WAY else ""


def _both(numbers: Sequence[str]) -> str:
    """``3 and 4``, ``3, 4 and 5``."""
    return " and ".join(filter(None, (", ".join(numbers[:-1]), numbers[-1])))


def _found_from(component: Component, lines: LinesSheet, layouts: Mapping[str, PanelLayout]) -> str:
    """Where the first port of a component free in the vehicle is, in a sentence; nothing for any other."""
    where = lines.places[component.name]
    port = next((p for name, p in lines.ports.items() if name.split(".")[0] == component.name), None)
    if where.panel or where.part or port is None:
        return ""
    here = np.array(port)
    words = told_from(here, known_holes(here, lines, layouts), lines.units)
    return f" The seat of its {component.port[0].name.replace('_', ' ')} lies {words}." if words else ""


def component_steps(
    component: Component,
    lines: LinesSheet,
    layouts: Mapping[str, PanelLayout],
    fasteners: Sequence[FastenerSet] = (),
    seats: Seats | None = None,
) -> Iterator[Step]:
    """Putting one cylinder, reservoir or fitting in its place, with all the holes it takes."""
    place = lines.places[component.name]
    seats = seats or Seats(fasteners=fasteners, units=lines.units)
    yield from seats.steps(component, lines)
    ports = "; ".join(
        f"{port.name.replace('_', ' ')}{f' (-{port.dash})' if port.dash else ''}"
        f"{_faces(lines.ways.get(f'{component.name}.{port.name}'))}"
        for port in component.port
    )
    closures = component_closures(component, lines)
    where = "its port" if len(closures) == 1 else "its ports"
    if component.kind == "bulkhead":
        later = bool(left_words(component, lines, fasteners))
        text = bulkhead_words(component, lines.units, later=later)
        text += f" {stays_words(closures, 'both ends', TILL)}"
        text += THROUGH if closures else ""
    elif component.kind == "slave":
        locked = "" if on_vehicle(component, lines) else ", both bolts locked"
        text = f"Bleed screw uppermost, rod to the fork{locked}. {stays_words(closures, where)}"
        if seats.ring(component, lines):
            text = (
                "Its bleed pipe, which is its maker's and in no bag, leads out of the bell housing, higher "
                "than the slave all its way, and ends where a spanner reaches its screw: hold it there off "
                "hot and "
                f"moving parts. {stays_words(closures, where)}"
            )
    elif component.kind == "reservoir":
        level = component.level_mm or 0.0
        high = f"{format_length(abs(level), lines.units)} {'above' if level > 0 else 'below'}"
        side = high if level else "level with"
        text = (
            "Lid up, outlet as drawn. It must stay the highest point of the run: its lowest fluid level is "
            f"{side} the place it is bolted to.{lid_words(component, lines)}"
        )
        if any(x.component == component.name for x in lines.decided):
            text += " Its hose is on it already."
    elif on_vehicle(component, lines) or loose_nuts(component, lines, fasteners):
        text = stays_words(closures, where, TILL)
    else:
        locked = "Every bolt with a locking nut, every screw locked."
        text = f"{stays_words(closures, where, TILL)} {locked}".lstrip()
    whence, lies = goes_in(component, lines)
    works = circuit_words(component, lines, seats.pedals)
    text = f"{works}{lies}{left_words(component, lines, fasteners)}{text}{seats.seat_words(component, lines)}"
    if ports:
        text += f" Ports: {ports}."
    found = "" if component.estimated else _found_from(component, lines, layouts)
    # of a ring slave that can be measured only when gearbox and engine are together again
    after = list(seats.joined(component, lines, found))
    if not component.estimated:
        text += "" if after else found
    else:
        text += " Its place in these files is an estimate: hoses to it are measured after this step."
    # a cylinder sits in its hole, whatever else the part beside it is bolted with
    step = Step(
        do=f"Fit the {within(title_of(component))} {_where(component, lines, layouts)}{whence}.", how=text
    )
    layout = layouts.get(place.panel)
    if layout is None:
        table = bolt_table(seats.own_bolts(component, lines), lines.units)
        yield step if table is None else replace(step, tables=(table,))
        yield from after
        return
    taken = seat_holes(component, lines, fasteners)
    mine = [h for h in layout.holes if (layout.panel, h.number) in taken]
    rows = [(h.number, f"{h.purpose}: {format_opening(h.final_dia_mm, lines.units)}") for h in mine]
    yield _pictured(step, layout, _face(lines, component.name, layout), [h.number for h in mine], rows)


def clamp_step(clamps: Sequence[Clamp], lines: LinesSheet, layouts: Mapping[str, PanelLayout]) -> Step:
    """Putting up the clamps of one panel, or of no panel, in one step."""
    first = lines.places[clamps[0].name]
    layout = layouts.get(first.panel)
    names = ", ".join(clamp.name.replace("_", " ") for clamp in clamps)
    rows = []
    held = {clamp.name: _held(clamp.name, lines) for clamp in clamps}
    for clamp in clamps:
        place = lines.places[clamp.name]
        if clamp.fastener == "grommet":
            what = f"grommet, -{clamp.dash} inside"
        else:
            off, aside = clamp_size(clamp)
            screw = "threaded insert" if clamp.fastener == "insert" else "bolt and locking nut"
            if (spacer := spacer_mm(clamp)) > 0:
                screw = f"{screw}, spacer {format_short(spacer, lines.units, 1)} long under it"
            what = (
                f"-{clamp.dash} cushioned clamp, {screw}; loop {clamp.aside} of its fastener, "
                f"{held[clamp.name]} {about(aside, lines.units)} from it and "
                f"{about(off, lines.units)} off the sheet"
            )
        rows.append((place.hole or "part", what))
    where = (
        f"the {layout.title.lower()}"
        if layout
        else f"the {lines.part_title(first.part) if first.part else 'vehicle'}"
    )
    turned = any(clamp.fastener != "grommet" and clamp.aside in ("left", "right") for clamp in clamps)
    seen = " Left and right are as seen looking at that face." if turned else ""
    # a locking nut is turned past its ring once: common practice, no source
    nuts = any(clamp.fastener not in ("grommet", "insert") for clamp in clamps)
    by_hand = "finger tight, a locking nut only as far as its ring" if nuts else "finger tight"
    step = Step(
        do=f"Put up the clamp{'s' if len(clamps) > 1 else ''} on {where}: {names}.",
        how=f"Open, {by_hand}. The cushion's gap points to the fastener; a clamp smaller than the "
        f"{' or '.join(sorted(set(held.values())))} chokes it.{seen}",
    )
    if layout is None:
        table = _free_clamps(clamps, [what for _, what in rows], lines, layouts)
        metals = list(dict.fromkeys(clamp.metal.rstrip(".") for clamp in clamps if clamp.metal))
        on = f" They go on {' and '.join(metals)}." if len(clamps) > 1 else f" It goes on {' '.join(metals)}."
        if not first.part:
            step = replace(
                step,
                do=step.do.replace("Put up", "Mark, drill and put up", 1),
                how="Mark the place of each fastener from the table, look what is behind it, then drill; the "
                f"drill stands beside the bolts.{on if metals else ''} {FRAME} {step.how}",
            )
        return replace(step, tables=(table,))
    lit = [lines.places[clamp.name].hole for clamp in clamps]
    return _pictured(step, layout, _face(lines, clamps[0].name, layout), lit, rows)


def _held(clamp: str, lines: LinesSheet) -> str:
    """What a clamp holds, in a word: a rigid line is no hose."""
    kinds = {hose.spec.kind for hose in lines.hoses if clamp in hose.spec.clamps}
    return "line" if kinds == {"rigid"} else "hose"


def _free_clamps(
    clamps: Sequence[Clamp],
    what: Sequence[str],
    lines: LinesSheet,
    layouts: Mapping[str, PanelLayout],
) -> StepTable:
    """Where the fasteners of clamps go that are in no hole of a panel."""
    rows = []
    first: list[Known] = []
    for clamp, words in zip(clamps, what, strict=True):
        place = lines.places[clamp.name]
        here, name = place.frame[:3, 3], clamp.name.replace("_", " ")
        known = [*known_holes(here, lines, layouts), *first]
        # a part has its hole; on the frame rail it is measured, from the first one where that is nearer
        rows.append(
            (
                name,
                place.hole.replace("_", " ")
                or told_from(here, known, lines.units)
                or f"where the {_held(clamp.name, lines)} will pass",
                words,
            )
        )
        if not place.hole and not first:
            first.append(Known(at=here, words=f"the fastener of {name}"))
    return StepTable(head=("clamp", "its bolt or screw", "what"), rows=tuple(rows), shares=(0.16, 0.46, 0.38))


def decided_steps(
    decision: DecisionLine,
    lines: LinesSheet,
    layouts: Mapping[str, PanelLayout],
    fasteners: Sequence[FastenerSet] = (),
    by: By = NOT_BEGUN,
) -> Iterator[Step]:
    """Marking and drilling where a made-up hose has put a component; ``by`` is what is so by then."""
    component = lines.component(decision.component)
    layout = layouts.get(decision.panel)
    contact = next((x.contact for x in layouts.values()), "")
    what = f"the {lines.part_title(decision.part)}" if decision.part else f"the {within(title_of(component))}"
    holes = [h for h in layout.holes if h.number in decision.holes] if layout is not None else []
    face: Face = "cab"
    if layout is not None:
        face = _part_face(decision, layout) if decision.part else _face(lines, decision.component, layout)
    shown, table = worked_out(layout, holes, face, by)
    step = Step(
        do=f"Hold {what} where the {within(lines.hose(decision.hose).title)} puts it.",
        how=f"The hose on both its ends, hanging free in its path, neither pulled nor looped. {shown} If it "
        f"hangs more than {'10 mm' if lines.units == 'metric' else '3/8 in'} from there, stop, measure where "
        f"it hangs and ask {asked(contact)} before drilling: nothing was checked but the place on the sheet.",
    )
    if layout is None:
        yield step
        return
    rows = [(h.number, h.purpose) for h in holes]
    step = _pictured(step, layout, face, [h.number for h in holes], rows)
    yield replace(step, tables=(*step.tables, *((table,) if table else ())))
    if decision.part:
        seat = [ref for ref in seat_holes(component, lines, fasteners) if ref[0] == layout.panel]
        over = within(title_of(component)) if seat else ""
        part = lines.part_title(decision.part)
        yield from held_steps(holes, layout, part, face, fasteners, by.fitted, over)
        return
    yield from drill_steps(layout, holes, by.fitted)
    yield from insert_steps(layout, holes)


def _part_face(decision: DecisionLine, layout: PanelLayout) -> Face:
    return next((f.face for f in layout.footprints if f.part == decision.part), "cab")
