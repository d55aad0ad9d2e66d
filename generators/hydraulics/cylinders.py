"""Areas and the hydraulic lever: pressure, force and travel of pistons."""

from __future__ import annotations

import math

from generators.errors import GeometryFault
from generators.model.spec.hydraulics import Slave


def piston_area(bore_mm: float, parameter: str = "bore") -> float:
    """Area of a bore, mm2, π d² / 4. Raises ``GeometryFault`` for no bore."""
    if bore_mm <= 0:
        raise GeometryFault(f"a bore of {bore_mm:g} mm", parameter)
    return math.pi / 4 * bore_mm**2


def slave_area(slave: Slave) -> float:
    """Area of a slave, mm2; of a concentric one the ring, π (D² - d²) / 4.

    Raises ``GeometryFault`` for no bore.
    """
    area = piston_area(slave.bore_mm)
    return area - piston_area(slave.inner_mm, "inner") if slave.inner_mm is not None else area


def pressure(force_n: float, area_mm2: float) -> float:
    """Pressure under a piston, MPa (N/mm2)."""
    return force_n / area_mm2


def follower_travel(travel_mm: float, area_mm2: float, follower_mm2: float) -> float:
    """Travel of a piston fed by another without any loss, mm."""
    return travel_mm * area_mm2 / follower_mm2


def bore_for(force_n: float, pressure_mpa: float) -> float:
    """The bore in which that force makes that pressure, mm: d = sqrt(4 F / π p)."""
    return math.sqrt(4 * force_n / (math.pi * pressure_mpa))
