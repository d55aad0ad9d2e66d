"""The lines and the numbered steps of a job as the sheets show them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from types import MappingProxyType

from generators.checks.space.lids import lids
from generators.geometry.frames import Matrix
from generators.jobs.once import once_for_each, settled_by
from generators.layout.mounting import part_matrix
from generators.layout.spots import place
from generators.model.install import Guide, Laid, ScaleLengths
from generators.model.spec.job import Job
from generators.model.spec.lines import Clamp, Component
from generators.model.words import Comes
from generators.sheets.bill import Item, bill
from generators.sheets.hose_words import DecisionLine, HoseLine, LinesSheet
from generators.sheets.install.build import build_guide
from generators.solve.fasteners.bags import job_bags
from generators.solve.hoses.cutting import cut_windows
from generators.solve.hoses.findings import chain_components, level_height
from generators.solve.hoses.lines import LinesAnswer, hose_outside, hose_radius
from generators.solve.hoses.order import loop_words
from generators.solve.job import Prepared
from generators.solve.waits import numbered
from generators.units import UnitSystem

NOTHING_COMES: Mapping[str, Comes] = MappingProxyType({})


_windows = once_for_each(cut_windows)


def lines_sheet(
    answer: LinesAnswer, job: Job, units: UnitSystem, comes: Mapping[str, Comes] = NOTHING_COMES
) -> LinesSheet:
    """Everything the sheets say of hoses, of which ``comes`` says which come ready in a kit.

    Raises nothing for a job that was prepared.
    """
    fitted: list[Component | Clamp] = [*job.component, *job.clamp]
    profiles, windows = [], _windows(answer, job)
    for names, profile in answer.profiles.items():
        levels = [level_height(answer, c) for c in chain_components(job, names) if c.kind == "reservoir"]
        profiles.append((names, profile, levels[-1] if levels else None))
    return LinesSheet(
        order=answer.order,
        loop=loop_words(answer.order, answer.titles),
        hoses=tuple(
            HoseLine(
                spec=hose.spec,
                path=hose.path,
                length=hose.length,
                outside_mm=hose_outside(hose.spec),
                radius_mm=hose_radius(hose.spec),
                measure_why=hose.measure_why,
                sag=hose.sag,
                comes=comes.get(hose.spec.name),
                window=windows.get(hose.spec.name) if hose.spec.name not in comes else None,
            )
            for hose in answer.hoses
        ),
        components=job.component,
        clamps=job.clamp,
        places={item.name: place(item.on, answer.sheets) for item in fitted},
        decided=tuple(
            DecisionLine(
                component=decision.component,
                hose=decision.hose,
                part=decision.part,
                panel=decision.panel,
                holes=decision.holes,
            )
            for decision in answer.decided
        ),
        profiles=tuple(profiles),
        panels=answer.panels,
        obstacles=answer.obstacles,
        units=units,
        part_titles={name: part.plan.title for name, part in answer.sheets.parts.items()},
        ports={name: port.position for name, port in answer.ports.items()},
        ways={name: port.direction for name, port in answer.ports.items()},
    )


@settled_by
def with_steps(prepared: Prepared) -> Prepared:
    """The same job with the number of the step in each hole that waits for one: sheets print it."""
    guide = _guide(prepared, "")
    return replace(prepared, layouts=numbered(prepared.layouts, guide))


def job_guide(
    prepared: Prepared, revision: str, laid: Sequence[Laid] = (), tests: Sequence[ScaleLengths] = ()
) -> Guide:
    """The install sheet of a job as plain data, its steps numbered; nothing is drawn for it.

    ``model.install`` reads the numbers from it: ``first_steps`` by task, ``drilled_at`` and ``waits_for`` by
    panel and hole number. ``revision`` is the one printed, ``laid`` the sheets
    chosen to mark from, ``tests`` the lengths of page one on each paper.
    """
    # what a step says of a hole holds the number of another step, and the numbers hang on no words
    return _told(with_steps(prepared), revision=revision, laid=tuple(laid), tests=tuple(tests))


@once_for_each
def _told(
    prepared: Prepared, *, revision: str, laid: tuple[Laid, ...], tests: tuple[ScaleLengths, ...]
) -> Guide:
    # pack, install sheet and page tell the same steps
    return _guide(prepared, revision, laid, tests)


def _guide(
    prepared: Prepared, revision: str, laid: Sequence[Laid] = (), tests: Sequence[ScaleLengths] = ()
) -> Guide:
    lines = lines_sheet(prepared.lines, prepared.file.job, prepared.file.units, prepared.comes)
    over = lids(prepared.scene.bodies, prepared.file.job.limits.lid_room_mm)
    lines = replace(lines, lids={lid.reservoir.owner: lid for lid in over})
    mounts = [(p.plan, p.spec.mount) for p in prepared.parts if p.plan.tool and p.spec.mount is not None]
    return build_guide(
        title=prepared.file.job.job.title,
        revision=revision,
        layouts=prepared.layouts,
        mounted=[(p.plan, p.mount.panel, p.mount.face) for p in prepared.parts if p.mount is not None],
        guides=[(plan, mount.panel, mount.face) for plan, mount in mounts],
        lines=lines,
        pedals=[p.sheet() for p in prepared.pedals],
        findings=prepared.findings,
        waived=prepared.waived,
        contact=prepared.file.job.job.contact,
        take_out=prepared.file.job.job.take_out,
        fasteners=prepared.fasteners,
        braces=[load for sheet in prepared.joints for load in sheet.braces],
        unsettled=[p.plan.title for p in prepared.parts if p.spec.name in prepared.unsettled],
        items=job_bill(prepared),
        units=prepared.file.units,
        laid=laid,
        tests=tests,
        poses=_poses(prepared),
        packing=prepared.packing,
        loose=[p.plan for p in prepared.parts if p.mount is None and not p.plan.tool],
    )


def _poses(prepared: Prepared) -> dict[str, Matrix]:
    """Frames of the mounted parts in the vehicle."""
    panels = {panel.name: panel for panel in prepared.file.job.panel}
    return {
        part.plan.name: part_matrix(panels[part.mount.panel], part.mount, part.lift_mm)
        for part in prepared.parts
        if part.mount is not None
    }


def job_bill(prepared: Prepared) -> tuple[Item, ...]:
    """The bill of materials of a job, by bag."""
    return bill(
        [part.plan for part in prepared.parts],
        prepared.layouts,
        lines_sheet(prepared.lines, prepared.file.job, prepared.file.units),
        prepared.fasteners,
        job_bags(prepared.file.job, prepared.parts),
        prepared.file.units,
        [pedal.sheet() for pedal in prepared.pedals],
    )
