"""What the lines take for themselves: hose swell, compressed fluid, compressed air.

Swell is piecewise linear in pressure through (0, 0) and the tabulated points, and goes on with the
last slope. Fluid: ΔV = V p / K. Air at constant temperature: ΔV = Va p / (p + p0), p0 one atmosphere.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from generators.model.spec.hydraulics import Fluid, Line
from generators.standards import hose_expansion

Array = NDArray[np.float64]

ATMOSPHERE_MPA = 0.101325
"""Standard atmosphere, exact by definition."""

_FAR_MPA = 10_000.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Compliance:
    """All that gives between the pistons. ``swell`` holds points (MPa, mm3), the first (0, 0)."""

    swell: tuple[tuple[float, float], ...]
    fluid_mm3: float
    bulk_modulus_mpa: float
    air_mm3: float


def line_points(line: Line) -> tuple[tuple[float, float], ...]:
    """Points (MPa, mm3 per mm) of one line's swell; empty for one that does not swell.

    Raises ``LookupFault`` for a hose size the table does not have.
    """
    if line.kind == "rigid":
        return ()
    if line.swell_mm2 is not None and line.swell_at_mpa is not None:
        return ((line.swell_at_mpa, line.swell_mm2),)
    if line.expansion == "none":
        return ()
    return tuple((row.pressure_mpa, row.swell_mm2) for row in hose_expansion(line.bore_mm, line.expansion))


def compliance(lines: Iterable[Line], fluid: Fluid, cylinders_mm3: float) -> Compliance:
    """The compliance of lines, fluid and air; ``cylinders_mm3`` is the fluid in the cylinders.

    Raises ``LookupFault`` for a hose size the table does not have.
    """
    volume = cylinders_mm3
    hoses: list[tuple[float, list[tuple[float, float]]]] = []
    for line in lines:
        volume += np.pi / 4 * line.bore_mm**2 * line.length_mm
        points = line_points(line)
        if points:
            hoses.append((line.length_mm, _extended([(0.0, 0.0), *points])))
    knots = sorted({p for _, points in hoses for p, _ in points} | {0.0, _FAR_MPA})
    total = np.zeros(len(knots))
    for length, curve in hoses:
        ps, vs = zip(*curve, strict=True)
        total += length * np.interp(knots, ps, vs)
    return Compliance(
        swell=tuple((float(p), float(v)) for p, v in zip(knots, total, strict=True)),
        fluid_mm3=float(volume),
        bulk_modulus_mpa=fluid.bulk_modulus_mpa,
        air_mm3=fluid.air_mm3,
    )


def _extended(points: list[tuple[float, float]]) -> list[tuple[float, float]]:
    (p0, v0), (p1, v1) = points[-2:]
    return [*points, (_FAR_MPA, v1 + (v1 - v0) / (p1 - p0) * (_FAR_MPA - p1))]


def swell(c: Compliance, pressure_mpa: Array) -> Array:
    """Volume the hoses take at that pressure, mm3."""
    ps, vs = zip(*c.swell, strict=True)
    return np.asarray(np.interp(pressure_mpa, ps, vs))


def compressed(c: Compliance, pressure_mpa: Array) -> Array:
    """Volume fluid and air give up at that pressure, mm3."""
    p = np.asarray(pressure_mpa)
    return np.asarray(c.fluid_mm3 * p / c.bulk_modulus_mpa + c.air_mm3 * p / (p + ATMOSPHERE_MPA))


def lost(c: Compliance, pressure_mpa: Array) -> Array:
    """Volume that leaves the master and does not reach the slave, mm3."""
    return np.asarray(swell(c, pressure_mpa) + compressed(c, pressure_mpa))


def energy(c: Compliance, pressure_mpa: float) -> float:
    """Work stored in hoses, fluid and air at that pressure, ∫ p dV, in N·mm.

    Swell: trapezoids between its points. Fluid: V p² / 2K. Air: Va p0 (ln(1 + p/p0) - p/(p + p0)).
    """
    p = pressure_mpa
    knots = [q for q, _ in c.swell if q < p] + [p]
    volumes = swell(c, np.array(knots))
    hoses = sum(
        (knots[i] + knots[i + 1]) / 2 * float(volumes[i + 1] - volumes[i]) for i in range(len(knots) - 1)
    )
    fluid = c.fluid_mm3 * p * p / (2 * c.bulk_modulus_mpa)
    air = c.air_mm3 * ATMOSPHERE_MPA * (np.log1p(p / ATMOSPHERE_MPA) - p / (p + ATMOSPHERE_MPA))
    return float(hoses + fluid + air)
