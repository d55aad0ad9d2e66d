"""What is said of a pedal, the same on screen, in the report and on the install sheet."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from generators.figures import fixed, format_short, nearest_64th
from generators.hydraulics.brake import BrakeResult
from generators.hydraulics.linkage import Linkage, rod_for_play
from generators.hydraulics.pedal_sheet import PedalSheet
from generators.hydraulics.ranking import (
    BEATEN,
    BOTH,
    BOTTOMS,
    FLOOR,
    FRONT,
    HEAVY,
    LONG,
    RUNS_OUT,
    Flags,
    Ranking,
)
from generators.hydraulics.result import ClutchResult
from generators.hydraulics.window import StopWindow
from generators.model.spec.titles import capital, within
from generators.standards import standard_bores
from generators.units import MM_PER_INCH, UnitSystem

N_PER_LBF = 4.4482216152605
"""Newtons in one pound-force, exact: NIST SP 811, appendix B.8."""

MM_PER_IN = float(MM_PER_INCH)
SAME_MM = 0.01
_SAME_RATIO = 1e-6
_RELEASING = (FRONT, BEATEN, HEAVY, LONG, BOTH)


# ------------------------------------------------------------------------------------------ numbers
def mm(value: float) -> str:
    """``148.6 mm``; ``never`` for what the linkage never reaches."""
    return f"{fixed(value, 1)} mm" if math.isfinite(value) else "never"


def length(value_mm: float, units: UnitSystem) -> str:
    """A length in what people measure in: ``148.6 mm`` or ``5.850 in``."""
    return inches(value_mm) or "never" if units == "inch" else mm(value_mm)


def both(value_mm: float, units: UnitSystem) -> str:
    """``148.6 mm (5.850 in)``, or the other way round."""
    pair = in_both(value_mm, units)
    return "{} ({})".format(*(pair[::-1] if units == "inch" else pair))


def in_both(value_mm: float, units: UnitSystem) -> tuple[str, str]:
    """A length in mm and in inches: that of ``units`` to the nearest, the other says what that one says.

    So whoever turns one into the other by hand finds the figure that stands beside it.
    """
    if not math.isfinite(value_mm):
        return mm(value_mm), inches(value_mm)
    if units == "inch":
        return mm(float(fixed(value_mm / MM_PER_IN, 3)) * MM_PER_IN), inches(value_mm)
    return mm(value_mm), inches(float(fixed(value_mm, 1)))


def difference(longer_mm: float, shorter_mm: float, units: UnitSystem) -> str:
    """What lies between two lengths, as the difference of their figures: these two and it add up."""
    one, places = (MM_PER_IN, 3) if units == "inch" else (1.0, 1)
    figures = [float(fixed(value / one, places)) for value in (longer_mm, shorter_mm)]
    return length((figures[0] - figures[1]) * one, units)


def bought_stop(pedal: PedalSheet) -> float | None:
    """Where the stop that is bought for a clutch pedal stops its pad, mm; None where none is.

    None is where a bolt of the job or the floor stops it, or nothing may.
    """
    window = pedal.clutch.window if pedal.clutch is not None else None
    if window is None or pedal.spec.stop_bolt is not None:
        return None
    return None if window.floor_stops else stop_to_set(window)


def newton(value: float) -> str:
    """``139 N``; ``no force`` where none does it."""
    return f"{value:.0f} N" if math.isfinite(value) else "no force"


def mpa(value: float) -> str:
    """``2.66 MPa``; ``none`` where there is no such pressure."""
    return f"{fixed(value, 2)} MPa" if math.isfinite(value) else "none"


def inches(value_mm: float) -> str:
    """A length in inches, ``5.852 in``."""
    return f"{fixed(value_mm / MM_PER_IN, 3)} in" if math.isfinite(value_mm) else ""


def pounds(value_n: float) -> str:
    """A force in pounds, ``31.2 lbf``."""
    return f"{fixed(value_n / N_PER_LBF, 1)} lbf" if math.isfinite(value_n) else ""


def psi(value_mpa: float) -> str:
    """A pressure in pounds per square inch, ``386 psi``."""
    return f"{value_mpa * MM_PER_IN**2 / N_PER_LBF:.0f} psi" if math.isfinite(value_mpa) else ""


def cubic_inches(value_mm3: float) -> str:
    """A volume in cubic inches."""
    return f"{fixed(value_mm3 / MM_PER_IN**3, 2)} in3"


def bore_name(bore_mm: float, cylinder: str) -> str:
    """The usual name of a common bore, ``3/4 in``; any other in mm, or inches where they are even."""
    for row in standard_bores(cylinder):
        if abs(row.bore_mm - bore_mm) < SAME_MM:
            return row.label
    parts = bore_mm / MM_PER_IN * 64
    if abs(parts - round(parts)) < 1e-6:
        return f"{nearest_64th(bore_mm / MM_PER_IN)} in"
    return f"{fixed(bore_mm, 2)} mm"


# ------------------------------------------------------------------------------------------ verdicts
def stop_to_set(window: StopWindow) -> float | None:
    """The stop to set, mm: the spec's where it is right, else the recommended; None for an empty window."""
    if window.given and window.right:
        return window.stop_mm
    # a floor that comes first leaves no room for a stop before it
    return window.recommended_mm


