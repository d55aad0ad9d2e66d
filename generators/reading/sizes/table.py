"""The ``[sizes]`` of a spec: each worked out once, whatever order they stand in."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Any

from generators.model.spec.fields import NAME_PATTERN
from generators.reading.sizes.terms import PLAIN, Amount, worked_out
from generators.reading.sizes.tokens import TAKEN, Piece, Slip, pieces
from generators.reading.toml import words
from generators.reading.toml.paths import Path
from generators.units import kind_of_unit

KEY = "sizes"
MOST = 200
CHAIN_SHOWN = 6
Report = Callable[[Path, str, str, str, int], Any]
"""Reports a fault: path, found, expected, hint, and which letter of the text, or -1 for all of it."""


class Known(Slip):
    """A size whose own fault has been reported: nothing more is to be said of what calls it."""


@dataclass
class Sizes:
    """Amounts by name; ``broken`` are those that were refused, and those that call them."""

    amounts: dict[str, Amount] = field(default_factory=dict)
    broken: set[str] = field(default_factory=set)

    def find(self, piece: Piece) -> Amount:
        """What a name stands for. Raises ``Slip`` for an unknown one, ``Known`` for a broken one."""
        if piece.name in self.broken:
            raise Known(piece.at, "", "")
        if piece.name not in self.amounts:
            raise _unknown(piece, [*self.amounts, *self.broken])
        return self.amounts[piece.name]


def _unknown(piece: Piece, known: list[str]) -> Slip:
    wanted = f"a size of [sizes]: {words.listed(known)}" if known else "a unit, or a name that [sizes] gives"
    hint = words.suggestion(piece.name, known)
    return Slip(piece.at, f"the unknown name {words.quoted(piece.name)}", wanted, hint)


def read_sizes(table: object, report: Report) -> Sizes:
    """The sizes of a spec's ``[sizes]`` table; every fault in it is reported."""
    sizes = Sizes()
    if not isinstance(table, dict):
        report((KEY,), words.found(table), 'a table of names and quantities, like gap = "3 mm"', "", -1)
        return sizes
    if len(table) > MOST:
        report((KEY,), f"{len(table)} sizes", f"at most {MOST}", "", -1)
        return sizes
    texts: dict[str, str] = {}
    for name, value in table.items():
        if not _named(name, report) or not _valued(sizes, name, value, report):
            sizes.broken.add(name)
        elif isinstance(value, str):
            texts[name] = value
    for name in _in_order(texts, sizes, report):
        try:
            sizes.amounts[name] = worked_out(texts[name], sizes.find)
        except Slip as slip:
            sizes.broken.add(name)
            if not isinstance(slip, Known):
                report((KEY, name), slip.found, slip.expected, slip.hint, slip.at)
    return sizes


def _named(name: str, report: Report) -> bool:
    taken = kind_of_unit(name) is not None or name in TAKEN
    if re.fullmatch(NAME_PATTERN, name) and not taken:
        return True
    found = f"the size {words.quoted(name)}" + (", which means something else in a quantity" if taken else "")
    wanted = "a name: lower case letters, digits and _, a letter first, no unit"
    report((KEY, name), found, wanted, "", -1)
    return False


def _valued(sizes: Sizes, name: str, value: object, report: Report) -> bool:
    if isinstance(value, str):
        return True
    number = isinstance(value, int | float) and not isinstance(value, bool)
    # compared first: a whole number may have more digits than a float holds; false for nan
    if number and isinstance(value, int | float) and abs(value) < 1e9:
        sizes.amounts[name] = Amount(Fraction(repr(value)), PLAIN)
        return True
    wanted = 'a quantity like "38 mm", arithmetic like "edge + 2 gap", or a bare number'
    report((KEY, name), words.found(value), wanted, "", -1)
    return False


def _calls(text: str) -> list[str]:
    try:
        return [piece.name for piece in pieces(text) if piece.name]
    except Slip:
        return []  # refused where it is worked out


def _in_order(texts: dict[str, str], sizes: Sizes, report: Report) -> list[str]:
    """Each size after those it calls; circles are reported and left out. Chains may be long: no recursion."""
    calls = {name: [c for c in _calls(text) if c in texts] for name, text in texts.items()}
    done: list[str] = []
    state: dict[str, int] = {}  # 1 on the way, 2 done
    for first in texts:
        way: list[tuple[str, int]] = [(first, 0)] if first not in state else []
        while way:
            name, k = way.pop()
            state[name] = 1
            if k == len(calls[name]):
                state[name] = 2
                done.append(name)
                continue
            way.append((name, k + 1))
            called = calls[name][k]
            if state.get(called) == 1:
                _circle([n for n, _ in way], called, sizes, report)
            elif called not in state:
                way.append((called, 0))
    return [name for name in done if name not in sizes.broken]


def _circle(way: list[str], called: str, sizes: Sizes, report: Report) -> None:
    circle = way[way.index(called) :]
    known = called in sizes.broken
    sizes.broken.update(circle)
    if known:
        return
    names = circle if len(circle) <= CHAIN_SHOWN else [*circle[: CHAIN_SHOWN - 1], "…"]
    chain = " from ".join([*names, called]) if len(circle) > 1 else f"{called} from itself"
    report(
        (KEY, called), f"a circle: {chain}", "sizes that come from others at last given in numbers", "", -1
    )
