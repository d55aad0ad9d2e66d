"""Bodies of hoses and rigid lines: round-ended rods along the path, each end a body of its own.

An end is as long as routing leaves out of its measure: the straight run of its fitting and a diameter. The
fitting on it is one more body, with its elbow.
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
from generators.solve.bodies.nuts import nut_pieces, spanner_pieces, union_of
from generators.solve.bodies.sheets import steps
from generators.solve.hoses.ends import socket_mm
from generators.solve.hoses.lines import HoseAnswer
from generators.solve.scene import ROUTED_ROUND, kept_name
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
        _fitting(draft, answer, word, f"{title} (fitting at {words_of(port.component, '')})")
        _nut(draft, answer, word, f"{title} (nut at {words_of(port.component, '')})")
    draft.fix(f"{own}.from", [f"{own}.to"])
    for clamp in answer.spec.clamps:
        draft.fix(own, [clamp_name(clamp)])
        # a clamp may hold a hose where its straight run still is
        for word in ends:
            draft.fix(f"{own}.{word}", [clamp_name(clamp)])


def _fitting(draft: Draft, answer: HoseAnswer, word: str, title: str) -> None:
    """Nut and socket of one end, and the elbow before them; fixed to what the hose is fixed to there.

    Where the hose itself is told to be in a body there, or too near a pedal, its fitting adds nothing.
    """
    spec, path = answer.spec, answer.path
    first = word == "from"
    end, port = (spec.from_end, answer.run.start) if first else (spec.to_end, answer.run.end)
    if path is None or (size := socket_mm(spec, end, path.outside_dia_mm)) is None:
        return
    wide, long = size
    seat, corner = np.array(answer.seats[0 if first else 1]), np.array(port.position)
    tip = corner + long * np.array(port.direction)
    forms = [Rod(start=port.position, end=point3(tip), radius_mm=wide / 2)]
    if float(np.linalg.norm(corner - seat)) > 0:
        # round at the corner, where both legs meet
        forms.append(Rod(start=point3(corner), end=point3(corner), radius_mm=wide / 2, round_ends=True))
        forms.append(Rod(start=point3(seat), end=point3(corner), radius_mm=wide / 2))
    words, hit = _told(draft, answer, first, long)
    own, name = hose_name(spec.name), f"{hose_name(spec.name)}.{word}.fitting"
    draft.add(name, title, "fitting", spec.name, forms, words)
    component = component_name((answer.start if first else answer.end).component)
    draft.fix(
        name,
        [
            *(own, f"{own}.from", f"{own}.to", component, f"{component}.leg", f"{component}.flange"),
            *(clamp_name(clamp) for clamp in spec.clamps),
            *hit,
        ],
    )


def _told(draft: Draft, answer: HoseAnswer, first: bool, long_mm: float) -> tuple[list[str], list[str]]:
    """What the hose itself is told of within that length of one end: pedals in words, and bodies it is in."""
    whole = answer.path.length_mm if answer.path is not None else 0.0
    told = [
        gap
        for gap in answer.clearances
        if not gap.met and (gap.station_mm if first else whole - gap.station_mm) <= long_mm
    ]
    words = [f"pedal {gap.body.removesuffix(' pedal')}" for gap in told if gap.kind == "moving"]
    hit = {gap.body for gap in told if gap.gap_mm <= 0}
    return words, [b.name for b in draft.bodies if b.what in ROUTED_ROUND and kept_name(b) in hit]


def _nut(draft: Draft, answer: HoseAnswer, word: str, title: str) -> None:
    """The nut of one end, fixed to what the hose is fixed to there."""
    spec, first = answer.spec, word == "from"
    row = union_of(spec)
    if row is None:
        return
    seat, port = (answer.seats[0], answer.start) if first else (answer.seats[1], answer.end)
    own, name = hose_name(spec.name), f"{hose_name(spec.name)}.{word}.nut"
    component = component_name(port.component)
    words, hit = _told(draft, answer, first, row.nut_long_mm)
    mine = [
        *(own, f"{own}.from", f"{own}.to", f"{own}.{word}.fitting"),
        *(component, f"{component}.leg", f"{component}.flange"),
        *hit,
    ]
    draft.add(name, title, "fitting", spec.name, nut_pieces(row, seat, port.direction), words)
    draft.fix(name, mine)
    room = f"{own}.{word}.spanner"
    draft.add(
        room, f"spanner on {title}", "room", spec.name, spanner_pieces(row, seat, port.direction), words
    )
    draft.fix(room, [name, *mine])


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
