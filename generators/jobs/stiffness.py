"""Solve the brackets of a job, choose gauges, try changes."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from generators.checks.pedal.stiffness import DEFLECTION_KINDS, YIELD_KINDS, holds, least_factor
from generators.errors import GeometryFault, LookupFault
from generators.jobs.make.stiffness_shapes import drawn
from generators.layout.mounting import PlacedPart
from generators.model.limits import Limits
from generators.model.spec.job import PartSpec
from generators.sheetmetal.volume import mass_kg
from generators.solve.brackets.asked import asked_name, most_give, plan_name
from generators.solve.brackets.cases import Bracket, BracketCase
from generators.solve.brackets.joints import held_bolts
from generators.solve.brackets.loaded import loaded_brackets
from generators.solve.job import Prepared, replanned
from generators.solve.pedals import PedalAnswer
from generators.standards import material
from generators.strength.joint.loads import of_solver
from generators.strength.problem import FIRST_SHARE, Answer, CaseAnswer
from generators.strength.result import (
    BracketResult,
    CaseResult,
    ChangeResult,
    GaugeResult,
    judged,
    sure_factor,
)
from generators.strength.run import require_solver, run, solver_words
from generators.strength.statics import pad_movement

Progress = Callable[[str], None]
QUICK_PASSES = 1
THICKER_MM = 1.0
WIDER_MM = 8.0
TRIED = (
    ("web_above", "web above the masters"),
    ("web_below", "web below the masters"),
    ("pivot_boss", "boss around the pivot"),
    ("tab_width", "brace tab"),
    ("height", "height"),
    ("base_height", "base"),
    ("width", "width"),
)
"""Parameters that make a part larger, with what they are called; those a kind has are tried."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Solved:
    """A bracket with its answer."""

    bracket: Bracket
    answer: Answer


def solve_job(
    prepared: Prepared,
    only: Sequence[str] = (),
    progress: Progress = lambda what: None,
    *,
    changes: bool = True,
    known: Sequence[BracketResult] = (),
) -> tuple[BracketResult, ...]:
    """The results of every part with load cases, gauges chosen where the spec asks. Of ``known`` ones, what
    answers the very question is taken as it is.

    Raises ``SolverMissing`` or ``SolverFault``, ``SpecError`` for loads that fit no part, and
    ``LookupFault`` for a name in ``only`` that has no load case.
    """
    require_solver()
    found = loaded_brackets(prepared.file, prepared.parts, prepared.pedals, prepared.bolted)
    names = [b.part.spec.name for b in found]
    for name in only:
        if name not in names:
            raise LookupFault("part with a load case", name, names)
    out = []
    for bracket in found:
        if only and bracket.part.spec.name not in only:
            continue
        asked, by = asked_name(prepared.file, bracket, prepared.pedals), solver_words()
        again = next((r for r in known if (r.asked, r.solver) == (asked, by)), None)
        if again is None:
            again = replace(_part_result(prepared, bracket, progress, changes), asked=asked, solver=by)
        out.append(again)
    return tuple(out)


def kept(results: Sequence[BracketResult]) -> tuple[BracketResult, ...]:
    """Results with their numbers as they read back from ``stiffness.json``, and what is drawn of them."""
    return tuple(drawn(short, full.surface) for short, full in zip(judged(results), results, strict=True))


def _part_result(prepared: Prepared, bracket: Bracket, progress: Progress, changes: bool) -> BracketResult:
    spec, limits = bracket.part.spec, prepared.file.job.limits
    gauges: tuple[GaugeResult, ...] = ()
    if spec.gauge == "stiff enough":
        gauges = choose_gauge(prepared, bracket, progress)
        enough = [g.thickness_mm for g in gauges if g.enough]
        chosen = min(enough) if enough else max(g.thickness_mm for g in gauges)
        bracket = _again(prepared, replace(spec, thickness_mm=chosen))
    progress(f"solve {spec.name}")
    answer = _solved(bracket)
    result = result_of(bracket, answer, prepared.pedals, limits)
    # what is not asked for in the spec is judged, not made better
    asked = any(c.pedal or c.hole for c in bracket.cases)
    tried = _changes(prepared, bracket, answer, progress) if changes and asked else ()
    return replace(result, gauges=gauges, changes=tried)


def _solved(bracket: Bracket, *, quick: bool = False, surface: bool = True) -> Answer:
    from generators.solids.brep import brep_text

    # what is only compared needs no bound of its error
    problem = replace(bracket.problem(brep_text(bracket.part.plan), surface=surface), sure=surface)
    if quick:
        # the first two meshes of the whole answer, so that the two can be compared
        problem = replace(problem, passes=QUICK_PASSES, unknowns=int(FIRST_SHARE * problem.unknowns))
    return run(problem)