def stop_name(window: StopWindow) -> str:
    """What margins are told from: ``the stop``, ``the spec's stop`` where wrong, ``the first limit``."""
    stop = stop_to_set(window)
    if stop is not None and abs(stop - window.stop_mm) < SAME_MM:
        return "the stop"
    if window.by_floor:
        return "the floor"
    return "the spec's stop" if window.given else "the first limit"


def margin_name(window: StopWindow) -> str:
    """What the margins of the limits are told from: as ``stop_name``, of a floor that stops the bare."""
    return "the bare floor" if window.by_floor else stop_name(window)


def state_name(result: ClutchResult) -> str:
    """Where ``at_stop`` was computed: past the first limit nothing is, so a stop beyond it is told there."""
    beyond = result.window.stop_mm > result.end_mm + SAME_MM
    return "at the first limit" if beyond else f"at {stop_name(result.window)}"


def rod_words(sheet: PedalSheet) -> str:
    """``rod 116.5 mm``, as printed on screen and on every sheet."""
    return f"rod {length(sheet.rod_length_mm, sheet.units)}"


def stop_words(window: StopWindow, units: UnitSystem = "metric") -> str:
    """``set the stop at 148.6 mm of pad travel``, with the middle where the spec's own stop is kept."""
    stop = stop_to_set(window)
    if stop is None:
        return "no stop is right"
    if window.floor_stops:
        return f"the floor is the stop, at {length(stop, units)} of pad travel"
    if window.by_floor:
        return (
            f"fit a stop bolt at {length(stop, units)} of pad travel (right from "
            f"{length(window.earliest_mm, units)} to {length(window.bolt_latest_mm, units)})"
        )
    middle = stop if window.recommended_mm is None else window.recommended_mm
    words = f"set the stop at {length(stop, units)} of pad travel"
    # one typed as it was printed is the one that was meant
    same = length(stop, units) == length(middle, units)
    return words if same else f"{words} (recommended {length(middle, units)})"


def floor_words(link: Linkage, units: UnitSystem = "metric") -> str:
    """``floor at 150.7 mm of pad travel``, as printed on every sheet."""
    return f"floor at {length(link.travel_mm, units)} of pad travel"


def floor_sentence(link: Linkage, units: UnitSystem = "metric") -> str:
    """Where the floor is, what it is, and how it is known."""
    said, floor = floor_words(link, units), link.frame.floor
    if floor is None or link.travel_mm < floor.travel_mm - SAME_MM:
        return f"{capital(said)}, as given for this vehicle."
    where = floor.where
    none = "no floor is in the spec; " if floor.wall else ""
    if floor.uv_mm is not None:
        what, u, v = floor.beside or ("", *floor.uv_mm)
        where = _aside(
            f"the middle of the {within(what)}" if what else "u = 0, v = 0 of its sheets", u, v, units
        )
    place = f"the {floor.by} meets {floor.what} there ({where})"
    if floor.covering_mm:
        place = (
            f"there the {floor.by} meets the covering of {format_short(floor.covering_mm, units, 4)} on "
            f"{floor.what} ({where}), and bare metal at {length(floor.bare_mm, units)}"
        )
    return f"{capital(said)}, computed: {none}{place}."


def _aside(origin: str, u_mm: float, v_mm: float, units: UnitSystem) -> str:
    """How far a place on a panel is from one that can be found on the metal, as the driver sees it."""
    aside = f"{length(abs(u_mm), units)} {'right' if u_mm >= 0 else 'left'}"
    return f"{aside} and {length(abs(v_mm), units)} {'up' if v_mm >= 0 else 'down'} from {origin}"


