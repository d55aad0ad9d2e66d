"""A hose through its supports: the shortest chain of legs, every support passed along its axis.

Every support may be passed in one of a few directions; the legs between all pairs are solved at once and
the best chain is picked by dynamic programming. A free support starts from three directions between its
neighbours and is turned in ever smaller steps while that shortens the hose.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from generators.geometry.frames import cross
from generators.model.hose_path import HosePath, HoseRun, Segment, Straight, Support
from generators.routing.paths.curves import Array, Index, arc, point3, square_to, unit
from generators.routing.paths.dubins import least_lengths, shortest_legs
from generators.routing.paths.legs import Legs
from generators.routing.paths.plain import first_legs
from generators.routing.paths.words import Word, in_plane, plane_word

_FIRST_TURN = 0.4
_LAST_TURN = 0.004
_NO_TURN = 1e-9
_NO_LENGTH_MM = 1e-9


@dataclass(frozen=True, slots=True)
class _Chain:
    """Positions (k, 3), kept-straight lengths (k,) and candidate directions (one array (m, 3) each)."""

    places: Array
    straight: Array
    choices: tuple[Array, ...]
    radius: float


@dataclass(frozen=True, slots=True)
class _Rows:
    """Ends of many legs, and their solutions."""

    p0: Array
    d0: Array
    p1: Array
    d1: Array
    radius: Array
    legs: Legs
    words: dict[int, Word]
    length: Array


@dataclass(frozen=True, slots=True)
class _Pick:
    """The best chain: which direction at each support, and the row of each leg."""

    choice: tuple[int, ...]
    legs: tuple[int, ...]


def shortest_path(run: HoseRun) -> HosePath | None:
    """The shortest hose through its supports, nothing in the way; None where no curve was found."""
    return shortest_paths((run,))[0]


def shortest_paths(runs: Sequence[HoseRun], turn_free: bool = True) -> list[HosePath | None]:
    """Shortest paths of many hoses at once; ``turn_free`` False leaves free supports at their first guess."""
    chains = [_chain(run) for run in runs]
    picks, rows = _pick(chains)
    if turn_free and any(way.axis is None for run in runs for way in run.via):
        chains = _turn_free(runs, chains, picks)
        picks, rows = _pick(chains)
    return [
        None if pick is None else _path(run, chain, pick, rows)
        for run, chain, pick in zip(runs, chains, picks, strict=True)
    ]


def shortest_lengths(runs: Sequence[HoseRun]) -> Array:
    """Lengths only, (n,), mm, inf where no curve was found; free supports as they are first guessed."""
    if runs and not any(run.via for run in runs):
        return _port_to_port(runs)
    chains = [_chain(run) for run in runs]
    picks, rows = _pick(chains)
    return np.array(
        [
            math.inf if pick is None else float(rows.length[list(pick.legs)].sum()) + _straights(chain)
            for chain, pick in zip(chains, picks, strict=True)
        ]
    )


def _port_to_port(runs: Sequence[HoseRun]) -> Array:
    """Lengths of hoses with nothing between their ports: one leg each, and nothing to choose."""
    ends = [run.start for run in runs], [run.end for run in runs]
    p0, p1 = (np.array([port.position for port in ports]) for ports in ends)
    d0, d1 = (np.array([port.direction for port in ports]) for ports in ends)
    s0, s1 = (np.array([port.straight_mm for port in ports], dtype=float) for ports in ends)
    radius = np.array([run.bend_radius_mm for run in runs], dtype=float)
    rows, sure = _rows([(p0 + s0[:, None] * d0, d0, p1 - s1[:, None] * -d1, -d1, radius)])
    _improve(rows, np.flatnonzero(~sure))
    whole: Array = rows.length + (s0 + s1)
    return whole


def _straights(chain: _Chain) -> float:
    return float(chain.straight.sum() + chain.straight[1:-1].sum())


def _chain(run: HoseRun) -> _Chain:
    places = np.array([run.start.position, *(way.position for way in run.via), run.end.position])
    choices = [np.array([run.start.direction])]
    for number, way in enumerate(run.via, 1):
        if way.axis is None:
            choices.append(_through(places[number - 1 : number + 2], np.array(run.start.direction)))
        else:
            axis = np.array(way.axis)
            choices.append(np.array([axis]) if way.one_way else np.stack([axis, -axis]))
    choices.append(-np.array([run.end.direction]))
    straight = [run.start.straight_mm, *(way.straight_mm for way in run.via), run.end.straight_mm]
    return _Chain(places, np.array(straight), tuple(choices), run.bend_radius_mm)


def _through(places: Array, otherwise: Array) -> Array:
    """Directions in which a free support may be passed, (m, 3): of two supports in one place there is none
    between them, and a leg without direction would end anywhere."""
    before, here, after = places
    ways = np.stack([after - before, here - before, after - here])
    there = np.linalg.norm(ways, axis=1) > _NO_LENGTH_MM
    return unit(ways[there]) if there.any() else otherwise[None, :]


def _narrowed(chain: _Chain, pick: _Pick) -> _Chain:
    choices = tuple(a[k : k + 1] for a, k in zip(chain.choices, pick.choice, strict=True))
    return _Chain(chain.places, chain.straight, choices, chain.radius)


def _turn_free(runs: Sequence[HoseRun], chains: list[_Chain], picks: list[_Pick | None]) -> list[_Chain]:
    """Chains with the directions of free supports turned until no small turn shortens them."""
    out = [c if p is None else _narrowed(c, p) for c, p in zip(chains, picks, strict=True)]
    todo = [k for k, p in enumerate(picks) if p is not None and any(way.axis is None for way in runs[k].via)]
    turn = _FIRST_TURN
    while turn > _LAST_TURN:
        spread = [_spread(out[k], runs[k], turn) for k in todo]
        moved = False
        for k, chain, pick in zip(todo, spread, _pick(spread)[0], strict=True):
            if pick is not None and any(pick.choice):
                out[k] = _narrowed(chain, pick)
                moved = True
        turn = turn if moved and turn > _FIRST_TURN / 4 else turn / 2.0
    return out


def _spread(chain: _Chain, run: HoseRun, turn_rad: float) -> _Chain:
    """The chain with four more directions at each free support, the present one first."""
    choices = [chain.choices[0]]
    for way, choice in zip(run.via, chain.choices[1:-1], strict=True):
        if way.axis is None:
            here = choice[0]
            e = square_to(here)
            steps = [turn_rad * s * a for a in (e, cross(here, e)) for s in (1.0, -1.0)]
            choices.append(np.vstack([choice, unit(here + np.array(steps))]))
        else:
            choices.append(choice)
    return _Chain(chain.places, chain.straight, (*choices, chain.choices[-1]), chain.radius)


def _pick(chains: Sequence[_Chain]) -> tuple[list[_Pick | None], _Rows]:
    """The shortest chain of each, by dynamic programming over the directions at its supports."""
    first: list[list[int]] = []
    blocks: list[tuple[Array, Array, Array, Array, Array]] = []
    count = 0
    for chain in chains:
        first.append([])
        for k in range(len(chain.places) - 1):
            a, b = chain.choices[k], chain.choices[k + 1]
            d0, d1 = np.repeat(a, len(b), axis=0), np.tile(b, (len(a), 1))
            blocks.append(
                (
                    chain.places[k] + chain.straight[k] * d0,
                    d0,
                    chain.places[k + 1] - chain.straight[k + 1] * d1,
                    d1,
                    np.full(len(d0), chain.radius),
                )
            )
            first[-1].append(count)
            count += len(d0)
    rows, sure = _rows(blocks)
    lower = least_lengths(rows.p0, rows.d0, rows.p1, rows.d1, rows.radius)
    lower = np.where(sure, rows.length, np.minimum(lower, rows.length))
    _improve(rows, np.flatnonzero(~sure & _worth(chains, first, rows.length, lower)))
    return [_best(chain, begin, rows.length) for chain, begin in zip(chains, first, strict=True)], rows


def _rows(blocks: list[tuple[Array, Array, Array, Array, Array]]) -> tuple[_Rows, NDArray[np.bool_]]:
    """All legs with their plainest curve, and which of them are sure to be the shortest."""
    none = (np.empty((0, 3)), np.empty((0, 3)), np.empty((0, 3)), np.empty((0, 3)), np.empty(0))
    p0, d0, p1, d1, radius = (np.concatenate(column) for column in zip(none, *blocks, strict=True))
    legs, sure = first_legs(p0, d0, p1, d1, radius)
    return _Rows(p0, d0, p1, d1, radius, legs, {}, legs.length.copy()), sure


def _worth(chains: Sequence[_Chain], first: list[list[int]], upper: Array, lower: Array) -> NDArray[np.bool_]:
    """Legs that can be part of the best chain, by the least every leg can be and the most the best one is."""
    worth = np.zeros(len(upper), dtype=bool)
    for chain, begins in zip(chains, first, strict=True):
        shapes = [(len(a), len(b)) for a, b in pairwise(chain.choices)]
        if all(shape == (1, 1) for shape in shapes):
            worth[begins[0] : begins[0] + len(begins)] = True
            continue
        spans = [slice(b, b + m * n) for b, (m, n) in zip(begins, shapes, strict=True)]
        best = np.zeros(1)
        there = [np.zeros(1)]
        for span, shape in zip(spans, shapes, strict=True):
            best = (best[:, None] + upper[span].reshape(shape)).min(axis=0)
            there.append((there[-1][:, None] + lower[span].reshape(shape)).min(axis=0))
        back = np.zeros(1)
        for k in range(len(spans) - 1, -1, -1):
            least = lower[spans[k]].reshape(shapes[k]) + back[None, :]
            worth[spans[k]] = (there[k][:, None] + least < best[0]).ravel()
            back = least.min(axis=1)
    return worth


def _improve(rows: _Rows, which: Index) -> None:
    """Put the shortest curves found in place of the plain ones, of the legs ``which``."""
    if len(which) == 0:
        return
    p0, d0, p1, d1 = (a[which] for a in (rows.p0, rows.d0, rows.p1, rows.d1))
    better = shortest_legs(p0, d0, p1, d1, rows.radius[which], rows.length[which])
    shorter = np.flatnonzero(better.length < rows.length[which])
    rows.legs.put(which[shorter], better, shorter)
    rows.length[which[shorter]] = better.length[shorter]
    flat = in_plane(p1 - p0, d0, d1)
    for k in (int(n) for n in which[flat]):
        word = plane_word(rows.p1[k] - rows.p0[k], rows.d0[k], rows.d1[k], float(rows.radius[k]))
        if word.length_mm < rows.length[k]:
            rows.words[k], rows.length[k] = word, word.length_mm


def _best(chain: _Chain, first: list[int], length: Array) -> _Pick | None:
    if all(len(choice) == 1 for choice in chain.choices):
        whole = all(math.isfinite(length[row]) for row in first)
        return _Pick((0,) * len(chain.choices), tuple(first)) if whole else None
    total = np.zeros(len(chain.choices[0]))
    came: list[Array] = []
    for k, begin in enumerate(first):
        shape = len(chain.choices[k]), len(chain.choices[k + 1])
        through = total[:, None] + length[begin : begin + shape[0] * shape[1]].reshape(shape)
        came.append(np.argmin(through, axis=0))
        total = through.min(axis=0)
    if not np.isfinite(total[0]):
        return None
    choice = [0]
    for back in reversed(came):
        choice.append(int(back[choice[-1]]))
    choice.reverse()
    legs = [begin + choice[k] * len(chain.choices[k + 1]) + choice[k + 1] for k, begin in enumerate(first)]
    return _Pick(tuple(choice), tuple(legs))


def _path(run: HoseRun, chain: _Chain, pick: _Pick, rows: _Rows) -> HosePath:
    """The chosen legs with the straights at the supports between them."""
    parts: list[Segment] = []
    supports = [Support(name=run.start.name, kind="port", station_mm=0.0)]
    for k, row in enumerate(pick.legs):
        place, straight = chain.places[k], chain.straight[k]
        parts.append(Straight(start=point3(place), end=point3(place + straight * rows.d0[row])))
        parts += leg_segments(rows, row)
        place, straight = chain.places[k + 1], chain.straight[k + 1]
        parts.append(Straight(start=point3(place - straight * rows.d1[row]), end=point3(place)))
        station = math.fsum(part.length_mm for part in parts)
        if k < len(run.via):
            supports.append(Support(name=run.via[k].name, kind=run.via[k].kind, station_mm=station))
        else:
            supports.append(Support(name=run.end.name, kind="port", station_mm=station))
    ends = [
        (run.start.body, 0.0, run.start.straight_mm + run.outside_dia_mm),
        (run.end.body, station - run.end.straight_mm - run.outside_dia_mm, station),
    ]
    return HosePath(
        name=run.name,
        segments=joined(parts),
        supports=tuple(supports),
        outside_dia_mm=run.outside_dia_mm,
        bend_radius_mm=run.bend_radius_mm,
        own=tuple(end for end in ends if end[0]),
        passes=tuple(
            (way.panel, way.opening, support.station_mm)
            for way, support in zip(run.via, supports[1:], strict=False)
            if way.panel
        ),
    )


def leg_segments(rows: _Rows, row: int) -> list[Segment]:
    """One leg as segments; the last arc is laid back from its end, so that both ends are exact."""
    p0, d0, p1 = rows.p0[row], rows.d0[row], rows.p1[row]
    radius = float(rows.radius[row])
    if row in rows.words:
        return _word_segments(p0, d0, rows.words[row], radius)
    legs = rows.legs
    out: list[Segment] = []
    begin, end, along = p0, p1, legs.along[row]
    turn0, turn1 = float(legs.turn0[row]), float(legs.turn1[row])
    if turn0 > _NO_TURN:
        out.append(arc(p0, d0, legs.toward0[row], radius, turn0))
        begin = p0 + radius * (math.sin(turn0) * d0 + (1.0 - math.cos(turn0)) * legs.toward0[row])
    if turn1 > _NO_TURN:
        end = p1 - radius * (math.sin(turn1) * along + (1.0 - math.cos(turn1)) * legs.toward1[row])
    out.append(Straight(start=point3(begin), end=point3(end)))
    if turn1 > _NO_TURN:
        out.append(arc(end, along, legs.toward1[row], radius, turn1))
    return out


def _word_segments(p: Array, d: Array, word: Word, radius: float) -> list[Segment]:
    out: list[Segment] = []
    left = word.left
    for hand, amount in word.parts:
        if hand == 0.0:
            out.append(Straight(start=point3(p), end=point3(p + amount * d)))
            p = p + amount * d
        elif amount > _NO_TURN:
            out.append(arc(p, d, hand * left, radius, amount))
            cos, sin = math.cos(amount), hand * math.sin(amount)
            p = p + radius * (math.sin(amount) * d + hand * (1.0 - cos) * left)
            d, left = cos * d + sin * left, cos * left - sin * d
    return out


def joined(parts: Sequence[Segment]) -> tuple[Segment, ...]:
    """The parts without those of no length, straights in one line made one."""
    out: list[Segment] = []
    for part in parts:
        if part.length_mm <= _NO_LENGTH_MM:
            continue
        last = out[-1] if out else None
        if isinstance(part, Straight) and isinstance(last, Straight) and _in_line(last, part):
            out[-1] = Straight(start=last.start, end=part.end)
        else:
            out.append(part)
    return tuple(out)


def _in_line(a: Straight, b: Straight) -> bool:
    first, second = np.subtract(a.end, a.start), np.subtract(b.end, b.start)
    bent = float(np.linalg.norm(cross(first, second)))
    return bent <= 1e-7 * a.length_mm * b.length_mm and float(first @ second) > 0
