"""The whole answer for a clutch pedal, as one record."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from generators.hydraulics.budget import BudgetStep, release_budget
from generators.hydraulics.clutch import ClutchSetup, Curves, clutch_setup, curves, pads_up_to, rising
from generators.hydraulics.linkage import Linkage, PedalFrame, build_linkage, motion
from generators.hydraulics.window import Change, StopWindow, effort_target, openers, stop_of, stop_window
from generators.model.spec.hydraulics import Line, Pedal
from generators.model.words import Circuit


@dataclass(frozen=True, slots=True, kw_only=True)
class PedalState:
    """The pedal at one pad travel: mm, rad, N, MPa; fields as in ``Curves``."""

    pad_mm: float
    angle_rad: float
    piston_mm: float
    ratio: float
    rod_angle_rad: float
    side_load_n: float
    effort_n: float
    pressure_mpa: float
    slave_mm: float
    bearing_mm: float
    release_mm: float
    load_n: float


@dataclass(frozen=True, slots=True, kw_only=True)
class ClutchResult:
    """Everything a report says of a clutch pedal; mm, rad, N, MPa, mm3.

    ``curves`` runs from rest to ``end_mm``, where the first limit is met; ``at_stop`` is the stop in use,
    or ``end_mm`` where the stop lies beyond it. Peaks are from rest to there. ``rod_play_mm`` is negative
    for a rod that holds the piston off its rest. ``weakest`` names the piece with the lowest rating given;
    ``reservoir_needed_mm3`` is the wear volume and one whole stroke of the master. ``openers`` is filled
    for an empty window only.
    """

    name: str
    setup: ClutchSetup
    curves: Curves
    window: StopWindow
    budget: tuple[BudgetStep, ...]
    at_stop: PedalState
    end_mm: float
    rod_length_mm: float
    rod_play_mm: float
    lever_ratio: float
    rest_ratio: float
    peak_effort_n: float
    peak_pressure_mpa: float
    peak_rod_angle_rad: float
    peak_side_load_n: float
    effort_target_n: float
    travel_target_mm: float
    weakest: tuple[str, float] | None
    wear_mm3: float
    reservoir_needed_mm3: float
    openers: tuple[Change, ...]

    @property
    def linkage(self) -> Linkage:
        """The linkage the curves were made with."""
        return self.setup.link


def line_name(index: int, line: Line) -> str:
    """What a piece of line is called where its rating is spoken of."""
    return line.hose.replace("_", " ") or f"{'rigid line' if line.kind == 'rigid' else 'hose'} {index + 1}"


def weakest_rating(pedal: Pedal, circuit: Circuit | Literal[""] = "") -> tuple[str, float] | None:
    """Name and rating (MPa) of the weakest piece with a rating; of one brake circuit where named."""
    rated: list[tuple[float, str]] = []
    for what, piece in (("master", pedal.master), ("slave", pedal.slave)):
        if piece is not None and piece.rating_mpa is not None:
            rated.append((piece.rating_mpa, what))
    # one master feeds every line, whichever axle it is marked for
    shared = pedal.brake is not None and pedal.brake.rear is None
    for index, line in enumerate(pedal.line):
        if line.rating_mpa is not None and (shared or circuit in ("", line.circuit)):
            rated.append((line.rating_mpa, line_name(index, line)))
    if pedal.brake is not None:
        part = pedal.brake.rear if circuit == "rear" else pedal.brake.front
        if part is not None and part.rating_mpa is not None:
            rated.append((part.rating_mpa, f"{circuit} circuit"))
    if not rated:
        return None
    rating, name = min(rated)
    return name, rating


def unrated(pedal: Pedal, circuit: Circuit) -> tuple[str, ...]:
    """Pieces of a brake circuit that the spec gives no rating for."""
    shared = pedal.brake is not None and pedal.brake.rear is None
    out = []
    if pedal.brake is not None:
        part = pedal.brake.rear if circuit == "rear" else pedal.brake.front
        if part is not None and part.rating_mpa is None:
            out.append(f"{circuit} circuit")
    for index, line in enumerate(pedal.line):
        if line.rating_mpa is None and (shared or line.circuit == circuit):
            out.append(line_name(index, line))
    return tuple(out)


def state_of(line: Curves, index: int) -> PedalState:
    """One point of the curves."""
    return PedalState(**{name: float(getattr(line, name)[index]) for name in PedalState.__slots__})


def solve_clutch(pedal: Pedal, frame: PedalFrame) -> ClutchResult:
    """The answer for a clutch pedal hung in ``frame``.

    Raises ``GeometryFault`` naming the key of the pedal that cannot be, and ``LookupFault`` for a hose
    size the table does not have.
    """
    link = build_linkage(pedal, frame)
    setup = clutch_setup(pedal, link)
    window = stop_window(setup, stop_of(pedal, frame), by_floor=pedal.stop == "floor")
    end = max(window.latest_mm, 0.0)
    reach = min(window.stop_mm, end)
    to_stop = curves(setup, pads_up_to(setup, reach))
    at_stop = state_of(to_stop, -1)
    piston = float(motion(link, np.array([at_stop.angle_rad])).piston_mm[0])
    wear = setup.slave_mm2 * setup.clutch.fork_ratio * setup.clutch.wear_mm
    return ClutchResult(
        name=pedal.name,
        setup=setup,
        curves=curves(setup, rising(pads_up_to(setup, end), np.array([reach]))),
        window=window,
        budget=release_budget(setup, piston),
        at_stop=at_stop,
        end_mm=end,
        rod_length_mm=link.rod_length_mm,
        rod_play_mm=-link.rest_mm,
        lever_ratio=link.pad_radius_mm / link.pin_radius_mm,
        rest_ratio=float(to_stop.ratio[0]),
        peak_effort_n=float(to_stop.effort_n.max()),
        peak_pressure_mpa=float(to_stop.pressure_mpa.max()),
        peak_rod_angle_rad=float(to_stop.rod_angle_rad.max()),
        peak_side_load_n=float(to_stop.side_load_n.max()),
        effort_target_n=effort_target(pedal),
        travel_target_mm=pedal.targets.travel_mm,
        weakest=weakest_rating(pedal),
        wear_mm3=wear,
        reservoir_needed_mm3=wear + setup.master_mm2 * setup.master.stroke_mm,
        openers=openers(pedal, frame) if window.empty else (),
    )
