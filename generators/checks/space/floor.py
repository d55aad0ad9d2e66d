"""Rules on where a pedal's travel ends: the floor as computed, and the bolt that stops it before."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from generators.checks.rule import Rule, finding
from generators.figures import fixed
from generators.hydraulics.linkage import FloorFound
from generators.model.changes import Change, Proposal, Rounding
from generators.model.findings import Finding, Severity
from generators.model.spec.hydraulics import Pedal

PEDAL_FLOOR = Rule(
    code="pedal-floor",
    title="The floor comes before the pedal's travel is used",
    meaning=(
        "Pad and arm are turned about the pivot until one of them meets a panel, a part or an obstacle, or "
        "the covering on a panel. A travel or a stop in the spec that lies beyond that is never reached: "
        "everything is then computed with the floor that was found."
    ),
    formula="travel of the spec, stop <= pad travel at first contact, the panel's covering kept away",
    source="first contact by conservative advancement (Mirtich 1996) on the bodies of the job",
    trust="C",
    mend="Leave travel out of the spec, and move the pad up and out until the floor comes late enough.",
)

PEDAL_STOP_PLACE = Rule(
    code="pedal-stop-place",
    title="The stop bolt does not stop the pedal where the spec says",
    meaning=(
        "The stop bolt has a place, so the pad travel at which arm or pad meets it is computed. It must be "
        "met before the floor, and where the spec also gives the stop as a pad travel both must agree."
    ),
    formula="pad travel at contact with stop_bolt <= floor; |it - stop| <= 1 mm",
    source="first contact by conservative advancement (Mirtich 1996); 1 mm: one turn of a bolt, ours",
    trust="C",
    mend="Move the stop bolt, or leave stop out of the spec.",
)

RULES = (PEDAL_FLOOR, PEDAL_STOP_PLACE)

FLOOR_SURE_MM = 0.1
"""How exactly the floor is known (``space.motion.SURE_MM`` on pad and arm)."""
STOP_AGREES_MM = 1.0


def floor_words(floor: FloorFound) -> str:
    """``pad meets toe board at 80 mm of pad travel (u 520 mm, v -88 mm)``, with covering and middle."""
    said = f"{floor.by} meets {floor.what} at {fixed(floor.bare_mm, 1)} mm of pad travel ({floor.where})"
    if floor.covering_mm:
        said = (
            f"{floor.by} meets {floor.what} with its covering of {floor.covering_mm:g} mm at "
            f"{fixed(floor.travel_mm, 1)} mm of pad travel ({floor.where}), bare metal at "
            f"{fixed(floor.bare_mm, 1)} mm"
        )
    if math.isfinite(floor.point_mm) and floor.point_mm > floor.bare_mm + 1.0:
        said += f"; the middle of its face would at {fixed(floor.point_mm, 1)} mm"
    return said


def check_floor(
    pedal: Pedal, floor: FloorFound, stop_mm: float | None, aside: Sequence[Proposal] = ()
) -> Iterator[Finding]:
    """Travel and stop of the spec against the floor that was found.

    ``stop_mm`` is where the stop bolt is met: infinite for never, None without one. ``aside`` are moves that
    take what is met out of the pedal's way.
    """
    where = f"pedal:{pedal.name}"
    typed = pedal.travel_mm
    late = typed is not None and typed > floor.travel_mm + FLOOR_SURE_MM
    if typed is not None and late and floor.bare_mm <= FLOOR_SURE_MM:
        # no travel is left that one could leave out or shorten
        yield finding(
            PEDAL_FLOOR,
            Severity.FAIL,
            f"{where} travel",
            value=0.0,
            limit=typed,
            found=f"{floor.by} stands in {floor.what} with the pedal at rest ({floor.where})",
            wanted=f"the spec's travel of {typed:g} mm",
            advice=f"move {floor.what}, or the pedal with its hanger, aside",
            proposals=tuple(aside),
        )
    elif typed is not None and late:
        yield finding(
            PEDAL_FLOOR,
            Severity.FAIL,
            f"{where} travel",
            value=floor.travel_mm,
            limit=typed,
            found=floor_words(floor),
            wanted=f"the spec's travel of {typed:g} mm",
            advice="leave travel out, or move the pad up and out: "
            f"{fixed(typed - floor.travel_mm, 1)} mm are missing",
            proposals=(
                *_set(pedal, "travel", floor.travel_mm, "down", "end the travel at the floor as found"),
                *aside,
            ),
        )
    end = min(floor.travel_mm, math.inf if typed is None else typed)
    if stop_mm is not None and not stop_mm <= end + FLOOR_SURE_MM:
        yield finding(
            PEDAL_STOP_PLACE,
            Severity.FAIL,
            f"{where} stop_bolt",
            value=stop_mm,
            limit=end,
            found="neither arm nor pad meets the stop bolt"
            if math.isinf(stop_mm)
            else f"stop bolt met at {fixed(stop_mm, 1)} mm of pad travel",
            wanted=f"before the floor at {fixed(end, 1)} mm" if math.isfinite(end) else "a stop that is met",
            advice="move the stop bolt into the way of the arm, nearer to it at rest",
        )
    if stop_mm is not None and pedal.stop_mm is not None and math.isfinite(stop_mm):
        if abs(stop_mm - pedal.stop_mm) > STOP_AGREES_MM:
            yield finding(
                PEDAL_STOP_PLACE,
                Severity.WARN,
                f"{where} stop",
                value=pedal.stop_mm,
                limit=stop_mm,
                found=f"the spec's stop at {pedal.stop_mm:g} mm of pad travel",
                wanted=f"{fixed(stop_mm, 1)} mm, where arm or pad meets the stop bolt",
                advice="leave stop out, or move the stop bolt; what is computed here is for the bolt's place",
                proposals=_set(pedal, "stop", stop_mm, "near", "set the stop to where the bolt is met"),
            )
    elif pedal.stop_mm is not None and not late and pedal.stop_mm > end + FLOOR_SURE_MM:
        yield finding(
            PEDAL_FLOOR,
            Severity.FAIL,
            f"{where} stop",
            value=pedal.stop_mm,
            limit=end,
            found=f"stop at {pedal.stop_mm:g} mm; {floor_words(floor)}",
            wanted=f"a stop before {fixed(end, 1)} mm",
            advice=f"set the stop {fixed(pedal.stop_mm - end, 1)} mm earlier, or move the pad up and out",
            proposals=_set(pedal, "stop", end, "down", "stop the pedal at the floor"),
        )


def _set(pedal: Pedal, key: str, to_mm: float, rounding: Rounding, words: str) -> tuple[Proposal, ...]:
    change = Change(path=f"pedal[{pedal.name}].{key}", to=to_mm, rounding=rounding)
    return (Proposal(words=words, steps=(change,)),)
