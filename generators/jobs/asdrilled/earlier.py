"""Items of inspection sheets printed before a letter stood for one thing alone, by their numbers of today."""

from __future__ import annotations

from collections.abc import Collection

FORMERLY = {"B": "K", "W": "U"}
"""A boss's height had the letter of a bend's angle, the width between cheeks that of a welded edge."""


def as_now(key: str, known: Collection[str]) -> str:
    """The item of today's sheet that ``key`` stands for: an earlier number only where today has none such."""
    now = f"{FORMERLY.get(key[:1], '')}{key[1:]}"
    return now if key not in known and key[:1] in FORMERLY and now in known else key
