"""Limp chains that hang: the places of least energy of any number of them at once.

A chain of equal links is held at both ends, leaves and arrives in given directions and bends no tighter than
its radius; its centre of gravity lies as low as it can. Stretch and a bend beyond the radius cost energy,
ever more of it, and each least energy is found by Newton steps; what is left of either is far below a
percent. All chains take their steps together: arrays have the place along the chain first, then the chain.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from generators.routing.paths.curves import Array, unit

LINKS = 40
_STRETCH = (1e2, 1e3, 1e4, 1e5)
_BEND = (1e-2, 1e-1, 1.0, 10.0)
_LIMP = 1e-7
_STEPS = 60
_SETTLED = 1e-9
_ROUGH = 1e-5
"""Where a step of the softer energies ends: the next one starts from there and goes on."""
_SHORTEST_STEP = 1e-6
_UP = 2
_GROUP = 3
"""Places whose coordinates are one block of the matrix; a place is coupled with two on either side."""
_WIDE = 3 * _GROUP


@dataclass(frozen=True, slots=True, kw_only=True)
class Held:
    """A chain: it hangs from both ends of ``taut`` (links + 1, 3), leaves and arrives in unit directions, is
    ``length_mm`` long, longer than ``taut``, and bends by ``radius_mm`` at least. mm."""

    taut: Array
    leave: Array
    arrive: Array
    length_mm: float
    radius_mm: float


def hanging(chains: Sequence[Held]) -> list[Array]:
    """How each chain hangs, (links + 1, 3), mm; all have the same number of links. Raises nothing."""
    if not chains:
        return []
    length = np.array([c.length_mm for c in chains])
    x = np.stack([c.taut for c in chains], axis=1) / length[:, None]
    way = np.stack([(c.leave, c.arrive) for c in chains], axis=1)
    energy = _Energy(len(x) - 1, way, np.array([c.radius_mm for c in chains]) / length)
    gone = np.sqrt((np.diff(x, axis=0) ** 2).sum(axis=2)).sum(axis=0)
    # a bow of that much more length than a straight one, 16/3 of its rise squared
    low = np.sqrt(3.0 / 16.0 * np.maximum(1.0 - gone, 0.0))
    x[:, :, _UP] -= np.sin(math.pi * np.linspace(0.0, 1.0, len(x)))[:, None] ** 2 * low
    for stretch, bend in zip(_STRETCH, _BEND, strict=True):
        x = _settled(energy, x, stretch, bend, _SETTLED if stretch == _STRETCH[-1] else _ROUGH)
    return [np.ascontiguousarray(x[:, k] * length[k]) for k in range(len(chains))]


def _settled(energy: _Energy, x: Array, stretch: float, bend: float, settled: float) -> Array:
    """The places of least energy next to ``x``, chain by chain to a step of ``settled``."""
    now = energy.value(x, stretch, bend)
    going = np.arange(x.shape[1])
    for _ in range(_STEPS):
        if not len(going):
            break
        here = energy.of(going)
        force, blocks = here.slope(x[:, going], stretch, bend)
        step = -_solved(blocks, force)
        along = (force * step).sum(axis=(0, 2))
        part, taken = np.ones(len(going)), np.zeros(len(going), dtype=bool)
        left = np.arange(len(going))
        while len(left):
            there = x[:, going[left]].copy()
            there[1:-1] += part[left, None] * step[:, left]
            less = here.of(left).value(there, stretch, bend)
            fine = less <= now[going[left]] + 1e-4 * part[left] * along[left]
            done = going[left[fine]]
            x[:, done], now[done] = there[:, fine], less[fine]
            taken[left[fine]] = True
            left = left[~fine]
            part[left] /= 2.0
            left = left[part[left] > _SHORTEST_STEP]
        going = going[taken & (part * np.abs(step).max(axis=(0, 2)) >= settled)]
    return x


class _Energy:
    """Energy of chains of unit length and weight by their places (links + 1, chains, 3), the ends held."""

    def __init__(self, links: int, directions: Array, radius: Array) -> None:
        """Take the ways out of both ends (2, chains, 3) and the least radii (chains,)."""
        self.h = 1.0 / links
        self.directions = directions
        # the second difference of three places on an arc, h apart
        turn = np.tile(self.h / radius, (links + 1, 1))
        # at the ends only half a link bends
        turn[[0, -1]] /= 2.0
        self.most = 2.0 * self.h * np.sin(np.minimum(turn, math.pi) / 2.0)

    def of(self, chosen: NDArray[np.intp]) -> _Energy:
        """The same of some of the chains."""
        some = object.__new__(_Energy)
        some.h, some.directions, some.most = self.h, self.directions[:, chosen], self.most[:, chosen]
        return some

    def _bends(self, x: Array) -> tuple[Array, Array]:
        """Second differences at every place, the straight run beyond each end among them, and their sizes."""
        run = np.concatenate((x[:1] - self.h * self.directions[:1], x, x[-1:] + self.h * self.directions[1:]))
        bends = run[:-2] - 2.0 * run[1:-1] + run[2:]
        return bends, np.sqrt(np.einsum("ijk,ijk->ij", bends, bends))

    def value(self, x: Array, stretch: float, bend: float) -> Array:
        """Height of the centre of gravity, and what stretch and bend cost, chain by chain."""
        h = self.h
        links = x[1:] - x[:-1]
        long = np.sqrt(np.einsum("ijk,ijk->ij", links, links)) - h
        bends, sizes = self._bends(x)
        over = np.maximum(sizes - self.most, 0.0)
        out: Array = h * x[1:-1, :, _UP].sum(axis=0)
        out += stretch / (2.0 * h) * np.einsum("ij,ij->j", long, long)
        out += bend / (2.0 * h**3) * np.einsum("ij,ij->j", over, over)
        out += _LIMP / (2.0 * h**3) * np.einsum("ijk,ijk->j", bends, bends)
        return out

    def slope(self, x: Array, stretch: float, bend: float) -> tuple[Array, tuple[Array, Array, Array]]:
        """Its gradient (free places, chains, 3), and a positive matrix like its second derivative: 3×3 blocks
        of each free place with itself, with the next, and with the one after."""
        h, eye = self.h, np.eye(3)
        links = x[1:] - x[:-1]
        size = np.sqrt(np.einsum("ijk,ijk->ij", links, links))
        along = unit(links)
        pull = (stretch / h * (size - h))[..., None] * along
        outer = along[..., :, None] * along[..., None, :]
        # what pushes is left out across the link: there the true matrix is not positive
        across = np.maximum(1.0 - h / np.maximum(size, h * h), 0.0)[..., None, None]
        links2 = stretch / h * (outer + across * (eye - outer))
        bends, sizes = self._bends(x)
        turned = unit(bends)
        over = np.maximum(sizes - self.most, 0.0)
        moment = ((bend * over)[..., None] * turned + _LIMP * bends) / h**3
        outer = turned[..., :, None] * turned[..., None, :]
        share = (over / np.maximum(sizes, h * h * h))[..., None, None]
        bent = (sizes > self.most)[..., None, None]
        bends2 = (bend * np.where(bent, outer + share * (eye - outer), 0.0) + _LIMP * eye) / h**3
        force = pull[:-1] - pull[1:] + moment[:-2] - 2.0 * moment[1:-1] + moment[2:]
        force[..., _UP] += h
        return force, (
            links2[:-1] + links2[1:] + bends2[:-2] + 4.0 * bends2[1:-1] + bends2[2:],
            -links2[1:-1] - 2.0 * (bends2[1:-2] + bends2[2:-1]),
            bends2[2:-2],
        )


def _solved(blocks: tuple[Array, Array, Array], force: Array) -> Array:
    """Solution of the matrix of each chain, whose places are coupled with the next two only.

    Groups of three places are put out from both ends at once toward the middle one (block elimination); all
    chains and both halves are one call of the library.
    """
    free, chains = force.shape[:2]
    half = max(math.ceil(free / _GROUP) // 2, 1)
    own, beside = _groups(blocks, 2 * half + 1)
    load = np.zeros(((2 * half + 1) * _GROUP, chains, 3))
    load[:free] = force
    rest = load.reshape(-1, _GROUP, chains, 3).swapaxes(1, 2).reshape(-1, chains, _WIDE)
    # the right half seen from its end
    pivots = np.concatenate((own[:half], own[:half:-1]), axis=1)
    links = np.concatenate((beside[:half], beside[: half - 1 : -1].swapaxes(-1, -2)), axis=1)
    loads = np.concatenate((rest[:half], rest[:half:-1]), axis=1)
    done = np.empty((half, 2 * chains, _WIDE, _WIDE + 1))
    for k in range(half):
        done[k] = np.linalg.solve(pivots[k], np.concatenate((links[k], loads[k][..., None]), axis=2))
        less = links[k].swapaxes(-1, -2) @ done[k]
        if k + 1 < half:
            pivots[k + 1] -= less[..., :-1]
            loads[k + 1] -= less[..., -1]
    both = less[:chains] + less[chains:]
    middle = np.linalg.solve(own[half] - both[..., :-1], (rest[half] - both[..., -1])[..., None])[..., 0]
    out = np.empty_like(rest)
    out[half] = middle
    at = np.concatenate((middle, middle))
    for k in range(half - 1, -1, -1):
        at = done[k, ..., -1] - (done[k, ..., :-1] @ at[..., None])[..., 0]
        out[k], out[2 * half - k] = at[:chains], at[chains:]
    return out.reshape(-1, chains, _GROUP, 3).swapaxes(1, 2).reshape(-1, chains, 3)[:free]


def _groups(blocks: tuple[Array, Array, Array], count: int) -> tuple[Array, Array]:
    """Blocks of ``count`` groups with themselves and with the next; past the last place ones and zeros."""
    free, chains = blocks[0].shape[:2]
    padded = []
    for apart, block in enumerate(blocks):
        whole = np.zeros((count * _GROUP, chains, 3, 3))
        if apart == 0:
            whole[free:] = np.eye(3)
        whole[: free - apart] = block
        padded.append(whole)
    own = np.empty((count, chains, _GROUP, 3, _GROUP, 3))
    beside = np.zeros((count - 1, chains, _GROUP, 3, _GROUP, 3))
    for i in range(_GROUP):
        for j in range(_GROUP):
            own[:, :, i, :, j] = padded[abs(i - j)][min(i, j) :: _GROUP]
            if _GROUP + j - i < len(padded):
                beside[:, :, i, :, j] = padded[_GROUP + j - i][i::_GROUP][:-1]
    return own.reshape(count, chains, _WIDE, _WIDE), beside.reshape(count - 1, chains, _WIDE, _WIDE)
