"""The one tree of errors.

::

    PedalplateError
    ├── SpecError            the spec or the shop file is wrong (exit 3); carries every fault
    ├── UnitError            one text is not a quantity of the wanted kind
    ├── LookupFault          a table has no such row; says which rows it has
    ├── GeometryFault        a plan cannot exist (a flange of no length, bends that meet)
    ├── ExportError          a file could not be written (exit 4)
    ├── ReadBackError        a finished file does not say what the plan says (exit 4)
    └── SolverFault          the finite-element solver finds no answer (exit 4)
        └── SolverMissing    it is not installed (exit 2)

An *engineering* result (a hole too near an edge) is never an exception: it is a
``Finding`` (see ``generators.model.findings``).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

__all__ = [
    "ExportError",
    "Fault",
    "GeometryFault",
    "LookupFault",
    "PedalplateError",
    "ReadBackError",
    "SolverFault",
    "SolverMissing",
    "SpecError",
    "UnitError",
    "printable",
]

_CUT = "…"
_FILE_LIMIT = 1000


def printable(text: str, limit: int = 0) -> str:
    """The text on one line and safe for a terminal: control characters and stray bytes as escapes.

    With a ``limit`` of characters the middle of a longer text is left out.
    """
    if limit and len(text) > limit:
        text = text[: limit // 2] + _CUT + text[-limit // 2 :]
    return "".join(c if c.isprintable() else _escaped(c) for c in text)


def _escaped(letter: str) -> str:
    byte = ord(letter) - 0xDC00  # how the interpreter holds a byte of a file name that is not UTF-8
    return f"\\x{byte:02x}" if 0x80 <= byte <= 0xFF else ascii(letter)[1:-1]


def _carried(kind: type[PedalplateError], words: tuple[Any, ...], said: dict[str, Any]) -> PedalplateError:
    error = kind.__new__(kind, *words)
    error.__dict__.update(said)
    return error


class PedalplateError(Exception):
    """Root of every error this package raises on purpose; goes from one process to another as it is."""

    def __reduce__(self) -> tuple[Any, ...]:
        # an exception is otherwise made again from its words alone, which is not what each of these takes
        return _carried, (type(self), self.args, self.__dict__)


class UnitError(PedalplateError):
    """A text is not a quantity of the wanted kind. ``found`` and ``expected`` are for people."""

    def __init__(self, found: str, expected: str) -> None:
        self.found = found
        self.expected = expected
        super().__init__(f"found {found}, expected {expected}")


class LookupFault(PedalplateError):
    """A table has no row with that key. ``known`` lists the keys it has."""

    def __init__(self, table: str, key: str, known: Sequence[str]) -> None:
        self.table = table
        self.key = key
        self.known = tuple(known)
        super().__init__(f"no {table} {key!r}; known: {', '.join(self.known)}")


class GeometryFault(PedalplateError):
    """A plan cannot exist with these parameters.

    ``parameter`` names the spec key at fault (or ``""``), so the reader can point at its line: one of
    the kind's, or with a dot before it one of the part itself (``.edge_fillet``). ``expected`` is what to
    give in its place, where more can be said than that keys must go together.
    """

    def __init__(self, message: str, parameter: str = "", expected: str = "") -> None:
        self.parameter = parameter
        self.expected = expected
        super().__init__(message)


class ExportError(PedalplateError):
    """A file could not be written."""


class ReadBackError(PedalplateError):
    """A finished file does not say what the plan says. ``path`` is the file, relative."""

    def __init__(self, path: str, message: str) -> None:
        self.path = path
        super().__init__(f"{path}: {message}")


class SolverFault(PedalplateError):
    """The finite-element solver finds no answer."""


class SolverMissing(SolverFault):
    """The finite-element solver is not installed; the text says how to get it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Fault:
    """One thing wrong in an input file: data apart from its wording.

    ``line`` and ``column`` count from 1; 0 means the fault belongs to the whole file.
    ``path`` is the dotted spec path, e.g. ``panel[0].hole[2].at.u``.
    """

    file: str
    line: int
    column: int
    path: str
    found: str
    expected: str
    hint: str = ""

    def render(self) -> str:
        """One line: ``file:line:column: path: found …, expected … (hint)``."""
        file = printable(self.file, _FILE_LIMIT)
        where = f"{file}:{self.line}:{self.column}" if self.line else file
        path = f" {self.path}:" if self.path else ""
        hint = f" ({self.hint})" if self.hint else ""
        return f"{where}:{path} found {self.found}, expected {self.expected}{hint}"


class SpecError(PedalplateError):
    """The input is wrong. ``faults`` holds all of them, in file order."""

    def __init__(self, faults: Sequence[Fault]) -> None:
        if not faults:
            raise ValueError("a SpecError needs at least one fault")
        self.faults = tuple(sorted(faults, key=lambda f: (f.file, f.line, f.column, f.path)))
        super().__init__("\n".join(f.render() for f in self.faults))
