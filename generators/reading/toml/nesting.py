"""How deep a TOML text nests, found without recursion and before any parser sees it.

A recursive parser can be driven out of stack by a few kilobytes of brackets, so the depth is
bounded first. One expression skips comments and strings; it never looks at a character twice
(possessive loops), so a hostile text costs no more than a long one.
"""

from __future__ import annotations

import re

NESTING_LIMIT = 16

_TOKEN = re.compile(
    r"""
      \#[^\n]*+
    | \"{3}(?:[^"\\]|\\[\s\S]|"{1,2}(?!"))*+(?:"{3,5}|[\s\S]*+)
    | '{3}(?:[^']|'{1,2}(?!'))*+(?:'{3,5}|[\s\S]*+)
    | "(?:[^"\\\n]|\\[^\n])*+"?
    | '[^'\n]*+'?
    | [\[\]{}.=,\n]
    """,
    re.VERBOSE,
)


def too_deep(text: str, limit: int = NESTING_LIMIT) -> int | None:
    """The offset of the first bracket or dot that nests deeper than ``limit``, or ``None``."""
    depth = 0
    dots = 0
    for token in _TOKEN.finditer(text):
        mark = token.group()
        if mark in "[{":
            depth += 1
            dots = 0
        elif mark in "]}":
            # A stray closing bracket is the parser's to refuse; it must not buy depth.
            depth = max(0, depth - 1)
            dots = 0
        elif mark == ".":
            dots += 1
        elif mark in "=,\n":
            dots = 0
        if depth > limit or dots >= limit:
            return token.start()
    return None


def data_too_deep(data: object, limit: int = NESTING_LIMIT) -> tuple[str | int, ...] | None:
    """The path of the first value deeper than ``limit`` tables and lists, or ``None``.

    Headers, dotted keys and brackets each nest a little; only the data shows their sum.
    """
    waiting: list[tuple[tuple[str | int, ...], object]] = [((), data)]
    while waiting:
        path, value = waiting.pop()
        if not isinstance(value, dict | list):
            continue
        if len(path) > limit:
            return path
        steps = value.items() if isinstance(value, dict) else enumerate(value)
        waiting.extend(((*path, step), child) for step, child in steps)
    return None
