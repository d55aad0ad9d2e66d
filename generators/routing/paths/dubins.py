"""Shortest curves of bounded curvature between two directed points in space: arc, straight, arc.

All curves of that form are had from one unknown (``corners``): the equation is sampled over its whole range,
every change of sign is closed in on, and where it comes near nought without one it is looked at more closely;
of all roots the shortest curve is taken. No iteration that could settle in a longer curve is trusted.

A shortest curve in space is arc-straight-arc, three arcs, or a helicoidal arc (H. J. Sussmann, Shortest
3-dimensional paths with a prescribed curvature bound, Proc. 34th IEEE CDC (1995) 3306-3312). By Pontryagin's
principle the first two have all their planes through one line, where the bends change hands; three arcs cross
it at an angle, so that they lie in one plane. They are had for ends in one plane, with Dubins's other words
(``words``). The helicoidal arc, shorter at times where the ends are closer than about 4 r, is not sought.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from generators.routing.paths import corners
from generators.routing.paths.corners import Curve, Ends, Place
from generators.routing.paths.curves import Array, Index
from generators.routing.paths.legs import Legs, aside, miss, no_legs

# The goal's line by θ1 (odd, and nought among them) and by φ; beside where the tangents end, by q in radii
_TURNS = 2.0 * math.pi * (np.arange(33) - 16) / 33.0
_PHIS = np.concatenate([[1e-9], math.pi * np.arange(1, 32) / 32.0, [math.pi - 1e-9]])
_BESIDE = (0.0, 0.05, 0.15, 0.4)
_SIDES = np.array([1.0, 1.0, -1.0, -1.0])[:, None, None]
_FRONTS = np.array([1.0, -1.0, 1.0, -1.0])[:, None, None]
_ROWS = 256
_HALVINGS = 24
_CLOSER = 10
_STEPS = 60
_NARROW = 1e-14
# A curve between two places may be shorter than both by no more than about this, radii
_SHORTER = 1.0
_MISS = 1e-8
_NO_TURN = 1e-9
_SAME = 1e-9
_SMALL = 1e-12


def shortest_legs(
    p0: Array, d0: Array, p1: Array, d1: Array, radius_mm: Array, most_mm: Array | None = None
) -> Legs:
    """The shortest arc-straight-arc of each row; points and unit directions (n, 3), radii (n,), mm.

    What cannot be shorter than ``most_mm``, a length known already for each row, is not looked for.
    """
    out = no_legs(len(p0))
    most = np.full(len(p0), np.inf) if most_mm is None else most_mm * (1.0 + _SAME)
    for first in range(0, len(p0), _ROWS):
        part = slice(first, first + _ROWS)
        rows = np.arange(len(p0))[part]
        found = _shortest(p0[part], d0[part], p1[part], d1[part], radius_mm[part], most[part])
        out.put(rows, found, np.arange(len(rows)))
    return out


def least_lengths(p0: Array, d0: Array, p1: Array, d1: Array, radius_mm: Array) -> Array:
    """What no leg can be shorter than, (n,), mm: the way from one end to the other, arriving anyhow.

    That way is an arc and a straight in the plane of the direction and the other end; of the two the longer.
    """
    return np.maximum(_to_point(p1 - p0, d0, radius_mm), _to_point(p0 - p1, -d1, radius_mm))


def _to_point(v: Array, d: Array, r: Array) -> Array:
    ahead, gap = np.einsum("ij,ij->i", v, d), np.linalg.norm(v, axis=1)
    aside = np.sqrt(np.maximum(gap * gap - ahead * ahead, 0.0)) - r
    far = np.hypot(ahead, aside)
    outside = far > r
    lean = np.arctan2(aside, ahead) + np.arcsin(np.where(outside, r / np.maximum(far, _SMALL), 1.0))
    way = r * np.mod(lean + _SAME, 2.0 * math.pi) + np.sqrt(np.maximum(far * far - r * r, 0.0))
    return np.asarray(np.maximum(gap, np.where(outside, way * (1.0 - 1e-6), 0.0)))


def _shortest(p0: Array, d0: Array, p1: Array, d1: Array, r: Array, most: Array) -> Legs:
    of, e, f = corners.ends(p0, d0, p1, d1, r)
    best = _half_turns(of, e, f, d0, r)
    at = _sampled(of)
    at, curve = _round(at, corners.curves(of, at, _SIDES, _FRONTS))
    whole = curve.turn0 + np.mod(at.turn, 2.0 * math.pi) + np.maximum(curve.straight, 0.0)
    least = r[:, None] * (np.minimum(whole[..., 1:], whole[..., :-1]) - _SHORTER)
    real = np.maximum(curve.straight[..., 1:], curve.straight[..., :-1]) >= -_SAME
    for spans in (_crossings, _near_misses):
        worth = real & (least < np.minimum(most, best.length)[:, None])
        found = spans(of, at, curve.lack, worth)
        row = found.row
        legs = _legs(of.some(row), found, e[row], f[row], d0[row], d1[row], r[row])
        off = miss(legs, p0[row], d0[row], p1[row], d1[row], r[row])
        legs.length[~(off <= _MISS)] = np.inf
        order = np.lexsort((legs.length, row))
        first = order[np.flatnonzero(np.diff(row[order], prepend=-1))]
        better = first[legs.length[first] < best.length[row[first]]]
        best.put(row[better], legs, better)
    return best


def _sampled(of: Ends) -> Place:
    """Places all along the goal's line, in order, (n, m)."""
    n = len(of.v0)
    parts = [
        corners.by_turn(of, np.broadcast_to(_TURNS, (n, len(_TURNS)))),
        corners.by_phi(of, np.broadcast_to(_PHIS, (n, len(_PHIS)))),
    ]
    at = _ordered(parts)
    beside = _tangent_ends(of, at)
    return at if beside is None else _ordered([at, beside])


