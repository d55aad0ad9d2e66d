"""Hoses on the install sheet: the list of lengths, and one step for each hose."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from generators.figures import fixed, format_length, format_short
from generators.model.hose_path import Arc, HosePath
from generators.model.install import HosePicture, Listing, Step, StepTable
from generators.model.joints.fasteners import FastenerSet
from generators.model.spec.titles import capital, within
from generators.model.words import Side
from generators.routing.bench_cut import cut_words
from generators.routing.flaring import BAR_MM, BY_HAND_RAD, SPARE_MM, Making
from generators.sheets.bolting.closing import end_closure
from generators.sheets.bolting.loose import ends_first, goes_in_words, last_words, loose_end
from generators.sheets.hose_words import (
    FLATS,
    HoseLine,
    LinesSheet,
    about,
    cut_at_bench,
    end_pieces,
    end_words,
    kind_words,
    length_words,
    spanner_words,
    title_of,
    trimmed_mm,
    tube_making,
)
from generators.standards import flare_takes_mm
from generators.units import INCH_MM, UnitSystem

SLACK = "5 to 8 % longer than the string"
LEAVES: Mapping[Side, str] = {
    "cab": "toward the cab",
    "engine": "toward the engine",
    "right": "to the right",
    "left": "to the left",
    "up": "upward",
    "down": "downward",
}
"""The way the leg of an elbow points, in words."""

LINE = "\n"
"""In a long step: what follows begins a line of its own."""

LEAST_TURN_RAD = math.radians(0.5)
"""What turns less stands in no table. Ours."""


SEATS = (
    "Look at both seats first: its flares are of 37 degrees and seal on a cone that stands out. Where a seat "
    "lies down in its bore, as those of 45 degree and bubble flares do, stop: that port wants an adapter, "
    "and nothing here has been judged for it."
)
"""Of a rigid line. Common flaring tools make 45 degrees, and brake ports are often made for those (from
memory)."""


def cut_list(lines: LinesSheet, first: Mapping[str, int]) -> tuple[Listing, ...]:
    """Which hose is how long and from which step that may be believed; ``first`` step of each task by key."""
    if not lines.hoses:
        return ()
    rows = []
    for hose in lines.hoses:
        at = first.get(f"hose:{hose.spec.name}")
        if at is None:
            said, when = "not released", "no order of work: see the frame"
        elif hose.released:
            said = length_words(hose, lines.units)
            when = f"when step {at - 1} is done"
            if hose.made_up:
                when = "nothing to cut, comes made up"
            elif hose.comes == "cut":
                when = f"comes cut; trimmed at step {at}" if trimmed_mm(hose) else "nothing to cut, comes cut"
        else:
            said, when = f"measure at step {at}", hose.measure_why or "no path was found"
        rows.append((hose.title, kind_words(hose, lines.units), said, when))
    table = StepTable(
        head=("hose", "what", "length", "cut it"), rows=tuple(rows), shares=(0.22, 0.22, 0.34, 0.22)
    )
    cut = "Cut nothing before its step: both its ends must be bolted down."
    if any(loose_end(hose, lines) for hose in lines.hoses):
        cut = (
            "Cut nothing before its step: both its ends must be bolted down, or in place and finger tight "
            "where a step leaves one loose for it."
        )
    if all(hose.made_up or (hose.comes == "cut" and not trimmed_mm(hose)) for hose in lines.hoses):
        cut = "Nothing of it is to be cut. Each is fitted at its step, both its ends bolted down."
    words = (
        f"Lengths from seat to seat are along the middle. {cut} If the vehicle differs from this sheet, the "
        "vehicle is right; measure again."
    )
    return (Listing(title="Hoses and lines", words=words, table=table),)


def hose_steps(hose: HoseLine, lines: LinesSheet, fasteners: Sequence[FastenerSet] = ()) -> Iterator[Step]:
    """Cutting, leading and tightening one hose or line."""
    spec = hose.spec
    first, last = ends_first(hose, lines)
    ends = f"from the {end_words(lines, first)} to the {end_words(lines, last)}"
    met = spec.clamps if first == spec.from_ else spec.clamps[::-1]
    clamps = ", ".join(name.replace("_", " ") for name in met)
    if hose.measure_why or hose.length is None:
        yield Step(
            do=f"Measure the {within(hose.title)} now, {ends}.",
            how=f"String along the path, through its clamps, seat to seat; the hose is {SLACK}. "
            f"Never bend it tighter than {format_length(hose.radius_mm, lines.units)} to its middle.",
        )
    several = len(spec.clamps) > 1
    lead = f"Through {clamps}{', in that order' if several else ''}. " if spec.clamps else ""
    if spec.kind == "rigid":
        text = (
            f"{lead}{kind_words(hose, lines.units)}. {capital(length_words(hose, lines.units, over=False))}. "
            f"{SEATS} {_made_words(hose, lines)}{_capped(hose, lines.units).lstrip()} It must drop into both "
            f"seats by hand: a line pulled straight by its nuts cracks."
            f"{goes_in_words(hose, lines, fasteners).replace(' ', LINE, 1)}"
        )
    else:
        text = (
            f"{lead}{kind_words(hose, lines.units)}. {_cut_words(hose, lines.units)}. Bends no "
            f"tighter than {format_length(hose.radius_mm, lines.units)} to its middle, straight where it "
            "leaves "
            "each fitting. The stripe printed on the hose must not wind round it"
        )
        text += "." if spec.pushed_on else ": hold the hose while its nut turns."
    for end, adapter in ((spec.from_, spec.from_adapter), (spec.to, spec.to_adapter)):
        if adapter is not None:
            text += f" A {adapter.title} goes on the {end_words(lines, end)} first."
    for end, on in ((spec.from_, spec.from_end), (spec.to, spec.to_end)):
        if on is not None and on.drop_mm is not None:
            text += (
                f" At the {end_words(lines, end)} turn its {math.degrees(on.angle_rad):.0f} degree elbow so "
                f"that the hose leaves it {LEAVES[on.toward]}, and hold it there while its nut turns; the "
                "hose's length counts from the axis of the elbow's seat."
            )
    # a tube is blown clean when it is flared, before it is put on: its words come before those of its way in
    text += _capped(hose, lines.units) if spec.kind == "hose" else ""
    text += f" The end at the {end_words(lines, first)} goes on first."
    text += _loose(hose, lines) + _tighten(hose) + last_words(hose, lines, fasteners)
    if spec.clamps:
        text += f" Then close the clamp{'s' if several else ''}."
    fit = Step(do=f"Fit the {within(hose.title)}, {ends}.", how=text)
    if hose.path is not None:
        fit = replace(
            fit,
            pictures=(
                HosePicture(hose=spec.name, view="side"),
                HosePicture(hose=spec.name, view="driver"),
            ),
        )
        if spec.kind == "rigid":
            bends = _bend_table(hose, hose.path, lines)
            straight = "" if bends else " It is straight from end to end."
            fit = replace(fit, how=fit.how + straight, tables=bends)
    yield fit


def _cut_words(hose: HoseLine, units: UnitSystem) -> str:
    """How long it is cut, or how that follows from what was measured, at the head of a sentence."""
    if not hose.measure_why and hose.length is not None:
        return capital(length_words(hose, units))
    less = format_short(2 * hose.spec.end_mm, units)
    return f"Cut it {less} shorter than you measured: that is in its two ends"


def _capped(hose: HoseLine, units: UnitSystem) -> str:
    """What keeps dirt and water out of it until both ends are on: its nuts are on by then."""
    plug = end_closure(hose, units, ready=True)
    end, out = plug.word, "off" if plug.word == "cap" else "out"
    if hose.spec.made_up_mm is not None and hose.spec.pushed_on:
        return (
            f" It comes as long as it is to be and is pushed on bare pipe, so it has no fittings: leave its "
            f"{end}s in; take each {out} only when that end is joined, the pipe's with it."
        )
    if hose.made_up:
        return (
            f" It comes made up: leave its ends on and its {end}s in; take each {out} only when that end is "
            "joined, the port's with it."
        )
    on = f"plug both nuts ({plug.item})" if end == "plug" and not hose.spec.pushed_on else f"{end} both ends"
    # pushed on its pipes it has no ends of its own, and a tube's are flared by now
    if hose.spec.kind == "hose" and not hose.spec.pushed_on:
        on = f"fit its two ends as their maker says, blow through again, {on}"
    return (
        f" Blow it clean, {on} and leave them so; take each {out} only when that end is joined, the port's "
        "with it."
    )


def _loose(hose: HoseLine, lines: LinesSheet) -> str:
    """What is done with the end of a hose whose component has no place yet."""
    decision = next((x for x in lines.decided if x.hose == hose.spec.name), None)
    if decision is None:
        return ""
    component = within(title_of(lines.component(decision.component)))
    numbers = [n for n in decision.holes if n in lines.places[decision.component].holes]
    if not decision.part or not numbers:
        on = f", held on its {lines.part_title(decision.part)}," if decision.part else ""
        return f" The {component}{on} is still loose: fit the hose to it and let both hang freely."
    part = lines.part_title(decision.part)
    return (
        f" The {component} is still loose, its holes not yet in the panel. Tie it to the {part}, over the "
        f"part's own holes {' and '.join(numbers)}, with a cable tie through them and its foot, so that the "
        "part still lies flat; fit the hose to it and let both hang freely."
    )


def _tighten(hose: HoseLine) -> str:
    if any(item == "hose clip" for item, _size, _count in end_pieces(hose)):
        # how tight: common practice, no source
        return (
            " Both hose clips past the bead of the pipe, as tight as their maker says; without a "
            "figure, until the hose just bulges at the edge of the band."
        )
    flats = FLATS.get(hose.spec.dash)
    turn = f"{flats} flats" if flats else "the turn its maker gives"
    spanner = spanner_words(hose)
    turned = f"with a {spanner}" if spanner else "with a spanner"
    own = "line" if hose.spec.kind == "rigid" else "hose"
    return (
        f" Then the two nuts of the {own} itself, in that order: both finger tight, then {turn} more "
        f"{turned}; a second spanner holds the fitting."
    )


def _made_words(hose: HoseLine, lines: LinesSheet) -> str:
    """Cutting, flaring, bending and trimming one tube, in the order in which it can be done."""
    made, spec, units = tube_making(hose), hose.spec, lines.units
    ends = [f"the end for the {end_words(lines, end)}" for end in (spec.from_, spec.to)]
    early = [end for end, first in zip(ends, made.early, strict=True) if first]
    late = [end for end, first in zip(ends, made.early, strict=True) if not first]
    bent = _is_bent(hose, made)
    spare, each = format_short(made.spare_mm, units, 3), format_short(SPARE_MM, units, 3)
    over = f", {each} of it over at {_and(late)}" if late else ""
    if hose.made_up:
        steps = ["it comes made up, nuts on and both ends flared"]
    elif not hose.measure_why and hose.length is not None:
        long = cut_words(cut_at_bench(hose, units), units)
        steps = [f"it comes cut to {long}{over}" if hose.comes == "cut" else f"cut it {long} long{over}"]
    else:
        steps = [f"cut it {f'{spare} longer' if late else 'as long'} as you measured{over}"]
    if tried_in_wire(hose):
        steps = [
            "try a wire, bent by the table, in place before anything else: of this tube nothing is trimmed. "
            "Where the wire does not lie in both seats by itself, stop: cut and bend nothing, measure "
            "where it is out and how far, and ask, as the head of this sheet says",
            *steps,
        ]
    if early and not hose.made_up:
        nut, bar = about(made.nut_mm, units), about(BAR_MM, units)
        why = (
            f", before anything is bent: a nut does not pass a bend, and nut with sleeve (about {nut}) and "
            f"flaring bar (about {bar}) find no room there later"
        )
        steps.append(f"nut and sleeve on and flare {_and(early)}{why if bent else ''}")
    if bent:
        steps.append(f"bend as the table says{_marks_words(hose, made, early, units)}")
    if late:
        flare = flare_takes_mm(spec.dash)
        beyond = f" and {format_short(flare, units, 1)} more for the flare" if flare else ""
        which = "each end" if len(late) > 1 else late[0]
        steps.append(
            f"try it in place and trim {which} to where its seat is{beyond}, which should take "
            f"{format_short(SPARE_MM, units, 3)} off"
        )
        steps.append(f"nut and sleeve on and flare {'both ends' if len(late) > 1 else 'that end'}")
    said = ";\n".join(f"({k}) {words}" for k, words in enumerate(steps, 1))
    short = (
        ""
        if made.fits
        else (
            f" A nut with its sleeve, about {about(made.nut_mm, units)}, has no room between flare "
            f"and bend: stop and ask before you {'bend' if hose.made_up else 'cut'}."
        )
    )
    return f"In this order:\n{said}.{short}\n"


def tried_in_wire(hose: HoseLine) -> bool:
    """True for a tube both of whose ends are flared before it is bent: nothing of it is trimmed after."""
    if hose.spec.kind != "rigid":
        return False
    made = tube_making(hose)
    return all(made.early) and (_is_bent(hose, made) or not hose.made_up)


def _is_bent(hose: HoseLine, made: Making) -> bool:
    return hose.path is not None and math.isfinite(min(made.straight_mm))


def _marks_words(hose: HoseLine, made: Making, early: Sequence[str], units: UnitSystem) -> str:
    """Where the bends are marked from: the flared seat, or the cut end with what is left over there."""
    if early:
        return ", which counts from the seat flared " + ("already" if hose.made_up else "now")
    # no hand marks finer; and what is printed as parts and sum adds up
    shift = _as_printed(SPARE_MM, units) + _as_printed(flare_takes_mm(hose.spec.dash), units)
    return (
        f": it counts from the seat to be; from the cut end every mark lies {format_short(shift, units, 1)} "
        "further on"
    )


def _as_printed(mm: float, units: UnitSystem) -> float:
    """A length as it is printed for a hand mark, in mm: to 0.1 mm, or to a thousandth of an inch."""
    return round(mm, 1) if units == "metric" else round(mm / INCH_MM, 3) * INCH_MM


def _and(words: Sequence[str]) -> str:
    return " and ".join(words)


def _bend_table(hose: HoseLine, path: HosePath, lines: LinesSheet) -> tuple[StepTable, ...]:
    """Straights and bends of a rigid line in order, each bend's plane against the last.

    They count from the end that is flared before it is bent; where neither is or both are, from the first.
    """
    turned = tube_making(hose).early == (False, True)
    start = hose.spec.to if turned else hose.spec.from_
    rows: list[tuple[str, ...]] = []
    last: Arc | None = None
    run = 0.0
    for segment in reversed(path.segments) if turned else path.segments:
        if isinstance(segment, Arc) and segment.sweep_rad >= LEAST_TURN_RAD:
            words = (
                ["the first"] if last is None else [f"turned {_turned(last, segment):.0f} deg from the last"]
            )
            if segment.sweep_rad < BY_HAND_RAD:
                words.append("by hand, as the clamps pull it in")
            turn = "; ".join(words)
            rows.append(
                (
                    _point(run, lines.units),
                    f"{math.degrees(segment.sweep_rad):.1f} deg",
                    format_short(segment.radius_mm, lines.units, 3),
                    turn,
                )
            )
            last = segment
        run += segment.length_mm
    if not rows:
        return ()
    return (
        StepTable(
            head=("bend begins at", "by", "radius", "plane"),
            rows=tuple(rows),
            shares=(0.2, 0.14, 0.16, 0.5),
            lead=f"Along the middle of the tube, from its seat in the {end_words(lines, start)}:",
        ),
    )


def _turned(a: Arc, b: Arc) -> float:
    cosine = sum(x * y for x, y in zip(a.axis, b.axis, strict=True))
    return math.degrees(math.acos(max(-1.0, min(1.0, cosine))))


def _point(run_mm: float, units: UnitSystem) -> str:
    """Where along a tube a bend begins."""
    return f"{fixed(run_mm, 1)} mm" if units == "metric" else format_short(run_mm, units)
