"""How a hole of a part is finished after it was cut: what is cut first, and what is called out."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from generators.model.words import FinishKind
from generators.standards import HoleTolerance


@dataclass(frozen=True, slots=True, kw_only=True)
class HoleFinish:
    """What makes a hole that is cut ``cut_mm`` wide into what the part has in the end.

    ``tolerance`` is that of the finished diameter, None where a thread or a head decides. ``words`` is what
    the drawing calls out, without the hole's number. ``bent`` says that it is done after bending. ``thread``
    is the designation of one that is cut in it, with its pitch.
    """

    kind: FinishKind
    cut_mm: float
    words: str
    tolerance: HoleTolerance | None = None
    bent: bool = False
    thread: str = ""


def called_out(holes: Iterable[tuple[str, HoleFinish | None]]) -> list[str]:
    """``8, 9: pilot, cut Ø 14.5; …``: how numbered holes are finished, alike ones together."""
    said: dict[str, list[str]] = {}
    for number, finish in holes:
        if finish is not None:
            said.setdefault(finish.words, []).append(number)
    return [f"{', '.join(numbers)}: {words}." for words, numbers in said.items()]
