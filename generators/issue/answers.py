"""Slow answers of the last run, taken again when they were asked with the same words.

What takes a job long before its files are known, it asks through ``Answers``. ``reuse.json`` keeps each
answer under the name of all it was asked with, versions included, so a changed program asks anew. ``verify``
asks everything anew.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import partial
from typing import Any, TypeVar

from generators.issue.digest import made_from, made_with

T = TypeVar("T")


class Answers:
    """What was known before, and what a job was answered: plain data that JSON holds as it is."""

    def __init__(self, known: Mapping[str, Any] | None = None) -> None:
        self._known = known or {}
        self._made_with = made_with()
        self.given: dict[str, Any] = {}

    def ask(self, question: partial[Any], read: Callable[[Any], T]) -> T:
        """What ``read`` makes of the answer.

        The question is a partial of a module-level function over plain data. ``read`` raises ``TypeError`` or
        ``ValueError`` for what is no answer; then it is asked anew.
        """
        key = made_from(question, self._made_with)
        if key in self._known:
            try:
                answer = read(self._known[key])
            except (TypeError, ValueError):
                pass
            else:
                self.given[key] = self._known[key]
                return answer
        self.given[key] = question()
        return read(self.given[key])
