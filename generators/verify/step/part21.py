"""The text of a STEP file (ISO 10303-21) as plain values, strictly read.

A CAD kernel follows what a damaged file says without asking and can take the whole program down
with it, so the text is read here first. See ``part21_kinds`` for what may stand in it.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TypeAlias

from generators.errors import PedalplateError

DEEPEST = 8
BIGGEST_BYTES = 50_000_000
FIRST, LAST = "ISO-10303-21", "END-ISO-10303-21"


class Part21Error(PedalplateError):
    """A file is no STEP file, or not what ISO 10303-21 allows. The message says what and where."""


@dataclass(frozen=True, slots=True)
class Ref:
    """A reference to an instance, ``#12``."""

    number: int


@dataclass(frozen=True, slots=True)
class Word:
    """An enumeration ``.MILLI.``, or one of ``*`` and ``$``."""

    text: str


@dataclass(frozen=True, slots=True)
class Typed:
    """``KIND(...)``: a whole instance, a piece of a complex one, or a typed value."""

    kind: str
    values: tuple[Value, ...]


Value: TypeAlias = "str | int | float | Ref | Word | Typed | tuple[Value, ...]"


@dataclass(frozen=True, slots=True)
class File21:
    """Header records in order, and instances by number; a complex instance has several pieces."""

    header: tuple[Typed, ...]
    instances: Mapping[int, tuple[Typed, ...]]

    def of_kind(self, kind: str) -> Iterator[Typed]:
        """Every instance or piece of that kind, in file order."""
        for pieces in self.instances.values():
            yield from (p for p in pieces if p.kind == kind)


_TOKEN = re.compile(
    r"\s*+(?:/\*.*?\*/\s*+)*+"
    r"(?:(?P<string>'(?:[^']|'')*')"
    r"|(?P<ref>\#[0-9]{1,9})"
    r"|(?P<real>[+-]?[0-9]{1,20}\.[0-9]{0,20}(?:E[+-]?[0-9]{1,3})?)"
    r"|(?P<int>[+-]?[0-9]{1,9})"
    r"|(?P<enum>\.[A-Z][A-Z0-9_]*\.)"
    r"|(?P<name>[A-Z][A-Z0-9_]*(?:-[A-Z0-9-]+)?)"
    r"|(?P<mark>[(),;=*$])"
    r"|(?P<end>\Z))",
    re.DOTALL,
)


class _Tokens:
    """The tokens of a text, one ahead: ``kind`` and ``text`` of the next one, ``at`` where it is."""

    def __init__(self, source: str) -> None:
        self._source = source
        self._end = 0
        self.kind, self.text = "", ""
        self.step()

    @property
    def at(self) -> int:
        """Where the next token is; where none can be read, the first letter that is none."""
        return self._end - len(self.text)

    def step(self) -> str:
        """Go one further; the text that was there."""
        left = self.text
        if self.kind == "end":
            return left
        match = _TOKEN.match(self._source, self._end)
        if match is None:
            self.text = ""
            self._end = _blanks(self._source, self._end)
            raise self.fault("unreadable")
        self.kind = match.lastgroup or ""  # one of the groups is always met
        self.text = match[self.kind]
        self._end = match.end()
        return left

    def plain(self) -> re.Match[str] | None:
        """The instance that begins here, if it is a plain one; then go on to what comes after it."""
        match = _INSTANCE.match(self._source, self.at)
        if match is not None:
            self._end = match.end()
            self.kind = self.text = ""
            self.step()
        return match

    def take(self, kind: str, text: str = "") -> str:
        """Go one further if the next token is this one, else raise ``Part21Error``."""
        if self.kind != kind or (text and self.text != text):
            raise self.fault(f"no {text or kind}")
        return self.step()

    def fault(self, message: str) -> Part21Error:
        """The error with the place of the next token."""
        line = self._source.count("\n", 0, self.at) + 1
        return Part21Error(
            f"is damaged in line {line}: {message} at {self._source[self.at : self.at + 12]!r}"
        )


# most of a file: values and lists of values; what else there is, is read token by token
_ATOM = (
    r"(?:\#[0-9]{1,9}|[+-]?[0-9]{1,20}\.[0-9]{0,20}(?:E[+-]?[0-9]{1,3})?|[+-]?[0-9]{1,9}"
    r"|\.[A-Z][A-Z0-9_]*\.|[*$])"
)
_LIST = rf"\({_ATOM}(?:,\s*{_ATOM})*\)"
_INSTANCE = re.compile(
    r"\#(?P<number>[0-9]{1,9})\s*=\s*(?P<kind>[A-Z][A-Z0-9_]*)"
    rf"\((?P<first>'(?:[^']|'')*+'|{_ATOM}|{_LIST})(?P<rest>(?:,\s*(?:{_ATOM}|{_LIST}))*)\)\s*;"
)
_VALUES = re.compile(r"\(([^()]*)\)|([^\s,()]+)")
_BLANKS = re.compile(r"\s*+(?:/\*.*?\*/\s*+)*+", re.DOTALL)


