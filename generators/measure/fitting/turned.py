"""A part bolted by two of its holes another way round: do the rest of its holes then lie elsewhere?"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from generators.model.plan import PanelHole

GOES_MM = 1.5
"""So near to the middle of a bolt's place another of a part's holes is taken for it. Ours."""

SEEN_MM = 1.5
"""A hole that comes no further from its place than this is seen by nobody, and matters little. Ours."""

SAME_MM = 0.3
"""Holes of diameters no further apart are one size to the eye. Ours."""

Points = NDArray[np.float64]


def wrong_ways(holes: Sequence[PanelHole], held: Sequence[PanelHole], *, flat: bool) -> list[Points]:
    """Where all ``holes`` of a part come to lie, (n, 2) in u and v, each other way it goes on two ``held``.

    A ``flat`` part may lie on its other face too. Ways in which every hole lies where one of its size belongs
    are left out: nobody need tell them apart. Empty where ``held`` are not two. Raises nothing.
    """
    if len(held) != 2:
        return []
    at = np.array([(h.u_mm, h.v_mm) for h in holes])
    sizes = np.array([h.final_dia_mm for h in holes])
    numbers = [h.number for h in holes]
    first, second = (numbers.index(h.number) for h in held)
    found: list[Points] = []
    for i in range(len(holes)):
        for j in range(len(holes)):
            alike = abs(sizes[i] - sizes[first]) < SAME_MM and abs(sizes[j] - sizes[second]) < SAME_MM
            apart = np.linalg.norm(at[j] - at[i]) - np.linalg.norm(at[second] - at[first])
            if i == j or not alike or abs(float(apart)) > GOES_MM:
                continue
            for over in (False, True) if flat else (False,):
                image = _placed(at, (i, j), (first, second), over=over)
                if not _lies_right(image, at, sizes):
                    found.append(image)
    return found


def telling(
    holes: Sequence[PanelHole], held: Sequence[PanelHole], ways: Sequence[Points]
) -> tuple[PanelHole, ...]:
    """The fewest holes, two at most, that tell every wrong way from the right one, large ones first."""
    free = [h for h in sorted(holes, key=lambda h: (-h.final_dia_mm, h.number)) if h not in held]
    at = {h.number: np.array((h.u_mm, h.v_mm)) for h in holes}

    def told(hole: PanelHole, image: Points) -> bool:
        same = [k for k, h in enumerate(holes) if abs(h.final_dia_mm - hole.final_dia_mm) < SAME_MM]
        return bool(np.linalg.norm(image[same] - at[hole.number], axis=1).min() > SEEN_MM)

    for hole in free:
        if all(told(hole, image) for image in ways):
            return (hole,)
    for k, hole in enumerate(free):
        for other in free[k + 1 :]:
            if all(told(hole, image) or told(other, image) for image in ways):
                return hole, other
    return tuple(free[:2])


def _placed(at: Points, own: tuple[int, int], to: tuple[int, int], *, over: bool) -> Points:
    """All points moved so that the first of ``own`` lies on the first of ``to``, the second toward its."""
    z = at[:, 0] + 1j * at[:, 1]
    moved = z - z[own[0]]
    if over:
        moved = np.conj(moved)
    want, have = z[to[1]] - z[to[0]], moved[own[1]]
    moved = moved * (want / abs(want)) / (have / abs(have)) + z[to[0]]
    return np.column_stack([moved.real, moved.imag])


def _lies_right(image: Points, at: Points, sizes: NDArray[np.float64]) -> bool:
    """True where a hole of its size belongs wherever one comes to lie."""
    off = np.linalg.norm(image[:, None] - at[None], axis=2)
    off[np.abs(sizes[:, None] - sizes[None]) >= SAME_MM] = np.inf
    return bool((off.min(axis=1) <= SEEN_MM).all())
