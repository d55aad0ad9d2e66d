"""What a hose passes of bolts and fittings, which routing does not look at, and where it is held beside one.

A hose that sits on the nipple of its end does not move against what that end is part of, and so not against
the bolts that hold it: it cannot rub there. Past its end fitting it moves like any hose, and beside every
other bolt all along.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence

import numpy as np

from generators.checks.rule import SAME_MM
from generators.checks.space.clash import TOUCH_MM
from generators.checks.space.ground import Ground
from generators.checks.space.moves import SPARE_MM
from generators.model.changes import Proposal
from generators.model.hose_path import HosePath, Point3
from generators.model.hose_results import Clearance
from generators.model.limits import Limits
from generators.model.words import BodyKind
from generators.routing.paths.curves import pieces, places
from generators.solve.bodies.components import component_name
from generators.solve.bodies.fixings.clamps import clamp_name
from generators.solve.bodies.hoses import chain, hose_name
from generators.solve.hoses.lines import HoseAnswer
from generators.space.body import Body, Gap
from generators.space.distance import Space

PASSED: frozenset[BodyKind] = frozenset({"bolt", "fitting"})

_STEP_MM = 0.25
"""Between the stations of which the nearest to a gap is told."""


def held_at(answer: HoseAnswer, bodies: Sequence[Body]) -> Mapping[str, tuple[str, ...]]:
    """By body, the ends of a hose (``reservoir.outlet``) whose component that body holds or is."""
    known = {body.name: body for body in bodies}
    out: dict[str, tuple[str, ...]] = {}
    for end, port in ((answer.spec.from_, answer.start), (answer.spec.to, answer.end)):
        own = component_name(port.component)
        words: frozenset[str] = frozenset()
        for name in (own, f"{own}.leg", f"{own}.flange"):
            words |= known[name].joined if name in known else frozenset()
        for body in bodies:
            if body.what in PASSED and (body.owner == port.component or body.joined & words):
                out[body.name] = (*out.get(body.name, ()), end)
    return out


def held_there(gap: Gap, answers: Iterable[HoseAnswer], bodies: Sequence[Body]) -> bool:
    """True for a gap of a hose along one of its end fittings to what holds the thing that end is on."""
    for answer in answers:
        own = hose_name(answer.spec.name)
        mine = [name for name in (gap.first, gap.second) if name in (own, f"{own}.from", f"{own}.to")]
        if answer.path is None or len(mine) != 1:
            continue
        other, at = (gap.second, gap.at) if mine[0] == gap.first else (gap.first, gap.to)
        ends = held_at(answer, bodies).get(other, ())
        station, _ = _nearest(answer.path, at)
        low, high = _moves(answer, answer.path, ends)
        return not low <= station <= high
    return False


def _moves(answer: HoseAnswer, path: HosePath, ends: Sequence[str]) -> tuple[float, float]:
    """Between which stations a hose moves against what holds its ``ends``: not along their fittings, mm."""
    low = answer.run.start.cutoff_mm if answer.spec.from_ in ends else 0.0
    return low, path.length_mm - (answer.run.end.cutoff_mm if answer.spec.to in ends else 0.0)


def passed(
    answers: Iterable[HoseAnswer], bodies: Sequence[Body], limits: Limits, ground: Ground
) -> dict[str, tuple[tuple[Clearance, tuple[Proposal, ...]], ...]]:
    """By hose, its gaps under the limit to bolts and to fittings of the job that it is not fixed to.

    Left out are the hose's own fittings and those of other hoses, of which the rule on hoses beside each
    other tells, what holds its clamps, and, along its end fitting, what holds the thing that end is on; and
    bodies that are in the hose, which is a finding of its own. With each gap goes what may be moved aside.
    """
    out: dict[str, tuple[tuple[Clearance, tuple[Proposal, ...]], ...]] = {}
    limit_mm = limits.hose_clear_mm
    things = [b for b in bodies if b.what in PASSED and not b.name.startswith("hose:")]
    known = {body.name: body for body in bodies}
    for answer in answers:
        if answer.path is not None:
            out[answer.spec.name] = tuple(
                (gap, _aside(body, limit_mm - gap.gap_mm, ground))
                for body, gap in _of_hose(answer, answer.path, things, known, limit_mm)
            )
    return out


def _aside(body: Body, short_mm: float, ground: Ground) -> tuple[Proposal, ...]:
    """What a bolt or fitting belongs to, moved each way it goes by what is short."""
    thing = ground.movable.get(f"{'part' if body.what == 'bolt' else 'fitting'} {body.owner}")
    if thing is None:
        return ()
    far = float(math.ceil(short_mm + SPARE_MM))
    return tuple(
        Proposal(words=f"move {thing.label} {{by}} {way.words}", steps=way.steps(far)) for way in thing.ways
    )


def _of_hose(
    answer: HoseAnswer, path: HosePath, things: Sequence[Body], known: Mapping[str, Body], limit_mm: float
) -> Iterator[tuple[Body, Clearance]]:
    own = hose_name(answer.spec.name)
    held = held_at(answer, [*known.values()])
    words: frozenset[str] = frozenset()
    for name in (own, f"{own}.from", f"{own}.to", *(clamp_name(clamp) for clamp in answer.spec.clamps)):
        words |= known[name].joined if name in known else frozenset()
    beside: dict[tuple[float, float], list[Body]] = {}
    for body in things:
        ends = held.get(body.name, ())
        low, high = _moves(answer, path, ends)
        if low >= high or (body.joined & words and not ends):
            continue
        if body.what == "fitting" and ends:
            continue  # what the hose is screwed to
        beside.setdefault((low, high), []).append(body)
    found: dict[str, Gap] = {}
    for (low, high), there in beside.items():
        line = Body(
            name=own, title=own, what="hose", owner=answer.spec.name, forms=tuple(chain(path, low, high))
        )
        space = Space([line, *there])
        for number, body in enumerate(there, 1):
            gap = space.gap(0, number, limit_mm + path.outside_dia_mm)
            if gap is not None and -TOUCH_MM <= gap.gap_mm < limit_mm - SAME_MM:
                found[body.name] = gap
    for body in things:
        if body.name in found:
            yield body, _clearance(answer, path, body, found[body.name], limit_mm)


def _clearance(answer: HoseAnswer, path: HosePath, body: Body, gap: Gap, limit_mm: float) -> Clearance:
    at = gap.at if gap.first.startswith("hose:") else gap.to
    station, place = _nearest(path, at)
    return Clearance(
        hose=answer.spec.name,
        body=body.title,
        what="obstacle",
        kind="fixed",
        gap_mm=gap.gap_mm,
        limit_mm=limit_mm,
        station_mm=station,
        at=place,
    )


def _nearest(path: HosePath, at: Point3) -> tuple[float, Point3]:
    """The station of a path nearest to a point, to a quarter of a millimetre, and where it is."""
    of = pieces([path])
    best = (np.inf, 0.0, at)
    for k, (begin, length) in enumerate(zip(of.station.tolist(), of.length.tolist(), strict=True)):
        along = np.linspace(0.0, length, max(2, int(np.ceil(length / _STEP_MM)) + 1))
        spots = places(of, np.full(len(along), k, dtype=np.intp), along)
        far = np.linalg.norm(spots - np.array(at), axis=1)
        n = int(far.argmin())
        if far[n] < best[0]:
            x, y, z = (float(c) for c in spots[n])
            best = (float(far[n]), begin + float(along[n]), (x, y, z))
    return best[1], best[2]
