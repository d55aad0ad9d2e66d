"""Lengths that are cut at the bench, as the steps say them: judged anew, shortest and longest alike."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from generators.verify.pdf.content import plain
from generators.verify.pdf.kit.lengths import meant_mm
from generators.verify.steps.text import TURN

SHORTENED = 0.96
"""What pressure leaves of a hose's length (AC 43.13-1B fig 9-9, R1)."""

SPARE_MM, HALF = 20.0, 0.5
"""What is left over at an end of a tube that is trimmed, and how much of it a short cut must leave (common
practice, no source)."""

BENT_MM = 1.0
"""How far a tube may be out of which nothing is trimmed (common practice, no source)."""

FINEST_MM = (0.5, 25.4 / 32)
"""Lines of a rule at the bench: a window that holds no two of either is told as one length."""

READ_MM = 0.02
"""A thousandth of an inch, half of it either way, and noise."""

_NUMBER = r"([0-9./]+)(mm|in)"
_WINDOW = (r"\(least", _NUMBER, ",most", _NUMBER, r"\)")


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece:
    """One piece to be cut, mm: its step by ``line``, in words, and what its length is judged by.

    ``ends_mm`` is what both ends together add to the cut from seat to seat, negative what flares take of it.
    ``slack`` are the least and the most of a hose, none of a tube; ``moves_mm`` how far its ends move, None
    without pressure. ``trimmed`` counts the ends of a tube that are trimmed. ``laid_mm`` is the layout's cut.
    """

    line: str
    path_mm: float
    ends_mm: float
    laid_mm: float
    slack: tuple[float, float] | None = None
    moves_mm: float | None = None
    trimmed: int = 0

    def bounds(self) -> tuple[float, float]:
        """The shortest and the longest cut that may be told, mm."""
        if self.slack is None:
            left, over = SPARE_MM * HALF, SPARE_MM * (self.trimmed + 1)
            cut = self.path_mm - self.ends_mm
            if not self.trimmed:
                return cut - BENT_MM, cut + BENT_MM
            return cut + SPARE_MM * (self.trimmed - 1) + left, cut + over
        least, most = self.slack
        low = self.path_mm * (1 + least) - self.ends_mm
        if self.moves_mm is not None:
            low = max(low, (self.path_mm + self.moves_mm - self.ends_mm) / SHORTENED)
        # a hose is cut to the shop's step above its least, be its step ever so coarse
        return low, max(low + self.path_mm * max(most - least, 0.0), self.laid_mm)

    @property
    def is_one_length(self) -> bool:
        """True where no rule has two lines between the shortest and the longest."""
        low, high = self.bounds()
        return any(math.floor(high / line) <= math.ceil(low / line) for line in FINEST_MM)


def cut_problems(steps: Sequence[str], pieces: Sequence[Piece]) -> Iterator[str]:
    """What is missing or wrong of them in ``steps``, texts without blanks."""
    for piece in pieces:
        words = ("[Cc]ut", "the", "hose") if piece.slack is not None else ("(?:[Cc]ut", "it|[Tt]ube)")
        own = [step for step in steps if step.startswith(plain(f"Fit the {piece.line},"))]
        found = _said(own, (*words, _NUMBER, *_WINDOW))
        if not found and piece.is_one_length:
            found = _said(own, (*words, _NUMBER))
        if not found:
            yield f"does not say how long the {piece.line} may be cut, least and most, in its own step"
        for match in found:
            yield from _judged(piece, match)


def _said(steps: Sequence[str], words: Sequence[str]) -> list[re.Match[str]]:
    # the foot of a page and the head of the next may stand between any two of them
    pattern = re.compile(f"(?:[^{TURN}]*{TURN}.*?)?".join(words), re.DOTALL)
    return [match for step in steps for match in pattern.finditer(step)]


def _judged(piece: Piece, match: re.Match[str]) -> Iterator[str]:
    """What is wrong of one length with its least and most, or of one that has none."""
    low, high = piece.bounds()
    groups = match.groups()
    alone = len(groups) == 2  # number and unit
    if alone:
        groups *= 3
    # behind the turn of a page the last figures of its head may stand before a number without a blank
    torn = TURN in match[0]
    cuts, leasts, mosts = (
        [
            mm
            for tail in range(len(groups[k]) if torn else 1)
            for mm in meant_mm(groups[k][tail:], groups[k + 1])
        ]
        for k in (0, 2, 4)
    )
    said = match[0].replace(TURN, " ")
    right = any(
        low - READ_MM <= least <= cut <= most <= high + READ_MM and (least < most or alone)
        for cut in cuts
        for least in leasts
        for most in mosts
    )
    if not right:
        yield f"says {said!r} of the {piece.line}; {low:.2f} mm to {high:.2f} mm is right"
