"""What a draft must show, and where its circles must lie."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

WORD = "DRAFT"
LEAST_RATIO = 2.0
"""A draft is drawn at half size at most."""
NEAR_MM = 0.01
Circle = tuple[float, float, float]
"""Middle from the left and from above, and diameter, mm."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Shown:
    """One picture: its words, the numbers pinned on it, and the holes of what is drawn in its own plane.

    ``holes`` are (u, v, diameter) in mm, true size; drawn 1 to ``ratio``, from behind where ``mirrored``.
    """

    name: str
    title: str
    pins: tuple[int, ...] = ()
    holes: tuple[tuple[float, float, float], ...] = ()
    ratio: float = 0.0
    mirrored: bool = False


def picture_problems(wanted: Shown, texts: Sequence[str], circles: Sequence[Circle]) -> Iterator[str]:
    """What one picture does not say or show."""
    if WORD not in texts:
        yield f"{wanted.name} does not say {WORD}"
    if not any(wanted.title in text for text in texts):
        yield f"{wanted.name} does not say {wanted.title!r}"
    missing = [str(n) for n in wanted.pins if str(n) not in texts]
    if missing:
        yield f"{wanted.name} has no pin of finding {', '.join(missing)}"
    if wanted.ratio:
        if wanted.ratio < LEAST_RATIO:
            yield f"{wanted.name} is drawn 1:{wanted.ratio:g}; a draft is half size at most"
        if not any(f"1:{wanted.ratio:g}" in text for text in texts):
            yield f"{wanted.name} does not say its scale 1:{wanted.ratio:g}"
    if wanted.holes:
        yield from _holes(wanted, np.array(circles).reshape(-1, 3))


def _holes(wanted: Shown, circles: NDArray[np.float64]) -> Iterator[str]:
    """All holes lie as one reduced pattern, whatever else is round; y runs down."""
    holes = np.array(wanted.holes)
    paper = holes[:, :2] / wanted.ratio * ((-1.0 if wanted.mirrored else 1.0), -1.0)
    best = len(holes)
    for start in circles[:, :2]:
        shift = start - paper[0]
        gaps = np.abs(circles[None, :, :2] - (paper + shift)[:, None, :]).max(axis=2)
        best = min(best, int((gaps.min(axis=1) > NEAR_MM).sum()))
        if best == 0:
            return
    yield f"{wanted.name} has {best} of {len(holes)} holes where the plan does not have them"
