"""Rigid frames in space as 4×4 matrices (numpy), and the panel's pose in the vehicle."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

Matrix = NDArray[np.float64]


def cross(a: Matrix, b: Matrix) -> Matrix:
    """Cross products of rows (or two vectors); numpy's own spends most of its time on shapes."""
    out: Matrix = np.empty(np.broadcast_shapes(a.shape, b.shape))
    out[..., 0] = a[..., 1] * b[..., 2] - a[..., 2] * b[..., 1]
    out[..., 1] = a[..., 2] * b[..., 0] - a[..., 0] * b[..., 2]
    out[..., 2] = a[..., 0] * b[..., 1] - a[..., 1] * b[..., 0]
    return out


def turned_about(vectors: Matrix, axis: Matrix, angle_rad: float | Matrix) -> Matrix:
    """Vectors (..., 3) turned about a unit axis, each by its angle or all by one: Rodrigues' formula."""
    angle = np.asarray(angle_rad)
    c, s = np.cos(angle)[..., None], np.sin(angle)[..., None]
    along = np.einsum("...j,...j->...", vectors, np.broadcast_to(axis, vectors.shape))[..., None]
    out: Matrix = vectors * c + cross(axis, vectors) * s + axis * along * (1.0 - c)
    return out


def frame(origin: tuple[float, float, float], u: Matrix, v: Matrix) -> Matrix:
    """Matrix taking ``(u, v, w, 1)`` to space; ``u`` and ``v`` unit and square to each other."""
    out = np.eye(4)
    out[:3, 0] = u
    out[:3, 1] = v
    out[:3, 2] = cross(u, v)
    out[:3, 3] = origin
    return out


def panel_frame(origin: tuple[float, float, float], tilt_rad: float, turn_rad: float = 0.0) -> Matrix:
    """Panel pose: u to the right and v up, as seen from the side its normal ``u × v`` faces.

    Without tilt and turn it is upright, u is the vehicle's right (+y), its normal points rearward (+x),
    to the driver. Its top leans away from whom it faces by ``tilt_rad``; then it is turned about the
    vehicle's vertical by ``turn_rad``, counter-clockwise seen from above: a quarter turn faces the vehicle's
    right (+y).
    """
    c, s = math.cos(turn_rad), math.sin(turn_rad)
    lean = math.sin(tilt_rad)
    v = np.array([-lean * c, -lean * s, math.cos(tilt_rad)])
    return frame(origin, np.array([-s, c, 0.0]), v)


def plane_move(du: float, dv: float, angle: float) -> Matrix:
    """A turn about w and a shift in the plane, in space."""
    out = np.eye(4)
    c, s = math.cos(angle), math.sin(angle)
    out[0, :2] = (c, -s)
    out[1, :2] = (s, c)
    out[0, 3], out[1, 3] = du, dv
    return out


def lift(height_mm: float) -> Matrix:
    """A shift along w."""
    out = np.eye(4)
    out[2, 3] = height_mm
    return out


def apply(matrix: Matrix, points: Matrix) -> Matrix:
    """Image of points, shape (n, 3) in mm."""
    out: Matrix = points @ matrix[:3, :3].T + matrix[:3, 3]
    return out