def _blanks(source: str, at: int) -> int:
    """Where what follows blanks and comments begins."""
    match = _BLANKS.match(source, at)
    return match.end() if match else at


def load(path: Path) -> File21:
    """Read a file. Raises ``Part21Error`` when it cannot be read, is cut short or is damaged."""
    try:
        if path.stat().st_size > BIGGEST_BYTES:
            raise Part21Error(f"is larger than {BIGGEST_BYTES} bytes")
        text = path.read_text(encoding="latin-1")
    except OSError as error:
        raise Part21Error(f"cannot be read: {error.strerror}") from error
    if not text.strip():
        raise Part21Error("is empty")
    if not text.startswith(f"{FIRST};"):
        raise Part21Error(f"is no STEP file: it does not begin with {FIRST}")
    if not text.rstrip().endswith(f"{LAST};"):
        raise Part21Error(f"is cut short: {LAST} is missing")
    return parse(text)


def require_linked(file: File21) -> None:
    """Raises ``Part21Error`` for a reference to an instance that is not there."""
    for number, pieces in file.instances.items():
        for ref in _refs([value for piece in pieces for value in piece.values]):
            if ref.number not in file.instances:
                raise Part21Error(f"is damaged: #{number} refers to #{ref.number}, which is not there")


def _refs(values: Iterable[Value]) -> Iterator[Ref]:
    for value in values:
        if isinstance(value, Ref):
            yield value
        elif isinstance(value, Typed):
            yield from _refs(value.values)
        elif isinstance(value, tuple):
            yield from _refs(value)


def parse(text: str) -> File21:
    """The content of a STEP file. Raises ``Part21Error`` at the first thing that cannot be read."""
    tokens = _Tokens(text)
    for word in (FIRST, "HEADER"):
        tokens.take("name", word)
        tokens.take("mark", ";")
    header = []
    while tokens.text != "ENDSEC":
        header.append(_typed(tokens, 0))
        tokens.take("mark", ";")
    for word in ("ENDSEC", "DATA"):
        tokens.take("name", word)
        tokens.take("mark", ";")
    instances: dict[int, tuple[Typed, ...]] = {}
    while tokens.text != "ENDSEC":
        match = tokens.plain()
        number = int(match["number"] if match is not None else tokens.take("ref")[1:])
        if number in instances:
            raise tokens.fault(f"#{number} is there twice")
        if match is not None:
            instances[number] = (Typed(match["kind"], _listed(match["first"], match["rest"])),)
            continue
        tokens.take("mark", "=")
        instances[number] = _pieces(tokens)
        tokens.take("mark", ";")
    for word in ("ENDSEC", LAST):
        tokens.take("name", word)
        tokens.take("mark", ";")
    tokens.take("end")
    return File21(tuple(header), instances)


def _listed(first: str, rest: str) -> tuple[Value, ...]:
    """The values of a plain instance."""
    if first.startswith("'"):
        return (first[1:-1].replace("''", "'"), *_split(rest))
    return _split(first + rest)


def _split(text: str) -> tuple[Value, ...]:
    return tuple(
        tuple(map(_atom, "".join(inner.split()).split(","))) if inner else _atom(single)
        for inner, single in _VALUES.findall(text)
    )


def _atom(text: str) -> Value:
    lead = text[0]
    if lead == "#":
        return Ref(int(text[1:]))
    if lead in ".*$":
        return Word(text)
    return float(text) if "." in text else int(text)


def _pieces(tokens: _Tokens) -> tuple[Typed, ...]:
    if tokens.kind == "name":
        return (_typed(tokens, 0),)
    tokens.take("mark", "(")
    pieces = []
    while tokens.text != ")":
        pieces.append(_typed(tokens, 0))
    tokens.take("mark", ")")
    return tuple(pieces)


def _typed(tokens: _Tokens, depth: int) -> Typed:
    kind = tokens.take("name")
    return Typed(kind, _values(tokens, depth))


def _values(tokens: _Tokens, depth: int) -> tuple[Value, ...]:
    if depth > DEEPEST:
        raise tokens.fault(f"lists nested more than {DEEPEST} deep")
    tokens.take("mark", "(")
    values: list[Value] = []
    while tokens.text != ")":
        if values:
            tokens.take("mark", ",")
        values.append(_value(tokens, depth))
    tokens.take("mark", ")")
    return tuple(values)


_PLAIN: Mapping[str, Callable[[str], Value]] = {
    "string": lambda text: text[1:-1].replace("''", "'"),
    "ref": lambda text: Ref(int(text[1:])),
    "real": float,
    "int": int,
    "enum": Word,
}


def _value(tokens: _Tokens, depth: int) -> Value:
    plain = _PLAIN.get(tokens.kind)
    if plain is not None:
        return plain(tokens.step())
    if tokens.kind == "name":
        return _typed(tokens, depth + 1)
    if tokens.text in ("*", "$"):
        return Word(tokens.step())
    return _values(tokens, depth + 1)
