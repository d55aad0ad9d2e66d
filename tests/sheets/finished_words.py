"""What a finished install sheet says, as the tests of its words take it."""

from __future__ import annotations

from typing import NamedTuple

from generators.solve.job import Prepared


class Sheet(NamedTuple):
    """A job with its finished install sheet: all of its text, and its steps."""

    job: Prepared
    text: str
    steps: tuple[str, ...]
