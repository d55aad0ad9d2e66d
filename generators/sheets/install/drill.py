"""Marking and drilling one panel: the steps for the person with the drill."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence

from generators.figures import format_limits, format_opening, format_short
from generators.geometry.sight import Standing, first_face
from generators.layout.closing import Closing, closings
from generators.layout.rivets import (
    BOLT_DRILL_WORDS,
    BOLT_WORDS,
    DRILL_WORDS,
    RIVET_WORDS,
    Riveting,
    riveting,
)
from generators.model.hole_work import when_words
from generators.model.install import HoleRef, Laid, PanelPicture, Phase, Step, StepTable
from generators.model.plan import PanelHole, PanelLayout, PartPlan
from generators.model.spec.titles import asked, capital, within
from generators.model.words import FACES, Face
from generators.sheets.install.existing import as_before, drill_room, marks_checked, measurable, panel_ways
from generators.sheets.install.guide_steps import guide_steps, wider_than_bush
from generators.sheets.install.paper import off_step, opened_from, pricked, tape_step
from generators.sheets.install.threads import insert_steps, weld_steps
from generators.units import UnitSystem


def refs(layout: PanelLayout, holes: Sequence[PanelHole]) -> tuple[HoleRef, ...]:
    """Holes of a panel by its name and their numbers."""
    return tuple((layout.panel, hole.number) for hole in holes)


def named(holes: Sequence[PanelHole]) -> str:
    """``hole 1`` or ``holes 1, 2``."""
    return f"hole{'' if len(holes) == 1 else 's'} {numbers(holes)}"


def _crosses(holes: Sequence[PanelHole]) -> str:
    return "cross" if len(holes) == 1 else "crosses"


def numbers(holes: Sequence[PanelHole]) -> str:
    """Their numbers in a row."""
    return ", ".join(h.number for h in holes)


HOLES_A_ROW = 16
"""Holes a row of the table of sizes names: it stands whole on a page, with what each is for. Ours."""


def to_make(layout: PanelLayout) -> list[PanelHole]:
    """The holes of a panel somebody drills."""
    return [h for h in layout.holes if h.status == "drill" or (h.status == "reuse" and h.tool)]


def size_table(holes: Sequence[PanelHole], units: UnitSystem) -> StepTable:
    """Tools and final sizes with the limits the hole decides by, its number and what it is for."""
    rows = tuple(
        (
            group[0].tool,
            _size_words(group[0], units),
            numbers(group),
            "; ".join(dict.fromkeys(h.purpose for h in group)),
        )
        for group in _made_alike(holes)
    )
    return StepTable(head=("tool", "final", "holes", "for"), rows=rows, shares=(0.24, 0.28, 0.14, 0.34))


def _made_alike(holes: Sequence[PanelHole]) -> Iterator[list[PanelHole]]:
    """Holes with one tool, size and limits, smallest first; no more at a time than a row may name."""

    def made(h: PanelHole) -> tuple[float, str, float, float]:
        return h.final_dia_mm, h.tool, h.least_mm, h.most_mm

    for which in sorted({made(h) for h in holes}):
        alike = [h for h in holes if made(h) == which]
        yield from (alike[k : k + HOLES_A_ROW] for k in range(0, len(alike), HOLES_A_ROW))


def _size_words(hole: PanelHole, units: UnitSystem) -> str:
    limits = format_limits(hole.least_mm, hole.most_mm, units)
    return format_opening(hole.final_dia_mm, units) + (f"; may be {limits}" if limits else "")


def drill_steps(
    layout: PanelLayout, holes: Sequence[PanelHole], fitted: Sequence[Standing] = ()
) -> Iterator[Step]:
    """Pilot, final size and the table of sizes; ``fitted`` stands on the panel by then."""
    yield from _pilot_steps(layout, [h for h in holes if h.pilot_dia_mm > 0], fitted)
    yield _final_step(layout, holes, fitted)


def _pilot_steps(
    layout: PanelLayout, pilots: Sequence[PanelHole], fitted: Sequence[Standing]
) -> Iterator[Step]:
    for size in sorted({h.pilot_dia_mm for h in pilots}):
        group = [h for h in pilots if h.pilot_dia_mm == size]
        yield Step(
            do=f"Pilot drill {format_short(size, layout.units)}:",
            how=f"{capital(named(group))}.{drill_room(layout, group, fitted, pilot=True)}",
            holes=refs(layout, group),
        )


NO_HAND = "nobody's hand behind the drill"
BACKED = f"Wood behind the sheet where there is room for it, clamped or propped there: {NO_HAND}."
"""A drill that breaks through goes into what is behind. Common practice, no source."""


def _final_step(layout: PanelLayout, holes: Sequence[PanelHole], fitted: Sequence[Standing]) -> Step:
    # where a pilot was drilled from the same face, its step has said why
    unsaid = [h for h in holes if h.pilot_dia_mm <= 0 or first_face(h) != h.drill_face]
    return Step(
        do="Open to final size, deburr both sides, paint the bare edges.",
        how=f"{opened_from(holes)}What the hole may be decides: measure it with the caliper, stop where it "
        f"is reached. Over it: stop, fit nothing in it and ask {asked(layout.contact)}. {BACKED} A step "
        f"drill stops on the step named.{_no_pilot(holes)}"
        f"{grabs(layout, holes)}"
        f"{drill_room(layout, unsaid, fitted)}"
        f"{as_before(layout, [h for h in holes if h not in unsaid], fitted)}",
        holes=refs(layout, holes),
        drills=refs(layout, holes),
        tables=(size_table(holes, layout.units),),
    )


def _no_pilot(holes: Sequence[PanelHole]) -> str:
    """Which holes are drilled in one go from their mark, in a sentence with a space before it."""
    bare = [h for h in holes if h.pilot_dia_mm <= 0 and h.work.how != "guide"]
    return f" {capital(named(bare))}: to size in the mark, without a pilot." if bare else ""


GRABS_FROM_MM = 6.0
"""A larger twist drill grabs in thin sheet, if it follows a small pilot. Common practice, no source."""

GO_UP_BY = {"metric": "2 mm", "inch": "1/16 in"}
"""From drill to drill on the way. Common practice, no source."""


def goes_up(hole: PanelHole) -> bool:
    """True for a hole of a twist drill that needs sizes between its pilot and its last."""
    return hole.tool_kind == "twist drill" and hole.final_dia_mm > GRABS_FROM_MM and hole.pilot_dia_mm > 0


def grabs(layout: PanelLayout, holes: Sequence[PanelHole]) -> str:
    """How a large twist drill is kept from tearing thin sheet, in a sentence with a space before it."""
    if not any(map(goes_up, holes)):
        return ""
    return (
        f" A twist drill over {format_short(GRABS_FROM_MM, layout.units)} grabs in thin sheet and leaves a "
        f"three-cornered hole: go up from the pilot by {GO_UP_BY[layout.units]} at a time, slowly, wood "
        "clamped or propped tight behind."
    )


def limit_words(layout: PanelLayout) -> str:
    """What is done with a hole's limits: it is measured, and one over them is never used."""
    return f"Measure: over what it may be, stop, fit nothing in it and ask {asked(layout.contact)}."


