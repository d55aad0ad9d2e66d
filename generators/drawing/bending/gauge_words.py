"""Where the gauge's fingers stand, what lies past the stop, and which way a part slides off its tool."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from generators.bending.gauging.stops import FACE_MM
from generators.bending.steps import AnyStep, Past, Reach, Step, SwingsBy
from generators.drawing.bending.blank import bend_frame, edge_letters, sides_of
from generators.drawing.bending.figures import least, most, shown
from generators.drawing.part.tables.corners import Corner, Point, corners_of
from generators.figures import fixed, format_short
from generators.model.plan import PartPlan
from generators.model.spec.tools.press import BackGauge
from generators.sheetmetal.allowance import BENDS_SHARE
from generators.sheetmetal.folding import flat_pattern
from generators.units import UnitSystem

SAME_MM, WHOLE_MM, LEAST_MM = 1e-6, 0.05, 0.1
UNKNOWN = (
    "What a step says lies past its stop must pass the gauge's arms and beam too: nobody has told where "
    "they are. Where it cannot, take the gauge away and bend to the line of the drawing's BENDS, scribed on "
    "the blank."
)

CLEAR = "No finger nor what holds it may reach in there."


def standing(plan: PartPlan, step: Step, units: UnitSystem) -> str:
    """``, 8.0 to 35.9 mm from h``: from where to where fingers touch a stop, from a corner of the drawing.

    On the face of a bent flange it is measured along the bend, with how high that face begins to be flat.
    ``anywhere on it`` where a whole side is free.
    """
    stop = step.stop
    if stop.on == "edge" and _whole(plan, step):
        return ", anywhere on it"
    letter, near, far = _seat(plan, step)
    low = least(near, units).split(" ")[0]
    said = f", {low} to {most(far, units)} from {letter}"
    if stop.on == "edge":
        return said
    side = "below" if stop.below else "above"
    return f"{said} along the bend, touching it {least(stop.clear_mm, units)} or more {side} the die's top"


def past_ends(plan: PartPlan, step: Step, units: UnitSystem) -> str:
    """``, and may stand 7.4 mm past either end of that``: a finger wider than its edge, by its room there.

    Empty where it stands on the edge alone.
    """
    stop, (low, high) = step.stop, step.stop.fingers_x
    over = stop.low_x - low, high - stop.high_x
    if max(over) < LEAST_MM:
        return ""
    letter, near, _ = _seat(plan, step)
    frame = bend_frame(flat_pattern(plan), step)
    corner = next(c for c in corners_of(flat_pattern(plan).contour) if c.letter == letter)
    at = frame.along(corner.place)
    first = abs(abs(frame.along_of(stop.low_x) - at) - near) < SAME_MM
    here, there = over if first else over[::-1]
    if abs(here - there) < SAME_MM:
        return f", and may stand {most(here, units)} past either end of that"
    if here < LEAST_MM:
        return f", and may stand {most(there, units)} past the end of that farther from {letter} alone"
    said = f", and may stand {most(here, units)} past the end of that nearer {letter}"
    return f"{said} alone" if there < LEAST_MM else f"{said} and {most(there, units)} past the other"


def lean_words(steps: Sequence[AnyStep], gauge: BackGauge, plan: PartPlan) -> tuple[str, ...]:
    """``A flange at a stop: bend it within 0.3° first.``: what leans touches a finger's far end first.

    That takes no more of a length than blank, stop and bends have; none where any flange within its angle's
    limits does, or no stop is against one.
    """
    within = math.atan2(BENDS_SHARE * plan.bent_mm, gauge.finger_height_mm)
    if within >= plan.bent_rad or not any(isinstance(s, Step) and s.stop.on == "flange" for s in steps):
        return ()
    degrees = math.degrees(within)
    places = 1 if degrees >= 0.1 else 2
    said = fixed(math.floor(degrees * 10**places + 1e-6) / 10**places, places)
    return (f"A flange at a stop: bend it within {said}° first.",)


def _whole(plan: PartPlan, step: Step) -> bool:
    """True where all of the straight side a stop is against may be touched."""
    flat, pair = flat_pattern(plan), edge_letters(plan, step)
    ends = next((side for letters, side in sides_of(flat) if letters == pair), None)
    return ends is not None and step.stop.long_mm > math.dist(*ends) - WHOLE_MM


def _seat(plan: PartPlan, step: Step) -> tuple[str, float, float]:
    """A corner's letter, and how far from it, along the bend, what may be touched begins and ends, mm."""
    flat, stop = flat_pattern(plan), step.stop
    frame = bend_frame(flat, step)
    low, high = sorted((frame.along_of(stop.low_x), frame.along_of(stop.high_x)))
    corners = corners_of(flat.contour)
    named = edge_letters(plan, step)
    if named is not None:
        two = [c for c in corners if c.letter in named]
    else:
        two = [c for c in corners if not low + SAME_MM < frame.along(c.place) < high - SAME_MM]
        two = [min(two or corners, key=lambda c: _off(c, frame.ends(stop.distance_mm, low, high)))]

    def reached(corner: Corner) -> tuple[float, float]:
        at = frame.along(corner.place)
        near, far = sorted((abs(low - at), abs(high - at)))
        return near, far

    corner = min(two, key=lambda c: (round(reached(c)[0], 6), c.letter))
    return corner.letter, *reached(corner)


