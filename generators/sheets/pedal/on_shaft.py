"""Where a pedal sits along its shaft, and how a balance bar shares its rods: what is set with a rule."""

from __future__ import annotations

from collections.abc import Sequence

from generators.figures import format_short
from generators.hydraulics.pedal_sheet import PedalSheet
from generators.model.spec.titles import within
from generators.model.words import HANDS
from generators.sheets.pedal.words import SAME_MM, length
from generators.units import UnitSystem

PLAY = "Face one of them until hub and spacers turn freely with play one can just feel."
"""Common practice, no source."""


def across_words(pedal: PedalSheet | None, pedals: Sequence[PedalSheet]) -> str:
    """Where a pedal is set across the vehicle while it is hung: its place on the shaft, its balance bar.

    Each sentence after a blank; ``pedals`` are all of the job.
    """
    return "" if pedal is None else f"{shaft_place_words(pedal, pedals)}{bar_fit_words(pedal)}"


def shaft_place_words(pedal: PedalSheet, pedals: Sequence[PedalSheet]) -> str:
    """Where along the shaft its arm goes, and what keeps it there, each sentence after a blank.

    ``pedals`` are all of the job: those of one hanger share its shaft. Empty where nobody knows.
    """
    if pedal.cheeks_mm is None:
        return ""
    u, (left, right) = pedal.units, pedal.cheeks_mm
    words = (
        f" Along the shaft, as the driver sees it: the middle of its arm {length(left, u)} from the inner "
        f"face at the left-hand cheek, {length(right, u)} from that at the right-hand one."
    )
    row = _row(pedal, pedals)
    if row:
        words += f" From the left, on the shaft: {', '.join(row)}. {PLAY}"
    else:
        words += (
            " Spacers on the shaft on either side of the hub keep it there, each of that distance less what "
            f"the hub takes of it. {PLAY}"
        )
    if abs(pedal.spec.pad_side_mm) > SAME_MM:
        side = "right" if pedal.spec.pad_side_mm > 0 else "left"
        words += f" Its pad is {length(abs(pedal.spec.pad_side_mm), u)} to the {side} of that: a cranked arm."
    return words


def _row(pedal: PedalSheet, pedals: Sequence[PedalSheet]) -> list[str]:
    """What sits on the shaft from left to right; nothing unless every hub has its width."""
    mine = [p for p in pedals if p.spec.hanger == pedal.spec.hanger and p.cheeks_mm is not None]
    found = sorted(
        (p.cheeks_mm[0], p.cheeks_mm[1], p.spec.hub_width_mm or 0.0, p.title) for p in mine if p.cheeks_mm
    )
    if not all(hub for _, _, hub, _ in found):
        return []
    out, at = [], 0.0
    for left, _right, hub, title in found:
        out += _spacer(left - hub / 2 - at, pedal.units)
        out.append(f"the hub of the {within(title)}, {length(hub, pedal.units)}")
        at = left + hub / 2
    whole = found[-1][0] + found[-1][1]
    return [*out, *_spacer(whole - at, pedal.units)]


def _spacer(long_mm: float, units: UnitSystem) -> list[str]:
    return [f"a spacer {length(long_mm, units)} long"] if long_mm > SAME_MM else []


def bar_arms(pedal: PedalSheet) -> tuple[float, float] | None:
    """From the middle of a balance bar's bearing to the front and to the rear rod, mm; None if not known.

    Each rod's share of the force is the other's share of the distance (levers; closed form).
    """
    if pedal.brake is None or len(pedal.brake.circuits) < 2 or pedal.bar_mm <= 0:
        return None
    front, rear = pedal.brake.circuits
    return pedal.bar_mm * rear.share, pedal.bar_mm * front.share


def bar_words(pedal: PedalSheet) -> str:
    """``28.8 mm from the middle of its bearing to the front rod, 35.2 mm to the rear one``; empty if not."""
    arms = bar_arms(pedal)
    if arms is None:
        return ""
    front, rear = (length(mm, pedal.units) for mm in arms)
    return f"{front} from the middle of its bearing to the front rod, {rear} to the rear one"


def bar_fit_words(pedal: PedalSheet) -> str:
    """How a balance bar goes into its pedal, each sentence after a blank; empty without one."""
    if pedal.brake is None or len(pedal.brake.circuits) < 2 or pedal.spec.brake is None:
        return ""
    apart = f", the clevises {format_short(pedal.bar_mm, pedal.units)} apart" if pedal.bar_mm > 0 else ""
    left, right = (pedal.spec.brake.circuit_at(hand) for hand in HANDS)
    return (
        " The balance bar goes in with it: its bearing in the sleeve of the arm, where a single rod's pin "
        f"would be, a clevis on either end{apart}; as the driver sees it the left-hand one is for the {left} "
        f"master's rod, the right-hand one for the {right} master's."
    )
