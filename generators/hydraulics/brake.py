"""The brake pedal: foot force to pressure in each circuit, the balance bar's split, travel used.

A balance bar gives the share β of the rod force to the front master; by virtual work its middle then
moves β y_front + (1 - β) y_rear. Each piston moves its dead stroke, then what its brakes take and what
swell and compression take at its pressure. Everything follows from the rod force, which rises with the
foot force, so the pedal is computed along the rod force. Friction and return springs are left out.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from generators.errors import GeometryFault
from generators.hydraulics.cylinders import bore_for, piston_area
from generators.hydraulics.halving import sets_in
from generators.hydraulics.line import Compliance, compliance, lost
from generators.hydraulics.linkage import Linkage, PedalFrame, angle_of_piston, build_linkage, motion
from generators.hydraulics.result import weakest_rating
from generators.hydraulics.window import effort_target
from generators.model.spec.hydraulics import BrakeCircuit, Pedal
from generators.model.words import Circuit
from generators.standards import standard_bores

Array = NDArray[np.float64]

INSPECTION_N = 222.4110807
"""50 lbf: the pedal force at which 49 CFR 570.55(c) asks for no more than 80 % of the travel."""

_POINTS = 201


@dataclass(frozen=True, slots=True, kw_only=True)
class CircuitResult:
    """One brake circuit at the target effort; MPa, N, mm, mm3.

    ``share`` of the rod force; ``needed_effort_n`` is the pad force for the pressure wanted, and
    ``wanted_bore_mm`` with the nearest common ``standard_bore`` what would give it at the target effort;
    None (and "") where no pressure is wanted. ``margin_mm`` is piston stroke left.
    """

    name: Circuit
    bore_mm: float
    share: float
    force_n: float
    pressure_mpa: float
    piston_mm: float
    stroke_mm: float
    margin_mm: float
    volume_mm3: float
    wanted_mpa: float | None
    needed_effort_n: float | None
    wanted_bore_mm: float | None
    standard_bore: str
    weakest: tuple[str, float] | None
    wear_mm3: float
    reservoir_mm3: float | None
    reservoir_needed_mm3: float


@dataclass(frozen=True, slots=True, kw_only=True)
class BrakeResult:
    """Everything a report says of a brake pedal; mm, rad, N, MPa.

    The arrays run from rest to the target effort: ``effort_n`` pad force, ``pad_mm`` pad travel (infinite
    where the linkage never gets there), ``front_mpa`` and ``rear_mpa`` (None with one circuit).
    ``inspection_share`` is the share of the pad travel used at 50 lbf, ``travel_share`` at the target
    effort; infinite where the pedal cannot get there.
    """

    name: str
    linkage: Linkage
    effort_n: Array
    pad_mm: Array
    front_mpa: Array
    rear_mpa: Array | None
    circuits: tuple[CircuitResult, ...]
    target_effort_n: float
    travel_target_mm: float
    at_effort_mm: float
    travel_share: float
    inspection_share: float
    ratio: float
    rod_force_n: float
    rod_length_mm: float
    rod_play_mm: float
    lever_ratio: float
    rest_ratio: float
    peak_rod_angle_rad: float
    peak_side_load_n: float


@dataclass(frozen=True, slots=True, kw_only=True)
class _Circuit:
    name: Circuit
    spec: BrakeCircuit
    share: float
    area_mm2: float
    give: Compliance

    def piston(self, rod_n: Array) -> Array:
        p = self.share * rod_n / self.area_mm2
        volume = self.spec.volume_mm3 + lost(self.give, p)
        return np.asarray(self.spec.dead_stroke_mm + volume / self.area_mm2)


def _circuits(pedal: Pedal) -> list[_Circuit]:
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
    for name, spec, share in parts:
        area = piston_area(spec.bore_mm, f"brake.{name}.bore")
        lines = [line for line in pedal.line if line.circuit == name or not both]
        give = compliance(lines, pedal.fluid, area * spec.stroke_mm + spec.volume_mm3)
        out.append(_Circuit(name=name, spec=spec, share=share, area_mm2=area, give=give))
    return out


def _piston(pedal: Pedal, link: Linkage, circuits: list[_Circuit], rod_n: Array) -> Array:
    """What the rod must ask of the bar for a rod force (axial), mm."""
    stroke = sum((c.share * c.piston(rod_n) for c in circuits), np.zeros_like(rod_n))
    start = max(link.rest_mm, 0.0)
    return np.asarray(np.maximum(stroke, start) + pedal.bracket_flex_mm_per_n * rod_n)


def _efforts(pedal: Pedal, link: Linkage, circuits: list[_Circuit], rod_n: Array) -> tuple[Array, Array]:
    """Pad force (N) and pad travel (mm) for rod forces; travel infinite, force NaN out of reach."""
    turn = angle_of_piston(link, _piston(pedal, link, circuits, rod_n))
    effort = rod_n / motion(link, turn).force_ratio
    return effort, np.where(np.isnan(turn), np.inf, turn * link.pad_radius_mm)


def _rod_force(pedal: Pedal, link: Linkage, circuits: list[_Circuit], effort_n: float) -> float:
    """The rod force of a pad force, N, by halving; the largest within reach where it is not."""
    most = np.array([effort_n * 4 * link.pad_radius_mm / link.pin_radius_mm])
    # also there where the linkage does not get: NaN compares false
    low, _ = sets_in(
        lambda rod: ~(_efforts(pedal, link, circuits, rod)[0] < effort_n), np.zeros_like(most), most
    )
    return float(low[0])


def solve_brake(pedal: Pedal, frame: PedalFrame) -> BrakeResult:
    """The answer for a brake pedal hung in ``frame``.

    Raises ``GeometryFault`` naming the key of the pedal that cannot be, and ``LookupFault`` for a hose
    size the table does not have.
    """
    link = build_linkage(pedal, frame)
    circuits = _circuits(pedal)
    for c in circuits:
        if link.rest_mm >= c.spec.stroke_mm:
            raise GeometryFault(
                f"a rod of {link.rod_length_mm:g} mm, so long that it bottoms the {c.name} master at rest",
                "rod_length",
            )
    target = effort_target(pedal)
    rod = _rod_force(pedal, link, circuits, target)
    forces = np.linspace(0.0, rod, _POINTS)
    effort, pad = _efforts(pedal, link, circuits, forces)
    inspection = _rod_force(pedal, link, circuits, INSPECTION_N)
    at_inspection = float(_efforts(pedal, link, circuits, np.array([inspection]))[1][0])
    reached = bool(effort[-1] >= target * (1 - 1e-9))
    at_effort = float(pad[-1]) if reached else np.inf
    moved = motion(link, np.minimum(pad, link.travel_mm) / link.pad_radius_mm)
    stroke = motion(link, np.linspace(0.0, min(at_effort, link.travel_mm), _POINTS) / link.pad_radius_mm)
    pressures = [c.share * forces / c.area_mm2 for c in circuits]
    return BrakeResult(
        name=pedal.name,
        linkage=link,
        effort_n=effort,
        pad_mm=pad,
        front_mpa=pressures[0],
        rear_mpa=pressures[1] if len(pressures) > 1 else None,
        circuits=tuple(_result(pedal, link, circuits, c, rod) for c in circuits),
        target_effort_n=target,
        travel_target_mm=pedal.targets.travel_mm,
        at_effort_mm=at_effort,
        travel_share=at_effort / link.travel_mm,
        inspection_share=at_inspection / link.travel_mm,
        ratio=float(moved.ratio[-1]),
        rod_force_n=rod,
        rod_length_mm=link.rod_length_mm,
        rod_play_mm=-link.rest_mm,
        lever_ratio=link.pad_radius_mm / link.pin_radius_mm,
        rest_ratio=float(motion(link, np.array([0.0])).ratio[0]),
        peak_rod_angle_rad=float(stroke.rod_angle_rad.max()),
        peak_side_load_n=float((forces * moved.side_ratio).max()),
    )


def _result(
    pedal: Pedal, link: Linkage, circuits: list[_Circuit], c: _Circuit, rod_n: float
) -> CircuitResult:
    force = c.share * rod_n
    piston = float(c.piston(np.array(rod_n)))
    wanted = c.spec.pressure_mpa
    needed, bore, label = None, None, ""
    if wanted is not None:
        rod_wanted = wanted * c.area_mm2 / c.share
        needed = float(_efforts(pedal, link, circuits, np.array([rod_wanted]))[0][0])
        bore = bore_for(force, wanted)
        label = min(standard_bores("master"), key=lambda b: abs(b.bore_mm - bore)).label
    return CircuitResult(
        name=c.name,
        bore_mm=c.spec.bore_mm,
        share=c.share,
        force_n=force,
        pressure_mpa=force / c.area_mm2,
        piston_mm=piston,
        stroke_mm=c.spec.stroke_mm,
        margin_mm=c.spec.stroke_mm - piston,
        volume_mm3=(piston - c.spec.dead_stroke_mm) * c.area_mm2,
        wanted_mpa=wanted,
        needed_effort_n=needed,
        wanted_bore_mm=bore,
        standard_bore=label,
        weakest=weakest_rating(pedal, c.name),
        wear_mm3=c.spec.wear_mm3,
        reservoir_mm3=c.spec.reservoir_mm3,
        reservoir_needed_mm3=c.spec.wear_mm3 + c.area_mm2 * c.spec.stroke_mm,
    )
