"""A pedal's arm under a force at its pad: a bar of one section along a bent line, by the beam's closed forms.

The pedal turns freely on its shaft, so in the plane it swings in the moment grows from the pad to the pin of
the pushrod and from there falls to nothing at the pivot; without a pin on the arm (a lug beside it) it grows
to the pivot. Moments out of that plane, of a pad that stands aside or a foot that pushes aside, go all the
way to the shaft. The pin's hole is left out: in the middle of the width, a third of it takes 4 % of the
section.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
_SMALL = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class Section:
    """A flat bar, ``width_mm`` in the plane it swings in by ``thickness_mm`` across, or a round one of
    ``diameter_mm``."""

    width_mm: float = 0.0
    thickness_mm: float = 0.0
    diameter_mm: float = 0.0

    @property
    def area_mm2(self) -> float:
        """Of the section."""
        if self.diameter_mm:
            return math.pi / 4 * self.diameter_mm**2
        return self.width_mm * self.thickness_mm

    @property
    def swinging_mm3(self) -> float:
        """Section modulus in the plane it swings in: b h² / 6, π d³ / 32."""
        if self.diameter_mm:
            return math.pi / 32 * self.diameter_mm**3
        return self.thickness_mm * self.width_mm**2 / 6

    @property
    def across_mm3(self) -> float:
        """Section modulus out of that plane."""
        if self.diameter_mm:
            return math.pi / 32 * self.diameter_mm**3
        return self.width_mm * self.thickness_mm**2 / 6

    @property
    def torsion_mm3(self) -> float:
        """Torque over the largest shear stress: π d³ / 16; for a rectangle b² t² / (3 b + 1.8 t), b the
        longer side (Roark, torsion of a rectangle; within 5 % of Saint-Venant's series; from memory)."""
        if self.diameter_mm:
            return math.pi / 16 * self.diameter_mm**3
        b, t = max(self.width_mm, self.thickness_mm), min(self.width_mm, self.thickness_mm)
        return b * b * t * t / (3 * b + 1.8 * t)


@dataclass(frozen=True, slots=True, kw_only=True)
class ArmStress:
    """The largest von Mises stress along an arm, MPa, how far from the pivot along the arm, mm, and the two
    moments that make most of it there, N mm."""

    stress_mpa: float
    from_pivot_mm: float
    bending_nmm: float
    torsion_nmm: float


def arm_stress(
    line: Sequence[Array], across: Array, pin: Array | None, pad: Array, force: Array, section: Section
) -> ArmStress:
    """The worst place of an arm along ``line`` (from the pivot to the pad) under ``force`` at ``pad``, N, mm.

    ``across`` is the unit vector of its shaft, ``pin`` where the rod pushes it, None where the pin is not on
    the arm. Bending both ways and tension are taken at one corner, the shear of torsion there as well: on the
    safe side for a flat bar, whose corners have none.
    """
    along = [0.0, *np.cumsum([float(np.linalg.norm(b - a)) for a, b in itertools.pairwise(line)])]
    at_pin = 0.0 if pin is None else _station(line, along, pin)
    swings_most = float(np.cross(pad - _place(line, along, at_pin), force) @ across)
    stations = sorted({*along, at_pin})
    worst = ArmStress(stress_mpa=0.0, from_pivot_mm=0.0, bending_nmm=0.0, torsion_nmm=0.0)
    for k in range(len(line) - 1):
        way = (line[k + 1] - line[k]) / (along[k + 1] - along[k])
        for s in (s for s in stations if along[k] - _SMALL <= s <= along[k + 1] + _SMALL):
            place = line[k] + (s - along[k]) * way
            moment = np.cross(pad - place, force)
            # between the pin and the free pivot the moment falls to nothing
            swing = float(moment @ across) if s >= at_pin - _SMALL else swings_most * s / at_pin
            side = np.cross(way, across)
            # what runs along the shaft is bent one way by all there is
            side = side / max(float(np.linalg.norm(side)), _SMALL)
            torsion, out = float(moment @ way), float(moment @ side)
            normal = (
                abs(swing) / section.swinging_mm3
                + abs(out) / section.across_mm3
                + abs(float(force @ way)) / section.area_mm2
            )
            stress = math.sqrt(normal**2 + 3 * (torsion / section.torsion_mm3) ** 2)
            if stress > worst.stress_mpa:
                worst = ArmStress(
                    stress_mpa=stress, from_pivot_mm=s, bending_nmm=abs(swing), torsion_nmm=abs(torsion)
                )
    return worst


def _station(line: Sequence[Array], along: Sequence[float], point: Array) -> float:
    """How far along the line its place nearest a point is, mm."""
    best, station = math.inf, 0.0
    for k in range(len(line) - 1):
        step = line[k + 1] - line[k]
        share = float(np.clip((point - line[k]) @ step / (step @ step), 0.0, 1.0))
        gap = float(np.linalg.norm(point - line[k] - share * step))
        if gap < best - _SMALL:
            best, station = gap, along[k] + share * (along[k + 1] - along[k])
    return station


def _place(line: Sequence[Array], along: Sequence[float], station: float) -> Array:
    """The point so far along the line."""
    return np.array([np.interp(station, along, [float(p[k]) for p in line]) for k in range(3)])