def _with_panel(hole: PanelHole) -> bool:
    """True for a hole made while its panel is drilled; nothing it waits for."""
    return hole.work.task.partition(":")[0] in ("", "drill")


def drill_phase(
    layout: PanelLayout,
    guides: Sequence[tuple[PartPlan, Face]] = (),
    laid: Sequence[Laid] = (),
    told: str = "",
    fitted: Sequence[Standing] = (),
    later: Collection[tuple[str, Face]] = (),
) -> Phase:
    """Everything done to one panel in one go; some holes wait for a part or a hose.

    ``guides`` are the tools that lead the drill, with the face each lies on; ``laid`` the sheets chosen to
    mark from. ``told`` is the panel whose steps have said already how a mark is moved, in words; ``fitted``
    what stands on the panel by then; ``later`` the faces of panels
    that are marked after it.
    """
    new = [h for h in to_make(layout) if _with_panel(h)]
    marked = [h for h in layout.holes if h.work.punched]
    waiting = [h for h in to_make(layout) if not _with_panel(h)]
    # a panel whose own holes are used again is looked at all the same
    todo = "mark and drill" if new or marked or waiting else "nothing to drill"
    lit = tuple(h.number for h in new)
    return Phase(
        title=f"{layout.title}: {todo}",
        pictures=(PanelPicture(panel=layout.panel, lit=lit, name_all=True),),
        steps=tuple(_panel_steps(layout, new, marked, waiting, guides, laid, told, fitted, later)),
    )


