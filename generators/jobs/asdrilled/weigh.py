"""Holes as drilled against the part that goes on them: fit, chance, and the smallest rescue."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from generators.checks.part.part import check_part
from generators.checks.rule import mm, ordered
from generators.checks.survey.asdrilled import CHANCE, check_asdrilled
from generators.errors import GeometryFault
from generators.figures import fixed
from generators.geometry.contours import Placement
from generators.jobs.asdrilled.case import Case, case_of, rework_of
from generators.jobs.asdrilled.effects import Effect, effects
from generators.jobs.asdrilled.outcome import Outcome, outcome_of
from generators.jobs.measure.survey import Measured, measure
from generators.jobs.own_hand import require_own_hand
from generators.layout.mounting import PlacedPart
from generators.measure.fitting.chance import Chance, assembly_chance
from generators.measure.fitting.fit import Fit, Joint, fit
from generators.measure.fitting.names import Naming, doubted, other_names
from generators.measure.fitting.rescue import Rescue, needs, next_drill, opened_rescues, placed_rescues
from generators.model.findings import Finding, Severity
from generators.model.spec.job import Mount, Panel
from generators.parts.building.rework import reworked
from generators.solve.job import Prepared, prepare
from generators.units import UnitSystem

NO_RESCUE = "no single change helps: make the part again from these holes"
MORE_MM = (0.0, 0.25, 0.5, 1.0, 1.5, 2.0)
QUICK = (250, 500)
SOLVED = 4
"""Rescues solved again at most, some tenths of a second each, before the least metal is taken as it is."""


@dataclass(frozen=True, slots=True, kw_only=True)
class AsDrilled:
    """The answer. ``fit`` lies in the frame of the readings.

    ``options`` are all rescues weighed, best first; ``rescue`` the one to take (kind ``go`` when none is
    needed, ``names`` when the readings are to be put right first, ``None`` when nothing helps).
    ``outcome`` is the job solved again with it.
    """

    case: Case
    fit: Fit
    chance: Chance
    options: tuple[Rescue, ...]
    rescue: Rescue | None
    after: Fit | None
    after_chance: Chance | None
    naming: Naming | None
    outcome: Outcome | None
    findings: tuple[Finding, ...]

    @property
    def prepared(self) -> Prepared:
        """The job as designed."""
        return self.case.prepared

    @property
    def measured(self) -> Measured:
        """The readings."""
        return self.case.measured

    @property
    def part(self) -> PlacedPart:
        """The part that goes on the holes."""
        return self.case.part

    @property
    def mount(self) -> Mount:
        """Where the spec puts it."""
        return self.case.mount

    @property
    def panel(self) -> Panel:
        """The panel it goes on."""
        return self.case.panel

    @property
    def place(self) -> Placement:
        """The part's frame in the panel's, as designed."""
        return self.case.place

    @property
    def joints(self) -> tuple[Joint, ...]:
        """Its holes over those measured."""
        return self.case.joints

    @property
    def tied(self) -> bool:
        """True when the readings lie in the panel's own frame."""
        return self.case.tied

    @property
    def effects(self) -> tuple[Effect, ...]:
        """What the part as it comes to lie does to its other holes, to pedals and to hoses."""
        if self.outcome is None or self.outcome.prepared is None or self.after is None:
            return ()
        return effects(self.case, self.after, self.outcome.prepared)

    @property
    def skipped(self) -> tuple[tuple[str, str], ...]:
        """Holes of the part left out, with the reason."""
        return self.case.skipped

    @property
    def goes(self) -> bool:
        """True when the part goes on as it is, where it belongs."""
        return (
            self.fit.worst_mm >= 0
            and all(j.passes for j in self.joints)
            and (self.rescue is None or self.rescue.kind != "names")
        )

    @property
    def writes(self) -> bool:
        """True when there is something to write: the part goes on as it is or with a rescue."""
        return self.rescue is not None and self.rescue.kind != "names"


def as_drilled(spec: Path, readings: Path, variant: str = "") -> AsDrilled:
    """Weigh a file of measured holes against the part it names, in a form of the job.

    Raises ``SpecError`` for either file: also for places that are not to be used, a part without a mount,
    a hole outside its panel, a mating hole that was not measured, and a form that is a mirror image.
    """
    prepared = prepare(spec, variant=variant)
    require_own_hand(prepared.file)
    return weigh(case_of(prepared, measure(readings)))


def weigh(case: Case) -> AsDrilled:
    """The answer for one case. Raises nothing."""
    joints, covariance = case.joints, case.covariance
    laid = fit(joints)
    chance = assembly_chance(joints, covariance)
    # a hole too small for its bolt is drilled to size whatever else is done
    sized, sizing = _sized(joints, case.panel, case.prepared.file.units)
    opened = laid if sizing is None else fit(sized)
    options: tuple[Rescue, ...] = ()
    rescue: Rescue | None = sizing if sizing is not None else _go(joints)
    sized_chance = chance if sizing is None else assembly_chance(sized, covariance)
    naming: Naming | None = None
    outcome: Outcome | None = None
    if opened.worst_mm < 0 or sized_chance.share < CHANCE:
        options = _options(case, sized)
        if sizing is not None:
            options = tuple(replace(o, words=f"{sizing.words}; then {o.words}") for o in options)
        options, outcome = _solved(case, options)
        best = next((o for o in options if not o.cannot), None)
        rescue = best if best is not None or opened.worst_mm < 0 else rescue
    # names are looked at before anybody makes the part again
    if doubted(opened, tied=case.tied) or rescue is None or rescue.new_blank:
        naming = other_names(sized, tied=case.tied)
    after: Fit | None = laid
    after_chance: Chance | None = chance
    if naming is not None:
        rescue = _names(naming)
        options, outcome = (rescue, *options), None
        after, after_chance = naming.laid, None
    elif rescue is None:
        after, after_chance, outcome = None, None, None
    else:
        if rescue.kind != "go":
            after, after_chance = fit(rescue.joints), assembly_chance(rescue.joints, covariance)
        if outcome is None:
            outcome = outcome_of(case, rescue, after or laid)
    words = rescue.words if rescue is not None else NO_RESCUE
    named = naming.words if naming is not None else ""
    return AsDrilled(
        case=case,
        fit=laid,
        chance=chance,
        options=options,
        rescue=rescue,
        after=after,
        after_chance=after_chance,
        naming=naming,
        outcome=outcome,
        findings=tuple(
            ordered(
                [
                    *check_asdrilled(case.part.spec.name, joints, laid, chance, words, named),
                    *(case.seen.findings if case.seen is not None else ()),
                ]
            )
        ),
    )