def _ordered(parts: list[Place]) -> Place:
    x, turn, phi = (np.concatenate([getattr(p, n) for p in parts], axis=1) for n in ("x", "turn", "phi"))
    order = np.argsort(turn - phi, axis=1, kind="stable")
    return Place(*(np.take_along_axis(a, order, axis=1) for a in (x, turn, phi)))


def _tangent_ends(of: Ends, at: Place) -> Place | None:
    """Where the first arc's tangent through the corner ends, and places near by; repeated to one length.

    There q passes nought like a root, so that a root beside it falls between places evenly strewn.
    """
    square = corners.inside(of, at.x)
    row, k = np.nonzero(np.signbit(square[:, 1:]) != np.signbit(square[:, :-1]))
    if len(row) == 0:
        return None
    few = of.some(row)
    low, high = _picked(at, row, k), _picked(at, row, k + 1)
    a, b = np.zeros(len(row)), np.ones(len(row))
    first = np.signbit(square[row, k])
    middle = low
    for _ in range(_HALVINGS):
        share = (a + b) / 2.0
        middle = corners.between(few, low, high, share)
        same = np.signbit(corners.inside(few, middle.x)) == first
        a, b = np.where(same, share, a), np.where(same, b, share)
    step = 1e-6 * (1.0 + np.abs(middle.x))
    rate = (corners.inside(few, middle.x + step) - corners.inside(few, middle.x - step)) / (2.0 * step)
    rate = np.where(np.abs(rate) > _SMALL, rate, np.inf)
    count = np.bincount(row, minlength=len(at.x))
    number = np.arange(len(row)) - np.repeat(np.cumsum(count) - count, count)
    x = np.zeros((len(at.x), len(_BESIDE) * int(count.max())))
    for n, q in enumerate(_BESIDE):
        x[row, number * len(_BESIDE) + n] = middle.x + q * q / rate
    return corners.by_turn(of, 2.0 * np.arctan(x))


def _picked(at: Place, row: Index, k: Index) -> Place:
    return Place(at.x[row, k], at.turn[row, k], at.phi[row, k])


def _round(at: Place, curve: Curve) -> tuple[Place, Curve]:
    """The first place again behind the last, past half a turn, where φ has gone on by half a turn too."""
    place = Place(
        np.concatenate([at.x, at.x[:, :1]], axis=1),
        np.concatenate([at.turn, at.turn[:, :1] + 2.0 * math.pi], axis=1),
        np.concatenate([at.phi, at.phi[:, :1] - math.pi], axis=1),
    )
    # there each branch meets the one of the other side and front
    names = ("lack", "turn0", "straight")
    columns = ((getattr(curve, n), getattr(curve, n)[::-1, :, :1]) for n in names)
    return place, Curve(*(np.concatenate(pair, axis=2) for pair in columns))


