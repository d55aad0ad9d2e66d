"""A kit put on many vehicles at once, by its own steps."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from generators.measure.chance.kit import BoltedOn, Gauge, Kit
from generators.measure.equations import Array
from generators.measure.fitting.fit import laid_room
from generators.measure.fitting.goes import assembles

Flags = NDArray[np.bool_]


@dataclass(frozen=True, slots=True, kw_only=True)
class Installs:
    """What became of each install: steps that failed (installs, steps), rooms left (installs, things), mm.

    A thing is a part that is bolted on, or a gauge, in the order of ``names``; ``scrapped`` are hoses spoiled
    in each install. ``step`` is the place of each thing's step.
    """

    names: tuple[str, ...]
    step: tuple[int, ...]
    room_mm: Array
    failed: Flags
    scrapped: NDArray[np.intp]

    @property
    def together(self) -> Flags:
        """Installs where every step went."""
        return np.asarray(~self.failed.any(axis=1))


def joint_room(part: BoltedOn, inputs: Array) -> tuple[Array, Flags]:
    """Room left where the part is laid by least squares, mm, and whether it goes on however it is laid."""
    count, n = len(inputs), len(part.joints)
    off = (inputs @ part.off.T).reshape(count, n, 2)
    panel = np.array([j.panel for j in part.joints]) + off
    clear = np.array([j.clearance_mm for j in part.joints]) + inputs @ part.clear.T
    room = laid_room(part.joints, panel, clear)
    goes = room >= 0
    if not goes.all():
        # only what does not go on as it is laid first is laid again with care
        goes[~goes] = assembles(part.joints, panel[~goes], clear[~goes])
    return np.where(goes, np.maximum(room, 0.0), np.minimum(room, 0.0)), goes


def gauge_room(gauge: Gauge, inputs: Array) -> Array:
    """How much is left of it, mm; negative where it does not hold."""
    if gauge.kind == "line":
        return np.asarray(gauge.rest_mm - np.linalg.norm(inputs @ gauge.rows.T + gauge.off_mm, axis=1))
    return np.asarray(gauge.rest_mm + inputs @ gauge.rows[0])


def installs(kit: Kit, inputs: Array) -> Installs:
    """The kit put on for every row of ``inputs`` (installs, columns)."""
    steps = {key: k for k, (key, _) in enumerate(kit.tasks)}
    things: list[tuple[str, int]] = []
    rooms: list[Array] = []
    failed = np.zeros((len(inputs), len(steps)), dtype=np.bool_)
    spoiled: dict[str, Flags] = {}
    for part in kit.bolted:
        room, goes = joint_room(part, inputs)
        things.append((f"bolts of {part.title}", steps[part.task]))
        rooms.append(room)
        failed[:, steps[part.task]] |= ~goes
    for gauge in kit.gauges:
        room = gauge_room(gauge, inputs)
        things.append((gauge.name, steps[gauge.task]))
        rooms.append(room)
        failed[:, steps[gauge.task]] |= room < 0
        if gauge.hose:
            spoiled[gauge.hose] = spoiled.get(gauge.hose, np.zeros(len(inputs), np.bool_)) | (room < 0)
    return Installs(
        names=tuple(name for name, _ in things),
        step=tuple(step for _, step in things),
        room_mm=np.stack(rooms, axis=1) if rooms else np.zeros((len(inputs), 0)),
        failed=failed,
        scrapped=np.sum(list(spoiled.values()), axis=0, dtype=np.intp)
        if spoiled
        else np.zeros(len(inputs), np.intp),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Tally:
    """Counts of many installs: all that went together, that failed at each step first and at all.

    ``thing_failed`` counts each thing, ``scrapped`` hoses in all installs together.
    """

    tries: int
    together: int
    first: tuple[int, ...]
    ever: tuple[int, ...]
    thing_failed: tuple[int, ...]
    scrapped: int

    @property
    def chance(self) -> float:
        """The share of installs where all went together first time."""
        return self.together / self.tries


def tally(done: Installs) -> Tally:
    """The counts of some installs."""
    bad = done.failed
    first = np.argmax(bad, axis=1)[bad.any(axis=1)]
    return Tally(
        tries=len(bad),
        together=int(done.together.sum()),
        first=tuple(int(n) for n in np.bincount(first, minlength=bad.shape[1])),
        ever=tuple(int(n) for n in bad.sum(axis=0)),
        thing_failed=tuple(int(n) for n in (done.room_mm < 0).sum(axis=0)),
        scrapped=int(done.scrapped.sum()),
    )


def added(tallies: Sequence[Tally]) -> Tally:
    """The counts of all of them. Raises ``ValueError`` for none."""
    if not tallies:
        raise ValueError("no installs")

    def total(columns: Sequence[tuple[int, ...]]) -> tuple[int, ...]:
        return tuple(sum(column) for column in zip(*columns, strict=True))

    return Tally(
        tries=sum(t.tries for t in tallies),
        together=sum(t.together for t in tallies),
        first=total([t.first for t in tallies]),
        ever=total([t.ever for t in tallies]),
        thing_failed=total([t.thing_failed for t in tallies]),
        scrapped=sum(t.scrapped for t in tallies),
    )
