"""What several files of one job ask of the same thing, worked out once."""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import Concatenate, ParamSpec, TypeVar

Given = TypeVar("Given")
Answer = TypeVar("Answer")
More = ParamSpec("More")


def once_for_each(
    work: Callable[Concatenate[Given, More], Answer],
) -> Callable[Concatenate[Given, More], Answer]:
    """``work`` that gives its last answer again when it is asked of the very same thing, and equal ``more``.

    Nobody may change the thing. It is told by identity: it holds plans and arrays, and to compare them would
    take long. It is held with its answer, so no other can come to have its identity.
    """
    last: list[tuple[Given, object, Answer]] = []

    @wraps(work)
    def asked(given: Given, /, *more: More.args, **named: More.kwargs) -> Answer:
        for known, besides, answer in last:
            if known is given and besides == (more, named):
                return answer
        found = work(given, *more, **named)
        last[:] = [(given, (more, named), found)]
        return found

    return asked


def settled_by(work: Callable[[Given], Given]) -> Callable[[Given], Given]:
    """``once_for_each`` of work that leaves its own answer as it is: asked of that, it gives it back."""
    last: list[Given] = []
    once = once_for_each(work)

    @wraps(work)
    def asked(given: Given) -> Given:
        if not (last and last[0] is given):
            last[:] = [once(given)]
        return last[0]

    return asked