@dataclass(frozen=True, slots=True)
class _Found:
    """Places of some legs and the branch they lie on, all (m,)."""

    row: Index
    place: Place
    side: Array
    front: Array


def _crossings(of: Ends, at: Place, lack: Array, worth: NDArray[np.bool_]) -> _Found:
    """Roots between places where the sign changes."""
    below = np.signbit(lack)
    branch, row, k = np.nonzero((below[..., 1:] != below[..., :-1]) & worth)
    ends = lack[branch, row, k], lack[branch, row, k + 1]
    return _closed_in(of.some(row), row, branch, _picked(at, row, k), _picked(at, row, k + 1), ends)


def _near_misses(of: Ends, at: Place, lack: Array, worth: NDArray[np.bool_]) -> _Found:
    """Pairs of roots between places of one sign: those nearest to nought are searched about more finely."""
    size, below = np.abs(lack), np.signbit(lack)
    lowest = (size[..., 1:-1] <= size[..., :-2]) & (size[..., 1:-1] <= size[..., 2:])
    alike = (below[..., 1:-1] == below[..., :-2]) & (below[..., 1:-1] == below[..., 2:])
    branch, row, k = np.nonzero(lowest & alike & (worth[..., 1:] | worth[..., :-1]))
    few, sign = of.some(row), np.where(below[branch, row, k + 1], -1.0, 1.0)
    side, front = _SIDES[branch, 0, 0], _FRONTS[branch, 0, 0]
    (one, one_off), (middle, off), (other, other_off) = (
        (_picked(at, row, k + n), sign * lack[branch, row, k + n]) for n in range(3)
    )
    for _ in range(_CLOSER):
        half = corners.between(few, one, middle, np.full(len(row), 0.5))
        there = sign * corners.curves(few, half, side, front).lack
        # what has changed its sign stays as it is
        nearer, farther = (off >= 0) & (there < off), (off >= 0) & (there >= off)
        # from the other end next time
        one, other = _either(nearer, middle, other), _either(farther, half, one)
        one_off, other_off = np.where(nearer, off, other_off), np.where(farther, there, one_off)
        middle, off = _either(nearer, half, middle), np.where(nearer, there, off)
    through = np.flatnonzero(off < 0)
    few = Ends(*(getattr(few, n)[through] for n in few.__slots__))
    found = [
        _closed_in(
            few, row[through], branch[through], _some(end, through), _some(middle, through),
            ((sign * end_off)[through], (sign * off)[through]),
        )
        for end, end_off in ((one, one_off), (other, other_off))
    ]  # fmt: skip
    return _Found(
        np.concatenate([f.row for f in found]),
        Place(*(np.concatenate([getattr(f.place, n) for f in found]) for n in ("x", "turn", "phi"))),
        np.concatenate([f.side for f in found]),
        np.concatenate([f.front for f in found]),
    )


def _closed_in(
    of: Ends, row: Index, branch: Index, low: Place, high: Place, lack: tuple[Array, Array]
) -> _Found:
    """The root between each pair of places where ``lack`` has two signs.

    T. R. Chandrupatla, Advances in Engineering Software 28 (1997) 145-149: inverse quadratic steps where they
    are safe, halves where not.
    """
    side, front = _SIDES[branch, 0, 0], _FRONTS[branch, 0, 0]
    # a the newest, b across the root from it, c the one before, as shares from low to high
    b, fb = np.zeros(len(row)), lack[0].copy()
    a, fa = np.ones(len(row)), lack[1].copy()
    c, fc = b.copy(), fb.copy()
    t = np.full(len(row), 0.5)
    for _ in range(_STEPS):
        x = a + t * (b - a)
        fx = corners.curves(of, corners.between(of, low, high, x), side, front).lack
        same = np.signbit(fx) == np.signbit(fa)
        c, fc = np.where(same, a, b), np.where(same, fa, fb)
        b, fb = np.where(same, b, a), np.where(same, fb, fa)
        a, fa = x, fx
        width = np.maximum(np.abs(b - a), _SMALL * _SMALL)
        least = _NARROW / width
        if (least > 0.5).all():
            break
        with np.errstate(divide="ignore", invalid="ignore"):
            xi, ratio = (a - b) / (c - b), (fa - fb) / (fc - fb)
            step = fa / (fb - fa) * fc / (fb - fc) + (c - a) / (b - a) * fa / (fc - fa) * fb / (fc - fb)
        safe = (ratio * ratio < xi) & ((1.0 - ratio) ** 2 < 1.0 - xi)
        t = np.clip(np.where(safe, step, 0.5), np.minimum(least, 0.5), np.maximum(1.0 - least, 0.5))
    best = np.where(np.abs(fa) < np.abs(fb), a, b)
    return _Found(row, corners.between(of, low, high, best), side, front)


