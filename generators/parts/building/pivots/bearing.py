"""Ball bearings in pivot bores, in the place of bushes: their bore, their circlip, and what goes through."""

from __future__ import annotations

from generators.errors import GeometryFault, LookupFault
from generators.figures import signed
from generators.model.joints.ways import BearingKept
from generators.model.pedal_place import PressedBearing, PressedBush
from generators.model.plan import PartPlan
from generators.parts.building.pivots.seated import bore_for, seated
from generators.standards import ball_bearing, circlip, housing_tolerance, ring_tolerance, shaft_tolerance

KEPT_CLASS, PRESSED_CLASS = "J7", "P7"
"""Bores of a kept bearing, and of one that the press alone holds.

J7 for a load that stands still on the outer ring, with shocks that go back to nothing (ANSI/ABMA 7, one
public transcription); P7 is the first whose least interference is over nothing (ISO 286-2 with ISO 492).
"""

TIGHT_CLASSES = ("N7", "P7")
"""Bores that take the inside play of class Normal away, so that group C3 is asked for: from memory."""

OWN_KEYS = ("pivot_bearing_class", "pivot_bearing_static_load_n")


def with_bearing(plan: PartPlan, parameters: object) -> PartPlan:
    """The plan with the bearing of ``pivot_bearing`` in its pivot bores; as it is where there is none.

    Raises ``GeometryFault`` for a number that is not in the table, a bore it does not go into, a bush beside
    it, and what is said of a bearing where there is none.
    """
    number = getattr(parameters, "pivot_bearing", "")
    kept: BearingKept = getattr(parameters, "pivot_bearing_kept", "press")
    if not number:
        asked = [key for key in OWN_KEYS if getattr(parameters, key, None)]
        asked += ["pivot_bearing_kept"] if kept != "press" else []
        if asked:
            key = asked[0].removesuffix("_n")
            raise GeometryFault("said of a ball bearing, and there is none: give pivot_bearing", key)
        return plan
    if getattr(parameters, "pivot_bush_mm", None) is not None:
        raise GeometryFault("a ball bearing and a bush in one bore", "pivot_bearing")
    try:
        row = ball_bearing(number)
    except LookupFault as fault:
        raise GeometryFault(str(fault), "pivot_bearing") from fault
    bore = bore_for(parameters, row.outside_mm, f"ball bearing {number}")
    field = getattr(parameters, "pivot_bearing_class", "") or (
        PRESSED_CLASS if kept == "press" else KEPT_CLASS
    )
    fit = housing_tolerance(row.outside_mm, field)
    bearing = PressedBearing(
        number=number,
        width_mm=row.width_mm,
        chamfer_mm=row.chamfer_mm,
        kept=kept,
        shaft=shaft_tolerance(row.bore_mm),
        clip=circlip(row.outside_mm) if kept == "circlip" else None,
        static_n=getattr(parameters, "pivot_bearing_static_load_n", None),
        clear=field in TIGHT_CLASSES,
    )
    ring = ring_tolerance(row.outside_mm)
    bush = PressedBush(
        inside_mm=row.bore_mm,
        bore_mm=row.bore_mm + ring_tolerance(row.bore_mm).bore_lower_mm,
        least_mm=row.outside_mm + ring.outside_lower_mm,
        most_mm=row.outside_mm,
        length_mm=row.width_mm,
        fit=fit,
        source=f"{ring.source} ({ring.trust})",
        bearing=bearing,
    )
    return seated(plan, bush, bore)


def pressed_words(bush: PressedBush | None, bore_mm: float) -> str:
    """What a hole's callout says of the bearing that goes into it; empty for a bush or none."""
    if bush is None or bush.bearing is None:
        return ""
    bearing = bush.bearing
    least, most = bush.interference_mm(bore_mm)
    kept = ""
    if (clip := bearing.clip) is not None:
        kept = (
            f", groove Ø {clip.groove_mm:g} (+{clip.over_mm:g}/0) x {clip.wide_mm:g} for a circlip "
            f"{clip.bore_mm:g} (DIN 472) outside it"
        )
    elif bearing.kept == "shoulder":
        kept = ", a shoulder over its outer ring outside"
    return (
        f"; press in ball bearing {bearing.number} by its outer ring, {signed(least, 3)} to "
        f"{signed(most, 3)} of interference{kept}"
    )
