"""The job with things where they really sit and the hoses that are in hand, as a spec and solved."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from generators.errors import Fault, LookupFault, SpecError
from generators.jobs.own_hand import require_own_hand
from generators.model.changes import Change, Proposal, Shift
from generators.model.spec.lines import Clamp, Component, Spot
from generators.model.spec.readings import FixedThing
from generators.reading.readings import ReadingsFile, read_readings
from generators.reading.toml.edits import value_at
from generators.reading.toml.named import spec_path
from generators.solve.job import Prepared, prepare
from generators.solve.mends.numbers import quantity
from generators.solve.mends.shifts import changes_of
from generators.solve.mends.writing import Draft, draft


@dataclass(frozen=True, slots=True, kw_only=True)
class FixedCase:
    """``design`` is the spec as it was, ``base`` the same with things where they sit and hoses in hand.

    ``typed`` is what makes the one of the other; None where nothing differs.
    """

    file: ReadingsFile
    design: Prepared
    base: Prepared
    typed: Draft | None

    @property
    def fixed(self) -> tuple[FixedThing, ...]:
        """What is bolted down."""
        return self.file.readings.fixed

    @property
    def wrong(self) -> tuple[FixedThing, ...]:
        """What is bolted down elsewhere than the spec has it."""
        return tuple(thing for thing in self.fixed if moved(thing))


def moved(thing: FixedThing) -> bool:
    """True for a thing that does not sit where the spec has it."""
    return bool(thing.right_mm or thing.up_mm or thing.rear_mm)


def fixed_case(spec: Path, readings: Path, variant: str = "") -> FixedCase:
    """The case of a spec and a file with ``[[fixed]]``.

    Raises ``SpecError`` for either file: also for a name the spec does not have, and a place that cannot
    be, and for a form of the job that is a mirror image.
    """
    file, design = read_readings(readings), prepare(spec, variant=variant)
    require_own_hand(design.file)
    faults = [*_unknown(file, design)]
    if faults:
        raise SpecError(faults)
    steps = []
    for index, thing in enumerate(file.readings.fixed):
        if moved(thing):
            try:
                steps += exact_shift(design, thing)
            except LookupFault as lost:
                known = f"a place the spec gives in numbers; it has no {lost.table} {lost.key!r} that moves"
                raise SpecError([file.fault_at(f"fixed[{index}].name", thing.name, known)]) from lost
    for hose in file.readings.in_hand:
        steps.append(Change(path=f"hose[{hose.hose}].made_up", to=hose.length_mm, rounding="exact"))
    proposal = Proposal(words="things where they sit", steps=tuple(steps))
    typed = draft(proposal, design.file.source, design.file.job) if steps else None
    if typed is None:
        return FixedCase(file=file, design=design, base=design, typed=None)
    try:
        base = prepare(spec, text=typed.text, variant=variant)
    except SpecError as error:
        fault = error.faults[0]
        said = f"{fault.path} {fault.found}, expected {fault.expected}"
        wanted = "places that the job can be solved with"
        raise SpecError([file.fault_at("fixed", f"with everything where it sits: {said}", wanted)]) from error
    return FixedCase(file=file, design=design, base=base, typed=typed)


def _unknown(file: ReadingsFile, design: Prepared) -> Iterator[Fault]:
    job = design.file.job
    things = [p.name for p in job.part if p.mount is not None]
    things += [c.name for c in job.component] + [c.name for c in job.clamp]
    hoses = [hose.name for hose in job.hose]
    for index, thing in enumerate(file.readings.fixed):
        if thing.name not in things:
            wanted = f"a mounted part, a component or a clamp of the spec: {', '.join(things)}"
            yield file.fault_at(f"fixed[{index}].name", repr(thing.name), wanted)
        elif thing.rear_mm and not _free(design, thing.name):
            yield file.fault_at(f"fixed[{index}].rear", "a way to the rear", "right and up: it is on a panel")
    named = {f"in_hand[{k}]": row.hose for k, row in enumerate(file.readings.in_hand)}
    named |= {f"stock_hose[{k}]": row.hose for k, row in enumerate(file.readings.stock_hose)}
    for path, name in named.items():
        if name not in hoses:
            wanted = f"a hose of the spec: {', '.join(hoses) or 'it has none'}"
            yield file.fault_at(f"{path}.hose", repr(name), wanted)


def spot_of(design: Prepared, name: str) -> Spot | None:
    """Where a component or a clamp sits by the spec; None for a part."""
    both: list[Component | Clamp] = [*design.file.job.component, *design.file.job.clamp]
    return next((c.on for c in both if c.name == name), None)


def kind_of(design: Prepared, name: str) -> str:
    """``part``, ``component`` or ``clamp``."""
    if any(c.name == name for c in design.file.job.component):
        return "component"
    return "clamp" if spot_of(design, name) is not None else "part"


def _free(design: Prepared, name: str) -> bool:
    spot = spot_of(design, name)
    return spot is not None and spot.at is not None


def exact_shift(design: Prepared, thing: FixedThing) -> list[Change]:
    """The values of the spec that put a thing where it sits, unrounded. Raises ``LookupFault`` for none."""
    kind, source = kind_of(design, thing.name), design.file.source
    if _free(design, thing.name):
        by = (thing.rear_mm, thing.right_mm, thing.up_mm)
        steps = [
            Change(path=f"{kind}[{thing.name}].on.at[{axis}]", by=far) for axis, far in enumerate(by) if far
        ]
    else:
        shift = Shift(thing=f"{kind}:{thing.name}", u=thing.right_mm, v=thing.up_mm)
        steps = [*changes_of(shift, design.file.job, source.table)]
    return [_exact(design, step) for step in steps]


def back_to(design: Prepared, thing: FixedThing) -> list[Change]:
    """The same values as the spec has them. Raises ``LookupFault`` as ``exact_shift`` does."""
    source = design.file.source
    return [
        Change(
            path=step.path,
            to=quantity(str(value_at(source, spec_path(source.table, step.path))), "mm"),
            rounding="exact",
        )
        for step in exact_shift(design, thing)
    ]


def _exact(design: Prepared, step: Change) -> Change:
    there = value_at(design.file.source, spec_path(design.file.source.table, step.path))
    if not isinstance(there, str) or step.by is None:
        raise LookupFault("value", step.path, [])
    return Change(path=step.path, to=quantity(there, "mm") + step.by, rounding="exact")