def _either(which: NDArray[np.bool_], a: Place, b: Place) -> Place:
    return Place(*(np.where(which, getattr(a, n), getattr(b, n)) for n in ("x", "turn", "phi")))


def _some(at: Place, which: Index) -> Place:
    return Place(at.x[which], at.turn[which], at.phi[which])


def _legs(of: Ends, found: _Found, e: Array, f: Array, d0: Array, d1: Array, r: Array) -> Legs:
    """The curves at those places, of rows already picked; the straight may not be less than none."""
    at = found.place
    curve = corners.curves(of, at, found.side, found.front)
    toward0 = found.side[:, None] * (np.cos(at.phi)[:, None] * e + np.sin(at.phi)[:, None] * f)
    sin0, cos0 = np.sin(curve.turn0)[:, None], np.cos(curve.turn0)[:, None]
    along = cos0 * d0 + sin0 * toward0
    turn0, turn1 = _turned(curve.turn0), _turned(np.mod(at.turn, 2.0 * math.pi))
    straight = np.where(curve.straight >= -_SAME, np.maximum(curve.straight, 0.0), np.inf)
    # the last arc's side from the goal's direction, near half a turn from its place
    v = of.v0[:, None] * d0 + of.ve[:, None] * e + of.vf[:, None] * f
    rest = (
        v
        - sin0 * d0
        - (1.0 - cos0) * toward0
        - np.where(np.isfinite(straight), straight, 0.0)[:, None] * along
    )
    side = np.where(turn1 > math.pi, -1.0, 1.0)[:, None] * aside(along, d1)
    toward1 = np.where((np.cos(turn1) < 0)[:, None], aside(along, rest), side)
    length = r * (turn0 + turn1 + straight)
    return Legs(
        along, toward0, toward1, turn0, turn1, r * np.where(np.isfinite(straight), straight, 0.0), length
    )


def _turned(angle: Array) -> Array:
    return np.where(angle > 2.0 * math.pi - _NO_TURN, 0.0, angle)


def _half_turns(of: Ends, e: Array, f: Array, d0: Array, r: Array) -> Legs:
    """Half a turn, straight back, half a turn, where both ends point one way: no corner is near enough.

    The two half turns lie in planes of their own; their sides, each of length 2 r, add up to what the goal
    lies aside.
    """
    out = no_legs(len(r))
    gone = np.hypot(of.ve, of.vf)[:, 0]
    fits = (of.sine[:, 0] == 0) & (of.cosine[:, 0] > 0) & (of.v0[:, 0] <= _SAME) & (gone <= 4.0)
    k = np.flatnonzero(fits)
    lean = np.arccos(gone[k] / 4.0)[:, None]
    ahead = np.arctan2(of.vf[k], of.ve[k])
    for toward, angle in ((out.toward0, ahead + lean), (out.toward1, ahead - lean)):
        toward[k] = np.cos(angle) * e[k] + np.sin(angle) * f[k]
    out.along[k], out.turn0[k], out.turn1[k] = -d0[k], math.pi, math.pi
    out.straight[k] = r[k] * np.maximum(-of.v0[k, 0], 0.0)
    out.length[k] = 2.0 * math.pi * r[k] + out.straight[k]
    return out
