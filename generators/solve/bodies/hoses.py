"""Bodies of hoses and rigid lines: round-ended rods along the path, each end a body of its own.

An end is as long as routing leaves out of its measure: the straight run of its fitting and a diameter.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Mapping, Sequence

import numpy as np

from generators.model.hose_path import HosePath, Point3
from generators.routing.paths.curves import Array, at_station, pieces, places, point3
from generators.solve.bodies.components import component_name, words_of
from generators.solve.bodies.draft import Draft
from generators.solve.bodies.fixings.clamps import clamp_name
from generators.solve.bodies.sheets import steps
from generators.solve.hoses.lines import HoseAnswer
from generators.space.pieces import Piece, Rod


def hose_name(name: str) -> str:
    """Name of the body of a hose between its ends."""
    return f"hose:{name}"


def hose_bodies(draft: Draft, answer: HoseAnswer) -> None:
    """The two ends and the middle of a routed hose, fixed to each other, to what is at its ends and to its
    clamps; one that found no way has no body."""
    path = answer.path
    if path is None:
        return
    title = words_of(answer.spec.name, answer.spec.title)
    own = hose_name(answer.spec.name)
    whole = path.length_mm
    first = min(answer.run.start.straight_mm + path.outside_dia_mm, whole)
    last = max(whole - answer.run.end.straight_mm - path.outside_dia_mm, first)
    ends = {"from": (0.0, first, answer.start), "to": (last, whole, answer.end)}
    draft.add(own, title, "hose", answer.spec.name, chain(path, first, last))
    for word, (low, high, port) in ends.items():
        end = f"{own}.{word}"
        draft.add(end, title, "hose", answer.spec.name, chain(path, low, high))
        at = component_name(port.component)
        draft.fix(end, [own, at, f"{at}.leg"])
    draft.fix(f"{own}.from", [f"{own}.to"])
    for clamp in answer.spec.clamps:
        draft.fix(own, [clamp_name(clamp)])
        # a clamp may hold a hose where its straight run still is
        for word in ends:
            draft.fix(f"{own}.{word}", [clamp_name(clamp)])


def chain(path: HosePath, low_mm: float, high_mm: float) -> Iterator[Piece]:
    """Round-ended rods from one station of a path to another."""
    of = pieces([path])
    for k, (begin, length, radius) in enumerate(
        zip(of.station.tolist(), of.length.tolist(), of.radius.tolist(), strict=True)
    ):
        a, b = max(low_mm - begin, 0.0), min(high_mm - begin, length)
        if b <= a:
            continue
        count = 1 if np.isinf(radius) else steps(radius, (b - a) / radius)
        at: Array = places(of, np.full(count + 1, k, dtype=np.intp), np.linspace(a, b, count + 1))
        for one, two in itertools.pairwise(at):
            yield Rod(start=point3(one), end=point3(two), radius_mm=path.outside_dia_mm / 2, round_ends=True)


def runs_in_clamps(answers: Sequence[HoseAnswer]) -> Mapping[str, Point3]:
    """The way a hose runs in each clamp it goes through."""
    out: dict[str, Point3] = {}
    for answer in answers:
        for support in answer.path.supports if answer.path is not None else ():
            if support.kind == "clamp" and answer.path is not None:
                out.setdefault(support.name, at_station(answer.path, support.station_mm)[1])
    return out
