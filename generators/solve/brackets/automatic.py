"""Cases nobody has to ask for: a pedal on its stop, a full reservoir in a crash, a tug at a hose's clamp."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass

import numpy as np

from generators.errors import GeometryFault
from generators.geometry.frames import Matrix, apply
from generators.layout.mounting import PlacedPart, part_matrix
from generators.layout.spots import axes_frame, body_ends, part_opening, signed
from generators.model.spec.job import Job
from generators.model.spec.lines import Component
from generators.sheetmetal.folding import folded_frames
from generators.solve.pedals import PedalAnswer
from generators.standards import pedal_load
from generators.strength.bores import Bore, BoreForce
from generators.strength.statics import middle

CLAMP = "clamp"
"""What the holes of clamps are named after, whether or not a ``[[clamp]]`` says which sits there."""
STOP = "stop"
"""The hole of a stop bracket that takes the stop bolt."""
G = 9.80665
FORWARD_G, OTHER_G = 20.0, 8.0
CRASH = (
    "UN R67 and R110 (containers of M1 and N1: 20 g in the direction of travel, 8 g across), from memory; "
    "8 g down, ours"
)
FLUID_KG_MM3 = 1.07e-6
"""Brake fluid, the heavy end of 1.02 to 1.07 g/cc (data sheets, from memory); the whole body is taken so."""
TUG_N = 100.0
TUG = "no figure for hoses found; as the cord of a heavy appliance, 100 N (IEC 60335-1), from memory"
SHORTEST = 0.05
"""A stop bolt this far from square to the pedal's swing, as a share of its distance, is no stop."""


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnCase:
    """Forces on a part, with words for them; ``force_n`` is the size of what acts."""

    name: str
    words: str
    force_n: float
    source: str
    forces: tuple[BoreForce, ...]


def own_cases(
    job: Job, part: PlacedPart, bores: Sequence[Bore], pedals: Sequence[PedalAnswer]
) -> Iterator[OwnCase]:
    """The cases of a mounted part by what it carries; a place that is none is told elsewhere."""
    with suppress(GeometryFault):
        yield from _own_cases(job, part, bores, pedals)


def _own_cases(
    job: Job, part: PlacedPart, bores: Sequence[Bore], pedals: Sequence[PedalAnswer]
) -> Iterator[OwnCase]:
    if part.mount is None:
        return
    panel = next(p for p in job.panel if p.name == part.mount.panel)
    pose = part_matrix(panel, part.mount, part.lift_mm)
    known = {b.name: b for b in bores}
    for pedal in pedals:
        bolt = pedal.spec.stop_bolt
        if bolt is not None and bolt.part == part.spec.name and STOP in known:
            yield from _stopped(pedal, known[STOP], pose)
    for component in job.component:
        on = component.on
        if component.kind == "reservoir" and on.part == part.spec.name and set(on.holes) <= known.keys():
            yield from _full(component, part, known, pose)
    tugged: set[str] = set()
    for clamp in job.clamp:
        if clamp.on.part == part.spec.name and clamp.on.holes and set(clamp.on.holes) <= known.keys():
            tugged |= set(clamp.on.holes)
            yield from _tugged(clamp.name, clamp.on.holes, part, known)
    for name in known:
        if name.startswith(CLAMP) and name not in tugged:
            yield from _tugged(f"{part.spec.name}_{name}", (name,), part, known)


def _stopped(pedal: PedalAnswer, bore: Bore, pose: Matrix) -> Iterator[OwnCase]:
    """The largest force at the pad, all of it on the stop: by moments about the pivot, nothing on the rod."""
    link = pedal.linkage
    at, way = apply(pose, middle(bore)[None, :])[0], pose[:3, :3] @ np.array(bore.axis)
    arm = at - np.array(link.frame.pivot)
    across = np.array(link.across)
    coming = link.sense * float(np.cross(across, arm) @ way)
    if abs(coming) < SHORTEST * float(np.linalg.norm(arm)):
        return
    row = pedal_load("limit", pedal.spec.kind)
    force = row.force_n * link.pad_radius_mm / coming
    yield OwnCase(
        name=f"{pedal.spec.name}_stop",
        words=f"{abs(force):.0f} N on the stop bolt, {row.force_n:.0f} N on the {pedal.spec.name} pad",
        force_n=abs(force),
        source=f"{row.source} ({row.trust}), times {abs(force) / row.force_n:.2f} by the pedal's leverage",
        forces=(BoreForce(bore=bore.name, force=_v(force * np.array(bore.axis))),),
    )


