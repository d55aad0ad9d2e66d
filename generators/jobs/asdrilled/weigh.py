"""Holes as drilled against the part that goes on them: fit, chance, and the smallest rescue."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from generators.checks.part.part import check_part
from generators.checks.rule import mm, ordered
from generators.checks.survey.asdrilled import CHANCE, check_asdrilled
from generators.errors import GeometryFault, LookupFault, SpecError
from generators.geometry.contours import Placement
from generators.jobs.measure.survey import Measured, measure
from generators.layout.mounting import PlacedPart, placement
from generators.measure.equations import Array
from generators.measure.fitting.chance import Chance, assembly_chance
from generators.measure.fitting.fit import Fit, Joint, fit
from generators.measure.fitting.rescue import Change, Rescue, needs, opened_rescues, placed_rescues
from generators.model.findings import Finding, Severity
from generators.model.plan import Hole, PartPlan, Slot
from generators.model.spec.job import Mount, Panel
from generators.model.spec.rework import Rework
from generators.parts.building.rework import reworked
from generators.sheetmetal.lying import on_panel
from generators.solve.job import Prepared, prepare

NO_RESCUE = "no single change helps: make the part again from these holes"
MORE_MM = (0.0, 0.25, 0.5, 1.0, 1.5, 2.0)
QUICK = (250, 500)
FASTENERS = ("bolt", "bulkhead", "insert", "tapped", "rivet")


@dataclass(frozen=True, slots=True, kw_only=True)
class AsDrilled:
    """The answer. ``fit`` lies in the frame of the readings; ``tied`` when that is the panel's own.

    ``options`` are all rescues weighed, best first; ``rescue`` the one to take (kind ``go`` when none is
    needed, ``None`` when nothing helps). ``skipped`` are holes of the part left out, with the reason.
    """

    prepared: Prepared
    measured: Measured
    part: PlacedPart
    mount: Mount
    panel: Panel
    place: Placement
    joints: tuple[Joint, ...]
    covariance: Array
    fit: Fit
    chance: Chance
    tied: bool
    options: tuple[Rescue, ...]
    rescue: Rescue | None
    after: Fit | None
    after_chance: Chance | None
    skipped: tuple[tuple[str, str], ...]
    findings: tuple[Finding, ...]

    @property
    def goes(self) -> bool:
        """True when the part goes on as it is."""
        return self.fit.worst_mm >= 0 and all(j.passes for j in self.joints)


def as_drilled(spec: Path, readings: Path) -> AsDrilled:
    """Weigh a file of measured holes against the part it names.

    Raises ``SpecError`` for either file: also for places that are not to be used, a part without a mount,
    and a mating hole that was not measured.
    """
    prepared = prepare(spec)
    measured = measure(readings)
    if measured.blocked:
        raise SpecError(
            [
                measured.file.fault_at(
                    "reading", f"{f.code}, {f.found}", "readings that tell where the holes are", f.advice
                )
                for f in measured.findings
                if f.blocks
            ]
        )
    part, mount, panel = _part(prepared, measured)
    place = placement(panel, mount)
    joints, order, skipped = _joints(measured, part.plan, place)
    cov = measured.survey.adjusted.covariance
    rows = [2 * i + axis for i in order for axis in (0, 1)]
    covariance = cov[np.ix_(rows, rows)]
    laid = fit(joints)
    chance = assembly_chance(joints, covariance)
    # a hole too small for its bolt is drilled to size whatever else is done
    sized, sizing = _sized(joints, panel)
    opened = laid if sizing is None else fit(sized)
    options: tuple[Rescue, ...] = ()
    rescue: Rescue | None = sizing if sizing is not None else _go(joints)
    sized_chance = chance if sizing is None else assembly_chance(sized, covariance)
    if opened.worst_mm < 0 or sized_chance.share < CHANCE:
        options = _options(prepared, part, place, sized, covariance, panel)
        if sizing is not None:
            options = tuple(replace(o, words=f"{sizing.words}; then {o.words}") for o in options)
        best = next((o for o in options if not o.cannot), None)
        rescue = best if best is not None or opened.worst_mm < 0 else rescue
    after, after_chance = laid, chance
    if rescue is not None and rescue.kind != "go":
        after, after_chance = fit(rescue.joints), assembly_chance(rescue.joints, covariance)
    words = rescue.words if rescue is not None else NO_RESCUE
    return AsDrilled(
        prepared=prepared,
        measured=measured,
        part=part,
        mount=mount,
        panel=panel,
        place=place,
        joints=joints,
        covariance=covariance,
        fit=laid,
        chance=chance,
        tied=measured.survey.closed == 0,
        options=options,
        rescue=rescue,
        after=after if rescue is not None else None,
        after_chance=after_chance if rescue is not None else None,
        skipped=skipped,
        findings=tuple(ordered(check_asdrilled(part.spec.name, joints, laid, chance, words))),
    )


def _go(joints: tuple[Joint, ...]) -> Rescue:
    return Rescue(kind="go", changes=(), words="go: bolt it on", metal_mm3=0.0, joints=joints)


def _sized(joints: tuple[Joint, ...], panel: Panel) -> tuple[tuple[Joint, ...], Rescue | None]:
    """The joints with every panel hole at least large enough for its bolt, and the work that takes."""
    small = [j for j in joints if not j.passes]
    if not small:
        return joints, None
    sized = tuple(
        replace(j, panel_dia_mm=max(j.part_dia_mm, j.panel_dia_mm)) if j in small else j for j in joints
    )
    metal = sum(math.pi / 4 * (j.part_dia_mm**2 - j.panel_dia_mm**2) for j in small) * panel.thickness_mm
    words = ", ".join(f"{j.name} to {mm(j.part_dia_mm)}" for j in small)
    return sized, Rescue(
        kind="size",
        changes=(),
        words=f"drill the panel's holes to size: {words}",
        metal_mm3=metal,
        joints=sized,
    )


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


def _options(
    prepared: Prepared,
    part: PlacedPart,
    place: Placement,
    joints: Sequence[Joint],
    covariance: Array,
    panel: Panel,
) -> tuple[Rescue, ...]:
    """All rescues, the best first; each as generous as 95 % of assembly asks, where that can be had."""
    limits = prepared.file.job.limits
    ligament, lacking = limits.least_ligament_mm(panel.thickness_mm), needs(joints)
    thick = part.plan.thickness_mm
    best: dict[tuple[str, tuple[str, ...]], Rescue] = {}
    enough: set[tuple[str, tuple[str, ...]]] = set()
    for more in MORE_MM:
        for option in opened_rescues(joints, lacking, thick, more):
            key = (option.kind, tuple(c.hole for c in option.changes))
            if key not in enough:
                best[key] = option
                if option.cannot or assembly_chance(option.joints, covariance, steps=QUICK).share >= CHANCE:
                    enough.add(key)
        if len(enough) == len(best):
            break
    found = [*best.values(), *placed_rescues(joints, thick, panel.thickness_mm, ligament)]
    return tuple(sorted((_judged(prepared, part, place, o) for o in found), key=lambda o: o.rank))


def _judged(prepared: Prepared, part: PlacedPart, place: Placement, option: Rescue) -> Rescue:
    """The option, out of the question when the part's own rules would fail that did not before."""
    if option.cannot or not option.changes:
        return option
    limits, shop = prepared.file.job.limits, prepared.file.shop
    try:
        plan = reworked(part.plan, [rework_of(c, place) for c in option.changes])
        after = check_part(plan, limits, shop)
    except GeometryFault as fault:
        return replace(option, cannot=str(fault))
    before = {(f.code, f.where) for f in check_part(part.plan, limits, shop) if f.severity is Severity.FAIL}
    worse = [f for f in after if f.severity is Severity.FAIL and (f.code, f.where) not in before]
    return (
        replace(option, cannot=f"{worse[0].code}: {worse[0].value}; limit {worse[0].limit}")
        if worse
        else option
    )
