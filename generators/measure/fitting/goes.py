"""Which of many sets of joints can be laid on, each decided as soon as it can be.

A set is done as soon as some place lets it on, or as soon as none can: the smooth maximum of ``fit`` less
``log(n)/k`` is never above the true one, and as both are convex in where the part lies (to first order in its
turn), no place is lower than here by more than the slope times the way there, which is no longer than twice
the farthest two centres are apart.

Of many joints few decide (where all is convex in three numbers, four: E. Helly 1923), so those that lie worst
are laid alone: where these do not go, none do; where they go, the rest is looked at from there.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from generators.measure.equations import Array
from generators.measure.fitting.fit import NEWTON, SHARPNESS, STEP_MM, Joint, Sets, kabsch, off_by, sets_of

Flags = NDArray[np.bool_]
Places = NDArray[np.intp]

WORST = 6
"""Joints laid alone at first, and how many that do not go there come to them each time: half as many."""
FIRST, TIMES, NEAR = SHARPNESS[2], 16.0, 0.1
"""The sharpness one begins with, per mm, by how much it rises, and within which share of its reach a place
must have settled for that: ours, the quickest of those tried; any gives the same answers."""
SHARPEST = SHARPNESS[6]
"""Within log(n)/4096 mm, which no simulation shows."""
MOST_STEPS = 4 * NEWTON
"""At the last sharpness."""
DAMP = 1e-3


def assembles(joints: Sequence[Joint], panel: Array, clear: Array) -> Flags:
    """Which of many sets can be laid on: ``panel`` (sets, n, 2), ``clear`` (sets, n), mm.

    A set's answer does not hang on which others are asked with it.
    """
    each, _ = sets_of(joints, panel, clear)
    out = np.zeros(len(panel), dtype=np.bool_)
    move = kabsch(each.part, each.panel)
    count, reach = len(joints), max(1.0, float(np.abs(each.part).max()))
    waiting = np.arange(len(panel))
    told = min(WORST, count)
    over = off_by(each, move)[0] - each.clear
    some = np.argsort(-over, axis=1, kind="stable")[:, :told]
    while len(waiting):
        goes, laid = _laid(_few(each, waiting, some), move[waiting], reach)
        waiting, some = waiting[goes], some[goes]
        move[waiting] = laid[goes]
        over = off_by(_rows(each, waiting), move[waiting])[0] - each.clear[waiting]
        on = over.max(axis=1, initial=-np.inf) <= 0
        out[waiting[on]] = True
        waiting, some, over = waiting[~on], some[~on], over[~on]
        # those that were laid stay: what is added is what does not go where they do
        np.put_along_axis(over, some, -np.inf, axis=1)
        if not len(waiting) or some.shape[1] == count:
            break
        more = min(WORST // 2, count - some.shape[1])
        some = np.concatenate([some, np.argsort(-over, axis=1, kind="stable")[:, :more]], axis=1)
    return out


def _rows(each: Sets, rows: Places) -> Sets:
    """Some of the sets."""
    return Sets(each.part, each.panel[rows], each.clear[rows], each.half, each.angle)


def _few(each: Sets, rows: Places, some: Places) -> Sets:
    """Some of the sets, of each the joints in its row of ``some``."""
    to = rows[:, None]
    return Sets(
        each.part[some], each.panel[to, some], each.clear[to, some], each.half[some], each.angle[some]
    )


@dataclass(slots=True)
class _Search:
    """Sets still looked at: where each part lies, how sharp its maximum is, and how it came there."""

    each: Sets
    rows: Places
    move: Array
    here: tuple[Array, Array, Array]
    sharp: Array
    damp: Array
    steps: Places

    def kept(self, keep: Flags) -> _Search:
        """Those that are not decided."""
        each, (far, unit, turn) = self.each, self.here
        return _Search(
            Sets(each.part[keep], each.panel[keep], each.clear[keep], each.half[keep], each.angle[keep]),
            self.rows[keep],
            self.move[keep],
            (far[keep], unit[keep], turn[keep]),
            self.sharp[keep],
            self.damp[keep],
            self.steps[keep],
        )


def _laid(each: Sets, start: Array, reach: float) -> tuple[Flags, Array]:
    """Which of the sets go on, and where.

    By damped Newton steps on the smooth maximum, sharpened as they settle; turns count by ``reach``, mm.
    """
    out, where = np.zeros(len(start), dtype=np.bool_), start.copy()
    count = len(start)
    it = _Search(
        each,
        np.arange(count),
        start,
        off_by(each, start),
        np.full(count, FIRST),
        np.full(count, DAMP),
        np.zeros(count, dtype=np.intp),
    )
    while len(it.rows):
        goes, never, step = _step(it, reach)
        out[it.rows[goes]], where[it.rows[goes]] = True, it.move[goes]
        long, last = np.abs(step).max(axis=1), it.sharp >= SHARPEST
        settled = long < np.where(last, STEP_MM, NEAR / it.sharp)
        settled |= it.steps >= np.where(last, MOST_STEPS, NEWTON)
        it.sharp = np.where(settled, np.minimum(it.sharp * TIMES, SHARPEST), it.sharp)
        it.damp = np.where(settled, DAMP, it.damp)
        it.steps = np.where(settled, 0, it.steps)
        keep = ~(goes | never | (settled & last))
        if not keep.all():
            it = it.kept(keep)
    return out, where


def _step(it: _Search, reach: float) -> tuple[Flags, Flags, Array]:
    """Which sets go on where they lie, which go nowhere, and the step the others were tried with.

    Those it lowers the maximum of have taken it.
    """
    far, unit, turn = it.here
    value, top, weight = _smooth(far - it.each.clear, it.sharp)
    slope = np.stack([-unit[..., 0], -unit[..., 1], turn / reach], axis=-1)
    mean = (weight[..., None] * slope).sum(axis=1)
    way = 2.0 * far.max(axis=1) * np.sqrt(3.0)
    least = value - np.log(far.shape[1]) / it.sharp - np.sqrt((mean**2).sum(axis=1)) * way
    goes, never = top <= 0, least > 0
    hess = _bent(weight, slope, mean, far, unit, it.sharp, it.damp)
    step = -np.linalg.solve(hess, mean[..., None])[..., 0]
    step[:, 2] /= reach
    trial = np.where(goes[:, None], it.move, it.move + step)
    there = off_by(it.each, trial)
    after, _, _ = _smooth(there[0] - it.each.clear, it.sharp)
    better = after <= value
    it.move = np.where((better & ~goes)[:, None], trial, it.move)
    it.here = (
        np.where(better[:, None], there[0], far),
        np.where(better[:, None, None], there[1], unit),
        np.where(better[:, None], there[2], turn),
    )
    it.damp = np.clip(np.where(better, it.damp / 8, it.damp * 16), 1e-12, 1e9)
    it.steps = it.steps + 1
    return goes, never, step


def _smooth(over: Array, sharp: Array) -> tuple[Array, Array, Array]:
    """The smooth maximum over the joints, the true one, and the weight of each joint in it."""
    top = over.max(axis=1)
    weight = np.exp(sharp[:, None] * (over - top[:, None]))
    total = weight.sum(axis=1)
    value: Array = top + np.log(total) / sharp
    return value, top, weight / total[:, None]


def _bent(
    weight: Array, slope: Array, mean: Array, far: Array, unit: Array, sharp: Array, damp: Array
) -> Array:
    """The second slopes of the smooth maximum (sets, 3, 3), damped, as ``fit.minimax`` has them."""
    k = sharp[:, None, None]
    hess = k * (
        np.matmul((weight[..., None] * slope).transpose(0, 2, 1), slope) - mean[:, :, None] * mean[:, None, :]
    )
    near = weight / far
    hess[:, :2, :2] += near.sum(axis=1)[:, None, None] * np.eye(2)
    hess[:, :2, :2] -= np.matmul((near[..., None] * unit).transpose(0, 2, 1), unit)
    hess[:, 2, 2] += (weight / np.maximum(far, 0.1)).sum(axis=1)
    out: Array = hess + damp[:, None, None] * k * np.eye(3)
    return out
