"""Spec to plans, layouts and findings: everything that needs no kernel and writes nothing."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from generators.checks.forms import check_form
from generators.checks.hose.places import check_place
from generators.checks.joint.bolts import check_bolts
from generators.checks.joint.fits import check_fits
from generators.checks.panel.panel import check_panel
from generators.checks.panel.unused import check_unused
from generators.checks.part.gauges import check_gauges
from generators.checks.part.guides import check_guide
from generators.checks.part.hands import SAME_HAND
from generators.checks.part.part import check_part
from generators.checks.pedal.order import check_order
from generators.checks.rule import ordered
from generators.checks.unsaid import check_unsaid
from generators.checks.waivers import apply_waivers
from generators.errors import LookupFault
from generators.layout.mounting import PlacedPart, placement
from generators.layout.passing import with_passing
from generators.model.findings import Finding, Waived
from generators.model.joints.fasteners import FastenerSet
from generators.model.plan import PanelLayout
from generators.model.sold.letters import IssueMark
from generators.model.sold.packing import NOT_PACKED, Packing
from generators.model.spec.job import PartSpec
from generators.model.spec.shop import PaperPrinter
from generators.model.words import Comes
from generators.parts import KINDS
from generators.reading import JobFile, read_job
from generators.reading.reader import NO_VALUES
from generators.reading.toml.edits import line_of
from generators.solve.bodies.fixings.bought import with_bought
from generators.solve.bodies.ground import job_ground
from generators.solve.bodies.obstacles import zones_of
from generators.solve.bodies.passing import passed
from generators.solve.bodies.scene import Scene, job_bodies, standing_findings
from generators.solve.bodies.zones import zone_findings
from generators.solve.brackets.asked import current
from generators.solve.brackets.bearings import bearing_findings
from generators.solve.brackets.cases import Bracket
from generators.solve.brackets.estimates import (
    estimated_flex,
    part_findings,
    with_flex,
    with_results,
)
from generators.solve.brackets.joints import joint_findings, joint_loads, joint_sheets, judged_bolts
from generators.solve.brackets.loaded import loaded_brackets, panel_flex
from generators.solve.brackets.settled import open_parts
from generators.solve.fasteners.of_parts import Bolted, Key, bolted_holes
from generators.solve.fasteners.sets import fastener_sets
from generators.solve.floors import Ends
from generators.solve.hoses.findings import line_findings
from generators.solve.hoses.lengths import stated_lengths, with_lengths
from generators.solve.hoses.lines import LinesAnswer, solve_lines
from generators.solve.moving import pedal_findings, pedals_in_space
from generators.solve.named import named_after
from generators.solve.parts import layouts_of, plan_part, plan_parts
from generators.solve.pedals import PedalAnswer, pedal_ends, solve_pedals, squared
from generators.solve.places.best import place_best
from generators.solve.work import with_work
from generators.strength.joint.uses import JointSheet

if TYPE_CHECKING:
    from generators.strength.result import BracketResult

LARGE_TYPE = 1.4


@dataclass(frozen=True, slots=True, kw_only=True)
class Prepared:
    """A job ready to be drawn: plans, layouts and findings of one spec.

    ``unsettled`` are the parts of which only finite elements can say that they hold and have not, each with
    what is open; once ``released``, what is still open is a fail. ``waivers`` are reasons by code, as given.
    ``comes`` says of the hoses and tubes that a kit holds ready how they are, ``packing`` what is in its
    bags.
    """

    file: JobFile
    parts: tuple[PlacedPart, ...]
    layouts: tuple[PanelLayout, ...]
    findings: tuple[Finding, ...]
    lines: LinesAnswer
    scene: Scene
    fasteners: tuple[FastenerSet, ...] = ()
    pedals: tuple[PedalAnswer, ...] = ()
    results: tuple[BracketResult, ...] = ()
    bolted: Mapping[Key, Bolted] = field(default_factory=dict)
    loaded: tuple[Bracket, ...] = ()
    joints: tuple[JointSheet, ...] = ()
    unsettled: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    released: bool = False
    waivers: Mapping[str, str] = field(default_factory=dict)
    printer: PaperPrinter | None = None
    type_scale: float = 1.0
    issued: IssueMark | None = None
    comes: Mapping[str, Comes] = field(default_factory=dict)
    packing: Packing = NOT_PACKED

    def marked(self, revision: str) -> str:
        """The revision as sheets say it: with issue letter and date before it where the job has them."""
        return self.issued.marked(revision) if self.issued is not None else revision

    @property
    def shown(self) -> str:
        """``marked`` of the job's own revision."""
        return self.marked(self.file.revision)

    @property
    def blocked(self) -> bool:
        """True when a failed rule that nobody waived holds back the files."""
        return any(f.blocks for f in self.findings)

    @property
    def waived(self) -> tuple[Waived, ...]:
        """What was waived and why, for the list on every sheet; by code."""
        reasons = {f.code: f.waived for f in self.findings if f.waived}
        return tuple(Waived(code=code, reason=reasons[code]) for code in sorted(reasons))


