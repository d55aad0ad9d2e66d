"""One brake circuit lost: how far the pedal goes then, and what the other one still gives.

A master without pressure runs to the end of its stroke. There it holds the bar's end again, so that the
balance of the bar, and with it the share of the circuit that is left, is what it was: only the pedal
travels further. Where the bar's swing is bounded and it comes to that bound first, the bar is a rigid
lever and the circuit left takes all of the rod's force. Statics and virtual work, as in `brake_circuits`.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from generators.hydraulics.brake_circuits import (
    Array,
    BalancedCircuit,
    PistonOfRod,
    asked,
    efforts,
    rod_force,
)
from generators.hydraulics.linkage import Linkage
from generators.model.spec.hydraulics import Pedal
from generators.model.words import Circuit


@dataclass(frozen=True, slots=True, kw_only=True)
class CircuitLost:
    """What is left without circuit ``lost`` at the largest pad force; mm, MPa, rad.

    ``pad_mm`` is infinite where the linkage never gets there. ``share`` of the rod force that the circuit
    left then takes. ``swing_mm`` is how far one end of the bar is ahead of the other, ``swing_rad`` the
    bar's angle where its span is given. ``held`` says that the bar's own bound holds it, not the end of
    the lost master's stroke.
    """

    lost: Circuit
    left: Circuit
    pad_mm: float
    left_mpa: float
    share: float
    swing_mm: float
    swing_rad: float | None
    held: bool


def circuits_lost(
    pedal: Pedal, link: Linkage, circuits: Sequence[BalancedCircuit], most_n: float
) -> tuple[CircuitLost, ...]:
    """Each of two circuits lost in turn, at a pad force of ``most_n`` N; empty for one circuit."""
    if len(circuits) != 2 or pedal.brake is None:
        return ()
    bound = pedal.brake.bar_swing_mm
    out = []
    for gone, left in ((circuits[0], circuits[1]), (circuits[1], circuits[0])):
        held = False
        piston = _bottomed(pedal, link, gone, left)
        rod = rod_force(link, piston, most_n)
        share, at_left = left.share, float(left.piston(np.array(rod)))
        swing = gone.spec.stroke_mm - at_left
        if bound is not None and swing > bound:
            held, share, swing = True, 1.0, bound
            piston = _held(pedal, link, left, bound)
            rod = rod_force(link, piston, most_n)
        effort, pad = efforts(link, piston, np.array([rod]))
        span = pedal.brake.bar_span_mm
        out.append(
            CircuitLost(
                lost=gone.name,
                left=left.name,
                pad_mm=float(pad[0]) if effort[0] >= most_n * (1 - 1e-9) else math.inf,
                left_mpa=share * rod / left.area_mm2,
                share=share,
                swing_mm=swing,
                swing_rad=math.asin(min(1.0, abs(swing) / span)) if span is not None else None,
                held=held,
            )
        )
    return tuple(out)


def _bottomed(pedal: Pedal, link: Linkage, gone: BalancedCircuit, left: BalancedCircuit) -> PistonOfRod:
    """The rod's way with the lost master at the end of its stroke."""

    def piston(rod_n: Array) -> Array:
        stroke = gone.share * gone.spec.stroke_mm + left.share * left.piston(rod_n)
        return asked(pedal, link, stroke, rod_n)

    return piston


def _held(pedal: Pedal, link: Linkage, left: BalancedCircuit, bound_mm: float) -> PistonOfRod:
    """The rod's way with the bar at its bound, all of the force on the master left."""

    def piston(rod_n: Array) -> Array:
        stroke = left.piston(rod_n, 1.0) + (1.0 - left.share) * bound_mm
        return asked(pedal, link, stroke, rod_n)

    return piston
