"""How likely a part goes on, given how well the holes are known."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from generators.measure.equations import Array
from generators.measure.fitting.fit import Joint
from generators.measure.fitting.goes import assembles

SEED = 1_405
STEPS = (250, 500, 1000, 2000)
PART_MM = 0.05
"""Standard uncertainty of a cut hole's place, each way: common practice for a laser, no source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Chance:
    """Probability of assembly. ``running`` is (sets, share so far); ``within`` half a 95 % interval."""

    share: float
    within: float
    running: tuple[tuple[int, float], ...]


def assembly_chance(
    joints: Sequence[Joint],
    covariance: Array,
    extra: Sequence[float] | None = None,
    steps: Sequence[int] = STEPS,
) -> Chance:
    """Share of simulated sets that assemble; ``covariance`` (2n, 2n) is that of the panel's centres, mm².

    The seed is fixed. Interval: E. B. Wilson 1927, which is sound near 0 and 1.
    """
    n, most = len(joints), steps[-1]
    rng = np.random.default_rng(SEED)
    values, vectors = np.linalg.eigh(covariance)
    root = vectors * np.sqrt(np.maximum(values, 0.0))
    centre = np.array([j.panel for j in joints]).ravel()
    # a part's own error and the panel's are alike to the fit: only their difference counts
    panel = centre + rng.normal(size=(most, 2 * n)) @ root.T + rng.normal(0.0, PART_MM, (most, 2 * n))
    size = np.array([j.panel_sigma_mm for j in joints]) * rng.normal(size=(most, n))
    floats = np.array([not j.fixed for j in joints])
    more = np.zeros(n) if extra is None else np.asarray(extra)
    clear = np.array([j.clearance_mm for j in joints]) + more + np.where(floats, size / 2, 0.0)
    thin = np.array([j.panel_dia_mm - j.shank_mm for j in joints]) + size
    goes = assembles(joints, panel.reshape(most, n, 2), clear)
    goes &= ((thin >= 0) | ~floats).all(axis=1)
    running = tuple((step, float(goes[:step].mean())) for step in steps)
    share, z = running[-1][1], 1.96
    within = z / (1 + z * z / most) * math.sqrt(share * (1 - share) / most + (z / (2 * most)) ** 2)
    return Chance(share=share, within=within, running=running)
