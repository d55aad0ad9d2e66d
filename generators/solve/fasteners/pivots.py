"""The shafts pedals turn on: as thick as their bores, as long as their hanger is wide there."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from generators.geometry.frames import Matrix, apply
from generators.layout.mounting import PlacedPart
from generators.model.install import InstallOrder
from generators.model.joints.fasteners import ON_BEARINGS, ON_SPACER, FastenerSet, Tightening
from generators.model.joints.hole_finish import bore_span
from generators.model.joints.ways import SheetSide
from generators.model.plan import Hole, PartPlan
from generators.model.spec.job import Job
from generators.model.spec.titles import within
from generators.sheetmetal.folding import folded_frames
from generators.sheetmetal.in_line import inner_sides, proud_mm
from generators.solve.fasteners.bags import part_bag

PIVOT = ("pivot_right", "pivot_left")
FREE = "a shaft must turn: its ends are held by pins, clips or a locking nut on a shoulder, not clamped"


def over_cheeks(plan: PartPlan) -> tuple[float, float, float] | None:
    """Bore of a hanger's pivots, the width over and between its cheeks there, mm; None without pivots."""
    found = _faces(plan)
    if found is None:
        return None
    bore, _points, along = found
    # two faces of each cheek: the room is between the two in the middle
    ends = sorted(along.tolist())
    between = ends[len(ends) // 2] - ends[len(ends) // 2 - 1]
    return bore, ends[-1] - ends[0], between


def inner_faces(plan: PartPlan) -> Matrix | None:
    """The middles of a hanger's pivots on the inner face of either cheek, (2, 3), root flange's frame, mm.

    A boss that stands inside is part of its cheek; None without pivots in two cheeks.
    """
    found = _faces(plan)
    if found is None:
        return None
    _bore, points, along = found
    order = np.argsort(along)
    return np.asarray(points[order[[len(order) // 2 - 1, len(order) // 2]]])


def _faces(plan: PartPlan) -> tuple[float, Matrix, Matrix] | None:
    """Bore of the pivots, the middles of their faces (n, 3) and how far along the shaft each of them lies."""
    frames, inner = folded_frames(plan), inner_sides(plan)
    found: list[tuple[Hole, np.ndarray]] = []
    for flange in plan.flanges:
        for hole in flange.holes:
            if hole.name in PIVOT:
                toward = inner.get((flange.name, hole.name))
                faces = [(hole.u_mm, hole.v_mm, w) for w in _ends(plan, hole, toward)]
                found.append((hole, apply(frames[flange.name], np.array(faces))))
    if len(found) < len(PIVOT):
        return None
    points = np.vstack([faces for _, faces in found])
    axis = found[0][1].mean(axis=0) - found[1][1].mean(axis=0)
    along = points @ (axis / np.linalg.norm(axis))
    return min(hole.diameter_mm for hole, _ in found), points, along


def _ends(plan: PartPlan, hole: Hole, toward: SheetSide | None) -> tuple[float, float]:
    """Between which w a bore runs, mm: the sheet, a boss on it, and a bearing that stands out."""
    low, high = bore_span(hole.finish, plan.thickness_mm)
    proud = proud_mm(plan, hole)
    return (low - proud, high) if toward == "upper" else (low, high + proud)


def pivot_sets(job: Job, parts: Sequence[PlacedPart], order: InstallOrder) -> Iterator[FastenerSet]:
    """One shaft for each hanger that pedals of the job hang in, at the step of the first of them."""
    for part in parts:
        pedals = [p for p in job.pedal if p.hanger == part.spec.name]
        size = over_cheeks(part.plan) if pedals else None
        if size is None:
            continue
        tasks = [f"pedal:{p.name}" for p in pedals]
        first = min(tasks, key=lambda t: at if (at := order.place(t)) is not None else len(order.tasks))
        bore, width, between = size
        bush = part.plan.bush
        if bush is not None:
            bore = bush.inside_mm
        why = ON_SPACER if part.plan.spacer is not None else FREE
        if bush is not None and bush.bearing is not None:
            why = ON_BEARINGS
        own = part.spec.parameters
        yield FastenerSet(
            key=f"bolt:{part.spec.name}.pivot",
            task=first,
            bag=part_bag(part.spec, part.plan.title),
            purpose=f"pivot, {within(part.plan.title)}",
            form="shaft",
            into="nothing",
            thread="",
            designation="",
            diameter_mm=part.plan.shaft_mm or bore,
            part=part.spec.name,
            opening=PIVOT[0],
            length_mm=getattr(own, "pivot_shaft_length_mm", None),
            least_mm=width,
            ends=getattr(own, "pivot_shaft_ends", ""),
            between_mm=between,
            grip_mm=width,
            tighten=Tightening(torque_nm=None, preload_n=None, why=why),
        )