def expected_words(sheet: PedalSheet) -> tuple[str, ...]:
    """What verdict, report and install sheet must say of a pedal, letter by letter."""
    words = [rod_words(sheet)]
    if sheet.clutch is not None:
        words.append(stop_words(sheet.clutch.window, sheet.units))
    return tuple(words)


def sheet_words(sheet: PedalSheet) -> tuple[str, ...]:
    """What report and install sheet must say of a pedal beside its verdict's words: where the floor is."""
    answer = sheet.clutch or sheet.brake
    floor = () if answer is None else (floor_words(answer.linkage, sheet.units).removeprefix("floor "),)
    return (*expected_words(sheet), *floor)


def verdict(sheet: PedalSheet) -> str:
    """One sentence: whether the pedal does its work, and what to set."""
    if sheet.clutch is not None:
        return clutch_verdict(sheet, sheet.clutch)
    if sheet.brake is not None:
        return brake_verdict(sheet, sheet.brake)
    return "Not computed."


def clutch_verdict(sheet: PedalSheet, result: ClutchResult) -> str:
    """The verdict on a clutch pedal."""
    u = sheet.units
    window, first = result.window, result.window.limits[0]
    if window.empty:
        released = (
            f"released with margin at {length(window.earliest_mm, u)} of pad travel"
            if math.isfinite(window.earliest_mm)
            else "never released with margin"
        )
        said = (
            f"CANNOT WORK, {stop_words(window, u)}: {released}, but {first.label} at "
            f"{length(first.pad_mm, u)}"
        )
        if result.openers:
            return f"{said}. Take {result.openers[0].text}. As specified: {rod_words(sheet)}."
        return f"{said}, and no single change mends it. As specified: {rod_words(sheet)}."
    to_do = f"{stop_words(window, u)}, {rod_words(sheet)}."
    if result.rod_play_mm < -SAME_MM:
        right = rod_for_play(result.linkage, sheet.spec.rod_play_mm)
        return (
            f"ROD TOO LONG: it holds the piston {length(-result.rod_play_mm, u)} off its rest; "
            f"{length(right, u)} would "
            f"leave {format_short(sheet.spec.rod_play_mm, u, 4)} of play. As specified: {to_do}"
        )
    needed = result.setup.clutch.release_travel_mm
    if window.stop_mm < window.releases_mm - SAME_MM:
        return (
            f"DOES NOT RELEASE at {stop_name(window)} of {length(window.stop_mm, u)}: "
            f"{length(result.at_stop.release_mm, u)} at the bearing of the {format_short(needed, u, 4)} "
            f"needed; {to_do}"
        )
    if window.gone_mm > window.latest_mm + SAME_MM:
        return (
            f"STOPS TOO LATE at {length(window.gone_mm, u)}{_bare_words(result, u)}: {first.label} at "
            f"{length(first.pad_mm, u)}; {to_do}"
        )
    spare = result.at_stop.release_mm - needed - result.setup.clutch.release_margin_mm
    if window.stop_mm < window.earliest_mm - SAME_MM:
        return f"Releases, but {length(-spare, u)} short of its margin at the bearing; {to_do}"
    return f"Releases with {length(max(spare, 0.0), u)} to spare at the bearing; {to_do}"


def _bare_words(result: ClutchResult, u: UnitSystem) -> str:
    """Of a floor that is the stop, that it is the bare one, and where its covering is."""
    window, floor = result.window, result.linkage.frame.floor
    if not window.by_floor:
        return ""
    if floor is not None and floor.wall:
        return f", the bare {floor.what}, as no floor is in the spec"
    if window.stop_mm < window.gone_mm - SAME_MM:
        return f", the bare floor (its covering whole at {length(window.stop_mm, u)} is in the window)"
    return ", the bare floor"


