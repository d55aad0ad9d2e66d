"""The job's work as a graph: what waits for what, and why."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from generators.checks.measure import area_of
from generators.layout.mounting import PlacedPart
from generators.layout.spots import Sheets, place
from generators.model.install import InstallOrder, Need, Task
from generators.model.plan import PanelLayout
from generators.model.spec.job import Job, PartSpec
from generators.model.spec.lines import Clamp, Component, Hose, Spot
from generators.reading.keys.lines import split_port
from generators.routing.install_order import install_order
from generators.solve.pedals import PedalAnswer


@dataclass(frozen=True, slots=True, kw_only=True)
class Decision:
    """A component whose place a made-up hose decides, and the holes that are drilled only then."""

    component: str
    hose: str
    part: str
    panel: str
    holes: tuple[str, ...]


def _words(name: str, title: str) -> str:
    return title or name.replace("_", " ")


def _ends(hose: Hose) -> dict[str, str]:
    return {"from": split_port(hose.from_)[0], "to": split_port(hose.to)[0]}


def decisions(job: Job, sheets: Sheets) -> tuple[Decision, ...]:
    """Every place of the job that a made-up hose decides. Raises ``GeometryFault`` as ``place`` does."""
    components = {c.name: c for c in job.component}
    found = []
    for hose in job.hose:
        if not hose.decides:
            continue
        component = components[_ends(hose)[hose.decides]]
        part, panel, holes = _holes_of(component, sheets)
        found.append(
            Decision(component=component.name, hose=hose.name, part=part, panel=panel, holes=tuple(holes))
        )
    return tuple(found)


def _holes_of(component: Component, sheets: Sheets) -> tuple[str, str, Sequence[str]]:
    """The part a component stands on, the panel drilled for it, and the numbers of its holes there."""
    if component.on.at is not None:
        return "", "", ()
    where = place(component.on, sheets)
    if component.on.part:
        mount = sheets.parts[component.on.part].mount
        if mount is None:
            return component.on.part, "", ()
        holes = sheets.layouts[mount.panel].holes
        return (
            component.on.part,
            mount.panel,
            [h.number for h in holes if component.on.part in h.owners and h.status != "datum"],
        )
    return "", component.on.panel, [where.hole]


def _spot_needs(key: str, spot: Spot, parts: Mapping[str, PlacedPart], what: str) -> Iterator[Need]:
    if spot.part:
        yield Need(task=key, before=f"part:{spot.part}", why=f"{what} is held by it")
    elif spot.panel:
        yield Need(task=key, before=f"drill:{spot.panel}", why=f"{what} goes into a hole of it")


def job_order(
    job: Job,
    layouts: Sequence[PanelLayout],
    sheets: Sheets,
    pedals: Sequence[PedalAnswer],
    decided: Sequence[Decision],
) -> InstallOrder:
    """The order of work of a job. Raises nothing."""
    tasks = list(_tasks(job, layouts, sheets, pedals, decided))
    return install_order(tasks, list(_needs(job, sheets, pedals, decided)))


def task_titles(
    job: Job,
    layouts: Sequence[PanelLayout],
    sheets: Sheets,
    pedals: Sequence[PedalAnswer],
    decided: Sequence[Decision],
) -> dict[str, str]:
    """What each task is called, by its key."""
    return {task.key: task.title for task in _tasks(job, layouts, sheets, pedals, decided)}


def _tasks(
    job: Job,
    layouts: Sequence[PanelLayout],
    sheets: Sheets,
    pedals: Sequence[PedalAnswer],
    decided: Sequence[Decision],
) -> Iterator[Task]:
    for layout in layouts:
        if layout.holes:
            yield Task(kind="drill", name=layout.panel, title=f"drilling the {layout.title.lower()}")
    mounted = [p for p in sheets.parts.values() if p.mount is not None]
    # flat plates lie under the rest; what is bent more stands in the way of more
    for part in sorted(mounted, key=lambda p: (len(p.plan.bends), p.spec.name)):
        yield Task(kind="part", name=part.spec.name, title=part.plan.title.lower())
    for pedal in pedals:
        title = _words(pedal.spec.name, pedal.spec.title).lower()
        yield Task(kind="pedal", name=pedal.spec.name, title=title)
        yield Task(kind="bleed", name=pedal.spec.name, title=f"bleeding at the {title}")
    for component in job.component:
        yield Task(
            kind="component", name=component.name, title=_words(component.name, component.title).lower()
        )
    for clamp in job.clamp:
        yield Task(kind="clamp", name=clamp.name, title=clamp.name.replace("_", " "))
    for decision in decided:
        title = f"marking where the hose puts {decision.component.replace('_', ' ')}"
        yield Task(kind="decided", name=decision.component, title=title)
    for hose in job.hose:
        yield Task(kind="hose", name=hose.name, title=_words(hose.name, hose.title).lower())


def _needs(
    job: Job, sheets: Sheets, pedals: Sequence[PedalAnswer], decided: Sequence[Decision]
) -> Iterator[Need]:
    on_hose = {decision.component: decision for decision in decided}
    decided_part = {decision.part for decision in decided if decision.part}
    for part in sheets.parts.values():
        if part.mount is not None and part.spec.name not in decided_part:
            yield Need(
                task=f"part:{part.spec.name}", before=f"drill:{part.mount.panel}", why="it is bolted to it"
            )
    for decision in decided:
        key = f"decided:{decision.component}"
        yield Need(
            task=key,
            before=f"hose:{decision.hose}",
            why="the hose is made up and its length decides the place",
        )
        if decision.part:
            yield Need(task=f"part:{decision.part}", before=key, why="its holes are drilled only there")
        yield Need(
            task=f"component:{decision.component}", before=key, why="its made-up hose decides its place"
        )
    for component in job.component:
        key = f"component:{component.name}"
        if component.name not in on_hose or component.on.part:
            yield from _spot_needs(key, component.on, sheets.parts, "it")
    for clamp in job.clamp:
        yield from _spot_needs(f"clamp:{clamp.name}", clamp.on, sheets.parts, "the clamp")
    for hose in job.hose:
        yield from _hose_needs(hose)
    for pedal in pedals:
        if pedal.spec.hanger:
            yield Need(
                task=f"pedal:{pedal.spec.name}",
                before=f"part:{pedal.spec.hanger}",
                why="the pedal hangs in it",
            )
        bleed = f"bleed:{pedal.spec.name}"
        yield Need(task=bleed, before=f"pedal:{pedal.spec.name}", why="the pedal does the pumping")
        for hose in job.hose:
            yield Need(task=bleed, before=f"hose:{hose.name}", why="an open line does not bleed")
    yield from _doubled(sheets)
    yield from _stated(job)


def _doubled(sheets: Sheets) -> Iterator[Need]:
    """What lies on a doubler, or is bolted through one from the other face, comes after it."""
    for layout in sheets.layouts.values():
        shapes = [(f, area_of(f.contour)) for f in layout.footprints]
        plates = [(f, shape) for f, shape in shapes if f.doubler]
        for part, shape in shapes:
            for plate, under in plates:
                if not part.doubler and shape.intersects(under):
                    yield Need(
                        task=f"part:{part.part}",
                        before=f"part:{plate.part}",
                        why=f"its bolts go through {plate.part.replace('_', ' ')} as well",
                    )


def _hose_needs(hose: Hose) -> Iterator[Need]:
    key = f"hose:{hose.name}"
    for end, component in _ends(hose).items():
        if end != hose.decides:
            yield Need(task=key, before=f"component:{component}", why="it is one end of the hose")
    for clamp in hose.clamps:
        yield Need(task=key, before=f"clamp:{clamp}", why="the clamp holds the hose")


def _stated(job: Job) -> Iterator[Need]:
    """What the spec says with ``after``."""
    kinds = {
        **{row.name: "clamp_row" for row in job.clamp_row},
        **{part.name: "part" for part in job.part},
        **{component.name: "component" for component in job.component},
        **{clamp.name: "clamp" for clamp in job.clamp},
        **{hose.name: "hose" for hose in job.hose},
    }
    rows = {row.name: [f"{row.name}_{i + 1}" for i in range(row.count)] for row in job.clamp_row}
    fitted: list[PartSpec[Any] | Component | Clamp | Hose] = [
        *job.part,
        *job.component,
        *job.clamp,
        *job.hose,
    ]
    for item in fitted:
        for name in item.after:
            keys = [f"clamp:{n}" for n in rows[name]] if name in rows else [f"{kinds[name]}:{name}"]
            for before in keys:
                yield Need(
                    task=f"{kinds[item.name]}:{item.name}",
                    before=before,
                    why=f"the spec fits it after {name}",
                )


def loop_words(order: InstallOrder, titles: Mapping[str, str]) -> str:
    """The loop of an order as one sentence without its full stop; empty when there is none."""
    said = [f"{titles[need.task]} waits for {titles[need.before]} ({need.why})" for need in order.loop]
    return ", ".join(said[:-1]) + (" and " if len(said) > 1 else "") + said[-1] if said else ""
