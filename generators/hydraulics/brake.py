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
from generators.hydraulics.brake_circuits import BalancedCircuit, brake_circuits, efforts, rod_force, together
from generators.hydraulics.circuit_lost import CircuitLost, circuits_lost
from generators.hydraulics.cylinders import bore_for
from generators.hydraulics.linings import lining_volume, wear_volume
from generators.hydraulics.linkage import Linkage, PedalFrame, build_linkage, motion
from generators.hydraulics.result import unrated, weakest_rating
from generators.hydraulics.window import effort_target
from generators.model.spec.hydraulics import Pedal
from generators.model.words import Circuit
from generators.standards import FootForce, largest_foot_force, standard_bores

Array = NDArray[np.float64]

INSPECTION_N = 222.4110807
"""50 lbf: the pedal force at which 49 CFR 570.55(c) asks for no more than 80 % of the travel."""

_POINTS = 201

_SAME_BORE_MM = 0.02


@dataclass(frozen=True, slots=True, kw_only=True)
class CircuitResult:
    """One brake circuit at the target effort; MPa, N, mm, mm3.

    ``share`` of the rod force; ``needed_effort_n`` is the pad force for the pressure wanted, and
    ``wanted_bore_mm`` what would give it at the target effort; ``standard_bore`` is the largest common bore
    that does, tried by solving with it. None (and "") where no pressure is wanted or none does.
    ``margin_mm`` is piston stroke left. ``most_mpa`` is the pressure at the largest force that may come;
    ``unrated`` names the pieces nobody gave a rating for. ``reservoir_least_mm3`` moves the brakes from new
    linings, let off, to worn ones, applied (FMVSS 105 S5.4.2); ``reservoir_needed_mm3`` is wear and a stroke,
    never less. ``wear_mm3`` is what follows the linings, None where nobody says; ``wear_said_mm3`` what
    the spec says of it, ``wear_computed_mm3`` what linings and pistons make it.
    """

    name: Circuit
    bore_mm: float
    share: float
    force_n: float
    pressure_mpa: float
    most_mpa: float
    piston_mm: float
    stroke_mm: float
    margin_mm: float
    volume_mm3: float
    wanted_mpa: float | None
    needed_effort_n: float | None
    wanted_bore_mm: float | None
    standard_bore: str
    weakest: tuple[str, float] | None
    unrated: tuple[str, ...]
    wear_mm3: float | None
    wear_said_mm3: float | None
    wear_computed_mm3: float | None
    reservoir_mm3: float | None
    reservoir_least_mm3: float
    reservoir_needed_mm3: float


@dataclass(frozen=True, slots=True, kw_only=True)
class BrakeResult:
    """Everything a report says of a brake pedal; mm, rad, N, MPa.

    The arrays run from rest to the target effort: ``effort_n`` pad force, ``pad_mm`` pad travel (infinite
    where the linkage never gets there), ``front_mpa`` and ``rear_mpa`` (None with one circuit).
    ``inspection_share`` is the share of the pad travel used at 50 lbf, ``travel_share`` at the target
    effort; infinite where the pedal cannot get there. ``most_n`` is the largest force that may come on the
    pad, ``most_force`` the rule book it is from; ``lost`` tells of each circuit what is left without it.
    """

    name: str
    linkage: Linkage
    effort_n: Array
    pad_mm: Array
    front_mpa: Array
    rear_mpa: Array | None
    circuits: tuple[CircuitResult, ...]
    target_effort_n: float
    most_n: float
    most_force: FootForce
    lost: tuple[CircuitLost, ...]
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


