"""Arc, straight, arc as one unknown: where on the goal's own line the corner of the last arc lies.

The tangents of the last arc meet in its corner X = p1 - x d1, x = r tan(θ1/2): from 0 to infinity for less
than half a turn, from -infinity to 0 for more. Let φ be the angle of the plane that holds p0, d0 and X. In
that plane the first arc bends toward X or away from it (``side`` 1, -1), and its tangent through X reaches
X in front of where it leaves the arc or behind (``front`` 1, -1): at distance q = ± sqrt(D² - r²), D from
the arc's centre to X. The straight is q - x. So every x gives four curves that arrive on the goal's line,
and the one equation left is that the last arc turns by θ1:

    |x| |t + d1| = r |t - d1|            t the straight's direction

Where the start's line comes near the goal's, φ runs from 0 to π while x hardly moves; so places are given
by θ1 and φ together. Past x = infinity (half a turn) φ goes on below 0, where 1 and -1 change places.

Lengths are in radii here. Vectors have three parts: along d0, along e and along f, where d1 lies in the
plane of d0 and e, on the side of -e, and the goal lies on the side of f.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from generators.geometry.frames import cross
from generators.routing.paths.curves import Array, Index, square_to, unit

_PARALLEL = 1e-9
_FARTHEST = 1e12
_NEAR_CORNER = 4.0
_NONE = 1e-300


@dataclass(frozen=True, slots=True)
class Ends:
    """Ends of many legs, each (n, 1) so that they spread over places: see the module's text.

    ``cosine`` and ``sine`` of the angle from d0 to d1; ``v0``, ``ve``, ``vf`` from p0 to p1.
    """

    cosine: Array
    sine: Array
    v0: Array
    ve: Array
    vf: Array

    def some(self, rows: Index) -> Ends:
        """Those rows, (m,): one place each."""
        return Ends(*(getattr(self, name)[rows, 0] for name in self.__slots__))


@dataclass(frozen=True, slots=True)
class Place:
    """Places of the corner: x (radii), θ1 (-π … 3π, rad) and φ (-π … π, rad)."""

    x: Array
    turn: Array
    phi: Array


@dataclass(frozen=True, slots=True)
class Curve:
    """Curves to the corners: what the equation lacks, θ0 and the straight (radii, may be less than none)."""

    lack: Array
    turn0: Array
    straight: Array


def ends(p0: Array, d0: Array, p1: Array, d1: Array, radius_mm: Array) -> tuple[Ends, Array, Array]:
    """The ends in radii, and e and f (n, 3). Nearly parallel directions count as parallel."""
    v = (p1 - p0) / radius_mm[:, None]
    v0, cosine = np.einsum("ij,ij->i", v, d0), np.einsum("ij,ij->i", d0, d1)
    against = cross(cross(d0, d1), d0)
    sine = np.sqrt(np.einsum("ij,ij->i", against, against))
    beside = v - v0[:, None] * d0
    beside = np.where(np.linalg.norm(beside, axis=1, keepdims=True) > _PARALLEL, beside, square_to(d0))
    parallel = (sine < _PARALLEL)[:, None]
    e = np.where(parallel, unit(cross(beside, d0)), -unit(against))
    f = cross(d0, e)
    vf = np.einsum("ij,ij->i", v, f)
    f = np.where(vf[:, None] < 0, -f, f)
    ve = np.einsum("ij,ij->i", v, e)
    columns = cosine, np.where(parallel[:, 0], 0.0, sine), v0, ve, np.abs(vf)
    return Ends(*(column[:, None] for column in columns)), e, f


def by_turn(of: Ends, turn: Array) -> Place:
    """Places by θ1."""
    x = np.clip(np.tan(turn / 2.0), -_FARTHEST, _FARTHEST)
    phi = np.arctan2(of.vf, of.ve + x * of.sine)
    return Place(x, turn, np.where(turn > math.pi, phi - math.pi, phi))


def by_phi(of: Ends, phi: Array) -> Place:
    """Places by φ; parallel lines have one φ only, and all of them lie infinitely far."""
    with np.errstate(divide="ignore", over="ignore", invalid="ignore"):
        x = (of.vf / np.tan(phi) - of.ve) / np.maximum(of.sine, _NONE)
    # parallel lines: one plane holds all corners
    x = np.where(of.sine > 0, np.clip(x, -_FARTHEST, _FARTHEST), np.copysign(_FARTHEST, np.cos(phi)))
    own = np.where(of.sine > 0, phi, np.arctan2(of.vf, of.ve))
    turn = 2.0 * np.arctan(x)
    return Place(x, np.where(phi < 0, turn + 2.0 * math.pi, turn), own)


def between(of: Ends, low: Place, high: Place, share: Array) -> Place:
    """Places part of the way from one to another, by θ1 or φ, whichever changes more."""
    phi = low.phi + share * (high.phi - low.phi)
    turn = low.turn + share * (high.turn - low.turn)
    spun = (np.abs(high.phi - low.phi) > np.abs(high.turn - low.turn)) & (of.sine > 0)
    a, b = by_turn(of, turn), by_phi(of, phi)
    return Place(*(np.where(spun, getattr(b, n), getattr(a, n)) for n in ("x", "turn", "phi")))


def inside(of: Ends, x: Array) -> Array:
    """D² - r² of the arc toward the corner, in square radii: below 0 it has no tangent through the corner."""
    e, ahead = of.ve + x * of.sine, of.v0 - x * of.cosine
    aside = e * e + of.vf * of.vf
    out: Array = ahead * ahead + aside - 2.0 * np.sqrt(aside)
    return out


def curves(of: Ends, at: Place, side: Array, front: Array) -> Curve:
    """The curves to these corners; where no tangent of the arc meets the corner, the nearest thing to it."""
    x, c, s = at.x, of.cosine, of.sine
    ne, nf = side * np.cos(at.phi), side * np.sin(at.phi)
    ahead, aside = of.v0 - x * c, (of.ve + x * s) * ne + of.vf * nf - 1.0
    ge, gf = of.ve - ne, of.vf - nf
    # q² - x² without the two squares: they cancel for far corners
    apart = of.v0 * of.v0 + ge * ge + gf * gf - 1.0 - 2.0 * x * (of.v0 * c - s * ge)
    square = apart + x * x
    q = np.where(at.turn > math.pi, -front, front) * np.sqrt(np.maximum(square, 0.0))
    # the departure's sine and cosine
    cos0, sin0 = q * ahead - aside, ahead + q * aside
    size = np.maximum(np.hypot(cos0, sin0), _NONE)
    cos0, sin0 = cos0 / size, sin0 / size
    te, tf = sin0 * ne, sin0 * nf
    along = q * x > 0
    straight = np.where(along & (square > 0), apart / np.where(along, q + x, 1.0), q - x)
    far = (np.abs(x) > _NEAR_CORNER) & (np.abs(q) > np.abs(x) / 2.0)
    # x (t + d1) of a far corner from the chord, which loses no digits
    behind = 1.0 - cos0
    scale = np.abs(np.where(far, x / np.where(far, q, 1.0), x))
    a = np.where(far, of.v0 - sin0 + straight * c, cos0 + c)
    b = np.where(far, ge + cos0 * ne - straight * s, te - s)
    d = np.where(far, of.vf - behind * nf, tf)
    lack = scale * np.sqrt(a * a + b * b + d * d)
    lack = lack - np.sqrt((cos0 - c) ** 2 + (te + s) ** 2 + tf * tf)
    return Curve(lack, np.mod(np.arctan2(sin0, cos0), 2.0 * math.pi), straight)
