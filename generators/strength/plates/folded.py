"""A folded part solved as plates: joined where their middles meet, held at its bolts, pushed at its bores."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from generators.errors import GeometryFault
from generators.geometry.frames import apply
from generators.model.joints.hole_finish import bore_span
from generators.model.plan import Flange, PartPlan
from generators.sheetmetal.folding import folded_frames
from generators.strength.bores import BoreForce, Hold, Vector
from generators.strength.plates.plate import JOINTS, TURN, Material, Plate, meeting_lines, plate_of
from generators.strength.statics import bearing_mm

Array = NDArray[np.float64]

STIFF = 1e3
"""A joint or a bolt over the sheet's own E t."""
RIDGE = 1e-11


@dataclass(frozen=True, slots=True, kw_only=True)
class Quick:
    """One case: the work of its forces (N mm), the largest stress that counts (MPa), and where."""

    work_nmm: float
    peak_mpa: float
    peak_at: Vector


@dataclass(frozen=True, slots=True, kw_only=True)
class Ritz:
    """A part with its plates, held at its bolts: the scaled stiffness of its unknowns."""

    plan: PartPlan
    plates: tuple[Plate, ...]
    frames: dict[str, Array]
    matrix: Array
    scale: Array

    def movements(self, loads: Array) -> Array:
        """The unknowns under loads, (cases, unknowns) both."""
        # numpy's own solver: one more library to load would cost `check` more than it saves
        return np.asarray(self.scale * np.linalg.solve(self.matrix, (self.scale * loads).T).T)


def _where(plan: PartPlan) -> dict[str, tuple[str, float, float, float]]:
    round_ = {h.name: (f.name, h.u_mm, h.v_mm, h.diameter_mm / 2) for f in plan.flanges for h in f.holes}
    slots = {s.name: (f.name, s.u_mm, s.v_mm, bearing_mm(s) / 2) for f in plan.flanges for s in f.slots}
    return round_ | slots


def folded_plates(plan: PartPlan, holds: Sequence[Hold], e_mpa: float, poisson: float) -> Ritz:
    """The part's plates with joints and bolts. Raises ``GeometryFault`` where nothing holds it."""
    if not holds:
        # one bolt is enough: its ring is held along the sheet, across it and in both slopes
        raise GeometryFault("plates that nothing holds", "holds")
    material = Material(e_mpa=e_mpa, poisson=poisson, thickness=plan.thickness_mm)
    loose = _loose(plan, material, tuple((h.bore, h.ring_mm / 2) for h in holds))
    by_name = {p.flange.name: p for p in loose.plates}
    matrix = loose.matrix.copy()
    for hold in holds:
        plate = by_name[_where(plan)[hold.bore][0]]
        rows, springs = _bolt(plan, hold, plate, _stiff(material))
        matrix[plate.own, plate.own] += (rows * springs[:, None]).T @ rows
    scale = 1 / np.sqrt(np.diag(matrix))
    matrix *= scale
    matrix *= scale[:, None]
    matrix[np.diag_indices(len(matrix))] += RIDGE
    return Ritz(plan=plan, plates=loose.plates, frames=loose.frames, matrix=matrix, scale=scale)


def _stiff(material: Material) -> float:
    return STIFF * material.e_mpa * material.thickness


@dataclass(frozen=True, slots=True, kw_only=True)
class _Loose:
    """The plates joined at their bends, before any bolt."""

    plates: tuple[Plate, ...]
    frames: dict[str, Array]
    matrix: Array


@lru_cache(maxsize=16)
def _loose(plan: PartPlan, material: Material, held: tuple[tuple[str, float], ...]) -> _Loose:
    """Kept, since one part is solved on a rigid panel, on one that gives, and for the bolts."""
    plates = tuple(plate_of(plan, flange, material, dict(held)) for flange in plan.flanges)
    size = 0
    for plate in plates:
        plate.first = size
        size += sum(plate.many)
    frames = folded_frames(plan)
    matrix = np.zeros((size, size))
    for plate in plates:
        matrix[plate.own, plate.own] += plate.energy
    by_name = {p.flange.name: p for p in plates}
    for bend in plan.bends:
        pair = by_name[bend.parent], by_name[bend.child]
        rows = _joint(plan, *pair, bend.name, frames)
        stiffness = _stiff(material) / JOINTS * rows.T @ rows
        half = sum(pair[0].many)
        ends = (pair[0].own, slice(0, half)), (pair[1].own, slice(half, None))
        for across, i in ends:
            for along, j in ends:
                matrix[across, along] += stiffness[i, j]
    return _Loose(plates=plates, frames=frames, matrix=matrix)


def _spread(plate: Plate, rows: Array, size: int) -> Array:
    out = np.zeros((len(rows), size))
    out[:, plate.first : plate.first + rows.shape[1]] = rows
    return out


def _joint(plan: PartPlan, parent: Plate, child: Plate, name: str, frames: dict[str, Array]) -> Array:
    """Rows, first of the parent's unknowns and then of the child's, that vanish where the two move as one at
    their bend: three movements, and the turn about the bend times the sheet's thickness."""
    sides = []
    for plate in (parent, child):
        line = next(line for b, line in meeting_lines(plan, plate.flange.name) if b.name == name)
        along = (line[1] - line[0]) / np.linalg.norm(line[1] - line[0])
        own = plate.along(name)
        turn = frames[plate.flange.name][:3, :3]
        # the turn of the sheet about a direction e in it: −grad w · (e × n)
        slope = -(own[3] * along[1] - own[4] * along[0]) * plan.thickness_mm
        moved = [sum(turn[i, k] * own[k] for k in range(3)) for i in range(3)]
        sides.append(np.concatenate([*moved, slope]))
    return np.hstack([sides[0], -sides[1]])