def _again(prepared: Prepared, spec: PartSpec[Any]) -> Bracket:
    """The bracket of a changed part. Raises ``GeometryFault`` when no such part can be made."""
    part = replanned(prepared, spec)
    parts = [part if p.spec.name == spec.name else p for p in prepared.parts]
    found = loaded_brackets(prepared.file, parts, prepared.pedals, prepared.bolted)
    return next(b for b in found if b.part.spec.name == spec.name)


def leading_case(bracket: Bracket) -> int:
    """The case stiffness is judged by: everyday effort at a pad, else the first."""
    kinds = [c.kind for c in bracket.cases]
    return kinds.index("normal") if "normal" in kinds else 0


def movement_limit(case: BracketCase, limits: Limits) -> float:
    """How far a case may move, mm."""
    return limits.hole_flex_mm if case.kind == "force" else limits.pad_flex_mm


def _gauge_result(bracket: Bracket, answer: Answer, limits: Limits) -> GaugeResult:
    """Movement of the case nearest its limit, the factor on yield nearest its own, and whether all hold."""
    pairs = list(zip(bracket.cases, answer.cases, strict=True))
    moves = [
        (movement(case, found) * (1 + found.error), movement_limit(case, limits))
        for case, found in pairs
        if case.kind in DEFLECTION_KINDS
    ]
    moved, limit = max(moves, key=lambda pair: pair[0] / pair[1], default=(0.0, limits.pad_flex_mm))
    yields = material(bracket.part.plan.material).yield_mpa
    # a sheet is taken for what it holds even where the mesh still errs, for nothing where none knows how far
    factors = [
        (case.kind, sure_factor(yields / max(found.peak_mpa, 1e-9), found.peak_error))
        for case, found in pairs
        if case.kind in YIELD_KINDS
    ]
    return GaugeResult(
        thickness_mm=bracket.part.plan.thickness_mm,
        moved_mm=moved,
        factor=min(factors, key=lambda pair: pair[1] / least_factor(pair[0], limits))[1],
        stiff=moved <= limit,
        strong=all(holds(kind, factor, limits) for kind, factor in factors),
    )


def choose_gauge(prepared: Prepared, bracket: Bracket, progress: Progress) -> tuple[GaugeResult, ...]:
    """Stock sheets of the part's material from thin to thick, up to the first that does in every case.

    Without stock of it, the thickness given. A sheet the part cannot be bent from is passed over.
    """
    spec = bracket.part.spec
    stock = sorted({s.thickness_mm for s in prepared.file.shop.stock if s.material == spec.material})
    out: list[GaugeResult] = []
    for thickness in stock or [spec.thickness_mm]:
        try:
            trial = _again(prepared, replace(spec, thickness_mm=thickness))
        except (GeometryFault, StopIteration):
            continue
        progress(f"try {thickness:g} mm for {spec.name}")
        out.append(_gauge_result(trial, _solved(trial, surface=False), prepared.file.job.limits))
        if out[-1].enough:
            break
    if not out:
        raise GeometryFault(f"no sheet of {spec.material} on the rack makes part {spec.name}")
    return tuple(out)


def movement(case: BracketCase, found: CaseAnswer) -> float:
    """Movement along the force, mm: the work of the forces over the force (Clapeyron, Castigliano)."""
    return found.work_nmm / case.force_n


def mass_g(part: PlacedPart) -> float:
    """Mass of one part, g."""
    return mass_kg(part.plan) * 1e3


def _changes(
    prepared: Prepared, bracket: Bracket, answer: Answer, progress: Progress
) -> tuple[ChangeResult, ...]:
    """Cheap changes, each computed again with one refinement and compared with the same of the part as it is;
    those that save movement, the most mm per gram first."""
    spec, lead = bracket.part.spec, leading_case(bracket)
    before = answer.steps[QUICK_PASSES].work_nmm[lead] / bracket.cases[lead].force_n
    mass = mass_g(bracket.part)
    out = []
    for text, changed in _candidates(spec):
        try:
            trial = _again(prepared, changed)
        except (GeometryFault, StopIteration):
            continue
        if (trial.part.plan, trial.holds) == (bracket.part.plan, bracket.holds):
            continue  # the width of a tab that is not there
        progress(f"try {text} on {spec.name}")
        again = _solved(trial, quick=True, surface=False)
        moved = movement(trial.cases[lead], again.cases[lead])
        row = material(spec.material)
        out.append(
            ChangeResult(
                text=text,
                moved_mm=moved,
                saved_mm=before - moved,
                added_g=mass_g(trial.part) - mass,
                factor=row.yield_mpa / max(c.peak_mpa for c in again.cases),
            )
        )
    return tuple(sorted((c for c in out if c.saved_mm > 0), key=lambda c: (-c.per_gram, c.text)))


