"""From a prepared job to what its drafts show."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby

import numpy as np

from generators.geometry.contours import bounds
from generators.jobs.draft.pins import pinned
from generators.jobs.make.space_sheet import space_sheet
from generators.layout.mounting import PlacedPart, panel_pose
from generators.model.plan import PanelLayout
from generators.model.spec.titles import capital
from generators.reading import JobFile
from generators.routing.paths.curves import sampled
from generators.sheets.draft.content import Content, Moving, Run
from generators.sheets.space.sheet import SpaceSheet
from generators.solve.hoses.lines import HoseAnswer
from generators.solve.job import Prepared
from generators.space.shown import AT_REST

NEAR_MM = 130.0
"""A hose further off a panel than that is not drawn on it."""
STEP_MM = 6.0
POSES = 17
"""Places on its way in which a moving body is drawn."""


def content_of(prepared: Prepared) -> Content:
    """Everything a job's drafts show."""
    job, space, runs = prepared.file.job, space_sheet(prepared), tuple(_runs(prepared))
    return Content(
        job=job.job.name,
        title=job.job.title,
        layouts=prepared.layouts,
        plans=tuple(part.plan for part in prepared.parts),
        runs=runs,
        pedals=tuple(pedal.sheet() for pedal in prepared.pedals),
        space=space,
        moving=tuple(_moving(prepared, space)),
        pins=pinned(prepared, runs),
        units=prepared.file.units,
    )


def first_look(file: JobFile, parts: Sequence[PlacedPart], layouts: Sequence[PanelLayout]) -> Content:
    """What is known before anything is solved: panels and parts, without findings."""
    return Content(
        job=file.job.job.name,
        title=file.job.job.title,
        layouts=tuple(layouts),
        plans=tuple(part.plan for part in parts),
        units=file.units,
    )


def _runs(prepared: Prepared) -> Iterator[Run]:
    panels = {p.name: p for p in prepared.file.job.panel}
    for layout in prepared.layouts:
        into = np.linalg.inv(panel_pose(panels[layout.panel]))
        for hose in prepared.lines.hoses:
            yield from _near(hose, layout, into)


def _near(hose: HoseAnswer, layout: PanelLayout, into: np.ndarray) -> Iterator[Run]:
    """Stretches of a hose that lie before or behind a panel, each on its face."""
    if hose.path is None:
        return
    _stations, points, _ways = sampled(hose.path, STEP_MM)
    local = points @ into[:3, :3].T + into[:3, 3]
    u0, v0, u1, v1 = bounds(layout.contour)
    inside = (local[:, 0] >= u0) & (local[:, 0] <= u1) & (local[:, 1] >= v0) & (local[:, 1] <= v1)
    near = inside & (np.abs(local[:, 2] + layout.thickness_mm / 2) <= NEAR_MM)
    cab = local[:, 2] > -layout.thickness_mm / 2
    last = len(local) - 1
    rows = [(bool(near[k]), bool(cab[k]), k) for k in range(len(local))]
    for (close, on_cab), group in groupby(rows, key=lambda row: row[:2]):
        stretch = [k for *_rest, k in group]
        if not close or len(stretch) < 2:
            continue
        yield Run(
            hose=hose.spec.name,
            title=capital((hose.spec.title or hose.spec.name).replace("_", " ")),
            panel=layout.panel,
            face="cab" if on_cab else "engine",
            points=tuple((float(local[k, 0]), float(local[k, 1])) for k in stretch),
            ends=tuple((float(local[k, 0]), float(local[k, 1])) for k in (0, last) if k in stretch),
        )


def _moving(prepared: Prepared, space: SpaceSheet) -> Iterator[Moving]:
    """What moves, under the names it has at rest: bodies are in the order of the movers."""
    names = [body.name for body, _title in space.bodies if body.group == AT_REST]
    for name, mover in zip(names, prepared.scene.movers, strict=True):
        yield Moving(
            name=name,
            pedal=mover.body.owner,
            poses=tuple(
                tuple(float(x) for x in mover.motion.pose(float(turn)).ravel())
                for turn in np.linspace(0.0, mover.motion.end_rad, POSES)
            ),
        )
