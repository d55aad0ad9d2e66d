"""Moves in each of the four ways of a panel, for rules that do not know which way is clear."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from generators.model.changes import Proposal, Shift

WAYS = (("to the left", -1.0, 0.0), ("to the right", 1.0, 0.0), ("up", 0.0, 1.0), ("down", 0.0, -1.0))
SPARE_MM = 1.0
"""More than the least: round things come clear of each other a little later than flat ones."""


def nudges(label: str, things: Sequence[str], short_mm: float) -> tuple[Proposal, ...]:
    """``label``, which is ``things`` as a ``Shift`` names them, moved by what is short, mm, in whole mm.

    Left, right, up and down; no way is known to be better.
    """
    far = math.ceil(short_mm + SPARE_MM)

    def moved() -> Iterator[Proposal]:
        for words, du, dv in WAYS:
            steps = tuple(Shift(thing=thing, u=du * far, v=dv * far) for thing in things)
            yield Proposal(words=f"move {label} {{by}} {words}", steps=steps)

    return tuple(moved())