def _panel_steps(
    layout: PanelLayout,
    new: Sequence[PanelHole],
    marked: Sequence[PanelHole],
    waiting: Sequence[PanelHole],
    guides: Sequence[tuple[PartPlan, Face]],
    laid: Sequence[Laid],
    told: str,
    fitted: Sequence[Standing],
    later: Collection[tuple[str, Face]],
) -> Iterator[Step]:
    yield from panel_ways(layout)
    for plan, face in guides:
        led = [h for h in new if h.work.how == "guide" and h.work.part == plan.name]
        wider = wider_than_bush(plan, led)
        sized = [h for h in led if h not in wider]
        sizes = (size_table(sized, layout.units),) if sized else ()
        yield from guide_steps(plan, face, layout, sizes, drill_room(layout, led, fitted))
        if wider:
            yield _final_step(layout, wider, fitted)
    by_paper = [h for h in new if h.work.how != "guide"]
    faces = {first_face(h) for h in (*marked, *by_paper)}
    for face in (f for f in FACES if f in faces):
        punched = [h for h in marked if first_face(h) == face]
        if punched:
            yield from _punched(layout, face, punched, laid, told)
            told = told or (within(layout.title) if measurable(layout) else "")
        off = (off_step(layout, face, laid, later),) if punched else ()
        yield from _drilled(layout, [h for h in by_paper if h.drill_face == face], punched, fitted, off)
    yield from insert_steps(layout, new)
    yield from weld_steps(layout, [h for h in layout.holes if _with_panel(h)])
    if waiting:
        yield _wait_step(layout, waiting, laid)
    yield from _blank_steps(layout)


def _punched(
    layout: PanelLayout, face: Face, holes: Sequence[PanelHole], laid: Sequence[Laid], told: str
) -> Iterator[Step]:
    yield tape_step(layout, face, laid)
    yield Step(
        do=f"Centre-punch through the {_crosses(holes)} of {named(holes)} only.",
        how="Not the registration marks (quartered discs), not the lettered holes, not the rings without a "
        "cross; a hole that shows on two sheets is punched once. "
        f"{marks_checked(layout, holes, told)}",
        holes=refs(layout, holes),
    )


def _drilled(
    layout: PanelLayout,
    bored: Sequence[PanelHole],
    punched: Sequence[PanelHole],
    fitted: Sequence[Standing],
    off: Sequence[Step],
) -> Iterator[Step]:
    """Pilots, those of locating holes that stay pilots among them, the paper ``off``, and the final sizes."""
    only = [h for h in punched if h.work.pilot_from]
    pilots = [h for h in (*bored, *only) if h.pilot_dia_mm > 0]
    yield from _pilot_steps(layout, sorted(pilots, key=layout.holes.index), fitted)
    yield from off
    if only:
        yield Step(
            do=f"Leave the {'pilot' if len(only) == 1 else 'pilots'} of {named(only)} as {_it(only)} now.",
            how="; ".join(f"{h.number} is opened {h.work.way}, {h.work.after}" for h in only) + ".",
            holes=refs(layout, only),
        )
    final = [h for h in bored if h.status != "weld"]
    if final:
        yield _final_step(layout, final, fitted)


def _it(holes: Sequence[PanelHole]) -> str:
    return "it is" if len(holes) == 1 else "they are"


def _in_metal(layout: PanelLayout, holes: Sequence[PanelHole], laid: Sequence[Laid]) -> str:
    """What the metal shows by then of holes that wait: the paper is off, if there was one."""
    pilots = [h for h in holes if h.work.pilot_from]
    marks = [h for h in pricked(layout, laid) if h in holes and h not in pilots]
    bare = [h for h in holes if h not in pilots and h not in marks]
    said = [f"the pilot{'s' if len(pilots) > 1 else ''} of {named(pilots)}"] if pilots else []
    if marks:
        said.append(f"a pricked mark of {named(marks)}, to compare with")
    if bare:
        said.append(f"of {named(bare)} nothing")
    return f"In the metal now: {'; '.join(said)}."


def _wait_step(layout: PanelLayout, holes: Sequence[PanelHole], laid: Sequence[Laid]) -> Step:
    """The holes that are not made with their panel, with what each waits for."""
    waits: dict[str, list[PanelHole]] = {}
    for hole in holes:
        words = when_words(hole.work, hole.final_dia_mm, hole.there_mm, layout.units)
        waits.setdefault(f"{words}, {hole.work.way}" if hole.work.way else words, []).append(hole)
    said = "; ".join(f"{named(group)}: {words}" for words, group in waits.items())
    return Step(
        do=f"Do NOT drill {named(holes)} to size yet.",
        how=f"{said[0].upper()}{said[1:]}. {_in_metal(layout, holes, laid)}",
        holes=refs(layout, holes),
    )


def _blank_steps(layout: PanelLayout) -> Iterator[Step]:
    for done in closings(layout):
        what = "; ".join(f"{h.purpose}, {format_short(h.final_dia_mm, layout.units)}" for h in done.holes)
        yield Step(
            do=f"Close {named(done.holes)}, no longer used:",
            how=f"{what}. {_closed(layout, done)}",
            holes=refs(layout, done.holes),
        )


