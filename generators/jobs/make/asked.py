"""What the steps of one job must say, worked out from the job itself and not from the sheets."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from generators.jobs.make.line_sheets import lines_sheet
from generators.model.joints.fasteners import FastenerSet, on_own_studs
from generators.model.spec.titles import within
from generators.routing.flaring import making
from generators.sheetmetal.in_line import between_mm, pivot_pairs
from generators.sheets.hose_words import LinesSheet
from generators.sheets.pedal.words import stop_to_set
from generators.solve.hoses.lines import end_moves
from generators.solve.job import Prepared
from generators.standards import flare_takes_mm
from generators.verify.pdf.loose_ends import LooseEnd, loose_ends
from generators.verify.steps.asked import Asked
from generators.verify.steps.cutting import Piece
from generators.verify.steps.lids import LidRoom
from generators.verify.steps.own import OwnHub, OwnSeat
from generators.verify.steps.proving import Proof
from generators.verify.steps.singles import Single


def asked_of(prepared: Prepared) -> Asked:
    """What whoever reads the finished sheets of a job back asks of their steps. Raises nothing."""
    lines = lines_sheet(prepared.lines, prepared.file.job, prepared.file.units)
    return Asked(
        loose=put_in(lines, prepared.fasteners),
        pieces=tuple(_pieces(prepared)),
        proofs=tuple(_proofs(prepared)),
        lids=tuple(_lids(prepared)),
        hubs=tuple(_hubs(prepared)),
        seats=tuple(_seats(prepared)),
        singles=tuple(_singles(prepared)),
    )


def _hubs(prepared: Prepared) -> Iterator[OwnHub]:
    """Every pedal that hangs between the cheeks of a part, by the plan of that part."""
    plans = {part.plan.name: part.plan for part in prepared.parts}
    for pedal in prepared.pedals:
        plan = plans.get(pedal.spec.hanger)
        pairs = [pair for pair in pivot_pairs(plan) if pair.pivots] if plan is not None else []
        if plan is not None and pairs and (free := min(between_mm(plan, pair) for pair in pairs)) > 0:
            yield OwnHub(title=within(pedal.sheet().title), between_mm=free, units=prepared.file.units)


def _seats(prepared: Prepared) -> Iterator[OwnSeat]:
    """Every slave that stands free in the vehicle, for which the job has no bracket and which is no ring."""
    rings = {p.spec.slave.kind == "concentric" for p in prepared.pedals if p.spec.slave is not None}
    if any(p.plan.kind == "slave_bracket" for p in prepared.parts) or True in rings:
        return
    for component in prepared.file.job.component:
        if component.kind == "slave" and component.on.at is not None:
            yield OwnSeat(title=within(component.title or component.name.replace("_", " ").capitalize()))


def _singles(prepared: Prepared) -> Iterator[Single]:
    """The holes of the spec's own panels in which nothing else of the spec sits."""
    job = prepared.file.job
    spots = [*(component.on for component in job.component), *(clamp.on for clamp in job.clamp)]
    taken = {(spot.panel, name) for spot in spots if spot.panel for name in spot.holes}
    for layout in prepared.layouts:
        own = {hole.name for panel in job.panel if panel.name == layout.panel for hole in panel.hole}
        for hole in layout.holes:
            alone = hole.name in own and hole.kind in ("bolt", "grommet") and hole.owners == ("panel",)
            if alone and hole.status == "drill" and (layout.panel, hole.name) not in taken:
                yield Single(panel=within(layout.title), number=hole.number, purpose=hole.purpose)


def _lids(prepared: Prepared) -> Iterator[LidRoom]:
    """Every reservoir that is fitted, with all that stands in the vehicle, to be looked at anew."""
    room = prepared.file.job.limits.lid_room_mm
    boxes = {body.name: body for body in prepared.scene.bodies}
    for component in prepared.file.job.component:
        body = boxes.get(f"component:{component.name}")
        if component.kind != "reservoir" or body is None or room <= 0:
            continue
        yield LidRoom(
            title=within(component.title or component.name.replace("_", " ").capitalize()),
            room_mm=room,
            units=prepared.file.units,
            own=tuple(body.pieces),
            others=tuple(p for b in boxes.values() if b.owner != component.name for p in b.pieces),
        )


def _proofs(prepared: Prepared) -> Iterator[Proof]:
    """Every pedal in the order of work, with what its tests are done with."""
    pedals = {pedal.spec.name: pedal for pedal in prepared.pedals}
    units = prepared.file.units
    for task in prepared.lines.order.tasks:
        if task.kind != "bleed" or task.name not in pedals:
            continue
        clutch, brake = pedals[task.name].clutch, pedals[task.name].brake
        if clutch is not None:
            stop, at = stop_to_set(clutch.window), clutch.window.releases_mm
            yield Proof(
                kind="clutch",
                force_n=clutch.peak_effort_n,
                releases_mm=at if stop is not None and at <= stop else None,
                drives=stop is not None,
                units=units,
            )
        if brake is not None:
            yield Proof(kind="brake", force_n=brake.target_effort_n, units=units)


def _pieces(prepared: Prepared) -> Iterator[Piece]:
    """Every hose and tube that whoever fits the job cuts, if its length is known before."""
    job = prepared.file.job
    placed = {task.key for task in prepared.lines.order.tasks}
    for hose in prepared.lines.hoses:
        spec, length = hose.spec, hose.length
        cut_here = spec.made_up_mm is None and spec.name not in prepared.comes
        if length is None or hose.measure_why or not cut_here or f"hose:{spec.name}" not in placed:
            continue
        rigid, limits = spec.kind == "rigid", job.limits
        yield Piece(
            line=within(spec.title or spec.name.replace("_", " ").capitalize()),
            path_mm=length.path_mm,
            ends_mm=-2 * flare_takes_mm(spec.dash) if rigid else 2 * spec.end_mm,
            laid_mm=length.cut_mm,
            slack=None if rigid else (limits.hose_slack_ratio, limits.hose_slack_most_ratio),
            moves_mm=None if spec.service == "feed" else end_moves(spec, job),
            trimmed=making(hose.path, spec.dash).early.count(False) if rigid else 0,
        )


def put_in(lines: LinesSheet, fasteners: Sequence[FastenerSet]) -> tuple[LooseEnd, ...]:
    """What read-back must find of rigid lines that do not go between two tight fittings."""
    on = [made.task for made in fasteners if made.into == "locking nut"]
    locked = {name for kind, _, name in (task.partition(":") for task in on) if kind == "component"}
    studded = {c.name for c in lines.components if on_own_studs(fasteners, f"component:{c.name}")}
    deciding = {decision.hose for decision in lines.decided}
    hoses = [hose.spec for hose in lines.hoses]
    return loose_ends(hoses, lines.components, lines.order, lines.ways, deciding, locked, studded)
