"""A brake pedal's circuits behind the balance bar: what each piston moves for a force on the rod.

The bar gives the share β of the rod force to the front master; by virtual work its middle then moves
β y_front + (1 - β) y_rear.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from generators.errors import GeometryFault
from generators.hydraulics.cylinders import piston_area
from generators.hydraulics.halving import sets_in_between
from generators.hydraulics.line import Compliance, compliance, lost
from generators.hydraulics.linkage import Linkage, angle_of_piston, motion
from generators.model.spec.brakes import BrakeCircuit
from generators.model.spec.hydraulics import Pedal
from generators.model.words import Circuit

Array = NDArray[np.float64]

PistonOfRod = Callable[[Array], Array]
"""What the rod must ask of the bar (mm) for forces on it (N)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BalancedCircuit:
    """One circuit with its share of the rod force; mm, mm², N."""

    name: Circuit
    spec: BrakeCircuit
    share: float
    area_mm2: float
    give: Compliance

    def piston(self, rod_n: Array, share: float | None = None) -> Array:
        """Piston travel for forces on the rod, mm: dead stroke, what the brakes take, swell, compression."""
        p = (self.share if share is None else share) * rod_n / self.area_mm2
        volume = self.spec.volume_mm3 + lost(self.give, p)
        return np.asarray(self.spec.dead_stroke_mm + volume / self.area_mm2)


def brake_circuits(
    pedal: Pedal, bores: Mapping[Circuit, float] = MappingProxyType({})
) -> list[BalancedCircuit]:
    """The circuits of a brake pedal; ``bores`` (mm) stand in for those of the spec.

    Raises ``GeometryFault`` for a pedal without its brake table.
    """
    if pedal.brake is None:
        raise GeometryFault("a brake pedal needs its brake table", "kind")
    brake = pedal.brake
    both = brake.rear is not None
    parts: list[tuple[Circuit, BrakeCircuit, float]] = [
        ("front", brake.front, brake.front_share if both else 1.0)
    ]
    if brake.rear is not None:
        parts.append(("rear", brake.rear, 1.0 - brake.front_share))
    out = []
    for name, given, share in parts:
        spec = replace(given, bore_mm=bores.get(name, given.bore_mm))
        area = piston_area(spec.bore_mm, f"brake.{name}.bore")
        lines = [line for line in pedal.line if line.circuit == name or not both]
        give = compliance(lines, pedal.fluid, area * spec.stroke_mm + spec.volume_mm3)
        out.append(BalancedCircuit(name=name, spec=spec, share=share, area_mm2=area, give=give))
    return out


def asked(pedal: Pedal, link: Linkage, stroke_mm: Array, rod_n: Array) -> Array:
    """What the rod must ask for, mm: the bar's middle, or what a long rod holds, and the bracket's give."""
    return np.asarray(np.maximum(stroke_mm, max(link.rest_mm, 0.0)) + pedal.bracket_flex_mm_per_n * rod_n)


def together(pedal: Pedal, link: Linkage, circuits: Sequence[BalancedCircuit]) -> PistonOfRod:
    """The rod's way with every circuit whole."""

    def piston(rod_n: Array) -> Array:
        stroke = sum((c.share * c.piston(rod_n) for c in circuits), np.zeros_like(rod_n))
        return asked(pedal, link, stroke, rod_n)

    return piston


def efforts(link: Linkage, piston: PistonOfRod, rod_n: Array) -> tuple[Array, Array]:
    """Pad force (N) and pad travel (mm) for rod forces; travel infinite, force NaN out of reach."""
    turn = angle_of_piston(link, piston(rod_n))
    effort = rod_n / motion(link, turn).force_ratio
    return effort, np.where(np.isnan(turn), np.inf, turn * link.pad_radius_mm)


def rod_force(link: Linkage, piston: PistonOfRod, effort_n: float) -> float:
    """The rod force of a pad force, N, by halving; the largest within reach where it is not."""
    most = effort_n * 4 * link.pad_radius_mm / link.pin_radius_mm
    # also there where the linkage does not get: NaN compares false
    return sets_in_between(lambda rod: ~(efforts(link, piston, rod)[0] < effort_n), 0.0, most)
