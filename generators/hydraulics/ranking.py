"""Standard bores times pedal ratios, ranked by effort and travel, with why each loser loses.

Effort and travel pull against each other: a heavier bore releases in less travel and asks more force.
So the answer is a front, the combinations that no other beats in both, and the targets choose on it.
Strokes of the cylinders stay those of the spec; a ratio is made by moving the pin, and the cylinder
with it, so that the rod keeps its line.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from generators.errors import GeometryFault
from generators.hydraulics.clutch import clutch_parts, clutch_setup, load_line
from generators.hydraulics.cylinders import piston_area, slave_area
from generators.hydraulics.line import compliance, lost
from generators.hydraulics.linkage import (
    Linkage,
    PedalFrame,
    angle_of_piston,
    build_linkage,
    motion,
    moved_pin,
    travel_to_floor,
)
from generators.hydraulics.window import StopWindow, effort_target, stop_of, stop_window
from generators.model.spec.hydraulics import Clutch, Pedal
from generators.standards import standard_bores

Array = NDArray[np.float64]
Codes = NDArray[np.int64]
Flags = NDArray[np.bool_]

RATIOS = tuple(3.5 + 0.25 * n for n in range(15))
"""3.5 to 7: old mechanical pedals near 3.5, clutches 5 to 7, common practice, no source."""

_PER_PIECE = 12
FRONT, BEATEN, HEAVY, LONG, BOTH, BOTTOMS, RUNS_OUT, FLOOR, LINKAGE, FINGERS = range(10)


@dataclass(frozen=True, slots=True, kw_only=True)
class Ranking:
    """Every combination, best first: the front by rising travel, then what it beats, then what fails.

    Arrays of one length: bores mm, ``ratio`` pad over pin radius, ``travel_mm`` pad travel that releases
    with the margin, ``effort_n`` peak pad force up to there, ``pressure_mpa`` peak; infinite where the
    linkage never gets there. ``code`` says how it compares, ``beaten_by`` the row that beats it or -1.
    ``best`` is the row of the front furthest inside both targets, None when none meets them.
    """

    master_mm: Array
    slave_mm: Array
    ratio: Array
    travel_mm: Array
    effort_n: Array
    pressure_mpa: Array
    code: Codes
    on_front: Flags
    beaten_by: Codes
    best: int | None
    effort_target_n: float
    travel_target_mm: float
    floor_mm: float

    def label(self, row: int) -> str:
        """``19.05 mm master, 22.23 mm slave, 5.50:1``."""
        return (
            f"{self.master_mm[row]:.2f} mm master, {self.slave_mm[row]:.2f} mm slave, {self.ratio[row]:.2f}:1"
        )

    def reason(self, row: int) -> str:
        """In words, how a row compares."""
        travel = f"{self.travel_mm[row]:.0f} mm of travel over the {self.travel_target_mm:.0f} mm wanted"
        effort = f"{self.effort_n[row]:.0f} N of effort over the {self.effort_target_n:.0f} N wanted"
        words = {
            FRONT: "best compromise: no other is both lighter and shorter",
            HEAVY: effort,
            LONG: travel,
            BOTH: f"{effort}, and {travel}",
            BOTTOMS: "the master bottoms before the clutch releases",
            RUNS_OUT: "the slave runs out before the clutch releases",
            FLOOR: f"needs {self.travel_mm[row]:.0f} mm, the floor is at {self.floor_mm:.0f} mm",
            LINKAGE: "the linkage does not give this much stroke at this ratio",
            FINGERS: "release travel and margin are more than the fingers allow",
        }
        code = int(self.code[row])
        if code == BEATEN:
            return f"beaten in effort and travel by {self.label(int(self.beaten_by[row]))}"
        return words[code]


SAME_BORE_MM = 1e-3
"""Bores nearer than this are one: the same in inches and in mm."""


def with_own(common: Sequence[float], own: float) -> list[float]:
    """The common sizes with the pedal's own among them: bores in mm, or ratios. Raises nothing."""
    return sorted([*(value for value in common if abs(value - own) > SAME_BORE_MM), own])


