"""What several files of one job ask of the same thing, worked out once."""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import ParamSpec, TypeVar

Given = ParamSpec("Given")
Answer = TypeVar("Answer")
Thing = TypeVar("Thing")


def once_for_each(work: Callable[Given, Answer]) -> Callable[Given, Answer]:
    """``work`` that gives its last answer again when it is asked of the very same things in the same words.

    Nobody may change the things. They are told by identity: they hold plans and arrays, and to compare them
    would take long. They are held with their answer, so no other can come to have the identity of one.
    What is given by name are plain words and figures, told by what they say.
    """
    last: list[tuple[tuple[object, ...], dict[str, object], Answer]] = []

    @wraps(work)
    def asked(*given: Given.args, **named: Given.kwargs) -> Answer:
        for known, words, answer in last:
            if (
                words == named
                and len(known) == len(given)
                and all(a is b for a, b in zip(known, given, strict=True))
            ):
                return answer
        found = work(*given, **named)
        last[:] = [(given, dict(named), found)]
        return found

    return asked


def settled_by(work: Callable[[Thing], Thing]) -> Callable[[Thing], Thing]:
    """``once_for_each`` of work that leaves its own answer as it is: asked of that, it gives it back."""
    last: list[Thing] = []
    once = once_for_each(work)

    @wraps(work)
    def asked(given: Thing) -> Thing:
        if not (last and last[0] is given):
            last[:] = [once(given)]
        return last[0]

    return asked