def solve_brake(pedal: Pedal, frame: PedalFrame, category: str = "") -> BrakeResult:
    """The answer for a brake pedal hung in ``frame``, in a vehicle of a UN ``category`` ("" unknown).

    Raises ``GeometryFault`` naming the key of the pedal that cannot be, and ``LookupFault`` for a hose
    size the table does not have.
    """
    link = build_linkage(pedal, frame)
    circuits = brake_circuits(pedal)
    for c in circuits:
        if link.rest_mm >= c.spec.stroke_mm:
            raise GeometryFault(
                f"a rod of {link.rod_length_mm:g} mm, so long that it bottoms the {c.name} master at rest",
                "rod_length",
            )
    target = effort_target(pedal)
    published = largest_foot_force(category)
    most = max(target, published.force_n)
    piston = together(pedal, link, circuits)
    rod = rod_force(link, piston, target)
    forces = np.linspace(0.0, rod, _POINTS)
    effort, pad = efforts(link, piston, forces)
    inspection = rod_force(link, piston, INSPECTION_N)
    at_inspection = float(efforts(link, piston, np.array([inspection]))[1][0])
    reached = bool(effort[-1] >= target * (1 - 1e-9))
    at_effort = float(pad[-1]) if reached else np.inf
    moved = motion(link, np.minimum(pad, link.travel_mm) / link.pad_radius_mm)
    stroke = motion(link, np.linspace(0.0, min(at_effort, link.travel_mm), _POINTS) / link.pad_radius_mm)
    pressures = [c.share * forces / c.area_mm2 for c in circuits]
    rod_most = rod_force(link, piston, most)
    return BrakeResult(
        name=pedal.name,
        linkage=link,
        effort_n=effort,
        pad_mm=pad,
        front_mpa=pressures[0],
        rear_mpa=pressures[1] if len(pressures) > 1 else None,
        circuits=tuple(_result(pedal, link, circuits, c, rod, rod_most) for c in circuits),
        target_effort_n=target,
        most_n=most,
        most_force=published,
        lost=circuits_lost(pedal, link, circuits, most),
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
    pedal: Pedal,
    link: Linkage,
    circuits: list[BalancedCircuit],
    c: BalancedCircuit,
    rod_n: float,
    rod_most_n: float,
) -> CircuitResult:
    force, wear = c.share * rod_n, wear_volume(c.spec)
    piston = float(c.piston(np.array(rod_n)))
    wanted = c.spec.pressure_mpa
    needed, bore, label = None, None, ""
    if wanted is not None:
        rod_wanted = wanted * c.area_mm2 / c.share
        needed = float(efforts(link, together(pedal, link, circuits), np.array([rod_wanted]))[0][0])
        bore = bore_for(force, wanted)
        label = _common_bore(pedal, link, c.name, bore, wanted)
    return CircuitResult(
        name=c.name,
        bore_mm=c.spec.bore_mm,
        share=c.share,
        force_n=force,
        pressure_mpa=force / c.area_mm2,
        most_mpa=c.share * rod_most_n / c.area_mm2,
        piston_mm=piston,
        stroke_mm=c.spec.stroke_mm,
        margin_mm=c.spec.stroke_mm - piston,
        volume_mm3=(piston - c.spec.dead_stroke_mm) * c.area_mm2,
        wanted_mpa=wanted,
        needed_effort_n=needed,
        wanted_bore_mm=bore,
        standard_bore=label,
        weakest=weakest_rating(pedal, c.name),
        unrated=unrated(pedal, c.name),
        wear_mm3=wear,
        wear_said_mm3=c.spec.wear_mm3,
        wear_computed_mm3=None if c.spec.linings is None else lining_volume(c.spec.linings),
        reservoir_mm3=c.spec.reservoir_mm3,
        reservoir_least_mm3=(wear or 0.0) + c.spec.volume_mm3,
        reservoir_needed_mm3=(wear or 0.0) + max(c.area_mm2 * c.spec.stroke_mm, c.spec.volume_mm3),
    )


def _common_bore(pedal: Pedal, link: Linkage, name: Circuit, bore_mm: float, wanted_mpa: float) -> str:
    """The largest common bore that gives the pressure at the target effort, found by taking it.

    A smaller bore moves further for the same fluid, so that the linkage gives another force there: each is
    solved, down from the one that would do at the force of the bore in the spec.
    """
    target = effort_target(pedal)
    common = sorted((b for b in standard_bores("master")), key=lambda b: -b.bore_mm)
    for row in (b for b in common if b.bore_mm <= bore_mm + _SAME_BORE_MM):
        tried = brake_circuits(pedal, {name: row.bore_mm})
        own = next(c for c in tried if c.name == name)
        piston = together(pedal, link, tried)
        rod = rod_force(link, piston, target)
        reached = float(efforts(link, piston, np.array([rod]))[0][0]) >= target * (1 - 1e-9)
        if not reached or float(own.piston(np.array(rod))) > own.spec.stroke_mm:
            return ""  # smaller ones move further still
        if own.share * rod / own.area_mm2 >= wanted_mpa * (1 - 1e-9):
            return row.label
    return ""
