"""The steps of an install sheet as texts without blanks, cut apart at their boxes."""

from __future__ import annotations

import re
from collections.abc import Iterable

from generators.verify.pdf.content import plain

STEP = re.compile(r"\u274f[0-9]{1,3}\.")
"""The box to tick at the head of a step and its number, without blanks."""
TURN = "\0"
"""Where one page ends and the next begins."""


def steps_of(pages: Iterable[str]) -> list[str]:
    """The steps of all ``pages``, what stands before the first of them in front."""
    return STEP.split(TURN.join(plain(page) for page in pages))


def says(step: str, sentence: str) -> bool:
    """True where a step has it, be it with the foot of a page and the head of the next within."""
    return re.search(f"(?:.*{TURN}.*)?".join(map(re.escape, sentence.split())), step) is not None