def prepare(
    spec_path: Path,
    waivers: Mapping[str, str] | None = None,
    results: Sequence[BracketResult] = (),
    text: str | None = None,
    variant: str = "",
    values: Mapping[str, Any] = NO_VALUES,
) -> Prepared:
    """Read, plan, lay out and check one spec; ``results`` are what finite elements gave for it, if asked.

    ``text`` stands in for what the file holds: a copy with a change to be tried. ``variant`` names the form
    of the job, if not the one that is written; ``values`` by key path are put over it.

    Raises ``SpecError`` with every fault, and ``LookupFault`` for a waiver of an unknown code or an unknown
    variant.
    """
    data = None if text is None else text.encode()
    read = read_job(spec_path, {f.name: f.parameters for f in KINDS}, data, variant, values)
    file = with_results(read, results)
    parts = plan_parts(file)
    file = squared(file, parts)
    layouts = layouts_of(file, parts)
    ends = pedal_ends(file, parts, layouts)
    pedals, loaded = _hung(file, parts, ends)
    moving = pedals_in_space(pedals, ends, parts)
    movers = [mover for pedal in moving for mover in pedal.movers]
    file, placed = place_best(file, parts, layouts, movers)
    if placed:
        layouts = layouts_of(file, parts)
    lines = solve_lines(file, parts, layouts, pedals, movers)
    layouts = named_after(
        with_work(layouts, file.job.panel, parts, lines.decided, lines.order, file.shop.position),
        file.job.component,
        lines.sheets,
    )
    findings: list[Finding] = stated_lengths(file.job, lines)
    fasteners = fastener_sets(file.job, parts, lines.sheets, lines.order, file.units)
    layouts = with_passing(with_bought(layouts, fasteners), file.job)
    bolted = bolted_holes(parts, file.job.panel, layouts, fasteners)
    hosed = any(line.hose for pedal in file.job.pedal for line in pedal.line)
    if hosed:
        file = with_lengths(file, lines)
    if hosed or any(part.hold.by == "washer" for part in file.job.part):
        # where a pedal moves does not hang on lines or washers, so the hoses stand; what it feels like does
        pedals, loaded = _hung(file, parts, ends, bolted)
        moving = pedals_in_space(pedals, ends, parts)
    zones = zones_of(file.job)
    scene = Scene(
        bodies=job_bodies(file.job, parts, layouts, lines, fasteners),
        movers=tuple(mover for pedal in moving for mover in pedal.movers),
        pivots=tuple(body for pedal in moving for body in pedal.pivots),
        zones=tuple(zone.body for zone in zones),
    )
    findings += [*check_gauges(file.source.table), *check_form(file.form, file.job)]
    for part in parts:
        findings.extend(_of_part(file, part))
        findings.extend(_lying(file, part, layouts))
    thickness = {p.spec.name: p.plan.thickness_mm for p in parts}
    for layout in layouts:
        findings.extend(check_panel(layout, file.job.limits, thickness))
        findings.extend(_unused(file, layout))
    for pedal in pedals:
        findings.extend(pedal.findings(file.job.limits, file.job.pedal))
    ground = job_ground(file.job, parts, layouts)
    findings += pedal_findings(file, moving, scene.bodies, ground)
    findings += check_order({p.spec.name: (p.spec, p.pad_right_mm) for p in pedals})
    findings.extend(
        line_findings(lines, file.job, passed(lines.hoses, scene.bodies, file.job.limits, ground))
    )
    rows = {row.name for row in file.job.clamp_row}
    for name, place in placed.items():
        findings.extend(check_place(name, place, row=name in rows))
    findings += [*check_fits(file.job, parts, layouts, file.shop), *check_bolts(fasteners, file.job.clamp)]
    findings += [
        *check_unsaid(file.job, fasteners),
        *standing_findings(scene, ground, file.job.limits),
    ]
    findings.extend(zone_findings(zones, file.job, lines, scene.bodies, ground))
    results = current(results, loaded)
    findings.extend(f for bracket in loaded for f in part_findings(file, bracket, results))
    judged = {b.part.spec.name: judged_bolts(file, b, parts, layouts, bolted) for b in loaded}
    carried = joint_loads(loaded, results)
    findings += [*joint_findings(file, loaded, judged, carried, results), *bearing_findings(parts, loaded)]
    findings = apply_waivers(ordered(findings), waivers or {})
    return Prepared(
        file=file,
        parts=parts,
        layouts=layouts,
        findings=tuple(findings),
        lines=lines,
        scene=scene,
        fasteners=fasteners,
        pedals=pedals,
        results=results,
        bolted=bolted,
        loaded=loaded,
        joints=joint_sheets(file, loaded, judged, carried, results),
        unsettled=open_parts(file, loaded, judged, carried, results),
        waivers=dict(waivers or {}),
    )


