"""Numbers drawn in blocks, each from its own seed, so that it does not matter who draws which block."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from generators.measure.chance.kit import Column
from generators.measure.equations import Array
from generators.model.spec.forms.spread import Shape

BLOCK = 1_000
"""Installs in a block."""

_LEAST = 1e-12


def standard(shares: Array, shape: Shape) -> Array:
    """Values of a spread of unit scale at the shares of its distribution, 0 to 1."""
    if shape == "uniform":
        return np.asarray(2.0 * shares - 1.0)
    if shape == "triangular":
        low = shares < 0.5
        return np.where(low, np.sqrt(2.0 * shares) - 1.0, 1.0 - np.sqrt(2.0 * (1.0 - shares)))
    from scipy.special import ndtri  # noqa: PLC0415 - slow to load

    return np.asarray(ndtri(np.clip(shares, _LEAST, 1.0 - _LEAST)))


def values(shares: Array, columns: Sequence[Column]) -> Array:
    """Inputs (installs, columns), each in its own unit, at shares of their distributions."""
    out = np.empty_like(shares)
    for k, column in enumerate(columns):
        out[:, k] = column.middle + column.scale * standard(shares[:, k], column.shape)
    return out


def block(columns: Sequence[Column], seed: int, number: int, count: int = BLOCK) -> Array:
    """Inputs of block ``number``: the same wherever and in whatever order blocks are drawn.

    PCG64 on the seed sequence of (seed, block), NumPy's way of parallel streams.
    """
    rng = np.random.Generator(np.random.PCG64(np.random.SeedSequence(seed, spawn_key=(number,))))
    return values(rng.random((count, len(columns))), columns)
