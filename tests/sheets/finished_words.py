"""What a finished install sheet says, as the tests of its words take it."""

from __future__ import annotations

import math
from typing import NamedTuple

from generators.solve.job import Prepared

FLARE_MM = {4: (0.359 - 0.250) / 2 * 25.4 * (1 / math.sin(math.radians(37)) - 1 / math.tan(math.radians(37)))}
"""What the flare takes of a tube at each end (MS33584, from memory)."""


class Sheet(NamedTuple):
    """A job with its finished install sheet: all of its text, and its steps."""

    job: Prepared
    text: str
    steps: tuple[str, ...]


def starting(sheet: Sheet, words: str) -> list[str]:
    """The steps that begin with these words."""
    return [step for step in sheet.steps if step.startswith(words)]
