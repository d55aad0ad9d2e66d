"""Arithmetic in the quantities of a spec, put in their place as plain quantities before they are read."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any

from generators.model.spec.fields import FieldSpec
from generators.reading.sizes.table import KEY, Known, Sizes, read_sizes
from generators.reading.sizes.terms import POWERS, Powers, worked_out
from generators.reading.sizes.tokens import Slip, is_worked_out
from generators.reading.toml import words
from generators.reading.toml.paths import Path
from generators.reading.toml.tables import TableReader
from generators.reading.toml.values import FAILED
from generators.units import Kind

_LENGTH = POWERS[Kind.LENGTH]
_WANTED: Mapping[str, tuple[Powers, ...]] = MappingProxyType(
    {
        **dict.fromkeys(
            ("length", "length_or", "thickness", "point", "point3", "points", "lengths"), (_LENGTH,)
        ),
        **{str(kind): (powers,) for kind, powers in POWERS.items()},
        "curve": (_LENGTH, POWERS[Kind.FORCE]),
    }
)
"""What quantities a kind of key takes; of a curve, by their place in a pair."""


@dataclass(frozen=True)
class Arithmetic:
    """Works quantities out with the sizes of one spec; a ``WorkOut`` of ``TableReader``."""

    sizes: Sizes

    def __call__(self, reader: TableReader, spec: FieldSpec, value: Any, path: Path) -> Any:
        """The value with plain quantities in place of arithmetic; ``FAILED`` after reporting."""
        wanted = _WANTED.get(spec.kind)
        return value if wanted is None else self._worked(reader, spec, value, path, wanted)

    def _worked(
        self, reader: TableReader, spec: FieldSpec, value: Any, path: Path, wanted: tuple[Powers, ...]
    ) -> Any:
        if isinstance(value, list):
            out = [self._worked(reader, spec, one, (*path, k), wanted) for k, one in enumerate(value)]
            return FAILED if any(one is FAILED for one in out) else out
        named = bool(self.sizes.amounts or self.sizes.broken)
        if not isinstance(value, str) or value in spec.choices or not is_worked_out(value, sizes=named):
            return value
        place = path[-1] if isinstance(path[-1], int) else 0
        try:
            amount = worked_out(value, self.sizes.find)
        except Known:
            return FAILED
        except Slip as slip:
            found = f"{words.quoted(value)}: {slip.found}"
            return reader.refuse(path, found, slip.expected, slip.hint, letter=slip.at)
        if amount.powers != wanted[place % len(wanted)]:
            found = f"{words.quoted(value)}, which is {amount.what}"
            found += f" ({amount.text})" if amount.text != amount.what else ""
            return reader.refuse(path, found, words.expected(spec))
        reader.source.worked[path] = value
        return amount.text


def arithmetic_of(reader: TableReader) -> Arithmetic:
    """What works out the values of a spec; faults of its ``[sizes]`` go to ``reader``."""
    table = reader.source.table.get(KEY, {})

    def report(path: Path, found: str, expected: str, hint: str, letter: int) -> Any:
        return reader.refuse(path, found, expected, hint, letter=letter)

    return Arithmetic(read_sizes(table, report))
