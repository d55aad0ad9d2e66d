"""Where a value is in a spec: a tuple of keys and list indices, and its printed form."""

from __future__ import annotations

import re

from generators.reading.toml.words import quoted

Path = tuple[str | int, ...]

_BARE = re.compile(r"[A-Za-z0-9_-]{1,60}")
_STEP = re.compile(r"([A-Za-z0-9_-]+)|\[([0-9]+)\]")


def path_text(path: Path) -> str:
    """The dotted form, ``panel[0].hole[2].at.u``; keys that are not bare are quoted and cut."""
    text = ""
    for step in path:
        if isinstance(step, int):
            text += f"[{step}]"
        else:
            text += ("." if text else "") + (step if _BARE.fullmatch(step) else quoted(step))
    return text


def parse_path(text: str) -> Path:
    """The path written as ``panel[0].hole[2].at.u``. Quoted keys are not understood."""
    return tuple(key or int(index) for key, index in _STEP.findall(text))
