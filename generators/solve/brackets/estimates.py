"""The quick answer: each load case by a closed form, and what finite elements gave put back into the job."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator, Sequence
from dataclasses import replace

from generators.checks.pedal.stiffness import JudgedCase, check_estimate, check_gauge_waiting, check_results
from generators.errors import GeometryFault
from generators.geometry.contours import bounds
from generators.model.findings import Finding
from generators.model.spec.hydraulics import Pedal
from generators.reading import JobFile
from generators.reading.reader import REVISION_DIGITS
from generators.solve.brackets.cases import Bracket, BracketCase
from generators.standards import material
from generators.strength.closed import (
    Estimate,
    Portal,
    arm_estimate,
    cheek_side_estimate,
    hanger_estimate,
)
from generators.strength.result import BracketResult, as_data
from generators.strength.statics import middle

_LEVEL = 0.99


def estimate(bracket: Bracket, case: BracketCase) -> Estimate | None:
    """One case by a closed form; None where none fits the part."""
    try:
        if case.pose is None:
            return _arm(bracket, case)
        if bracket.part.plan.pedal is not None:
            return None  # its web is not clamped on a panel: finite elements only
        portal = _portal(bracket, case)
        drop = case.shaft[0].centre[1] - case.pose.pad[1]
        if case.kind == "side":
            return cheek_side_estimate(portal, case.force_n, abs(drop))
        flex = bracket.holds[0].flex_mm_per_n
        shaft, rod = _sum(case, [b.name for b in case.shaft]), _sum(case, [b.name for b in case.master])
        return hanger_estimate(portal, case.force_n, shaft, rod, flex)
    except GeometryFault:
        return None


def _sum(case: BracketCase, names: Sequence[str]) -> tuple[float, float]:
    forces = [f.force for f in case.forces if f.bore in names]
    return sum(f[1] for f in forces), sum(f[2] for f in forces)


def _portal(bracket: Bracket, case: BracketCase) -> Portal:
    plan = bracket.part.plan
    t = plan.thickness_mm
    bolts = [(bracket.bore(h.bore), h) for h in bracket.holds if abs(bracket.bore(h.bore).axis[2]) > _LEVEL]
    if not bolts:
        raise GeometryFault("no bolt holds the web")
    rows = [b.centre[1] for b, _ in bolts]
    shaft = [middle(b) for b in case.shaft]
    low, high = bounds(plan.flanges[0].contour)[1], bounds(plan.flanges[0].contour)[3]
    return Portal(
        half_width=abs(float(shaft[1][0] - shaft[0][0])) / 2,
        bolt_across=max(abs(b.centre[0]) for b, _ in bolts),
        rows=(min(rows), max(rows)),
        pivot_up=float(shaft[0][1]),
        pivot_out=float(shaft[0][2]) - t / 2,
        tall=high - low,
        master_up=sum(b.centre[1] for b in case.master) / len(case.master),
        ring=max(max(h.ring_mm, 2 * b.radius_mm) for b, h in bolts),
        thickness=t,
        e_mpa=material(plan.material).e_mpa,
    )


def _arm(bracket: Bracket, case: BracketCase) -> Estimate | None:
    """A force square to a flange that is bent from the first, with bolts on the first."""
    plan, t = bracket.part.plan, bracket.part.plan.thickness_mm
    flange = next(f for f in plan.flanges if any(h.name == case.hole for h in f.holes))
    bend = next((b for b in plan.bends if b.child == flange.name and b.parent == plan.flanges[0].name), None)
    normal = bracket.bore(case.hole).axis
    square = abs(sum(a * b for a, b in zip(normal, case.toward, strict=True)))
    held = [h for f in plan.flanges[:1] for h in f.holes if any(x.bore == h.name for x in bracket.holds)]
    if bend is None or not held or square < _LEVEL:
        return None
    hole = next(h for h in flange.holes if h.name == case.hole)
    (u0, v0), (u1, v1) = bend.start, bend.end
    length = ((u1 - u0) ** 2 + (v1 - v0) ** 2) ** 0.5
    away = min(abs((u1 - u0) * (h.v_mm - v0) - (v1 - v0) * (h.u_mm - u0)) / length for h in held)
    corner = bend.inside_radius_mm + t / 2
    return arm_estimate(
        case.force_n, away + corner, hole.v_mm + corner, length, t, material(plan.material).e_mpa
    )


def estimated_findings(file: JobFile, found: Sequence[Bracket]) -> Iterator[Finding]:
    """What the rules say by closed forms, and which gauges wait for finite elements."""
    for bracket in found:
        spec = bracket.part.spec
        cases = []
        for case in bracket.cases:
            quick = estimate(bracket, case)
            if quick is not None:
                cases.append(
                    JudgedCase(
                        name=case.name,
                        kind=case.kind,
                        what=case.what,
                        moved_mm=quick.moved_mm,
                        stress_mpa=quick.stress_mpa,
                        yield_mpa=material(spec.material).yield_mpa,
                    )
                )
        yield from check_estimate(spec.name, cases, file.job.limits)
        if spec.gauge == "stiff enough":
            yield check_gauge_waiting(spec.name, spec.thickness_mm)


def result_findings(file: JobFile, results: Sequence[BracketResult]) -> Iterator[Finding]:
    """What the rules say of finite elements."""
    yield from check_results(results, file.job.limits)


def estimated_flex(pedal: Pedal, found: Sequence[Bracket]) -> float:
    """Give of the pedal's hanger at the pin along the cylinder's axis by the closed form, mm/N, or 0."""
    for bracket in found:
        for case in bracket.cases:
            if bracket.part.spec.name == pedal.hanger and case.pedal == pedal.name and case.kind == "normal":
                quick = estimate(bracket, case)
                if quick is not None and case.rod_n > 0:
                    return quick.moved_mm * case.force_n / case.rod_n**2
    return 0.0


def with_flex(file: JobFile, flex: dict[str, float]) -> JobFile:
    """The job with each pedal's bracket giving so much more (mm/N), and no longer to be computed."""
    pedals = tuple(
        replace(p, bracket_flex_mm_per_n=p.bracket_flex_mm_per_n + flex[p.name], hanger_flex="none")
        if p.name in flex
        else p
        for p in file.job.pedal
    )
    return replace(file, job=replace(file.job, pedal=pedals))


def with_results(file: JobFile, results: Sequence[BracketResult]) -> JobFile:
    """The job with what finite elements chose: gauges, and the give of hangers that is to be computed.

    The revision then also depends on them, so sheets of the two kinds of job cannot be mixed unseen.
    """
    if not results:
        return file
    sheet = {r.part: r.thickness_mm for r in results if r.gauges}
    parts = tuple(replace(p, thickness_mm=sheet.get(p.name, p.thickness_mm)) for p in file.job.part)
    flex = {
        case.pedal: case.flex_mm_per_n
        for r in results
        for case in r.cases
        for p in file.job.pedal
        if p.name == case.pedal and p.hanger_flex == "computed" and case.kind == "normal"
    }
    content = json.dumps([file.revision, as_data(results)], sort_keys=True)
    revision = hashlib.sha256(content.encode()).hexdigest()[:REVISION_DIGITS]
    changed = with_flex(replace(file, job=replace(file.job, part=parts)), flex)
    return replace(changed, revision=revision)