def _hung(
    file: JobFile,
    parts: Sequence[PlacedPart],
    ends: Mapping[str, Ends],
    bolted: Mapping[Key, Bolted] | None = None,
) -> tuple[tuple[PedalAnswer, ...], tuple[Bracket, ...]]:
    """The pedals' answers and the brackets they load. Raises ``SpecError`` as ``solve_pedals`` does."""
    pedals = solve_pedals(file, parts, ends)
    loaded = loaded_brackets(file, parts, pedals, bolted)
    giving = {p.name: estimated_flex(p, loaded) for p in file.job.pedal if p.hanger_flex == "computed"}
    giving |= panel_flex(loaded)
    return (solve_pedals(with_flex(file, giving), parts, ends) if giving else pedals), loaded


def _of_part(file: JobFile, part: PlacedPart) -> list[Finding]:
    """Findings on a part's own plan."""
    found = check_part(part.plan, file.job.limits, file.shop, brief=True)
    # in a mirrored job every part is mirrored, and nobody asked for two hands of it
    asked = part.spec.mirror != file.form.mirrored
    return [f for f in found if asked or f.code != SAME_HAND.code]


def _unused(file: JobFile, layout: PanelLayout) -> Iterator[Finding]:
    """Findings on reused holes of a panel that nothing uses, with the line of each."""
    index = next(i for i, panel in enumerate(file.job.panel) if panel.name == layout.panel)
    sat_in = {
        hole
        for on in (*(c.on for c in file.job.component), *(c.on for c in file.job.clamp))
        if on.panel == layout.panel
        for hole in on.holes
    }
    lines = {}
    for n, hole in enumerate(file.job.panel[index].existing):
        if hole.serves:
            sat_in.add(hole.name)
        if hole.action == "reuse":
            lines[hole.name] = line_of(*file.source.origin(("panel", index, "existing", n, "action")))
    yield from check_unused(layout, sat_in, lines)


def _lying(file: JobFile, part: PlacedPart, layouts: Sequence[PanelLayout]) -> Iterator[Finding]:
    """Findings on a tool where it lies while the panel is drilled."""
    mount = part.spec.mount
    if part.plan.tool and mount is not None:
        panel = next(p for p in file.job.panel if p.name == mount.panel)
        layout = next(x for x in layouts if x.panel == mount.panel)
        yield from check_guide(part.plan, placement(panel, mount), mount.face, layout)


def replanned(prepared: Prepared, spec: PartSpec[Any]) -> PlacedPart:
    """A changed part where it was. Raises ``GeometryFault`` or ``LookupFault`` when it cannot be made."""
    old = next(p for p in prepared.parts if p.spec.name == spec.name)
    others = [p for p in prepared.parts if p.spec.name != spec.name]
    return replace(old, spec=spec, plan=plan_part(prepared.file, spec, others))


def for_printer(prepared: Prepared, name: str) -> Prepared:
    """The same job with templates for a calibrated printer; no name, for any true one.

    Raises ``LookupFault`` for a printer the shop file does not know.
    """
    if not name:
        return replace(prepared, printer=None)
    known = {p.name: p for p in prepared.file.shop.paper_printer}
    if name not in known:
        raise LookupFault("printer", name, [*known])
    return replace(prepared, printer=known[name])


def large_type(prepared: Prepared, scale: float = LARGE_TYPE) -> Prepared:
    """The same job with labels and tables of its templates that much larger."""
    return replace(prepared, type_scale=scale)


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
