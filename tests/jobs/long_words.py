"""A demo in which every title, use and note is as long as it may be: invented words, appended."""

from __future__ import annotations

import re
from collections.abc import Mapping
from itertools import count
from pathlib import Path

from generators.errors import SpecError
from generators.solve.job import prepare

MOST = 200
WORDS = 4 * " of the old heavy rusty wall beside the long narrow tunnel under the seat of the driver"
_TEXT = re.compile(r'(^\s*|[{,]\s*)(title|purpose|what|note)\s*=\s*"([^"]*)"')
_TOO_LONG = re.compile(r"toml:(\d+):.* of \d+ to (\d+) characters")
"""How a fault says which line is too long, and what it may have."""


def _written(text: str, most: Mapping[int, int]) -> str:
    """Each text with a number of its own and words up to what its line may have."""
    number = count(1)

    def longer(line: int) -> str:
        return _TEXT.sub(
            lambda m: f'{m[1]}{m[2]} = "{f"{m[3]} {next(number)}{WORDS}"[: most.get(line, MOST)].rstrip()}"',
            lines[line],
        )

    lines = text.split("\n")
    return "\n".join(map(longer, range(len(lines))))


def in_the_longest_words(spec: Path) -> None:
    """Write a spec anew; what its texts may have is asked of the reader. Raises ``SpecError`` for another fault."""
    text = spec.read_text(encoding="utf-8")
    most: dict[int, int] = {}
    while True:
        spec.write_text(_written(text, most), encoding="utf-8")
        try:
            prepare(spec)
        except SpecError as fault:
            told = {int(line) - 1: int(high) for line, high in _TOO_LONG.findall(str(fault))}
            if not told or told.items() <= most.items():
                raise
            most |= told
        else:
            return