def _full(
    component: Component, part: PlacedPart, known: Mapping[str, Bore], pose: Matrix
) -> Iterator[OwnCase]:
    """A reservoir full to its top, thrown forward, aside and down; nothing where its body is not given."""
    bores = [known[name] for name in component.on.holes]
    places = np.array([middle(b) for b in bores])
    normal = np.array(bores[0].axis)
    sign = signed(pose[:3, :3] @ normal, component.on.side)
    out = sign * normal
    face = places.mean(axis=0) + part.plan.thickness_mm / 2 * out
    frame = axes_frame(apply(pose, face[None, :])[0], pose[:3, :3] @ out)
    ends = body_ends(component, frame)
    if ends is None or component.diameter_mm is None or component.length_mm is None:
        return
    back: Matrix = np.linalg.inv(pose).astype(np.float64)
    centre = apply(back, np.array(ends)).mean(axis=0)
    mass = math.pi / 4 * component.diameter_mm**2 * component.length_mm * FLUID_KG_MM3
    for name, way, many in (
        ("forward", (-1.0, 0.0, 0.0), FORWARD_G),
        ("aside", (0.0, 1.0, 0.0), OTHER_G),
        ("down", (0.0, 0.0, -1.0), OTHER_G),
    ):
        size = mass * many * G
        force = size * (back[:3, :3] @ np.array(way))
        yield OwnCase(
            name=f"{component.name}_{name}",
            words=f"{component.name}, {mass:.2f} kg full, {name} at {many:g} g ({size:.0f} N)",
            force_n=size,
            source=CRASH,
            forces=_shared(bores, places, out, centre, force, component.diameter_mm / 2),
        )


def _shared(
    bores: Sequence[Bore], places: Matrix, out: Matrix, centre: Matrix, force: Matrix, heel: float
) -> tuple[BoreForce, ...]:
    """A force off the middle of its bolts, as a rigid foot passes it to them.

    What the bolts cannot take as couples (about the line of two) pries at them: the foot heels over its rim,
    ``heel`` from its middle, and they pull. The rim's own push back on the sheet is left out.
    """
    arms = places - places.mean(axis=0)
    moment = np.cross(centre - places.mean(axis=0), force)
    # f = F/n + θ × r with Σ r × f = M: the pattern's own inertia
    inertia = sum(float(r @ r) * np.eye(3) - np.outer(r, r) for r in arms)
    turn = np.linalg.pinv(inertia, rcond=1e-6) @ moment
    each = np.array([force / len(bores) + np.cross(turn, r) for r in arms])
    left = moment - sum(np.cross(r, np.cross(turn, r)) for r in arms)
    in_sheet = left - float(left @ out) * out
    each = each + float(np.linalg.norm(in_sheet)) / heel / len(bores) * out
    return tuple(BoreForce(bore=b.name, force=_v(f)) for b, f in zip(bores, each, strict=True))


def _tugged(
    name: str, holes: Sequence[str], part: PlacedPart, known: Mapping[str, Bore]
) -> Iterator[OwnCase]:
    """A pull at a hose, which its clamp passes on: away from the sheet and both ways along it."""
    flange, _ = part_opening(part.plan, holes[0])
    axes = folded_frames(part.plan)[flange][:3, :3]
    for way, words in ((2, "off the sheet"), (0, "along the sheet"), (1, "along the sheet, the other way")):
        yield OwnCase(
            name=f"{name}_tug_{'uvw'[way]}",
            words=f"{TUG_N:.0f} N tug at {name}, {words}",
            force_n=TUG_N,
            source=TUG,
            forces=tuple(
                BoreForce(bore=known[h].name, force=_v(TUG_N / len(holes) * axes[:, way])) for h in holes
            ),
        )


def _v(values: Matrix) -> tuple[float, float, float]:
    x, y, z = (float(value) + 0.0 for value in values)
    return x, y, z
