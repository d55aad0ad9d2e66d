"""A file of measured holes and the part that goes on them: which hole lies on which."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from generators.checks.survey.inside import check_inside
from generators.errors import Fault, LookupFault, SpecError
from generators.geometry.contours import Placement
from generators.jobs.asdrilled.inspection import Inspected, covariance_of, inspect, with_holes_as_read
from generators.jobs.measure.survey import Measured
from generators.layout.mounting import PlacedPart, placement
from generators.measure.equations import Array
from generators.measure.fitting.fit import Fit, Joint
from generators.measure.fitting.rescue import Change
from generators.model.findings import Finding
from generators.model.plan import Hole, PartPlan, Slot
from generators.model.spec.job import Mount, Panel
from generators.model.spec.rework import Rework
from generators.parts import kind_named
from generators.sheetmetal.lying import on_panel
from generators.solve.job import Prepared


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """What is weighed. ``joints`` are in the frame of the readings; ``tied`` when that is the panel's own.

    ``covariance`` (2n, 2n) is that of the measured centres, mm². ``skipped`` are holes of the part left
    out, with the reason; they stay as designed. ``prepared`` is the job with the part as it was read on its
    inspection sheet, ``seen``, where there is one; ``given`` is the job as its spec has it.
    """

    given: Prepared
    prepared: Prepared
    seen: Inspected | None
    measured: Measured
    part: PlacedPart
    mount: Mount
    panel: Panel
    place: Placement
    joints: tuple[Joint, ...]
    covariance: Array
    tied: bool
    skipped: tuple[tuple[str, str], ...]


def case_of(prepared: Prepared, measured: Measured) -> Case:
    """The case of a spec and readings.

    Raises ``SpecError`` for places that are not to be used, a part without a mount, a mating hole that was
    not measured, and a hole that would lie outside its panel.
    """
    if measured.blocked:
        raise SpecError([_of_finding(measured, f) for f in measured.findings if f.blocks])
    given, seen = prepared, None
    if measured.file.readings.inspected:
        seen = inspect(given, measured.file)
        prepared = with_holes_as_read(given, seen)
    part, mount, panel = _part(prepared, measured)
    tied = measured.survey.closed == 0
    outside = [f for f in check_inside(measured.survey, panel.outline) if f.blocks] if tied else []
    if outside:
        raise SpecError([_of_finding(measured, f) for f in outside])
    place = placement(panel, mount)
    joints, order, skipped = _joints(measured, part.plan, place)
    cov = measured.survey.adjusted.covariance
    rows = [2 * i + axis for i in order for axis in (0, 1)]
    known = cov[np.ix_(rows, rows)]
    if seen is not None:
        known = known + covariance_of(seen, [j.name for j in joints], _turned(place, 0.0))
    return Case(
        given=given,
        prepared=prepared,
        seen=seen,
        measured=measured,
        part=part,
        mount=mount,
        panel=panel,
        place=place,
        joints=joints,
        covariance=known,
        tied=tied,
        skipped=skipped,
    )


def _of_finding(measured: Measured, found: Finding) -> Fault:
    """A finding on readings as a fault of their file, at the reading it names where it names one."""
    what = found.where.partition(" ")[2]
    row = next((r for r in measured.survey.problem.rows if what == f"reading {r.label}"), None)
    hole = next((k for k, h in enumerate(measured.file.readings.hole) if what == f"hole {h.name}"), None)
    path = "measure"
    if row is not None and row.source.startswith("reading"):
        path = f"{row.source}.is"
    elif hole is not None:
        path = f"hole[{hole}].name"
    wanted = "readings that tell where the holes are"
    return measured.file.fault_at(path, f"{found.code}, {what}: {found.found}", wanted, found.advice)


def _part(prepared: Prepared, measured: Measured) -> tuple[PlacedPart, Mount, Panel]:
    head = measured.file.readings.measure
    mounted = {p.spec.name: p for p in prepared.parts if p.mount is not None}
    at = "measure.part"
    if head.part not in mounted:
        found = f"the part {head.part!r}" if head.part else "no part"
        expected = f"a part of the spec with a mount: {', '.join(mounted) or 'there is none'}"
        raise SpecError([measured.file.fault_at(at, found, expected)])
    part = mounted[head.part]
    mount = part.spec.mount
    if mount is None:
        raise LookupFault("mounted part", head.part, list(mounted))
    if head.panel not in ("panel", mount.panel):
        raise SpecError(
            [
                measured.file.fault_at(
                    "measure.panel", repr(head.panel), f"{mount.panel}, where {head.part} is mounted"
                )
            ]
        )
    if kind_named(part.spec.kind).plan_on is not None:
        # planned anew on the panel as drilled its holes would lie elsewhere than those it was drilled by
        raise SpecError(
            [
                measured.file.fault_at(
                    at,
                    f"{head.part}, a {part.spec.kind}, whose shape and holes follow the panel",
                    "a part with holes of its own",
                    "write the holes as drilled into the spec as existing ones, and make the part again",
                )
            ]
        )
    panel = next(p for p in prepared.file.job.panel if p.name == mount.panel)
    return part, mount, panel


def _joints(
    measured: Measured, plan: PartPlan, place: Placement
) -> tuple[tuple[Joint, ...], tuple[int, ...], tuple[tuple[str, str], ...]]:
    """The joints, which measured hole each is, and what was left out. Raises ``SpecError``."""
    readings, result = measured.file.readings, measured.survey
    by_mate = {h.mates or h.name: i for i, h in enumerate(readings.hole)}
    root = on_panel(plan)
    mating: list[Hole | Slot] = [h for h in root.holes if h.mates]
    mating += [s for s in root.slots if s.mates]
    joints, order, skipped, missing = [], [], [], []
    spread = np.diag(result.adjusted.covariance)
    for o in mating:
        if o.fitting.shank_mm <= 0:
            skipped.append((o.name, f"{o.purpose}: the thickness of what goes through it is not given"))
            continue
        i = by_mate.get(o.name)
        if i is None:
            missing.append(o.name)
            continue
        u, v = place.apply(o.u_mm, o.v_mm)
        slot = isinstance(o, Slot)
        joints.append(
            Joint(
                name=o.name,
                kind=o.fitting.kind,
                part=(u, v),
                part_dia_mm=o.width_mm if isinstance(o, Slot) else o.diameter_mm,
                panel=(float(result.points()[i][0]), float(result.points()[i][1])),
                panel_dia_mm=float(result.diameters()[i]),
                shank_mm=o.fitting.shank_mm,
                fixed=readings.hole[i].fixed or o.fitting.kind in ("insert", "tapped"),
                travel_mm=o.travel_mm if isinstance(o, Slot) else 0.0,
                slot_rad=_turned(place, o.angle_rad) if slot and isinstance(o, Slot) else 0.0,
                nut_circle_mm=o.fitting.nut_circle_mm,
                panel_sigma_mm=math.sqrt(max(0.0, float(spread[2 * len(readings.hole) + i]))),
            )
        )
        order.append(i)
    known = ", ".join(o.name for o in mating)
    faults = [
        measured.file.fault_at(
            "hole",
            f"no hole for {name} of {plan.name}",
            "every mating hole measured",
            f'add a [[hole]] with mates = "{name}"',
        )
        for name in missing
    ]
    names = {o.name for o in mating}
    faults += [
        measured.file.fault_at(f"hole[{i}].mates", repr(h.mates), f"a mating hole of {plan.name}: {known}")
        for i, h in enumerate(readings.hole)
        if h.mates and h.mates not in names
    ]
    if not joints and not faults:
        faults = [
            measured.file.fault_at(
                "measure.part",
                f"{plan.name}, no bolt goes through it and the panel",
                "a part bolted to the panel",
            )
        ]
    if faults:
        raise SpecError(faults)
    return tuple(joints), tuple(order), tuple(skipped)


def unmoved(after: Fit, u: float, v: float) -> tuple[float, float]:
    """The inverse of ``Fit.place``."""
    c, s = math.cos(after.turn_rad), math.sin(after.turn_rad)
    du, dv = u - after.middle[0] - after.shift[0], v - after.middle[1] - after.shift[1]
    return after.middle[0] + c * du + s * dv, after.middle[1] - s * du + c * dv


def _turned(place: Placement, angle: float, *, back: bool = False) -> float:
    """A direction of the part's frame in the panel's, or back."""
    move = place.inverse() if back else place
    u0, v0 = move.apply(0.0, 0.0)
    u1, v1 = move.apply(math.cos(angle), math.sin(angle))
    return math.atan2(v1 - v0, u1 - u0)


def rework_of(change: Change, place: Placement) -> Rework:
    """A change in the panel's frame as the part's own, rounded as it is written: 0.01 mm, 0.1 deg."""
    u0, v0 = place.inverse().apply(0.0, 0.0)
    u1, v1 = place.inverse().apply(*change.move)
    toward = round(math.degrees(_turned(place, change.toward_rad, back=True)), 1)
    return Rework(
        hole=change.hole,
        slot_mm=round(change.lengthen_mm, 2),
        toward_rad=math.radians(toward) if change.lengthen_mm else 0.0,
        diameter_mm=round(change.diameter_mm, 4) if change.diameter_mm else None,
        move=(round(u1 - u0, 2) + 0.0, round(v1 - v0, 2) + 0.0),
    )
