"""The tools of a panel's holes: the last step of a layout, when it is known what each hole must take."""

from __future__ import annotations

import math
from dataclasses import replace

from generators.figures import format_short
from generators.model.plan import PanelHole
from generators.standards import HoleTolerance, choose_tools
from generators.units import UnitSystem

SAME_MM = 0.01


def with_limits(hole: PanelHole, tolerance: HoleTolerance | None) -> PanelHole:
    """A hole with the limits of its diameter; without a tolerance it has none."""
    if tolerance is None:
        return hole
    least, most = tolerance.limits_mm(hole.final_dia_mm)
    return replace(hole, least_mm=least, most_mm=most, tolerance=tolerance.name)


def shared_limits(a: PanelHole, b: PanelHole) -> PanelHole:
    """Hole ``a`` with the closer limits where it serves ``b`` as well."""
    if not a.most_mm or not b.most_mm:
        return a if a.most_mm else replace(a, least_mm=b.least_mm, most_mm=b.most_mm, tolerance=b.tolerance)
    closer = a if a.most_mm - a.least_mm <= b.most_mm - b.least_mm else b
    least, most = max(a.least_mm, b.least_mm), min(a.most_mm, b.most_mm)
    return replace(a, least_mm=least, most_mm=max(least, most), tolerance=closer.tolerance)


def tooled(hole: PanelHole, sheet_mm: float, material: str, units: UnitSystem) -> PanelHole:
    """A hole with pilot, tool and the final size that tool makes; one that is there, with what opens it.

    Until here ``final_dia_mm`` is the size wanted. ``sheet_mm`` is the panel's thickness.
    """
    head = _head(hole, units)
    opened = hole.status == "reuse" and hole.final_dia_mm > hole.there_mm + SAME_MM
    if hole.status == "reuse" and not opened:
        return replace(hole, tool=head, pilot_dia_mm=0.0, least_mm=0.0, most_mm=0.0, tolerance="")
    if hole.status != "drill" and not opened:
        return hole
    least = hole.least_mm or hole.final_dia_mm
    made = choose_tools(
        hole.final_dia_mm,
        least,
        max(hole.most_mm, least),
        sheet_mm=sheet_mm,
        material=material,
        units=units,
    )
    words = f"open from {format_short(hole.there_mm, units)}: {made.words}" if opened else made.words
    return replace(
        hole,
        final_dia_mm=made.final_mm,
        pilot_dia_mm=0.0 if opened else made.pilot_mm,
        tool=", ".join(text for text in (words, head) if text),
        tool_kind=made.kind,
        filed=made.filed,
    )


def _head(hole: PanelHole, units: UnitSystem) -> str:
    """What is done for a countersunk head; empty without one."""
    if not hole.head_mm:
        return ""
    how = "dimple" if hole.dimpled else "countersink"
    wide = format_short(hole.head_mm, units)
    return f"{how} {math.degrees(hole.head_angle_rad):g}°, {wide} wide"