def rank(
    pedal: Pedal,
    frame: PedalFrame,
    *,
    masters_mm: Sequence[float] | None = None,
    slaves_mm: Sequence[float] | None = None,
    ratios: Sequence[float] = RATIOS,
) -> Ranking:
    """Rank bores (mm) and ratios for a clutch pedal; without bores, the common ones.

    A concentric slave keeps its own size. Ten thousand combinations take well under a second. Raises
    ``GeometryFault`` for a pedal that is no clutch or a bore of nothing, ``LookupFault`` for an unknown
    hose size.
    """
    _master, slave, _clutch = clutch_parts(pedal)
    masters = masters_mm if masters_mm is not None else [b.bore_mm for b in standard_bores("master")]
    slaves = slaves_mm if slaves_mm is not None else [b.bore_mm for b in standard_bores("slave")]
    if slave.kind == "concentric":
        slaves = [slave.bore_mm]
    master_mm2 = np.array([piston_area(b, "master.bore") for b in masters])[:, None]
    slave_mm2 = np.array([slave_area(replace(slave, bore_mm=b)) for b in slaves])[None, :]
    tables = [_one_ratio(pedal, frame, ratio, master_mm2, slave_mm2) for ratio in ratios]
    shape = (len(ratios), len(masters), len(slaves))
    grids = np.meshgrid(ratios, masters, slaves, indexing="ij")
    ratio_all, master_all, slave_all = (grid.ravel() for grid in grids)
    travel, effort, pressure = (_flat([table[k] for table in tables], shape[1:]) for k in range(3))
    fate = _flat([table[3] for table in tables], shape[1:]).astype(np.int64)
    return _sorted(
        pedal,
        travel_to_floor(pedal, frame),
        {
            "master_mm": master_all,
            "slave_mm": slave_all,
            "ratio": ratio_all,
            "travel_mm": travel,
            "effort_n": effort,
            "pressure_mpa": pressure,
        },
        fate,
    )


def _flat(tables: Sequence[NDArray[Any]], shape: tuple[int, ...]) -> NDArray[Any]:
    return np.asarray(np.stack([np.broadcast_to(table, shape) for table in tables]).ravel())


def _path(clutch: Clutch) -> tuple[Array, Array]:
    """Bearing travel and load along the load line up to release with the margin."""
    line_b, line_f = load_line(clutch)
    index = np.arange(len(line_b), dtype=np.float64)
    last = clutch.free_play_mm + clutch.release_travel_mm + clutch.release_margin_mm
    along = np.linspace(0, index[-1], (len(line_b) - 1) * _PER_PIECE + 1)
    b, f = np.interp(along, index, line_b), np.interp(along, index, line_f)
    inside = b < last
    end_f = float(np.interp(last, line_b, line_f))
    # the piece that runs past the end gets its own samples, so that its peak is not missed
    more = np.linspace(float(b[inside][-1]), last, _PER_PIECE)
    more_f = np.interp(more[1:-1], line_b, line_f)
    return (
        np.concatenate([b[inside], more[1:-1], [last]]),
        np.concatenate([f[inside], more_f, [end_f]]),
    )


def _one_ratio(
    pedal: Pedal, frame: PedalFrame, ratio: float, master_mm2: Array, slave_mm2: Array
) -> tuple[Array, Array, Array, Codes]:
    """Travel, effort, pressure and fate of all bore pairs at one ratio, each (masters, slaves)."""
    nothing = np.full((master_mm2.shape[0], slave_mm2.shape[1]), np.inf)
    master, slave, clutch = clutch_parts(pedal)
    try:
        link = _link(pedal, frame, ratio)
    except GeometryFault:
        return nothing, nothing, nothing, np.full(nothing.shape, LINKAGE)
    b, f = (x[:, None, None] for x in _path(clutch))
    p = f / (clutch.fork_ratio * slave_mm2)
    lines = compliance(pedal.line, pedal.fluid, 0.0)
    cylinders = master_mm2 * master.stroke_mm + slave_mm2 * slave.stroke_mm
    volume = slave_mm2 * clutch.fork_ratio * b + lost(lines, p) + cylinders * p / pedal.fluid.bulk_modulus_mpa
    barrel = max(master.dead_stroke_mm, link.rest_mm) + volume / master_mm2
    piston = barrel + pedal.bracket_flex_mm_per_n * p * master_mm2
    turn = angle_of_piston(link, piston)
    rate = motion(link, turn.ravel()).rate.reshape(turn.shape)
    with np.errstate(invalid="ignore"):
        effort = np.where(np.isnan(turn), np.inf, p * master_mm2 * rate).max(axis=0)
    travel = np.where(np.isnan(turn[-1]), np.inf, turn[-1] * link.pad_radius_mm)
    fate = np.full(nothing.shape, FRONT)
    fate = np.where(travel > link.travel_mm, FLOOR, fate)
    fate = np.where(np.isinf(travel), LINKAGE, fate)
    last = clutch.free_play_mm + clutch.release_travel_mm + clutch.release_margin_mm
    if last > slave.stroke_mm / clutch.fork_ratio - clutch.wear_mm:
        fate = np.full(nothing.shape, RUNS_OUT)
    fate = np.where(barrel[-1] > master.stroke_mm, BOTTOMS, fate)
    if clutch.release_travel_mm + clutch.release_margin_mm > clutch.over_travel_mm:
        fate = np.full(nothing.shape, FINGERS)
    return travel, effort, np.broadcast_to(p.max(axis=0), nothing.shape), fate


