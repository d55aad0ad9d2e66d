"""Where the pedal's stroke goes: the release budget, all in mm at the bearing."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from generators.hydraulics.clutch import ClutchSetup, line_pressure, state_at
from generators.hydraulics.line import compressed, swell


@dataclass(frozen=True, slots=True, kw_only=True)
class BudgetStep:
    """One step of the waterfall. ``mm`` at the bearing: positive for the stroke put in and for the
    release that is left, negative for what is lost on the way.
    """

    key: str
    label: str
    mm: float


def release_budget(setup: ClutchSetup, piston_mm: float) -> tuple[BudgetStep, ...]:
    """The budget when the rod asks for ``piston_mm``: stroke, losses, and the release travel left.

    The first step and the losses add up to the last to rounding: nothing is made to fit.
    """
    gear = setup.master_mm2 / (setup.slave_mm2 * setup.clutch.fork_ratio)
    bearing, load = (float(x) for x in state_at(setup, np.array(piston_mm)))
    p = line_pressure(setup, np.array(load))
    at_bearing = 1.0 / (setup.slave_mm2 * setup.clutch.fork_ratio)
    start = max(setup.link.rest_mm, 0.0)
    stroke = piston_mm - setup.link.rest_mm
    play = min(stroke, max(-setup.link.rest_mm, 0.0))
    dead = min(stroke - play, setup.closes_mm - start)
    free = min(bearing, setup.clutch.free_play_mm)
    return (
        BudgetStep(key="stroke", label="pedal stroke at the piston", mm=stroke * gear),
        BudgetStep(key="play", label="rod play", mm=-play * gear),
        BudgetStep(key="dead", label="dead stroke", mm=-dead * gear),
        BudgetStep(key="free", label="free play at the bearing", mm=-free),
        BudgetStep(key="swell", label="hose swell", mm=-float(swell(setup.compliance, p)) * at_bearing),
        BudgetStep(
            key="compressed", label="fluid and air", mm=-float(compressed(setup.compliance, p)) * at_bearing
        ),
        BudgetStep(
            key="flex", label="panel flex", mm=-float(setup.flex_mm_per_n * p * setup.master_mm2) * gear
        ),
        BudgetStep(key="release", label="release travel", mm=bearing - free),
    )
