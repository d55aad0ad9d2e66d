"""Plans of the parts of a job, and the layouts of its panels with them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Any

import shapely

from generators.errors import Fault, GeometryFault, LookupFault, SpecError
from generators.figures import format_short
from generators.layout.mounting import PlacedPart
from generators.layout.panels import job_layouts
from generators.layout.stacking import stacked
from generators.layout.under import panel_under
from generators.model.plan import PanelLayout, PartPlan
from generators.model.spec.job import PartSpec
from generators.model.spec.shop import Shop
from generators.parts import kind_named
from generators.parts.building.dressing import as_followed, dress
from generators.parts.building.pivots.pressed import with_pivots
from generators.parts.building.rework import reworked
from generators.parts.building.shared_pattern import with_patterns
from generators.reading import JobFile
from generators.sheetmetal.allowance import BendRule, bend_rule
from generators.sheetmetal.in_line import pivot_note
from generators.sheetmetal.lying import on_panel
from generators.sheetmetal.relief import relief_width
from generators.sheetmetal.relieving import relieved
from generators.sheetmetal.seams import never_past
from generators.solve.bodies.sheets import open_holes, panel_metal
from generators.space.plates import SLIVER_MM2
from generators.standards import material

PLASTIC = "plastic"
SHEET_SAMPLE = ("1008 steel", 3.0)
PRINTED_SAMPLE = ("PLA", 12.0)
"""Material and thickness (mm) of the parts that only show what a kind is."""


def layouts_of(file: JobFile, parts: Sequence[PlacedPart]) -> tuple[PanelLayout, ...]:
    """Layouts of all panels.

    Raises ``SpecError`` for a fold that is none, a hole that no part has, and a panel of no metal at all.
    """
    faults = [*_unserved(file, parts)]
    if faults:
        raise SpecError(faults)
    try:
        layouts = job_layouts(file.job, parts, file.units)
    except GeometryFault as fault:
        raise SpecError(
            [file.fault_at(fault.parameter, str(fault), "two panels that share an edge")]
        ) from fault
    bare = [*_nothing_left(file, layouts)]
    if bare:
        raise SpecError(bare)
    return layouts


def _nothing_left(file: JobFile, layouts: Sequence[PanelLayout]) -> Iterator[Fault]:
    """Panels whose openings or folds take all there is of them."""
    panels = {panel.name: panel for panel in file.job.panel}
    for layout in layouts:
        metal = panel_metal(panels[layout.panel], layout, panels)
        if any(piece.area > SLIVER_MM2 for piece in shapely.get_parts(metal)):
            continue
        widest = max(open_holes(layout), key=lambda hole: hole.final_dia_mm, default=None)
        taken = (
            ""
            if widest is None
            else f": {widest.name} is {format_short(widest.final_dia_mm, file.units)} wide"
        )
        yield file.fault_at(
            f"{file.panel_path(layout.panel)}.outline",
            f"a panel of which no flat metal is left{taken}",
            "metal beside its openings and folds",
        )


def _unserved(file: JobFile, parts: Sequence[PlacedPart]) -> Iterator[Fault]:
    """Existing holes said to be a hole of a part that has none of that name, or does not lie there."""
    placed = {p.spec.name: p for p in parts}
    for panel in file.job.panel:
        for index, hole in enumerate(panel.existing):
            part = placed.get(hole.serves)
            if not hole.serves_hole or part is None:
                continue
            on = part.mount.panel if part.mount is not None and part.mount.holes else ""
            known = [o.name for o in on_panel(part.plan).openings if o.mates] if on == panel.name else []
            if hole.serves_hole not in known:
                path = f"{file.panel_path(panel.name)}.existing[{index}].serves_hole"
                wanted = (
                    f"a hole {hole.serves} drills in {panel.name}: {', '.join(known) or 'it drills none'}"
                )
                yield file.fault_at(path, repr(hole.serves_hole), wanted)


def plan_parts(file: JobFile) -> tuple[PlacedPart, ...]:
    """Plans of all parts, in the spec's order.

    Parts whose shape follows their panel come after those that stand for themselves, one by one, each
    on a panel with all holes so far; those that drill nothing come last. Raises ``SpecError`` with
    the fault of every part that cannot be made.
    """
    done: dict[str, PlacedPart] = {}
    faults: list[Fault] = []
    follows = [spec for spec in file.job.part if kind_named(spec.kind).plan_on is not None]
    for spec in [
        *(spec for spec in file.job.part if spec not in follows),
        *sorted(follows, key=lambda s: not kind_named(s.kind).drills),
    ]:
        if faults and spec in follows:
            break  # on a panel that lacks holes everything would look wrong
        try:
            done[spec.name] = PlacedPart(spec=spec, plan=plan_part(file, spec, tuple(done.values())))
        except (GeometryFault, LookupFault) as fault:
            faults.append(_part_fault(file, spec, fault))
    if faults:
        raise SpecError(list(dict.fromkeys(faults)))  # both hands of a part have the same fault
    return stacked(file.job, [done[spec.name] for spec in file.job.part])


def plan_part(file: JobFile, spec: PartSpec[Any], so_far: Sequence[PlacedPart]) -> PartPlan:
    """One part's plan, on the panel with the parts so far where its kind needs one."""
    kind = kind_named(spec.kind)
    rule = bend_rule(file.shop, spec.material, spec.thickness_mm, spec.inside_radius_mm)
    if (material(spec.material).kind == PLASTIC) != kind.printed:
        how = "printed of plastic" if kind.printed else "cut from sheet"
        raise GeometryFault(f"{spec.material}, but a {kind.name} is {how}", ".material")
    if kind.plan_on is None:
        plan = kind.plan(spec, rule)
    else:
        if spec.mirror != file.form.mirrored:
            raise GeometryFault(f"the other hand of a {spec.kind}, which follows its panel", ".mirror")
        if spec.mount is None:
            raise GeometryFault(f"a {spec.kind} without a mount: its shape follows the panel it lies on")
        # in a mirrored job what follows its panel is mirrored with it
        mount, spec = spec.mount, as_followed(spec) if spec.mirror else spec
        panel = next(p for p in file.job.panel if p.name == mount.panel)
        layout = next(x for x in layouts_of(file, so_far) if x.panel == panel.name)
        plan = kind.plan_on(spec, rule, panel_under(layout, panel, mount, spec.name))
    plan = relieved(plan, relief_width(rule, spec.thickness_mm))
    plan = replace(
        plan,
        tolerance=spec.tolerance or file.shop.drawing.general_tolerance,
        position_mm=file.shop.position.cut_each_way_mm,
        bent_mm=file.shop.position.bent_length_mm,
        bent_rad=file.shop.position.bend_angle_rad,
        grain=spec.grain,
        bent_on=spec.bent_on,
        etch=spec.etch,
        shaft_mm=getattr(spec.parameters, "pivot_shaft_mm", None),
    )
    plan = with_pivots(never_past(plan, spec.bend_past_rad), spec.parameters)
    if note := pivot_note(plan):
        plan = replace(plan, notes=(*plan.notes, note))
    dressed = dress(with_patterns(plan, spec, file.job.pattern), spec, file.job.limits)
    return _with_held(reworked(dressed, spec.rework), spec)


