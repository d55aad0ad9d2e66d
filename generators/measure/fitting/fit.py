"""The best way to lay a part on holes as drilled: the rigid move with the smallest largest violation.

Each fastener allows the centres of its two holes to lie ``clearance`` apart: (Hp-F)/2 + (Hq-F)/2 when it
floats in both, (H-F)/2 when one hole fixes it (ASME Y14.5 appendix B: T = H-F on each part floating,
(H-F)/2 fixed, as diameters of position zones). A slot adds its travel along itself. The largest violation
over the holes is minimised over shift and turn, beginning from the least-squares fit (W. Kabsch 1976) and
sharpening a smooth maximum ``log(sum(exp(k g)))/k`` until it is within ``log(n)/k`` of the true one.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from generators.measure.equations import Array
from generators.model.words import FittingKind

SHARPNESS = tuple(4.0**power for power in range(9))  # per mm; the last leaves log(n)/65536 mm
NEWTON = 12
ROUND_MM = 1e-9
STEP_MM = 1e-7


@dataclass(frozen=True, slots=True, kw_only=True)
class Joint:
    """One hole of a part over one hole of the panel, in the panel frame, mm and rad.

    ``part`` is where the part's hole lies by the spec, ``panel`` where the panel's was measured. A slot
    of the part has ``travel_mm`` between end centres along ``slot_rad``. ``shank_mm`` is what goes through.
    """

    name: str
    kind: FittingKind
    part: tuple[float, float]
    part_dia_mm: float
    panel: tuple[float, float]
    panel_dia_mm: float
    shank_mm: float
    fixed: bool = False
    travel_mm: float = 0.0
    slot_rad: float = 0.0
    nut_circle_mm: float = 0.0
    panel_sigma_mm: float = 0.0

    @property
    def clearance_mm(self) -> float:
        """How far apart the centres may lie."""
        own = (self.part_dia_mm - self.shank_mm) / 2
        return own if self.fixed else own + (self.panel_dia_mm - self.shank_mm) / 2

    @property
    def passes(self) -> bool:
        """True when the fastener goes through either hole at all."""
        return self.part_dia_mm >= self.shank_mm and (self.fixed or self.panel_dia_mm >= self.shank_mm)


@dataclass(frozen=True, slots=True, kw_only=True)
class Fit:
    """Where the part lies: turned by ``turn_rad`` about ``middle``, then shifted; mm and rad.

    ``left_mm`` is the clearance left of each joint (negative: it does not go on).
    """

    shift: tuple[float, float]
    turn_rad: float
    middle: tuple[float, float]
    left_mm: tuple[float, ...]
    off_mm: tuple[tuple[float, float], ...]

    @property
    def worst_mm(self) -> float:
        """The smallest clearance left."""
        return min(self.left_mm)

    def place(self, u: float, v: float) -> tuple[float, float]:
        """Where a point of the part as planned comes to lie."""
        c, s = math.cos(self.turn_rad), math.sin(self.turn_rad)
        du, dv = u - self.middle[0], v - self.middle[1]
        return (
            self.middle[0] + c * du - s * dv + self.shift[0],
            self.middle[1] + s * du + c * dv + self.shift[1],
        )


def kabsch(part: Array, panel: Array) -> Array:
    """Least-squares moves, shape (sets, 3) as shift and turn about the mean of ``part``.

    ``part`` has shape (n, 2), ``panel`` (sets, n, 2).
    """
    p = part - part.mean(axis=0)
    centre = panel.mean(axis=1)
    m = panel - centre[:, None, :]
    turn = np.arctan2((p[:, 0] * m[..., 1] - p[:, 1] * m[..., 0]).sum(1), (p * m).sum(axis=(1, 2)))
    return np.column_stack([centre - part.mean(axis=0), turn])


@dataclass(frozen=True, slots=True)
class Sets:
    """Arrays of many sets of joints: ``panel`` (sets, n, 2), ``clear`` (sets, n), mm.

    ``part`` (n, 2), ``half`` the slots' half travel and ``angle`` their way, rad, (n), are the same of all
    sets, or have one row each.
    """

    part: Array
    panel: Array
    clear: Array
    half: Array
    angle: Array


def off_by(each: Sets, move: Array) -> tuple[Array, Array, Array]:
    """Distance beyond the slot of each joint, mm, its unit direction and what turning does to it, mm/rad."""
    c, s = np.cos(move[:, 2]), np.sin(move[:, 2])
    pu, pv = each.part[..., 0], each.part[..., 1]
    qu = c[:, None] * pu - s[:, None] * pv
    qv = s[:, None] * pu + c[:, None] * pv
    rest = np.empty_like(each.panel)
    rest[..., 0] = each.panel[..., 0] - (qu + move[:, :1])
    rest[..., 1] = each.panel[..., 1] - (qv + move[:, 1:2])
    if each.half.any():
        way = move[:, 2:] + each.angle
        au, av = np.cos(way), np.sin(way)
        along = np.clip(rest[..., 0] * au + rest[..., 1] * av, -each.half, each.half)
        au, av = along * au, along * av
        rest[..., 0] -= au
        rest[..., 1] -= av
        # by the envelope theorem the nearest point of the slot may be taken as fixed
        qu, qv = qu + au, qv + av
    far = np.sqrt(rest[..., 0] ** 2 + rest[..., 1] ** 2 + ROUND_MM**2)
    unit = rest / far[..., None]
    turn = unit[..., 0] * qv - unit[..., 1] * qu
    return far, unit, turn


def minimax(each: Sets, start: Array, sharpness: Sequence[float] = SHARPNESS) -> tuple[Array, Array]:
    """Moves, shape (sets, 3), and violations, shape (sets, n), with the smallest largest violation."""
    # all sets at once, thousands in a simulation; scipy.optimize.minimize takes one
    reach = max(1.0, float(np.abs(each.part).max()))
    move = start.copy()
    for k in sharpness:
        damp = np.full(len(move), 1e-3)
        for _ in range(NEWTON):
            far, unit, turn = off_by(each, move)
            g = far - each.clear
            top = g.max(axis=1, keepdims=True)
            weight = np.exp(k * (g - top))
            total = weight.sum(axis=1, keepdims=True)
            value = top[:, 0] + np.log(total[:, 0]) / k
            weight /= total
            slope = np.stack([-unit[..., 0], -unit[..., 1], turn / reach], axis=-1)
            mean = (weight[..., None] * slope).sum(axis=1)
            spread = np.einsum("bn,bni,bnj->bij", weight, slope, slope)
            bend = (weight / far)[..., None, None] * (np.eye(2) - unit[..., :, None] * unit[..., None, :])
            hess = k * (spread - mean[:, :, None] * mean[:, None, :])
            hess[:, :2, :2] += bend.sum(axis=1)
            hess[:, 2, 2] += (weight / np.maximum(far, 0.1)).sum(axis=1)
            hess += damp[:, None, None] * k * np.eye(3)
            step = -np.linalg.solve(hess, mean[..., None])[..., 0]
            step[:, 2] /= reach
            trial = move + step
            far, _, _ = off_by(each, trial)
            g = far - each.clear
            top = g.max(axis=1)
            after = top + np.log(np.exp(k * (g - top[:, None])).sum(axis=1)) / k
            better = after <= value
            move[better] = trial[better]
            damp = np.clip(np.where(better, damp / 8, damp * 16), 1e-12, 1e9)
            if float(np.abs(step).max()) < STEP_MM:
                break
    far, _, _ = off_by(each, move)
    return move, far - each.clear


def sets_of(joints: Sequence[Joint], panel: Array, clear: Array) -> tuple[Sets, Array]:
    """Joints with the panel's holes of many sets, about the middle of the part's, and that middle."""
    part = np.array([j.part for j in joints])
    middle = part.mean(axis=0)
    each = Sets(
        part - middle,
        panel - middle,
        clear,
        np.array([j.travel_mm / 2 for j in joints]),
        np.array([j.slot_rad for j in joints]),
    )
    return each, middle


def fit(joints: Sequence[Joint], extra: Sequence[float] | None = None) -> Fit:
    """The best fit of one set; ``extra`` mm are added to each clearance. Raises ``ValueError`` for none."""
    if not joints:
        raise ValueError("a fit needs at least one joint")
    panel = np.array([[j.panel for j in joints]])
    more = np.zeros(len(joints)) if extra is None else np.asarray(extra)
    clear = np.array([[j.clearance_mm for j in joints]]) + more
    each, middle = sets_of(joints, panel, clear)
    move, over = minimax(each, kabsch(each.part, each.panel))
    far, unit, _ = off_by(each, move)
    off = unit[0] * far[0][:, None]
    return Fit(
        shift=(float(move[0, 0]), float(move[0, 1])),
        turn_rad=float(move[0, 2]),
        middle=(float(middle[0]), float(middle[1])),
        left_mm=tuple(float(-x) for x in over[0]),
        off_mm=tuple((float(u), float(v)) for u, v in off),
    )


def violations(joints: Sequence[Joint], panel: Array, clear: Array) -> Array:
    """The smallest largest violation of many sets: ``panel`` (sets, n, 2), ``clear`` (sets, n).

    To within log(n)/4096 mm, which no simulation shows.
    """
    each, _ = sets_of(joints, panel, clear)
    _, over = minimax(each, kabsch(each.part, each.panel), SHARPNESS[:7])
    out: Array = over.max(axis=1)
    return out


def laid_room(joints: Sequence[Joint], panel: Array, clear: Array) -> Array:
    """The least clearance left of many sets where each is laid by least squares, mm.

    Never more than the best place leaves, so a set with room here goes on; it costs one pass.
    """
    each, _ = sets_of(joints, panel, clear)
    far, _, _ = off_by(each, kabsch(each.part, each.panel))
    out: Array = (clear - far).min(axis=1)
    return out
