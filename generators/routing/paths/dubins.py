"""Shortest curves of bounded curvature between two directed points in space: arc, straight, arc.

Given the direction t of the straight, the first arc lies in the plane of d0 and t and its tangents meet
T0 = ± r tan(θ0/2) ahead of p0 (minus: the long way round, by 2π - θ0); likewise at the end. So

    F(t) = p1 - p0 - T0 d0 - T1 d1   must lie along t, and the straight is F·t - T0 - T1 >= 0.

Two equations on the unit sphere, solved by Newton steps from several beginnings and the four pairs of
signs. In the plane these are Dubins's words LSL, RSR, LSR, RSL; where everything lies in one plane his six
words are also had in closed form (``plane_word``), with those of three arcs, which are shorter only when
the points are near each other.
Source: L. E. Dubins, On curves of minimal length with a constraint on average curvature, American
Journal of Mathematics 79 (1957) 497-516. In space three arcs in three planes, or a helix, can be shorter
still when the ends are closer than about 4 r; those are not sought.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from generators.model.hose_path import Point2
from generators.routing.paths.curves import Array, Index, cross, square_to, unit

_STEPS = 25
_SETTLING = 10
_LARGEST_STEP = 0.6
_SAME_PLANE = 1e-9
_SMALL = 1e-12
_MOST_TANGENT = 1e5
_SIGNS = ((1.0, 1.0), (1.0, -1.0), (-1.0, 1.0), (-1.0, -1.0))
# Signs and the number of the direction to begin from. All 128 pairs were tried on some five thousand random
# near or backward ends; these found the shortest curve of every one, the first sixteen of nineteen in twenty.
_TRIED = (
    (1, 1, 4), (-1, -1, 15), (-1, 1, 6), (1, -1, 3), (-1, 1, 2), (1, -1, 8), (-1, -1, 12), (-1, 1, 8),
    (1, -1, 15), (1, 1, 6), (-1, -1, 9), (1, -1, 5), (-1, 1, 3), (-1, -1, 25), (1, 1, 10), (1, 1, 0),
    (-1, 1, 26), (1, -1, 27), (-1, -1, 8), (1, 1, 11), (-1, 1, 27), (1, -1, 28), (1, -1, 29), (-1, -1, 10),
    (-1, -1, 23), (1, 1, 13), (-1, 1, 4), (1, -1, 0), (-1, 1, 29), (1, 1, 9), (1, -1, 12), (1, -1, 25),
    (-1, 1, 16), (-1, -1, 6), (1, 1, 2), (1, 1, 12), (1, 1, 26), (1, -1, 6), (1, -1, 10), (1, -1, 26),
    (-1, 1, 0), (-1, 1, 5), (-1, 1, 7), (-1, -1, 3), (-1, -1, 5), (-1, -1, 30),
)  # fmt: skip
_FEW = 16


@dataclass(frozen=True, slots=True)
class Legs:
    """Curves arc, straight, arc: ``along`` (n, 3) and ``long0``, ``long1`` (n,) True for the long way round.

    ``length`` is inf where none was found. mm, rad.
    """

    along: Array
    turn0: Array
    turn1: Array
    straight: Array
    length: Array


@dataclass(frozen=True, slots=True)
class Word:
    """A curve in a plane: (hand, amount) in order; hand 1 bends to ``left`` by rad, -1 away, 0 goes on mm."""

    left: Array
    parts: tuple[tuple[float, float], ...]
    length_mm: float


def first_legs(
    p0: Array, d0: Array, p1: Array, d1: Array, radius_mm: Array
) -> tuple[Legs, NDArray[np.bool_]]:
    """The plainest arc-straight-arc of each row, and where it is sure to be the shortest.

    Points and unit directions (n, 3), radii (n,), mm. Sure are ends 4 r apart or more joined with half a
    turn in all or less.
    """
    ones = np.ones(len(p0))
    found = _solve(p0, d0, p1, d1, radius_mm, unit(p1 - p0), ones, ones, _STEPS)
    gap = np.linalg.norm(p1 - p0, axis=1)
    sure = np.isfinite(found.length) & (gap >= 4.0 * radius_mm) & (found.turn0 + found.turn1 <= math.pi)
    return found, sure


def shortest_legs(
    p0: Array, d0: Array, p1: Array, d1: Array, radius_mm: Array, thorough: bool, most_mm: Array | None = None
) -> Legs:
    """The shortest arc-straight-arc of each row, from many beginnings.

    From sixteen only where not ``thorough``: that misses the shortest now and then. What cannot be shorter
    than ``most_mm``, a length known already for each row, is not looked for.
    """
    begin = _beginnings(p0, d0, p1, d1, radius_mm)
    tried = np.array(_TRIED if thorough else _TRIED[:_FEW])
    count, n = len(tried), len(p0)
    length = np.full((count, n), np.inf)
    along, turn0, turn1, straight = np.empty((count, n, 3)), *(np.empty((count, n)) for _ in range(3))
    most = np.full(n, np.inf) if most_mm is None else most_mm * (1.0 + _SAME_PLANE)
    # those with fewer arcs the long way round first: they are shorter, and spare the others
    for signs, least in _least_by_signs(p1 - p0, d0, d1, radius_mm):
        these = np.flatnonzero((tried[:, :2] == signs).all(axis=1))
        a, row = np.nonzero(np.broadcast_to(least <= most, (len(these), n)))
        which = these[a]
        first, second = tried[which, 0].astype(float), tried[which, 1].astype(float)
        t = begin[tried[which, 2], row]
        legs = _solve(p0[row], d0[row], p1[row], d1[row], radius_mm[row], t, first, second, _STEPS)
        length[which, row], along[which, row] = legs.length, legs.along
        turn0[which, row], turn1[which, row] = legs.turn0, legs.turn1
        straight[which, row] = legs.straight
        most = np.minimum(most, length.min(axis=0) * (1.0 + _SAME_PLANE))
    best = np.argmin(length, axis=0), np.arange(n)
    return Legs(
        along=along[best],
        turn0=turn0[best],
        turn1=turn1[best],
        straight=straight[best],
        length=length[best],
    )


def _least_by_signs(v: Array, d0: Array, d1: Array, r: Array) -> Iterator[tuple[tuple[int, int], Array]]:
    """What no curve with these signs can be shorter than, (n,), fewer long arcs first.

    An arc the long way round passes the middle of half a turn, which lies 2 r aside of its end: half a turn,
    and from there to the other end straight.
    """

    def beside(d: Array) -> Array:
        ahead = np.einsum("ij,ij->i", v, d)
        aside = np.sqrt(np.maximum(np.einsum("ij,ij->i", v, v) - ahead * ahead, 0.0))
        out: Array = np.hypot(ahead, aside - 2.0 * r)
        return out

    start, end = beside(d0), beside(d1)
    yield (1, 1), np.linalg.norm(v, axis=1)
    yield (-1, 1), math.pi * r + start
    yield (1, -1), math.pi * r + end
    yield (-1, -1), 2.0 * math.pi * r + np.maximum(np.maximum(start, end) - 2.0 * r, 0.0)


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
    way = r * np.mod(lean + _SAME_PLANE, 2.0 * math.pi) + np.sqrt(np.maximum(far * far - r * r, 0.0))
    return np.asarray(np.maximum(gap, np.where(outside, way * (1.0 - 1e-6), 0.0)))


def _beginnings(p0: Array, d0: Array, p1: Array, d1: Array, r: Array) -> Array:
    """Directions to begin from, (k, n, 3), made of the ends alone, so that they turn and mirror with them.

    Sums of the given directions, and the tangents common to the circles that bend toward or away from
    the other end: where everything lies in a plane these are the words' own straights.
    """
    v = p1 - p0
    ahead = unit(v)
    across = [cross(d0, ahead), cross(d1, ahead), cross(d0, d1)]
    across = [np.where(np.linalg.norm(c, axis=1, keepdims=True) > 1e-6, c, square_to(d0)) for c in across]
    side0, side1 = unit(cross(across[0], d0)), unit(cross(across[1], d1))
    sums = [ahead + d0 + d1, d0 - d1, d0, d1, side0, side1, *across]
    inner: list[Array] = []
    spread = [ahead, unit(d0 + d1)]
    for hand0 in (1.0, -1.0):
        for hand1 in (1.0, -1.0):
            apart = v + r[:, None] * (hand1 * side1 - hand0 * side0)
            gap = np.linalg.norm(apart, axis=1)
            sine = np.minimum(2.0 * r / np.maximum(gap, _SMALL), 1.0)[:, None]
            outer = unit(apart)
            leaning = cross(unit(across[0]), outer) * sine
            straight = outer * np.sqrt(1.0 - sine * sine)
            spread.append(outer)
            inner += [straight + leaning, straight - leaning]
    rest = [sign * unit(s) for s in sums for sign in (1.0, -1.0)]
    return np.stack([*spread, *inner, *rest])


# --- Newton steps. Vectors are columns here, (3, n): numpy is quickest with x, y and z each in a row ---
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


def _tangents(d: Array, t: Array, sign: Array, radius: Array) -> tuple[Array, Array, Array, Array]:
    """Tangent length ± r tan(θ/2), its change with d·t, sin θ and cos θ, each (n,)."""
    cosine = _dot(d, t)
    turned = _cross(d, t)
    sine = np.sqrt(_dot(turned, turned))
    # tan(θ/2) = sin/(1 + cos) for less than a right angle, (1 - cos)/sin beyond, each exact where it is used
    half = np.where(
        cosine > 0, sine / (1.0 + np.maximum(cosine, 0.0)), (1.0 - cosine) / np.maximum(sine, _SMALL)
    )
    length = sign * radius * half
    rate = -sign * radius / np.maximum((1.0 + cosine) * sine, _SMALL)
    return length, rate, sine, cosine


@dataclass(frozen=True, slots=True)
class _Ends:
    """The ends of many legs: from one to the other, both directions (3, n), radius and both signs (n,)."""

    v: Array
    d0: Array
    d1: Array
    r: Array
    sign0: Array
    sign1: Array

    def some(self, which: Index) -> _Ends:
        """Those columns."""
        v, d0, d1 = (a.take(which, axis=1) for a in (self.v, self.d0, self.d1))
        return _Ends(v, d0, d1, self.r[which], self.sign0[which], self.sign1[which])


def _solve(
    p0: Array, d0: Array, p1: Array, d1: Array, r: Array, t: Array, sign0: Array, sign1: Array, steps: int
) -> Legs:
    """Newton steps on the sphere from the directions ``t``, all rows at once; rows done are left alone."""
    # thousands of rows at once; scipy.optimize.root takes one
    v = p1 - p0
    t = np.where(np.linalg.norm(t, axis=1, keepdims=True) > 0, t, d0)
    v, d0, d1, t = (np.ascontiguousarray(rows.T) for rows in (v, d0, d1, t))
    every = left = _Ends(v, d0, d1, r, sign0, sign1)
    reached, todo, t = t, np.arange(len(r)), t.copy()
    for number in range(steps):
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
    t0, rate0, _, _ = _tangents(d0, t, ends.sign0, ends.r)
    t1, rate1, _, _ = _tangents(d1, t, ends.sign1, ends.r)
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
    t0, _, sine0, cosine0 = _tangents(ends.d0, t, ends.sign0, r)
    t1, _, sine1, cosine1 = _tangents(ends.d1, t, ends.sign1, r)
    force = v - t0 * ends.d0 - t1 * ends.d1
    lam = _dot(force, t)
    off = np.linalg.norm(force - lam * t, axis=0)
    straight = lam - t0 - t1
    scale = np.linalg.norm(v, axis=0) + r
    angle0, angle1 = np.arctan2(sine0, cosine0), np.arctan2(sine1, cosine1)
    turn0 = np.where(ends.sign0 > 0, angle0, 2.0 * math.pi - angle0)
    turn1 = np.where(ends.sign1 > 0, angle1, 2.0 * math.pi - angle1)
    # near half a turn the tangents meet nowhere and their lengths cancel: such a root is none
    sharp = np.maximum(np.abs(t0), np.abs(t1)) < _MOST_TANGENT * r
    good = sharp & (off <= 1e-10 * scale) & (straight >= -1e-9 * r) & np.isfinite(off)
    straight = np.maximum(straight, 0.0)
    length = np.where(good, r * (turn0 + turn1) + straight, np.inf)
    return Legs(along=np.ascontiguousarray(t.T), turn0=turn0, turn1=turn1, straight=straight, length=length)


def in_plane(v: Array, d0: Array, d1: Array) -> NDArray[np.bool_]:
    """True where one plane holds both directions and the line between the ends; rows (n, 3)."""
    size = np.linalg.norm(v, axis=1)
    out: NDArray[np.bool_] = np.abs(np.einsum("ij,ij->i", cross(d0, d1), v)) <= _SAME_PLANE * size
    out &= size > 0
    return out


def plane_word(v: Array, d0: Array, d1: Array, radius_mm: float) -> Word:
    """The shortest of Dubins's six words for ends in one plane (vectors (3,), mm); there always is one."""
    normal = cross(d0, v)
    if float(np.linalg.norm(normal)) <= _SAME_PLANE * float(np.linalg.norm(v)):
        normal = cross(d0, d1)
    if float(np.linalg.norm(normal)) <= _SAME_PLANE:
        normal = square_to(d0[None, :])[0]
    left = cross(unit(normal), d0)
    goal = float(v @ d0), float(v @ left)
    heading = math.atan2(float(d1 @ left), float(d1 @ d0))
    words = [*_two_arcs(goal, heading, radius_mm), *_three_arcs(goal, heading, radius_mm)]
    best = min(words, key=lambda word: _length(word, radius_mm))
    return Word(left, tuple(best), _length(best, radius_mm))