def _candidates(spec: PartSpec[Any]) -> list[tuple[str, PartSpec[Any]]]:
    thicker = spec.thickness_mm + THICKER_MM
    out = [(f"+{THICKER_MM:g} mm thickness", replace(spec, thickness_mm=thicker))]
    if spec.hold.by == "bore":
        out.append(("washers under head and nut", replace(spec, hold=replace(spec.hold, by="washer"))))
    for key, words in TRIED:
        attribute = f"{key}_mm"
        value = getattr(spec.parameters, attribute, None)
        if value:
            larger = replace(spec.parameters, **{attribute: value + WIDER_MM})
            out.append((f"+{WIDER_MM:g} mm {words}", replace(spec, parameters=larger)))
    return out


def result_of(
    bracket: Bracket, answer: Answer, pedals: Sequence[PedalAnswer], limits: Limits
) -> BracketResult:
    """The solver's answer in the words of the job."""
    plan, row = bracket.part.plan, material(bracket.part.plan.material)
    bolts = held_bolts(bracket)
    cases = tuple(
        replace(_case_result(case, found, row.yield_mpa, pedals), bolts=of_solver(bolts, found.held))
        for case, found in zip(bracket.cases, answer.cases, strict=True)
    )
    return BracketResult(
        part=plan.name,
        title=plan.title,
        material=plan.material,
        thickness_mm=plan.thickness_mm,
        e_mpa=row.e_mpa,
        poisson=row.poisson,
        yield_mpa=row.yield_mpa,
        source=f"{row.source}; E and Poisson's ratio: {row.e_source} ({row.e_trust})",
        trust=str(row.trust),
        held=_held(bracket),
        steps=answer.steps,
        change=answer.change,
        cases=cases,
        limit_mm=movement_limit(bracket.cases[leading_case(bracket)], limits),
        plan=plan_name(plan),
        give_mm_per_n=most_give(bracket),
        surface=answer.surface,
    )


def _held(bracket: Bracket) -> str:
    names = ", ".join(h.bore for h in bracket.holds)
    hold = bracket.holds[0]
    how = f"clamped in a ring of {hold.ring_mm:.1f} mm" if hold.ring_mm else "bore held all over"
    soft = max(h.flex_mm_per_n for h in bracket.holds)
    give = f", each giving {soft * 1000:.3g} mm/kN along the bolt" if soft else ""
    if bracket.give is not None and bracket.part.spec.hold.flex_mm_per_n is None:
        give += f" (computed of the {bracket.give.words})"
    return f"bolts {names}: {how}{give}"


def _case_result(
    case: BracketCase, found: CaseAnswer, yield_mpa: float, pedals: Sequence[PedalAnswer]
) -> CaseResult:
    moved = movement(case, found)
    pivot = master = along = flex = 0.0
    lost = None
    if case.pose is not None:
        pad = pad_movement(case.pose, case.shaft, case.master, found.moved, case.shares)
        pivot, master = pad.from_pivot_mm, pad.from_master_mm
        axis = np.array(case.pose.axis)
        along = float(np.dot(case.shares, [np.array(found.moved[b.name]) @ axis for b in case.master]))
        if case.rod_n > 1.0 and case.kind != "side":
            rod = np.array(case.pose.seat) - np.array(case.pose.pin)
            axial = case.rod_n * float(rod @ axis) / float(np.linalg.norm(rod))
            flex = found.work_nmm / axial**2
            lost = _lost(next(p for p in pedals if p.spec.name == case.pedal), flex)
    return CaseResult(
        name=case.name,
        kind=case.kind,
        what=case.what,
        pedal=case.pedal,
        force_n=case.force_n,
        source=case.source,
        moved_mm=moved,
        from_pivot_mm=pivot,
        from_master_mm=master,
        master_mm=along,
        lost_mm=lost,
        flex_mm_per_n=flex,
        peak_mpa=found.peak_mpa,
        peak_at=found.peak_at,
        factor=yield_mpa / max(found.peak_mpa, 1e-9),
        work_nmm=found.work_nmm,
        energy_nmm=found.energy_nmm,
        error=found.error,
        peak_error=found.peak_error,
        forces=case.forces,
    )


def _lost(pedal: PedalAnswer, flex_mm_per_n: float) -> float | None:
    """Release travel the hanger's give costs at the bearing, mm, at the pedal's stop."""
    if pedal.clutch is None:
        return None
    setup = pedal.clutch.setup
    axial = pedal.clutch.at_stop.pressure_mpa * setup.master_mm2
    return flex_mm_per_n * axial * setup.master_mm2 / (setup.slave_mm2 * setup.clutch.fork_ratio)
