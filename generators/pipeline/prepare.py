"""Spec to plans, layouts and findings: everything that needs no kernel and writes nothing."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from generators.checks.panels import check_panel
from generators.checks.parts import check_part
from generators.checks.rule import ordered
from generators.checks.waivers import apply_waivers
from generators.errors import Fault, GeometryFault, LookupFault, SpecError
from generators.layout.mounting import PlacedPart
from generators.layout.panels import job_layouts
from generators.model.findings import Finding
from generators.model.job import PartSpec
from generators.model.plan import PanelLayout, PartPlan
from generators.model.shop import Shop
from generators.parts import FAMILIES, family
from generators.pipeline.pedals import PedalAnswer, solve_pedals
from generators.reading import JobFile, read_job
from generators.sheetmetal.allowance import BendRule, bend_rule


@dataclass(frozen=True, slots=True, kw_only=True)
class Prepared:
    """A job ready to be drawn: plans, layouts and findings of one spec."""

    file: JobFile
    parts: tuple[PlacedPart, ...]
    layouts: tuple[PanelLayout, ...]
    findings: tuple[Finding, ...]
    pedals: tuple[PedalAnswer, ...] = ()

    @property
    def blocked(self) -> bool:
        """True when a failed rule that nobody waived holds back the files."""
        return any(f.blocks for f in self.findings)

    @property
    def waivers(self) -> tuple[str, ...]:
        """Codes of the waived findings, for the watermark."""
        return tuple(sorted({f.code for f in self.findings if f.waived}))


def prepare(spec_path: Path, waivers: Mapping[str, str] | None = None) -> Prepared:
    """Read, plan, lay out and check one spec.

    Raises ``SpecError`` with every fault, and ``LookupFault`` for a waiver of an unknown code.
    """
    file = read_job(spec_path, {f.name: f.parameters for f in FAMILIES})
    parts = plan_parts(file)
    try:
        layouts = job_layouts(file.job, parts)
    except GeometryFault as fault:
        raise SpecError(
            [file.fault_at(fault.parameter, str(fault), "two panels that share an edge")]
        ) from fault
    pedals = solve_pedals(file, parts)
    findings: list[Finding] = []
    for part in parts:
        findings.extend(check_part(part.plan, file.job.limits, file.shop))
    thickness = {p.spec.name: p.plan.thickness_mm for p in parts}
    for layout in layouts:
        findings.extend(check_panel(layout, file.job.limits, thickness))
    for pedal in pedals:
        findings.extend(pedal.findings(file.job.limits))
    findings = ordered(findings)
    if waivers:
        findings = list(apply_waivers(findings, waivers))
    return Prepared(file=file, parts=parts, layouts=layouts, findings=tuple(findings), pedals=pedals)


def plan_parts(file: JobFile) -> tuple[PlacedPart, ...]:
    """Plans of all parts. Raises ``SpecError`` with the fault of every part that cannot be made."""
    parts: list[PlacedPart] = []
    faults: list[Fault] = []
    for spec in file.job.part:
        try:
            rule = bend_rule(file.shop, spec.material, spec.thickness_mm, spec.inside_radius_mm)
            plan = family(spec.family).plan(spec, rule)
        except (GeometryFault, LookupFault) as fault:
            faults.append(_part_fault(file, spec, fault))
            continue
        parts.append(PlacedPart(spec=spec, plan=plan))
    if faults:
        raise SpecError(faults)
    return tuple(parts)


def _part_fault(file: JobFile, spec: PartSpec, fault: GeometryFault | LookupFault) -> Fault:
    parameter = fault.parameter if isinstance(fault, GeometryFault) else ""
    expected = "parameters that make a part"
    if isinstance(fault, LookupFault):
        expected = f"one of {', '.join(fault.known)}"
        return file.fault_at(file.part_path(spec.name), f"{fault.table} {fault.key!r}", expected)
    return file.fault_at(
        file.part_path(spec.name, parameter),
        str(fault),
        expected,
        f"`pedalplate families {spec.family}` lists parameters and limits",
    )


def smallest_hole(file: JobFile, thickness_mm: float) -> float:
    """Smallest hole the shop's machine cuts in that sheet, mm."""
    cutting = file.shop.cutting
    return max(cutting.smallest_hole_mm, cutting.smallest_hole_ratio * thickness_mm)


def sample_plan(family_name: str) -> tuple[PartPlan, BendRule]:
    """The plan of a family with its default parameters in 3 mm steel, for pictures and listings.

    Raises ``KeyError`` for an unknown family.
    """
    found = family(family_name)
    spec = PartSpec(
        name=found.name,
        family=found.name,
        material="1008 steel",
        thickness_mm=3.0,
        parameters=found.parameters(),
    )
    rule = bend_rule(Shop(), spec.material, spec.thickness_mm, None)
    return found.plan(spec, rule), rule


def select(prepared: Prepared, only: Sequence[str]) -> Prepared:
    """The same job with just the named parts and panels. Raises ``LookupFault`` for an unknown name."""
    if not only:
        return prepared
    known = [p.spec.name for p in prepared.parts] + [layout.panel for layout in prepared.layouts]
    for name in only:
        if name not in known:
            raise LookupFault("part or panel", name, known)
    return replace(
        prepared,
        parts=tuple(p for p in prepared.parts if p.spec.name in only),
        layouts=tuple(layout for layout in prepared.layouts if layout.panel in only),
    )
