"""How deep two convex pieces are in each other: the least way one has to go to be out of the other.

Along a unit direction d the pieces share ``h1(d) + h2(-d)``, h being a piece's extent that way (its support
function). The depth is the least of that over all directions; where it is not above 0 a plane separates
them. For two polyhedra the least is at a face of one or square to an edge of each (Gottschalk, Lin and
Manocha 1996); round pieces are searched from there. Expanding polytopes, which the distance library uses,
lose their way where flat faces lie on each other: two plates that only touch come out as deep as they are
long.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from functools import partial

import numpy as np

from generators.space.pieces import Array, Box, Hull, Piece, Rod

_AROUND = 32
_STARTS = 2
_FINE = 1e-5
_GAIN_MM = 1e-9
"""Less is no step on: figures in mm carry 1e-12 of rounding."""
_MIDDLE_STEPS = 160


def support(piece: Piece, ways: Array) -> Array:
    """How far a piece extends along each unit direction (n, 3), from the origin, mm."""
    match piece:
        case Hull():
            return np.asarray((piece.points @ ways.T).max(axis=0))
        case Box():
            half = np.abs(ways @ piece.pose[:3, :3]) @ np.array(piece.half_mm)
            return np.asarray(ways @ piece.pose[:3, 3] + half)
        case Rod():
            ends = np.maximum(ways @ np.array(piece.start), ways @ np.array(piece.end))
            if piece.round_ends:
                return np.asarray(ends + piece.radius_mm)
            along = np.clip(ways @ piece.pose[:3, 2], -1.0, 1.0)
            return np.asarray(ends + piece.radius_mm * np.sqrt(1.0 - along**2))


def shared(one: Piece, two: Piece, ways: Array) -> Array:
    """What the pieces share along each direction (n, 3): move ``two`` that far that way and it is out, mm."""
    out: Array = support(one, ways) + support(two, -ways)
    return out


def depth(one: Piece, two: Piece) -> tuple[float, Array]:
    """How deep the pieces are in each other, mm, and the unit way that takes ``two`` out of ``one``.

    Negative where a plane stands between them: by how much at least they are apart.
    """
    ways = np.vstack([_faces(one), _faces(two), _centres(one, two)])
    ways = np.vstack([ways, -ways])
    found = shared(one, two, ways)
    if found.min() > 0:
        # no face parts them, so an edge of each might
        across = _unit(_across(_edges(one), _edges(two)))
        more = np.vstack([across, -across])
        ways, found = np.vstack([ways, more]), np.concatenate([found, shared(one, two, more)])
    best = int(np.argmin(found))
    least, way = float(found[best]), ways[best]
    if least > 0 and (isinstance(one, Rod) or isinstance(two, Rod)):
        for start in ways[np.argsort(found, kind="stable")[:_STARTS]]:
            value, at = searched(partial(shared, one, two), start)
            if value < least:
                least, way = value, at
    return least, way


def parting_ways(one: Piece, two: Piece) -> Array:
    """Unit directions (n, 3), each with its opposite, of which one can part the pieces if any can."""
    ways = np.vstack([_faces(one), _faces(two), _centres(one, two), _unit(_across(_edges(one), _edges(two)))])
    return np.vstack([ways, -ways])


def searched(
    value: Callable[[Array], Array], way: Array, enough: float = -math.inf, gain: float = _GAIN_MM
) -> tuple[float, Array]:
    """The least of a figure of unit directions (n, 3) near one of them, by ever smaller side steps.

    No further than ``enough``, and no step for less than ``gain``: along a narrow valley there are tens of
    thousands of such.
    """
    least, step = float(value(way[None, :])[0]), 0.2
    sides = _sides(way)
    while step > _FINE and least > enough:
        tries = way + step * sides
        tries /= np.sqrt((tries * tries).sum(axis=1))[:, None]
        found = value(tries)
        best = int(found.argmin())
        if found[best] < least - gain:
            least, way = float(found[best]), tries[best]
            sides = _sides(way)
        else:
            step /= 2
    return least, way


def _sides(way: Array) -> Array:
    """Four unit directions square to one."""
    x, y, z = way.tolist()
    first = np.array((0.0, -z, y) if abs(x) <= min(abs(y), abs(z)) else (-y, x, 0.0))
    if not first.any():
        first = np.array((-z, 0.0, x))
    first /= math.sqrt(float(first @ first))
    a, b, c = first.tolist()
    second = np.array((y * c - z * b, z * a - x * c, x * b - y * a))
    return np.array((first, -first, second, -second))


def _across(first: Array, second: Array) -> Array:
    """Directions square to one of each."""
    out = np.empty((len(first), len(second), 3))
    a, b = first[:, None], second[None]
    out[..., 0] = a[..., 1] * b[..., 2] - a[..., 2] * b[..., 1]
    out[..., 1] = a[..., 2] * b[..., 0] - a[..., 0] * b[..., 2]
    out[..., 2] = a[..., 0] * b[..., 1] - a[..., 1] * b[..., 0]
    return out.reshape(-1, 3)


def _centres(one: Piece, two: Piece) -> Array:
    return _unit((_middle(two) - _middle(one))[None, :])


def _middle(piece: Piece) -> Array:
    low, high = piece.box
    return np.asarray((low + high) / 2)


def _faces(piece: Piece) -> Array:
    match piece:
        case Hull():
            return piece.normals
        case Box():
            return np.asarray(piece.pose[:3, :3].T)
        case Rod():
            turn = np.linspace(0.0, np.pi, _AROUND, endpoint=False)[:, None]
            round_ = np.cos(turn) * piece.pose[:3, 0] + np.sin(turn) * piece.pose[:3, 1]
            return np.vstack([round_, piece.pose[:3, 2]])


def _edges(piece: Piece) -> Array:
    match piece:
        case Hull():
            return piece.edges
        case Box():
            return np.asarray(piece.pose[:3, :3].T)
        case Rod():
            return piece.pose[None, :3, 2]


def _unit(ways: Array) -> Array:
    size = np.linalg.norm(ways, axis=1)
    kept = size > 1e-9
    out: Array = ways[kept] / size[kept, None]
    return out


def middle_of(one: Piece, two: Piece) -> Array:
    """About the middle of what two pieces share, mm: the point farthest inside all their faces.

    Found by stepping off the nearest face, ever shorter; round pieces count as many-sided.
    """
    planes = [_planes(piece) for piece in (one, two)]
    normals, offsets = np.vstack([n for n, _ in planes]), np.concatenate([o for _, o in planes])
    low = np.maximum(one.box[0], two.box[0])
    high = np.minimum(one.box[1], two.box[1])
    at = (low + high) / 2
    best, least = at, math.inf
    step = max(float(np.linalg.norm(high - low)) / 4, 0.1)
    for _ in range(_MIDDLE_STEPS):
        out = normals @ at - offsets
        worst = int(out.argmax())
        if out[worst] < least:
            best, least = at, float(out[worst])
        at = at - step * normals[worst]
        step *= 0.96
    return np.asarray(best)


def _planes(piece: Piece) -> tuple[Array, Array]:
    """Outward normals (n, 3) of the piece's faces and how far out they lie (n,)."""
    ways = _faces(piece)
    ways = ways if isinstance(piece, Hull) else np.vstack([ways, -ways])
    return ways, support(piece, ways)
