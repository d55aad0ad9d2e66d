"""Distances from the rims of holes: what a rule can reach where something sits in the hole."""

from __future__ import annotations

from shapely.geometry import LineString, Point

from generators.model.plan import PanelHole


def _wide(hole: PanelHole) -> float:
    """Diameter as it is now, not as it will be opened, mm."""
    return hole.there_mm or hole.final_dia_mm


def rim_distance(a: PanelHole, b: PanelHole) -> float:
    """Between the nearest points of the rims of two round holes or slots, mm; 0 where they overlap."""
    middles = LineString(a.ends).distance(LineString(b.ends))
    return max(middles - (_wide(a) + _wide(b)) / 2, 0.0)


def from_rim(u_mm: float, v_mm: float, hole: PanelHole) -> float:
    """From a point to the nearest point of the rim of a round hole or slot, mm; 0 within it."""
    return max(LineString(hole.ends).distance(Point(u_mm, v_mm)) - _wide(hole) / 2, 0.0)
