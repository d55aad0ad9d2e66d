"""What several files of one job ask of the same thing, worked out once."""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import TypeVar

Given = TypeVar("Given")
Answer = TypeVar("Answer")


def once_for_each(work: Callable[[Given], Answer]) -> Callable[[Given], Answer]:
    """``work`` that gives its last answer again when it is asked of the very same thing.

    Nobody may change the thing. It is told by identity: it holds plans and arrays, and to compare them would
    take long. It is held with its answer, so no other can come to have its identity.
    """
    last: list[tuple[Given, Answer]] = []

    @wraps(work)
    def asked(given: Given) -> Answer:
        for known, answer in last:
            if known is given:
                return answer
        found = work(given)
        last[:] = [(given, found)]
        return found

    return asked
