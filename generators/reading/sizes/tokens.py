"""A worked-out value as pieces: quantities, names, signs. Nothing here knows what a name stands for."""

from __future__ import annotations

import re
from dataclasses import dataclass

from generators.errors import UnitError
from generators.model.spec.fields import NAME_PATTERN
from generators.model.words import STOP_WORDS
from generators.reading.toml.words import quoted
from generators.units import UNITS_BY_KIND

LONGEST = 120
"""Letters of a worked-out value: bounds the work a hostile file can ask for."""

TAKEN = frozenset({*STOP_WORDS, "ga", "gage", "gauge", "swg"})
"""Words that quantities of a spec hold besides units: no size has such a name."""

_UNITS = sorted((unit for units in UNITS_BY_KIND.values() for unit in units), key=len, reverse=True)
_WORD = r"[A-Za-z0-9_]"
_PIECE = re.compile(
    rf"""
    (?P<number>[0-9]+(?:\ +|-)[0-9]+/[0-9]+|[0-9]+/[0-9]+|[0-9]+\.[0-9]+|[0-9]+|\.[0-9]+)(?![0-9.])
    (?:\ *(?:
        (?P<unit>{"|".join(map(re.escape, _UNITS))})(?!{_WORD})
      | (?P<times>{NAME_PATTERN[1:-1]})(?!{_WORD})
    ))?
  | (?P<name>[A-Za-z]{_WORD}*)
  | (?P<sign>[-+*/()])
    """,
    re.VERBOSE,
)


class Slip(Exception):
    """A worked-out value that is none: ``at`` counts its letters from 0."""

    def __init__(self, at: int, found: str, expected: str, hint: str = "") -> None:
        self.at, self.found, self.expected, self.hint = at, found, expected, hint
        super().__init__(found)


@dataclass(frozen=True, slots=True)
class Piece:
    """One piece: a number with its unit or the size it counts, a size alone, or a sign."""

    at: int
    number: str = ""
    unit: str = ""
    name: str = ""
    sign: str = ""


def pieces(text: str) -> list[Piece]:
    """The pieces of a text, in order. Raises ``Slip`` at the first letter that begins none."""
    if len(text) > LONGEST:
        raise Slip(LONGEST, f"{len(text)} characters", f"at most {LONGEST}")
    out: list[Piece] = []
    at = 0
    while at < len(text):
        if text[at] == " ":
            at += 1
            continue
        match = _PIECE.match(text, at)
        if match is None:
            raise Slip(at, quoted(text[at]), "a quantity, the name of a size, or one of + - * / ( )")
        name = match["times"] or match["name"] or ""
        out.append(
            Piece(
                at=at,
                number=match["number"] or "",
                unit=match["unit"] or "",
                name=name,
                sign=match["sign"] or "",
            )
        )
        at = match.end()
    return out


def is_worked_out(text: str, *, sizes: bool) -> bool:
    """True for a text that is arithmetic or calls sizes by name, not one plain quantity.

    With ``sizes`` a lone word, or a number with a word that is no unit, counts as well: it calls a size.
    """
    try:
        found = pieces(text)
    except (Slip, UnitError):
        return False
    if not found:
        return False
    bare = found[1:] if found[0].sign in ("+", "-") else found
    if len(bare) == 1 and not bare[0].sign:
        return sizes and bool(bare[0].name) and bare[0].name not in TAKEN
    named = any(piece.name for piece in found)
    # numbers alone, or a slip like "38 mm mm", are for the reader of plain quantities to refuse
    joined = any(piece.sign for piece in bare)
    return joined and (sizes or not named) and any(piece.unit or piece.name for piece in found)