def _go(joints: tuple[Joint, ...]) -> Rescue:
    return Rescue(kind="go", changes=(), words="go: bolt it on", metal_mm3=0.0, joints=joints)


def _names(naming: Naming) -> Rescue:
    words = (
        f"look at the metal again before you cut: with {naming.words} the part goes on, "
        f"{fixed(naming.laid.worst_mm, 2)} mm left. Put the readings right and ask again"
    )
    return Rescue(kind="names", changes=(), words=words, metal_mm3=0.0, joints=naming.joints)


def _sized(
    joints: tuple[Joint, ...], panel: Panel, units: UnitSystem
) -> tuple[tuple[Joint, ...], Rescue | None]:
    """The joints with every panel hole at least large enough for its bolt, and the work that takes."""
    small = [j for j in joints if not j.passes and not j.fixed]
    if not small:
        return joints, None
    sizes = {j.name: _size(j, units) for j in small}
    sized = tuple(replace(j, panel_dia_mm=sizes[j.name]) if j in small else j for j in joints)
    metal = sum(math.pi / 4 * (sizes[j.name] ** 2 - j.panel_dia_mm**2) for j in small) * panel.thickness_mm
    words = ", ".join(f"{j.name} to {mm(sizes[j.name])}" for j in small)
    return sized, Rescue(
        kind="size",
        changes=(),
        words=f"drill the panel's holes to size: {words}",
        metal_mm3=metal,
        joints=sized,
    )


def _size(joint: Joint, units: UnitSystem) -> float:
    """What a panel's hole too small for its bolt is drilled to: as the part's, or the next drill up."""
    if joint.part_dia_mm >= joint.shank_mm:
        return joint.part_dia_mm
    drill = next_drill(joint.shank_mm, units)
    return joint.shank_mm if drill is None else drill.diameter_mm


def _options(case: Case, joints: Sequence[Joint]) -> tuple[Rescue, ...]:
    """All rescues, the best first; each as generous as 95 % of assembly asks, where that can be had."""
    limits = case.prepared.file.job.limits
    ligament, lacking = limits.least_ligament_mm(case.panel.thickness_mm), needs(joints)
    sheets = (case.part.plan.thickness_mm, case.panel.thickness_mm)
    best: dict[tuple[str, tuple[str, ...]], Rescue] = {}
    enough: set[tuple[str, tuple[str, ...]]] = set()
    for more in MORE_MM:
        for option in opened_rescues(joints, lacking, sheets, more, case.prepared.file.units):
            key = (option.kind, tuple(c.hole for c in option.changes))
            if key not in enough:
                sure = assembly_chance(option.joints, case.covariance, steps=QUICK).share >= CHANCE
                best[key] = replace(option, sure=sure)
                if option.cannot or sure:
                    enough.add(key)
        if best and len(enough) == len(best):
            break
    found = [*best.values(), *placed_rescues(joints, sheets, ligament)]
    return tuple(sorted((_judged(case, o) for o in found), key=lambda o: o.rank))


def _judged(case: Case, option: Rescue) -> Rescue:
    """The option, out of the question when the part's own rules would fail that did not before."""
    own = [c for c in option.changes if not c.on_panel]
    if option.cannot or not own:
        return option
    part, limits, shop = case.part, case.prepared.file.job.limits, case.prepared.file.shop
    try:
        plan = reworked(part.plan, [rework_of(c, case.place) for c in own])
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


def _solved(case: Case, options: tuple[Rescue, ...]) -> tuple[tuple[Rescue, ...], Outcome | None]:
    """The options with what solving the job again says of them, and the outcome of the first that holds.

    Where none holds, the first that can be done stays, with what it brings told.
    """
    said: dict[int, Rescue] = {}
    first: tuple[int, Outcome] | None = None
    for k, option in enumerate(options):
        if option.cannot or len(said) == SOLVED:
            continue
        outcome = outcome_of(case, option, fit(option.joints))
        if outcome.good:
            return _ranked(options, said, k), outcome
        said[k] = replace(option, cannot=outcome.against)
        first = first or (k, outcome)
    if first is None:
        return options, None
    if all(o.cannot or k in said for k, o in enumerate(options)) and first[1].prepared is not None:
        # nothing is left that brings no other fail: the least metal, told with what it brings
        said.pop(first[0])
        return _ranked(options, said, first[0]), first[1]
    return _ranked(options, said, -1), None


def _ranked(options: tuple[Rescue, ...], said: dict[int, Rescue], take: int) -> tuple[Rescue, ...]:
    """The options in order again, the one taken before all that is possible."""
    known = [said.get(k, o) for k, o in enumerate(options)]
    order = sorted(range(len(known)), key=lambda k: (known[k].rank[0], k != take, known[k].rank))
    return tuple(known[k] for k in order)