def _length(word: Sequence[tuple[float, float]], radius_mm: float) -> float:
    return math.fsum(amount * (radius_mm if hand else 1.0) for hand, amount in word)


def _centres(goal: Point2, heading: float, r: float, hand0: float, hand1: float) -> Point2:
    """From the centre of the first circle to that of the last."""
    return goal[0] - hand1 * r * math.sin(heading), goal[1] + hand1 * r * math.cos(heading) - hand0 * r


def _two_arcs(goal: Point2, heading: float, r: float) -> Iterator[list[tuple[float, float]]]:
    """LSL, RSR, LSR, RSL: the tangent common to two circles."""
    for hand0, hand1 in _SIGNS:
        dx, dy = _centres(goal, heading, r, hand0, hand1)
        gap, across = math.hypot(dx, dy), 0.0 if hand0 == hand1 else 2.0 * r
        if gap >= across:
            lean = hand0 * math.asin(across / gap) if across else 0.0
            ahead = math.atan2(dy, dx) + lean
            turns = _positive(hand0 * ahead), _positive(hand1 * (heading - ahead))
            yield [(hand0, turns[0]), (0.0, math.sqrt(gap * gap - across * across)), (hand1, turns[1])]


def _three_arcs(goal: Point2, heading: float, r: float) -> Iterator[list[tuple[float, float]]]:
    """LRL and RLR: the centres of the first and the last circle lie 2 r from that of the middle one."""
    for hand in (1.0, -1.0):
        dx, dy = _centres(goal, heading, r, hand, hand)
        gap = math.hypot(dx, dy)
        if not _SMALL < gap <= 4.0 * r:
            continue
        for side in (1.0, -1.0):
            to_middle = math.atan2(dy, dx) + side * math.acos(gap / (4.0 * r))
            mx, my = 2.0 * r * math.cos(to_middle), 2.0 * r * math.sin(to_middle)
            # headings where the middle circle touches the first and the last
            first = to_middle + hand * math.pi / 2.0
            last = math.atan2(dy - my, dx - mx) - hand * math.pi / 2.0
            turns = (
                _positive(hand * first),
                _positive(hand * (first - last)),
                _positive(hand * (heading - last)),
            )
            yield [(hand, turns[0]), (-hand, turns[1]), (hand, turns[2])]


def _positive(angle_rad: float) -> float:
    turn = math.fmod(angle_rad, 2.0 * math.pi)
    turn += 2.0 * math.pi if turn < 0 else 0.0
    return 0.0 if turn > 2.0 * math.pi - 1e-9 else turn