def _bolt(plan: PartPlan, hold: Hold, plate: Plate, stiff: float) -> tuple[Array, Array]:
    """Rows around a bolt, of its plate, and their springs: movement along u, v, w and both slopes."""
    own = plate.along(hold.bore)
    rows = np.concatenate([own[0], own[1], own[2], plan.thickness_mm * own[3], plan.thickness_mm * own[4]])
    along = min(stiff, 1 / hold.flex_mm_per_n) if hold.flex_mm_per_n else stiff
    springs = np.repeat([stiff, stiff, along, stiff, stiff], len(TURN)) / len(TURN)
    return rows, springs


def _push(ritz: Ritz, force: BoreForce, size: int) -> Array:
    """The load of a force on a bore: along its axis all round, across it as a pin bears, by the cosine.

    In a boss it acts half-way along it, off the middle of the sheet, and turns the sheet as well.
    """
    flange = _where(ritz.plan)[force.bore][0]
    plate = next(p for p in ritz.plates if p.flange.name == flange)
    local = ritz.frames[flange][:3, :3].T @ np.array(force.force)
    ways = np.stack([np.cos(TURN), np.sin(TURN)], axis=1)
    own = plate.along(force.bore)
    load = local[2] * own[2].mean(axis=0)
    across = float(np.hypot(local[0], local[1]))
    if across > 0:
        lean = np.maximum(ways @ local[:2] / across, 0.0)
        pressure = lean[:, None] * ways
        pressure *= across / float((pressure @ local[:2]).sum() / across)
        load = load + (pressure[:, :1] * own[0] + pressure[:, 1:] * own[1]).sum(axis=0)
        # what is z over the middle of the sheet moves by -z grad w along it
        off = _off_middle(ritz.plan, plate.flange, force.bore)
        load = load - off * (local[0] * own[3].mean(axis=0) + local[1] * own[4].mean(axis=0))
    return np.asarray(_spread(plate, load[None, :], size)[0])


def _off_middle(plan: PartPlan, flange: Flange, name: str) -> float:
    """How far over the middle of its sheet the middle of a bore is, mm: half of the boss on it."""
    finish = next((h.finish for h in flange.holes if h.name == name), None)
    return (sum(bore_span(finish, plan.thickness_mm)) - plan.thickness_mm) / 2


def quick(
    ritz: Ritz,
    cases: Sequence[Sequence[BoreForce]],
    holds: Sequence[Hold],
    pushed: Sequence[str],
    sharp: Sequence[tuple[Vector, Vector]],
) -> tuple[Quick, ...]:
    """Each case on a held part. ``pushed`` are bolts whose heads the model does not have: like held ones
    and sharp corners they are left out of the peak, as by finite elements."""
    size = len(ritz.scale)
    loads = np.array([sum((_push(ritz, f, size) for f in forces), np.zeros(size)) for forces in cases])
    found = ritz.movements(loads)
    rings = {h.bore: h.ring_mm / 2 for h in holds} | dict.fromkeys(pushed, 0.0)
    work = (loads * found).sum(axis=1)
    best, place = np.zeros(len(loads)), np.zeros((len(loads), 3))
    for plate in ritz.plates:
        own = found[:, plate.own]
        stressed, sheared = plate.answers(own)
        work = work + sheared
        where, counts = _spots(ritz, plate, rings, sharp)
        if counts.any():
            stress = np.where(counts, stressed, 0.0)
            at = np.argmax(stress, axis=1)
            most = stress[np.arange(len(stress)), at]
            place[most > best] = where[at[most > best]]
            best = np.maximum(best, most)
    return tuple(
        Quick(work_nmm=float(w), peak_mpa=float(s), peak_at=(float(p[0]), float(p[1]), float(p[2])))
        for w, s, p in zip(work, best, place, strict=True)
    )


def _spots(
    ritz: Ritz, plate: Plate, rings: dict[str, float], sharp: Sequence[tuple[Vector, Vector]]
) -> tuple[Array, NDArray[np.bool_]]:
    """Where a plate's points lie in the part, and which of them count for the peak."""
    t, openings = ritz.plan.thickness_mm, _where(ritz.plan)
    counts = plate.real.copy()
    for name, ring in rings.items():
        flange, u, v, radius = openings[name]
        if flange == plate.flange.name:
            away = np.hypot(plate.points[:, 0] - u, plate.points[:, 1] - v)
            counts &= away > max(radius, ring) + t
    spots = apply(
        ritz.frames[plate.flange.name],
        np.column_stack([plate.points, np.full(len(plate.points), t / 2)]),
    )
    for start, end in sharp:
        a, b = np.array(start), np.array(end)
        share = np.clip((spots - a) @ (b - a) / float((b - a) @ (b - a)), 0, 1)
        counts &= np.linalg.norm(spots - a - share[:, None] * (b - a), axis=1) > t
    return spots, counts
