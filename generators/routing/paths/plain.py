"""The plain curve between two directed points in space: arc, straight, arc, no arc of half a turn or more.

Given the direction t of the straight, the first arc lies in the plane of d0 and t and its tangents meet
T0 = r tan(θ0/2) ahead of p0; likewise at the end. So

    F(t) = p1 - p0 - T0 d0 - T1 d1   must lie along t, and the straight is F·t - T0 - T1 >= 0.

Two equations on the unit sphere, solved by Newton steps from the line between the ends.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from generators.routing.paths.curves import Array, Index, unit
from generators.routing.paths.legs import Legs, aside

_STEPS = 25
_SETTLING = 10
_LARGEST_STEP = 0.6
_SMALL = 1e-12
_MOST_TANGENT = 1e5


def first_legs(
    p0: Array, d0: Array, p1: Array, d1: Array, radius_mm: Array
) -> tuple[Legs, NDArray[np.bool_]]:
    """The plainest arc-straight-arc of each row, and where it is sure to be the shortest.

    Points and unit directions (n, 3), radii (n,), mm. Sure are ends 4 r apart or more joined with half a
    turn in all or less.
    """
    found = _solve(p0, d0, p1, d1, radius_mm, unit(p1 - p0))
    gap = np.linalg.norm(p1 - p0, axis=1)
    sure = np.isfinite(found.length) & (gap >= 4.0 * radius_mm) & (found.turn0 + found.turn1 <= math.pi)
    return found, sure


# Vectors are columns here, (3, n): numpy is quickest with x, y and z each in a row
def _dot(a: Array, b: Array) -> Array:
    out: Array = (a[0] * b[0] + a[2] * b[2]) + a[1] * b[1]
    return out


def _cross(a: Array, b: Array) -> Array:
    out: Array = np.empty_like(a)
    for k in range(3):
        i, j = k - 2, k - 1
        np.subtract(a[i] * b[j], a[j] * b[i], out=out[k])
    return out


def _scaled(a: Array) -> Array:
    """Columns scaled to length 1; a zero column stays zero."""
    size = np.sqrt(_dot(a, a))
    out: Array = a / np.where(size > 0, size, 1.0)
    return out


def _square(t: Array) -> Array:
    """A unit column square to each, made without its smallest component."""
    size = np.abs(t)
    x = (size[0] <= size[1]) & (size[0] <= size[2])
    y = ~x & (size[1] <= size[2])
    out: Array = np.empty_like(t)
    out[0] = np.where(x, 0.0, np.where(y, -t[2], t[1]))
    out[1] = np.where(x, t[2], np.where(y, 0.0, -t[0]))
    out[2] = np.where(x, -t[1], np.where(y, t[0], 0.0))
    return _scaled(out)


def _tangents(d: Array, t: Array, radius: Array) -> tuple[Array, Array, Array, Array]:
    """Tangent length r tan(θ/2), its change with d·t, sin θ and cos θ, each (n,)."""
    cosine = _dot(d, t)
    turned = _cross(d, t)
    sine = np.sqrt(_dot(turned, turned))
    # tan(θ/2) = sin/(1 + cos) for less than a right angle, (1 - cos)/sin beyond, each exact where it is used
    half = np.where(
        cosine > 0, sine / (1.0 + np.maximum(cosine, 0.0)), (1.0 - cosine) / np.maximum(sine, _SMALL)
    )
    rate = -radius / np.maximum((1.0 + cosine) * sine, _SMALL)
    return radius * half, rate, sine, cosine


@dataclass(frozen=True, slots=True)
class _Ends:
    """The ends of many legs: from one to the other, both directions (3, n), and the radius (n,)."""

    v: Array
    d0: Array
    d1: Array
    r: Array

    def some(self, which: Index) -> _Ends:
        """Those columns."""
        v, d0, d1 = (a.take(which, axis=1) for a in (self.v, self.d0, self.d1))
        return _Ends(v, d0, d1, self.r[which])


def _solve(p0: Array, d0: Array, p1: Array, d1: Array, r: Array, t: Array) -> Legs:
    """Newton steps on the sphere from the directions ``t``, all rows at once; rows done are left alone."""
    # thousands of rows at once; scipy.optimize.root takes one
    v = p1 - p0
    t = np.where(np.linalg.norm(t, axis=1, keepdims=True) > 0, t, d0)
    v, d0, d1, t = (np.ascontiguousarray(rows.T) for rows in (v, d0, d1, t))
    every = left = _Ends(v, d0, d1, r)
    reached, todo, t = t, np.arange(len(r)), t.copy()
    for number in range(_STEPS):
        step = _step(left, t)
        # in the order of ``norm``, so that what stops here stops on any machine
        size = np.sqrt((step[0] * step[0] + step[1] * step[1]) + step[2] * step[2])
        step *= np.minimum(size, _LARGEST_STEP) / np.maximum(size, _SMALL)
        t = _scaled(t + step)
        # what still strides after ten steps wanders between roots and is let go
        on = (size > 1e-14) & ((number < _SETTLING) | (size < _LARGEST_STEP / 2.0))
        if not on.all():
            reached[:, todo] = t
            on = np.flatnonzero(on)
            left, t, todo = left.some(on), t.take(on, axis=1), todo[on]
        if len(todo) == 0:
            break
    reached[:, todo] = t
    return _legs(every, reached)


def _step(ends: _Ends, t: Array) -> Array:
    """One Newton step in the plane square to ``t``, (3, n)."""
    d0, d1 = ends.d0, ends.d1
    e = _square(t)
    f = _cross(t, e)
    t0, rate0, _, _ = _tangents(d0, t, ends.r)
    t1, rate1, _, _ = _tangents(d1, t, ends.r)
    force = ends.v - t0 * d0 - t1 * d1
    d0e, d0f, d1e, d1f = _dot(d0, e), _dot(d0, f), _dot(d1, e), _dot(d1, f)
    lam = _dot(force, t)
    a = -rate0 * d0e * d0e - rate1 * d1e * d1e - lam
    b = -rate0 * d0e * d0f - rate1 * d1e * d1f
    c = -rate0 * d0f * d0f - rate1 * d1f * d1f - lam
    g, h = _dot(force, e), _dot(force, f)
    det = a * c - b * b
    det = np.where(np.abs(det) > _SMALL, det, _SMALL)
    out: Array = (b * h - c * g) / det * e + (b * g - a * h) / det * f
    return out


def _legs(ends: _Ends, t: Array) -> Legs:
    """Turns and lengths at the directions reached; length inf where the equations do not hold."""
    v, r = ends.v, ends.r
    t0, _, sine0, cosine0 = _tangents(ends.d0, t, r)
    t1, _, sine1, cosine1 = _tangents(ends.d1, t, r)
    force = v - t0 * ends.d0 - t1 * ends.d1
    lam = _dot(force, t)
    off = np.linalg.norm(force - lam * t, axis=0)
    straight = lam - t0 - t1
    scale = np.linalg.norm(v, axis=0) + r
    turn0, turn1 = np.arctan2(sine0, cosine0), np.arctan2(sine1, cosine1)
    # near half a turn the tangents meet nowhere and their lengths cancel: such a root is none
    sharp = np.maximum(t0, t1) < _MOST_TANGENT * r
    good = sharp & (off <= 1e-10 * scale) & (straight >= -1e-9 * r) & np.isfinite(off)
    straight = np.maximum(straight, 0.0)
    length = np.where(good, r * (turn0 + turn1) + straight, np.inf)
    along, d0, d1 = (np.ascontiguousarray(a.T) for a in (t, ends.d0, ends.d1))
    toward0, toward1 = aside(d0, along), aside(along, d1)
    return Legs(along, toward0, toward1, turn0, turn1, straight, length)