def _with_held(plan: PartPlan, spec: PartSpec[Any]) -> PartPlan:
    """The plan as it is; raises ``GeometryFault`` for a hole of ``held`` that no bolt goes through."""
    bolts = [o.name for f in plan.flanges for o in f.openings if o.fitting.kind == "bolt"]
    for index, held in enumerate(spec.held):
        for name in held.holes:
            if name not in bolts:
                known = f"its bolts are {', '.join(bolts)}" if bolts else "it has none"
                raise GeometryFault(f"no bolt {name!r} in {spec.name}; {known}", f".held[{index}].holes")
    return plan


def _part_fault(file: JobFile, spec: PartSpec[Any], fault: GeometryFault | LookupFault) -> Fault:
    parameter = fault.parameter if isinstance(fault, GeometryFault) else ""
    expected = "parameters that make a part"
    if isinstance(fault, LookupFault):
        expected = f"one of {', '.join(fault.known)}"
        return file.fault_at(file.part_path(spec.name), f"{fault.table} {fault.key!r}", expected)
    return file.fault_at(
        file.part_path(spec.name, parameter),
        str(fault),
        expected,
        f"`pedalplate kinds {spec.kind}` lists parameters and limits",
    )


def smallest_hole(file: JobFile, plan: PartPlan) -> float:
    """Smallest hole the shop's machine cuts in the sheet of a part, mm; 0 for a part that is not cut."""
    cutting = file.shop.cutting
    if plan.printed:
        return 0.0
    return max(cutting.smallest_hole_mm, cutting.smallest_hole_ratio * plan.thickness_mm)


def sample_plan(kind_name: str, parameters: Any = None) -> tuple[PartPlan, BendRule]:
    """The plan of a kind with its defaults in 3 mm steel, or in plastic, for pictures and listings.

    ``parameters`` of the kind take the place of its defaults. Raises ``KeyError`` for an unknown kind,
    ``GeometryFault`` or ``LookupFault`` for parameters that make no part.
    """
    found = kind_named(kind_name)
    name, thickness_mm = PRINTED_SAMPLE if found.printed else SHEET_SAMPLE
    spec = PartSpec(
        name=found.name,
        kind=found.name,
        material=name,
        thickness_mm=thickness_mm,
        parameters=found.parameters() if parameters is None else parameters,
    )
    rule = bend_rule(Shop(), spec.material, spec.thickness_mm, None)
    return never_past(found.plan(spec, rule)), rule