def _off(corner: Corner, ends: tuple[Point, Point]) -> float:
    return min(math.dist(corner.place, end) for end in ends)


def past_lines(step: Step, units: UnitSystem) -> Iterator[str]:
    """``PAST THE STOP: left cheek 188.7 mm, 13.2 mm beside the fingers.``"""
    if step.stop.past:
        yield f"PAST THE STOP: {'; '.join(_past(p, units) for p in step.stop.past)}."


def swings_by_lines(step: Step, units: UnitSystem) -> Iterator[str]:
    """``SWINGS PAST THE STOP: right cheek 23.8 mm, 36.0 mm beside the fingers. …``"""
    if step.swings_by:
        said = "; ".join(_swings_by(s, units) for s in step.swings_by)
        yield f"SWINGS PAST THE STOP as it is bent: {said}. {CLEAR}"


def _swings_by(one: SwingsBy, units: UnitSystem) -> str:
    far = f"{shown(one.flange)} {least(one.past_mm, units)}"
    if one.at == "beside":
        return f"{far}, {most(one.beside_mm, units)} beside the fingers"
    if one.at == "over":
        side, low = (
            ("over", most(one.low_mm, units)) if one.low_mm >= 0 else ("under", least(-one.low_mm, units))
        )
        return f"{far}, over the fingers, {low} {side} the die's top"
    return f"{far}, {one.at} the fingers"


def draw_back_mm(step: Step) -> float:
    """How far the gauge must draw back as the stroke begins, mm; 0 where nothing swings out past its stop."""
    return 0.0 if step.swings_out is None else step.swings_out.far_mm - step.stop.distance_mm


def draw_back_lines(step: Step, units: UnitSystem) -> Iterator[str]:
    """``DRAW BACK the gauge 29.4 mm or more as the stroke begins, …: base swings out to 79.2 mm.``"""
    if step.swings_out is not None:
        back, far = least(draw_back_mm(step), units), least(step.swings_out.far_mm, units)
        name = shown(step.swings_out.flange)
        yield (
            f"DRAW BACK the gauge {back} or more as the stroke begins, or take it away once the punch "
            f"holds the sheet: {name} swings out to {far}."
        )


def drawn_back_words(steps: Sequence[AnyStep], units: UnitSystem) -> str:
    """How far the brake's gauge must draw back, for its figures; empty where no step asks for it."""
    these = [(n, s) for n, s in enumerate(steps, 1) if isinstance(s, Step) and s.swings_out is not None]
    if not these:
        return ""
    word, numbers = "steps" if len(these) > 1 else "step", ", ".join(str(n) for n, _ in these)
    far = least(max(draw_back_mm(s) for _, s in these), units)
    return f"; drawn back {far} in {word} {numbers}"


def low_words(gauge: BackGauge, steps: Sequence[AnyStep], units: UnitSystem) -> str:
    """How far below the die's top the brake's fingers go, and how far a step asks; empty where none does."""
    these = [(n, s) for n, s in enumerate(steps, 1) if isinstance(s, Step) and s.stop.below]
    if not these:
        return ""
    word, numbers = "steps" if len(these) > 1 else "step", ", ".join(str(n) for n, _ in these)
    asked = least(max(s.stop.clear_mm for _, s in these) + FACE_MM, units)
    goes = format_short(gauge.below_mm, units)
    return f"; lower edge {asked} to {goes} below the die's top in {word} {numbers}"


def _past(past: Past, units: UnitSystem) -> str:
    far = f"{shown(past.flange)} {least(past.past_mm, units)}"
    if past.at == "beside":
        return f"{far}, {most(past.beside_mm, units)} beside the fingers"
    return f"{far}, {past.at} the fingers"


def beam_words(gauge: BackGauge, units: UnitSystem) -> str:
    """Where the gauge's beam is by the shop, for the brake's figures; empty where nobody has told."""
    if gauge.beam_behind_mm is None:
        return ""
    behind = f", beam {format_short(gauge.beam_behind_mm, units)} behind their faces"
    if gauge.beam_top_mm is None:
        return behind
    level = "over" if gauge.beam_top_mm >= 0 else "under"
    return f"{behind}, its top {format_short(abs(gauge.beam_top_mm), units)} {level} the die's"


def lift_words(step: Step, units: UnitSystem) -> str:
    """What is done before a part round the punch is slid off: ``raise the ram 26.4 mm or more first, …``."""
    if step.lift is None:
        return ""
    hangs = f"{shown(step.lift.flange)} hangs beside the die, below its top"
    held = f"the part held against the punch with a bar, not by hand ({hangs})"
    return f"raise the ram {least(step.lift.up_mm, units)} or more first, {held}, and "


def slide_words(reach: Reach, tool: str, first: str = "") -> str:
    """Which way a part that stays round a tool is slid off: the tool leaves by an end nothing stands at.

    Right and left are the operator's, who faces the gauge.
    """
    stays = f"The part stays round the {tool}: {first}slide it off"
    if not reach.left and not reach.right:
        return f"{stays} to either side."
    way, out, shut = ("left", "right", reach.left) if reach.left else ("right", "left", reach.right)
    named = shown(shut)
    return f"{stays} to your {way}, the {tool} out at its {out} end; flange {named} closes the {way} one."