def _link(pedal: Pedal, frame: PedalFrame, ratio: float) -> Linkage:
    scale = math.hypot(*pedal.pad) / ratio / math.hypot(*pedal.pin)
    changed, at = moved_pin(pedal, frame, scale)
    return build_linkage(changed, at)


def stop_of_row(pedal: Pedal, frame: PedalFrame, ranking: Ranking, row: int) -> StopWindow | None:
    """The stop window of a row on the floor that is there; None where the linkage cannot be made so."""
    master, slave, _clutch = clutch_parts(pedal)
    try:
        link = _link(pedal, frame, float(ranking.ratio[row]))
        changed = replace(
            pedal,
            master=replace(master, bore_mm=float(ranking.master_mm[row])),
            slave=replace(slave, bore_mm=float(ranking.slave_mm[row])),
        )
        return stop_window(clutch_setup(changed, link), stop_of(pedal, frame), pedal.stop == "floor")
    except GeometryFault:
        return None


def pareto(travel_mm: Array, effort_n: Array) -> Flags:
    """True where no other point is as short and as light, and better in one; equal points all stay.

    Sorts once, O(n log n). Arrays (n,). Raises nothing.
    """
    order = np.lexsort((effort_n, travel_mm))
    t, e = travel_mm[order], effort_n[order]
    lightest_before = np.concatenate([[np.inf], np.minimum.accumulate(e)[:-1]]) if len(e) else e
    keep = e < lightest_before
    if len(e):
        same = np.concatenate([[False], (np.diff(t) == 0) & (np.diff(e) == 0)])
        for i in np.flatnonzero(same):
            keep[i] = keep[i - 1]
    out = np.zeros(len(e), dtype=np.bool_)
    out[order] = keep
    return out


def _sorted(pedal: Pedal, floor_mm: float, columns: dict[str, Array], fate: Codes) -> Ranking:
    travel, effort = columns["travel_mm"], columns["effort_n"]
    target_n, target_mm = effort_target(pedal), pedal.targets.travel_mm
    works = fate == FRONT
    front = np.zeros(len(fate), dtype=np.bool_)
    front[works] = pareto(travel[works], effort[works])
    heavy, far = works & (effort > target_n), works & (travel > target_mm)
    code = np.where(works & ~front, BEATEN, fate)
    code = np.where(heavy, HEAVY, code)
    code = np.where(far, LONG, code)
    code = np.where(heavy & far, BOTH, code)
    group = np.where(code == FRONT, 0, np.where(works & front, 1, np.where(works, 2, 3)))
    order = np.lexsort((effort, travel, code, group))
    columns = {name: values[order] for name, values in columns.items()}
    code, front = code[order], front[order]
    travel, effort = columns["travel_mm"], columns["effort_n"]
    share = np.maximum(effort / target_n, travel / target_mm)
    good = np.flatnonzero(code == FRONT)
    return Ranking(
        **columns,
        code=code,
        on_front=front,
        beaten_by=_beaten_by(travel, effort, front, code),
        best=int(good[np.argmin(share[good])]) if len(good) else None,
        effort_target_n=target_n,
        travel_target_mm=target_mm,
        floor_mm=floor_mm,
    )


def _beaten_by(travel: Array, effort: Array, front: Flags, code: Codes) -> Codes:
    """For each beaten row the front's lightest row among those no longer than it; -1 for the others."""
    out = np.full(len(code), -1, dtype=np.int64)
    rows = np.flatnonzero(front)
    if len(rows):
        rows = rows[np.argsort(travel[rows], kind="stable")]
        beaten = np.flatnonzero(code == BEATEN)
        place = np.searchsorted(travel[rows], travel[beaten], side="right") - 1
        out[beaten] = rows[place]
    return out