def _closed(layout: PanelLayout, done: Closing) -> str:
    """What closes a hole, or several together, on which side, how large and how it is held."""
    hole, several = done.holes[0], len(done.holes) > 1
    if done.plug:
        return (
            f"No room for a plate: on the {done.room.face} side {done.room.ends_at} is too near. A rubber "
            "or plastic blanking plug of that size, for this sheet, with sealant; it is not in the box."
        )
    if not done.plate:
        return (
            f"No room for a plate or a plug: {done.room.ends_at} is too near on the {done.room.face} side, "
            f"{done.behind.ends_at} on the {done.behind.face} side. Have a disc of the panel's own metal "
            "welded in flush. It is not in the box."
        )
    lap = format_short(done.lap_mm, layout.units)
    size = format_short(hole.final_dia_mm + 2 * done.lap_mm, layout.units, 0)
    shape = f"{size} across, the hole" if not hole.travel_mm else "the hole"
    if several:
        shape = "one over them and all between them, each hole"
    made = riveting(done, layout.thickness_mm, layout.units)
    away = format_short(done.behind.at_mm, layout.units, 1)
    behind = (
        ""
        if made.clear
        else f" On the {done.behind.face} side {done.behind.ends_at} begins {away} from the hole's rim: "
        "leave out the rivets that would come on it."
    )
    side = done.room.face
    return (
        f"A plate on the {side} side, {shape} plus {lap} all round: that much fits there. Cut it from sheet "
        f"of the panel's own metal, {format_short(made.plate_mm, layout.units)} thick, and paint it. "
        f"{capital(rivet_words(made, layout.units))}, evenly on a line {_line(made, layout.units)} from the "
        f"hole's rim, about {format_short(made.pitch_mm, layout.units, 0)} apart, none straight toward "
        f"{done.behind.ends_at} ({done.behind.face} side). Look what is behind first.{behind} "
        f"Drill through plate and panel together from the {side} side: "
        f"{drill_words(made, layout.units)}. Tape and a clamp hold the plate for the first hole, {NO_HAND}; "
        f"{'its own bolt' if made.bolted else PIN} in that holds it for the others. "
        f"Take it off, deburr, {SEALANT} round the hole, then "
        f"{'bolt it on, heads on' if made.bolted else 'rivet from'} the {side} side. "
        "None of it is in the box."
    )


def _line(made: Riveting, units: UnitSystem) -> str:
    """How far from the rim the rivets stand: rounded by a tenth of a millimetre at most."""
    return format_short(made.line_mm, units, 1)


PIN = "a bolt M3 or No. 4 with its nut"
"""It goes through a hole for a rivet of 3.2 mm or 1/8 in. Common practice, no source."""

SEALANT = "body sealant that stays soft (polyurethane or butyl)"
"""Common practice, no source."""


SOFT = ("stays soft", "polyurethane", "butyl")


def is_soft(words: str) -> bool:
    """True where the words of a sealant say that it is of that kind."""
    return any(kind in words.lower() for kind in SOFT)


def rivet_words(made: Riveting, units: UnitSystem) -> str:
    """How many of what: ``6 blind rivets 3.2 mm, closed end, for a grip of 2.4 mm``.

    Closed ends let no water through (ISO 15973, from memory).
    """
    grip = format_short(made.grip_mm, units, 1)
    if made.bolted:
        return f"{made.count} bolts {BOLT_WORDS[units]} with washers and locking nuts, for a grip of {grip}"
    return f"{made.count} blind rivets {RIVET_WORDS[units]}, closed end, for a grip of {grip}"


def drill_words(made: Riveting, units: UnitSystem) -> str:
    """The drill for rivets or bolts of a plate."""
    return (BOLT_DRILL_WORDS if made.bolted else DRILL_WORDS)[units]


def plate_words(layout: PanelLayout, done: Closing, *, sealed: bool = False) -> str:
    """What one has to bring to close old holes, in a list; ``sealed`` where sealant goes along."""
    if done.plug:
        size = format_short(done.holes[0].final_dia_mm, layout.units)
        return f"a rubber or plastic blanking plug for {size} in this sheet{'' if sealed else '; sealant'}"
    if not done.plate:
        return "a disc of the panel's own metal, and a welder"
    made = riveting(done, layout.thickness_mm, layout.units)
    thick = format_short(made.plate_mm, layout.units)
    tail = "" if sealed else f"; {SEALANT}"
    return f"a plate of the panel's own metal, {thick}; {rivet_words(made, layout.units)}{tail}"