def brake_verdict(sheet: PedalSheet, result: BrakeResult) -> str:
    """The verdict on a brake pedal."""
    u = sheet.units
    effort = newton(result.target_effort_n)
    said = " and ".join(f"{mpa(c.pressure_mpa)} {c.name}" for c in result.circuits)
    if not math.isfinite(result.at_effort_mm):
        return f"NEVER REACHES {effort}: the linkage ends at {said}; {rod_words(sheet)}."
    if result.travel_share > 1 + 1e-9:
        return (
            f"MEETS THE FLOOR before {effort}: that takes {length(result.at_effort_mm, u)} of pad travel, "
            "the floor "
            f"is at {length(result.linkage.travel_mm, u)}; {rod_words(sheet)}."
        )
    bottoms = [c.name for c in result.circuits if c.margin_mm < -SAME_MM]
    if bottoms:
        return (
            f"{' AND '.join(bottoms).upper()} MASTER BOTTOMS before {effort}: its stroke is used up first; "
            f"{rod_words(sheet)}."
        )
    short = [c for c in result.circuits if c.wanted_mpa is not None and c.pressure_mpa < c.wanted_mpa - 1e-9]
    wants = "".join(
        f"; {c.name} wants {mpa(c.wanted_mpa or 0.0)}, which asks {newton(c.needed_effort_n or math.inf)}"
        for c in short
    )
    return (
        f"{effort} on the pad makes {said} at {length(result.at_effort_mm, u)} of pad travel, "
        f"{result.travel_share:.0%} of the way to the floor{wants}; {rod_words(sheet)}."
    )


# ------------------------------------------------------------------------------------------ ranking
def own_row(ranking: Ranking, sheet: PedalSheet) -> int | None:
    """The row of the spec's own bores and ratio, None where it was not ranked."""
    if sheet.clutch is None:
        return None
    setup = sheet.clutch.setup
    same = (
        (np.abs(ranking.master_mm - setup.master.bore_mm) < SAME_MM)
        & (np.abs(ranking.slave_mm - setup.slave.bore_mm) < SAME_MM)
        & (np.abs(ranking.ratio - sheet.clutch.lever_ratio) < _SAME_RATIO)
    )
    found = np.flatnonzero(same)
    return int(found[0]) if len(found) else None


def releasing(ranking: Ranking) -> Flags:
    """True for the rows that release at all, whatever the targets say of them."""
    return np.asarray(np.isin(ranking.code, _RELEASING))


def best_rows(ranking: Ranking, count: int) -> list[int]:
    """The rows furthest inside both targets, best first; from the front where it has as many."""
    with np.errstate(invalid="ignore"):
        share = np.maximum(
            ranking.effort_n / ranking.effort_target_n, ranking.travel_mm / ranking.travel_target_mm
        )
    order = np.lexsort((share, ranking.code != FRONT, ~ranking.on_front))
    return [int(row) for row in order[releasing(ranking)[order]][:count]]


def losing_rows(ranking: Ranking) -> Iterator[int]:
    """For each way to fail the first row that fails so: a few to show why losers lose."""
    for code in (HEAVY, LONG, FLOOR, BOTTOMS, RUNS_OUT):
        rows = np.flatnonzero(ranking.code == code)
        if len(rows):
            with np.errstate(invalid="ignore"):
                over = ranking.effort_n[rows] / ranking.effort_target_n
            # the one that tempts most: lightest of those too long, shortest of those too heavy
            rank_by = ranking.travel_mm[rows] if code == HEAVY else over
            yield int(rows[np.argmin(np.where(np.isfinite(rank_by), rank_by, np.inf))])


def row_cells(ranking: Ranking, row: int) -> tuple[str, str, str, str, str, str]:
    """Master, slave, ratio, travel, effort and pressure of a row, in words."""
    return (
        bore_name(float(ranking.master_mm[row]), "master"),
        bore_name(float(ranking.slave_mm[row]), "slave"),
        f"{ranking.ratio[row]:.2f}:1",
        f"{ranking.travel_mm[row]:.0f} mm" if math.isfinite(ranking.travel_mm[row]) else "never",
        newton(float(ranking.effort_n[row])),
        mpa(float(ranking.pressure_mpa[row])),
    )


def own_standing(ranking: Ranking, row: int) -> str:
    """How the spec's own choice fares among all."""
    better = (ranking.travel_mm <= ranking.travel_mm[row]) & (ranking.effort_n <= ranking.effort_n[row])
    better &= (ranking.travel_mm < ranking.travel_mm[row]) | (ranking.effort_n < ranking.effort_n[row])
    count = int((better & releasing(ranking)).sum())
    if count == 0:
        return ranking.reason(row)
    by = int(ranking.beaten_by[row])
    example = f", for one {', '.join(row_cells(ranking, by)[:3])}" if by >= 0 else ""
    says = "is" if count == 1 else "are"
    return f"{count} of {len(ranking.ratio)} {says} both lighter and shorter{example}"


ANY_FLUID = "fluid of the one type the cylinders' makers name"


def fluid_words(sheet: PedalSheet) -> str:
    """Which fluid goes in: that of the spec, else what the makers of the cylinders say."""
    return sheet.spec.fluid.kind or ANY_FLUID
