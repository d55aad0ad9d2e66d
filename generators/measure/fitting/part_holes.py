"""Where a part's holes are, from diameters and distances over the far rims read on the part itself.

Places and diameters are adjusted together by least squares from where the drawing has them (Gauss-Newton;
observation ``|p_i - p_j| + (d_i + d_j) / 2`` for a distance over far rims). The readings say nothing of where
the part lies, so the shape is laid on the drawn one as well as it goes (W. Kabsch 1976), and the covariance
is that of inner constraints (P. Meissl 1962, from memory).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from generators.measure.equations import Array
from generators.measure.fitting.fit import kabsch

ROUNDS = 12
SETTLED_MM = 1e-9
SAME_RANK = 1e-7
RIGID = 3
"""Moves of a plane shape that no distance sees: two shifts and a turn."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FarRims:
    """A distance over the far rims of holes ``one`` and ``other``, mm."""

    one: int
    other: int
    read_mm: float
    sigma_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class PartHoles:
    """Places (n, 2) and diameters (n,), mm; ``covariance`` (2n, 2n) of the places, mm².

    ``w`` is the standardised residual of each distance: 0 where nothing checks it.
    """

    points: Array
    diameters: Array
    covariance: Array
    w: tuple[float, ...]


def part_holes(
    drawn: Array, sizes: Sequence[tuple[float, float]], distances: Sequence[FarRims]
) -> PartHoles | None:
    """The holes as read; ``None`` where the distances do not fix their shape.

    ``drawn`` (n, 2) is where the drawing has them, ``sizes`` each diameter with its standard uncertainty.
    """
    n = len(drawn)
    read = np.array([s for s, _ in sizes] + [d.read_mm for d in distances])
    sigma = np.array([s for _, s in sizes] + [d.sigma_mm for d in distances])
    x = np.concatenate([drawn.ravel(), read[:n]])
    slope = np.zeros((len(read), 3 * n))
    for _ in range(ROUNDS):
        slope, said = _equations(x, n, distances)
        step, _, rank, _ = np.linalg.lstsq(slope / sigma[:, None], (read - said) / sigma, rcond=SAME_RANK)
        if rank < 3 * n - RIGID:
            return None
        x = x + step
        if float(np.abs(step).max()) < SETTLED_MM:
            break
    slope, said = _equations(x, n, distances)
    cofactor = np.linalg.pinv((slope / sigma[:, None]).T @ (slope / sigma[:, None]), rcond=SAME_RANK**2)
    left = sigma**2 - np.einsum("ij,jk,ik->i", slope, cofactor, slope)
    w = [
        float((r - s) / math.sqrt(v)) if v > 1e-9 * q**2 else 0.0
        for r, s, v, q in zip(read, said, left, sigma, strict=True)
    ]
    points = x[: 2 * n].reshape(n, 2)
    move = kabsch(points, drawn[None, :, :])[0]
    turn = np.array([[math.cos(move[2]), -math.sin(move[2])], [math.sin(move[2]), math.cos(move[2])]])
    middle = points.mean(axis=0)
    laid: Array = (points - middle) @ turn.T + middle + move[:2]
    return PartHoles(points=laid, diameters=x[2 * n :], covariance=cofactor[: 2 * n, : 2 * n], w=tuple(w[n:]))


def _equations(x: Array, n: int, distances: Sequence[FarRims]) -> tuple[Array, Array]:
    """Slopes of all readings, and what they would be: diameters, then distances."""
    points, diameters = x[: 2 * n].reshape(n, 2), x[2 * n :]
    slope = np.zeros((n + len(distances), 3 * n))
    said = np.concatenate([diameters, np.zeros(len(distances))])
    for i in range(n):
        slope[i, 2 * n + i] = 1.0
    for k, d in enumerate(distances, n):
        step = points[d.other] - points[d.one]
        far = float(np.hypot(*step))
        slope[k, 2 * d.one : 2 * d.one + 2] = -step / far
        slope[k, 2 * d.other : 2 * d.other + 2] = step / far
        slope[k, [2 * n + d.one, 2 * n + d.other]] = 0.5
        said[k] = far + (diameters[d.one] + diameters[d.other]) / 2
    return slope, said
