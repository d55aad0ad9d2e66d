"""Setting and bleeding a pedal once everything is fitted: the steps, with the numbers of this job.

The order is common practice, no source: the rods to begin with, because a full stroke on a wrong one drives
something past its end; bleed with the full stroke, because a stop set too early hides air; then the play
again, then the stop; then prove the release by hand, with nothing turning.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from generators.figures import format_short
from generators.hydraulics.brake import BrakeResult
from generators.hydraulics.pedal_sheet import PedalSheet
from generators.hydraulics.result import ClutchResult
from generators.hydraulics.window import StopWindow
from generators.model.findings import Finding
from generators.model.install import Step
from generators.sheets.pedal.words import (
    N_PER_LBF,
    SAME_MM,
    both,
    difference,
    floor_sentence,
    fluid_words,
    in_both,
    inches,
    length,
    mpa,
    newton,
    rod_words,
    stop_to_set,
    stop_words,
)
from generators.units import UnitSystem

RELEASE = "Check the release by hand."
HOLD = "Press and hold for a full minute."
"""How long: common practice, no source."""

Words = Iterator[tuple[str, str]]
"""Orders with how each is done."""

CLUTCH_CAUTIONS = (
    "Wheels chocked, drive wheels off the ground, vehicle on stands on firm level ground. Engine off and "
    "gear in neutral unless a step says otherwise.",
    "Fluid harms paint, eyes and skin: gloves, glasses, cover. One type only, fresh from a sealed bottle. "
    "Fluid that was bled out is waste.",
    "Hands clear of pedal, fork and rods while somebody is at the pedal; where a step has the bleed screw "
    "turned, the spanner alone is there. If a step fails, do not drive: have a licensed mechanic look at it.",
)
BRAKE_CAUTIONS = (
    "Brakes: have this work done or inspected by a licensed mechanic before the vehicle moves, and follow "
    "local codes. If the maker of axle, brakes or cylinders says otherwise, follow the maker.",
    "Wheels chocked, vehicle on stands on firm level ground, engine off. Nobody under it while a helper "
    "is at the pedal.",
    "Fluid harms paint, eyes and skin, and on linings it ruins them. One type only, fresh from a sealed "
    "bottle.",
)


def cautions(sheet: PedalSheet, findings: Sequence[Finding]) -> tuple[str, ...]:
    """What stands in the frame above the steps; a waived rule of this pedal comes first."""
    waived = tuple(
        f"WAIVED {f.code}: {f.found}; limit {f.wanted}. {f.advice[:1].upper()}{f.advice[1:]}."
        for f in findings
        if f.waived and f.where.split()[0] == f"pedal:{sheet.spec.name}"
    )
    return (*waived, *(CLUTCH_CAUTIONS if sheet.clutch is not None else BRAKE_CAUTIONS))


def pedal_steps(sheet: PedalSheet) -> Iterator[Step]:
    """Steps of setting and bleeding one pedal."""
    for do, how in _pedal_words(sheet):
        yield Step(do=do, how=how)


def _pedal_words(sheet: PedalSheet) -> Words:
    if sheet.clutch is not None:
        yield from _clutch_steps(sheet, sheet.clutch)
    if sheet.brake is not None:
        yield from _brake_steps(sheet, sheet.brake)


def _rod_step(sheet: PedalSheet, play_mm: float) -> tuple[str, str]:
    """The rod set to length and on its pin: without it nobody can bleed with the pedal."""
    u = sheet.units
    rod = sheet.rod_length_mm
    play = (
        f"At rest that leaves {both(play_mm, u)} between rod and piston: check by hand. "
        if play_mm > SAME_MM
        else "At rest that leaves NO play between rod and piston, so the port may stay closed. "
    )
    return (
        f"Set the pushrod: {rod_words(sheet)}. Connect it to the pedal.",
        f"Centre of the pin to the tip in its seat, {both(rod, u)}, pedal back against what stops it at "
        "rest: the rod is not to. If length and play do not both come out, the play decides. "
        f"{play}Lock the nut, put the clevis pin in and secure it.",
    )


def _clutch_steps(sheet: PedalSheet, result: ClutchResult) -> Words:
    u = sheet.units
    clutch, window = result.setup.clutch, result.window
    yield _rod_step(sheet, result.rod_play_mm)
    block, held = _block_step(result, u)
    yield from block
    stop = stop_to_set(window)
    # where the floor stops the pedal, or nothing may, there is no stop to back off
    to_set = stop is not None and not window.floor_stops
    end = "the floor" if window.floor_stops else "the stop"
    yield from _slave_rod_to_begin(sheet, clutch.free_play_mm * clutch.fork_ratio)
    yield (
        f"Fill the reservoir, mounted higher than everything else, with {fluid_words(sheet)}.",
        "Fresh, from a sealed bottle. The line climbs all the way from slave to reservoir, with no loop in "
        "which air can stay. Keep the "
        "reservoir topped up through all that follows.",
    )
    yield (
        f"Bleed with the full stroke{', before any stop is set' if to_set else ''}.",
        f"{'Back the pedal stop off. ' if to_set else ''}Slave's bleed screw at its highest point, hose from "
        f"it into fluid. Helper presses slowly {held} and holds; open it, close it; helper lets the pedal "
        "come back slowly. Repeat until no bubble comes, then look at every joint under pressure.",
    )
    if clutch.free_play_mm > SAME_MM:
        pair = format_short(clutch.free_play_mm, "metric", 4), inches(clutch.free_play_mm)
        free_play = "{} ({})".format(*(pair if u == "metric" else pair[::-1]))
        yield (
            f"Set the free play at the bearing: {free_play}.",
            f"At the slave that is {length(clutch.free_play_mm * clutch.fork_ratio, u)} of free movement "
            f"of its rod, by hand. {_play_set_by(sheet)}",
        )
    away = "Take the block out. " if block else ""
    if stop is None:
        yield (
            "Do not set the stop: no stop is right for this pedal.",
            "Wherever it is put, the clutch drags or something is pushed past its end: parts must be changed "
            f"first. Leave the vehicle off the road. {floor_sentence(result.linkage, u)}",
        )
    elif window.floor_stops:
        yield (
            f"Check that {stop_words(window, u)}.",
            f"Measured at the middle of the pad along its arc, {_other(stop, u)} from rest, covering in "
            "place. "
            f"With the covering out it comes to {length(window.gone_mm, u)}{past_the_covering(window, u)}. "
            f"{_floor_limits(window, u)}A thicker mat takes release away. "
            f"{floor_sentence(result.linkage, u)}",
        )
    else:
        yield (
            f"Then {stop_words(window, u)}.",
            f"{away}Measured at the middle of the pad along its arc, {_other(stop, u)} from rest. Anything "
            f"between {length(window.earliest_mm, u)} and {length(window.bolt_latest_mm, u)} is right; later "
            "than that, "
            f"{window.limits[0].label}. The stop takes the foot's whole force: metal to metal, bolted, "
            f"locked. {floor_sentence(result.linkage, u)}",
        )
    held_at = "the block" if stop is None and block else end
    yield (
        HOLD,
        f"Wipe every joint and both cylinders dry first. Helper presses to just short of {held_at} and keeps "
        f"the foot still, {_force(result.peak_effort_n, u)} at the most. {_TIGHT} If it creeps and all is "
        "dry, fluid passes the master's seal or air is left: bleed once more, and if it still creeps, "
        "do not drive. Against "
        f"{held_at} itself nothing can be seen to sink. (Common practice, no source.)",
    )
    yield (
        RELEASE,
        "Engine off, ignition key out, drive wheels raised, vehicle on stands, the other wheels chocked. In "
        "gear, turn a drive wheel by hand while the opposite one is kept from turning: it must be held. "
        f"Helper presses to {end}: now it must turn freely. Let the pedal up slowly and note where it is "
        f"held again: {_release_words(window, stop, end, u)}",
    )
    yield (
        "Check that fluid comes back.",
        "Lid off: as the pedal is let go, a small swirl in the reservoir shows the port open. No swirl: the "
        "rod holds the piston; shorten it until there is play, then bleed again.",
    )
    free = f"Free play still {format_short(clutch.free_play_mm, u, 4)} at the bearing, rod"
    if clutch.free_play_mm <= SAME_MM:
        free = "Rod"
    yield (
        "Measure again.",
        f"Ten full strokes, wait five minutes, ten more. {free} play still there, {end.removeprefix('the ')} "
        f"{'met where it was' if end == 'the floor' else 'still where it was'}, "
        f"level unchanged, no joint wet. Then find again, as in the step '{RELEASE.rstrip('.')}' and with "
        "its precautions, where the clutch is held again: if that has moved from what was noted there, there "
        "is air or a leak: do not drive.",
    )


_TIGHT = (
    "Meanwhile the pedal may not sink, no joint may be wet, and let go it comes back to rest by itself; then "
    "look at every joint again with dry paper."
)


def _force(value_n: float, u: UnitSystem) -> str:
    """``139 N (31 lbf)``, or the other way round."""
    pair = newton(value_n), f"{value_n / N_PER_LBF:.0f} lbf"
    return "{} ({})".format(*(pair if u == "metric" else pair[::-1]))


def release_words(sheet: PedalSheet) -> str:
    """Where a clutch is held again and what must be left from there, as in the check by hand; or nothing."""
    if sheet.clutch is None:
        return ""
    window = sheet.clutch.window
    end = "the floor" if window.floor_stops else "the stop"
    return _release_words(window, stop_to_set(window), end, sheet.units)


def _floor_limits(window: StopWindow, u: UnitSystem) -> str:
    """Between which travels the floor may be met, as measured with the covering in place."""
    if window.empty or not math.isfinite(window.latest_mm):
        return ""
    return (
        f"Anything from {length(window.earliest_mm, u)} to {length(window.latest_mm, u)} is right; outside "
        "it stop: the clutch drags, or is pushed past its end. "
    )


def _release_words(window: StopWindow, stop: float | None, end: str, u: UnitSystem) -> str:
    """Where the clutch should release and what least must be left to the stop: the margin of the spec."""
    if stop is None or window.releases_mm > stop:
        return f"that must be well before {end}."
    return (
        f"this sheet expects that near {length(window.releases_mm, u)} of pad travel. At least "
        f"{difference(window.earliest_mm, window.releases_mm, u)} must be left from there to {end}: "
        "with less, a warm or worn clutch drags: do not drive."
    )


def _slave_rod_to_begin(sheet: PedalSheet, play_mm: float) -> Words:
    """What moves the fork, set before the first full stroke: a wrong length is pushed past an end by it.

    ``play_mm`` is the play of the spec at the slave. A ring in the bell housing has nothing to turn.
    """
    slave = sheet.spec.slave
    if slave is not None and slave.kind == "concentric":
        return
    what = "rod from slave to fork" if slave is not None else "length of what moves the fork"
    so = (
        f"{length(play_mm, sheet.units)} of free movement are left at it"
        if play_mm > SAME_MM
        else "it just touches at both ends, with no free movement"
    )
    yield (
        f"Set the {what} to begin with.",
        "The slave still empty, its piston pushed right in by hand and held there, the bearing against the "
        f"fingers: so long that {so}; its lock nut tight. With the first full stroke too long a one drives "
        "the fingers too far, too short a one drives the piston out of the slave. Measured again when "
        "the air is out.",
    )


def _play_set_by(sheet: PedalSheet) -> str:
    """What is turned to set the play, by the kind of slave; common practice, no source."""
    slave = sheet.spec.slave
    if slave is None:
        return "Set it by the length of what moves the fork."
    if slave.kind == "concentric":
        return "A ring in the bell housing has nothing to turn: it is set by the spacer under it."
    return (
        "It is set by the length of the rod from slave to fork: shorter for more, then its lock nut tight. A "
        "rod of fixed length is not for this."
    )


def _brake_steps(sheet: PedalSheet, result: BrakeResult) -> Words:
    u = sheet.units
    yield _rod_step(sheet, result.rod_play_mm)
    if len(result.circuits) > 1:
        front, rear = result.circuits
        yield (
            f"Set the balance bar: {front.share:.0%} of the rod force front, {rear.share:.0%} rear.",
            "The pivot lies nearer to the master with the larger share, in proportion. Both rods square to "
            "the bar at mid-travel, side clearance on both clevises, the bar free to tilt until one circuit "
            "alone takes the pedal. Lock it. Front wheels must lock before rear ones: have that tested.",
        )
    yield (
        f"Fill and bleed each circuit on its own, with {fluid_words(sheet)}.",
        "Fresh, from a sealed bottle. Adjusters set and shoes or pads seated first. Masters, then the wheel "
        "with the longest line, then "
        "the next shorter, unless the brakes' maker gives another order. Slow strokes; close the screw "
        "before the pedal comes back; never let a reservoir run low. With a balance bar bleed both "
        "circuits in turns, so that the bar does not tilt to its end.",
    )
    yield (
        "Check that fluid comes back.",
        "A small swirl in each reservoir as the pedal is let go. No swirl: shorten that rod. Wheels turn "
        "freely with the pedal up, and after ten strokes still do.",
    )
    pressures = " and ".join(f"{mpa(c.pressure_mpa)} {c.name}" for c in result.circuits)
    yield (
        HOLD,
        "Wipe every joint, master and wheel cylinder dry first. Helper presses with about "
        f"{_force(result.target_effort_n, u)} and keeps it there. {_TIGHT} If it creeps, bleed once more, "
        f"and if it still creeps, do not drive. That force should make {pressures} at about "
        f"{length(result.at_effort_mm, u)} of pad travel: compare if you have gauges. (Common practice, no "
        "source.)",
    )
    yield (
        "Fail one circuit on purpose, still on stands.",
        "Open one bleed screw into a bottle: the pedal must still work the other circuit before it meets the "
        "floor. Close it, bleed again. Have the whole brake system inspected and tested before driving. "
        f"{floor_sentence(result.linkage, u)}",
    )


def _block_step(result: ClutchResult, u: UnitSystem) -> tuple[list[tuple[str, str]], str]:
    """What keeps the pedal from going too far while there is no stop yet, and how far the helper presses."""
    window, link = result.window, result.linkage
    first = window.limits[0]
    if link.travel_mm <= window.latest_mm + SAME_MM and math.isfinite(link.travel_mm):
        covering = ", its covering put back for it to stay," if window.by_floor else ""
        return [], f"down to the floor{covering or ','} {length(link.travel_mm, u)} of pad travel,"
    if not math.isfinite(window.latest_mm):
        return [], "through the full stroke"
    thick = link.travel_mm - window.latest_mm
    set_later = stop_to_set(window) is not None and not window.floor_stops
    stays = "It stays until the stop is set." if set_later else "It stays until the pedal is put right."
    about = f", about {length(thick, u)} thick where the pad meets it" if math.isfinite(thick) else ""
    step = (
        f"Put a block under the pedal that stops it at {length(window.latest_mm, u)} of pad travel.",
        f"Wood on the floor{about}; what counts is the pad's travel, {_other(window.latest_mm, u)} along its "
        "arc from rest. Without it the pedal goes too far while the fluid is bled: at "
        f"{length(first.pad_mm, u)} {first.label}. {stays}",
    )
    return [step], "down to the block"


def past_the_covering(window: StopWindow, units: UnitSystem = "metric") -> str:
    """What comes next where the covering is gone and the bare floor is the stop."""
    others = [limit for limit in window.limits if limit.key != "floor" and math.isfinite(limit.pad_mm)]
    if not others:
        return ""
    first = min(others, key=lambda limit: limit.pad_mm)
    if window.gone_mm > first.pad_mm + SAME_MM:
        return f", too far: at {length(first.pad_mm, units)} {first.label}"
    return f", which is still right: only at {length(first.pad_mm, units)} {first.label}"


def _other(value_mm: float, units: UnitSystem) -> str:
    """A length in the unit that was not given just before: what the figure given there comes to."""
    return in_both(value_mm, units)[0 if units == "inch" else 1]
