"""What the report's views of the job in space show."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from generators.jobs.make.bodies import bodies_of
from generators.jobs.once import once_for_each
from generators.layout.spots import point3
from generators.model.spec.titles import capital
from generators.sheets.space.sheet import Foot, SpaceSheet
from generators.solve.bodies.near import closest_pairs
from generators.solve.job import Prepared
from generators.space.pieces import Box
from generators.space.shown import Shown

PAIRS = 8
WITHIN_MM = 80.0
"""Further apart nobody asks."""
_SMALL_TURN = 1e-3


@once_for_each
def space_sheet(prepared: Prepared) -> SpaceSheet:
    """Everything of a job in the vehicle, with titles, the closest pairs and where feet press."""
    bodies = bodies_of(prepared)
    titles = {hose.spec.name: hose.spec.title or hose.spec.name for hose in prepared.lines.hoses}
    titles |= {c.name: c.title or c.name for c in prepared.file.job.component}
    return SpaceSheet(
        panels=bodies.panels,
        parts=bodies.parts,
        hoses=tuple((path, _words(titles[path.name])) for path, _kind in bodies.rods),
        bodies=tuple((body, _title(body, titles)) for body in bodies.shown),
        pairs=closest_pairs(prepared.scene, WITHIN_MM, PAIRS, prepared.lines.hoses),
        feet=tuple(_feet(prepared)),
    )


def _words(name: str) -> str:
    return capital(name.replace("_", " "))


def _title(body: Shown, titles: dict[str, str]) -> str:
    """What a view calls a body; fittings without a title of their own get none."""
    if body.kind == "pad":
        return _words(body.name.partition(", ")[0])
    if body.kind == "fitting" and body.name not in titles:
        return ""
    return _words(titles.get(body.name, body.name))


def _feet(prepared: Prepared) -> Iterator[Foot]:
    for mover in prepared.scene.movers:
        (first, *_) = mover.body.pieces
        if mover.body.what != "pad" or not isinstance(first, Box):
            continue
        middle = first.pose[:3, 3]
        pose = mover.motion.pose(_SMALL_TURN)
        way = pose[:3, :3] @ middle + pose[:3, 3] - middle
        way = way / np.linalg.norm(way)
        title = next((p.title for p in prepared.file.job.pedal if p.name == mover.body.owner), "")
        face = middle - way * first.half_mm[2]
        yield Foot(pedal=title or mover.body.owner, at=point3(face), way=point3(way))
