"""Holes mixed up in a file of readings: the names, or the face, with which the part would go on.

A measured hole under the wrong name leaves the part as far off as the two holes are apart, and no file
mends that. So every way to lay the part's holes on the measured ones is looked at: each pair of measured
holes under the two holes of the part that lie furthest apart, the others to the nearest (the assignment of
least total distance, H. W. Kuhn 1955). The same with the measured holes mirrored, as they come out when they
were read from the other face.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
from scipy.optimize import linear_sum_assignment

from generators.measure.equations import Array
from generators.measure.fitting.fit import Fit, Joint, fit

FITTED = 8
"""Ways laid on exactly, the nearest first."""

TURNED_RAD = math.radians(30.0)
"""A part tied to its panel is not laid on it more crooked than this: then names are wrong. Ours."""


WANDER_MM = 3.0
"""A hand drill does not wander further than this: beyond, a hole under a wrong name is likelier. Ours."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Naming:
    """Names with which the part goes on: ``pairs`` are (hole of the part, name it was read under).

    ``mirrored`` when the holes were read from the other face.
    """

    pairs: tuple[tuple[str, str], ...]
    mirrored: bool
    joints: tuple[Joint, ...]
    laid: Fit

    @property
    def words(self) -> str:
        """What to look at again."""
        said = []
        if self.mirrored:
            said.append("the holes read as from the other face (left and right exchanged)")
        moved = [(part, read) for part, read in self.pairs if part != read]
        swaps = {frozenset(pair) for pair in moved if (pair[1], pair[0]) in moved}
        said += [f"{a} and {b} exchanged" for a, b in (sorted(s) for s in sorted(swaps, key=sorted))]
        said += [f"the hole read as {b} taken for {a}" for a, b in moved if frozenset((a, b)) not in swaps]
        return ", ".join(said)


def doubted(laid: Fit, *, tied: bool) -> bool:
    """True where names are likelier wrong than the drill: too far off, or laid on crooked though ``tied``."""
    crooked = tied and abs(math.remainder(laid.turn_rad, 2 * math.pi)) > TURNED_RAD
    return laid.worst_mm < -WANDER_MM or crooked


def other_names(joints: Sequence[Joint], *, tied: bool) -> Naming | None:
    """The fewest names to change so that the part goes on; ``None`` where no other names do.

    ``tied`` when the readings lie in the panel's own frame: then a way that turns the part round, or one
    seen from behind, is none.
    """
    if len(joints) < 2:
        return None
    best: list[tuple[tuple[bool, int, float], Naming]] = []
    for mirrored in (False, True):
        middle = float(np.mean([j.panel[0] for j in joints]))
        read = [replace(j, panel=(2 * middle - j.panel[0], j.panel[1])) if mirrored else j for j in joints]
        for order in itertools.islice(_orders(read), FITTED):
            if not mirrored and order == tuple(range(len(joints))):
                continue
            named = tuple(_with_hole(j, read[k]) for j, k in zip(joints, order, strict=True))
            laid = fit(named)
            square = not tied or abs(math.remainder(laid.turn_rad, 2 * math.pi)) < TURNED_RAD
            if square and laid.worst_mm >= 0 and all(j.passes for j in named):
                pairs = tuple((j.name, read[k].name) for j, k in zip(joints, order, strict=True))
                changed = sum(a != b for a, b in pairs)
                found = Naming(pairs=pairs, mirrored=mirrored, joints=named, laid=laid)
                best.append(((mirrored, changed, -laid.worst_mm), found))
    return min(best, key=lambda b: b[0])[1] if best else None


def _with_hole(joint: Joint, read: Joint) -> Joint:
    """The part's hole over what was measured under another name."""
    return replace(
        joint,
        panel=read.panel,
        panel_dia_mm=read.panel_dia_mm,
        panel_sigma_mm=read.panel_sigma_mm,
        fixed=read.fixed,
    )


def _orders(joints: Sequence[Joint]) -> Iterator[tuple[int, ...]]:
    """Which measured hole goes to each of the part's, the least total distance first."""
    part = np.array([j.part for j in joints])
    panel = np.array([j.panel for j in joints])
    far = np.hypot(*(part[:, None, :] - part[None, :, :]).transpose(2, 0, 1))
    a, b = np.unravel_index(int(far.argmax()), far.shape)
    found: dict[tuple[int, ...], float] = {}
    for i, j in itertools.permutations(range(len(joints)), 2):
        laid = _laid(part, (part[a], part[b]), (panel[i], panel[j]))
        cost = ((laid[:, None, :] - panel[None, :, :]) ** 2).sum(axis=2)
        rows, columns = linear_sum_assignment(cost)
        order = tuple(int(c) for c in columns)
        found[order] = min(found.get(order, math.inf), float(cost[rows, columns].sum()))
    yield from sorted(found, key=lambda order: found[order])


def _laid(part: Array, two: tuple[Array, Array], on: tuple[Array, Array]) -> Array:
    """The part's holes with two of them laid along two others, middle on middle, shape (n, 2)."""
    own, wanted = two[1] - two[0], on[1] - on[0]
    turn = math.atan2(wanted[1], wanted[0]) - math.atan2(own[1], own[0])
    c, s = math.cos(turn), math.sin(turn)
    out: Array = (part - (two[0] + two[1]) / 2) @ np.array([[c, s], [-s, c]]) + (on[0] + on[1]) / 2
    return out
