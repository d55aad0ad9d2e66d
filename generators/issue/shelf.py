"""Pieces of pages: those of the last run are put on again where all they were drawn from is the same.

``reuse.json`` says of each file which pieces stand in it, and where. A piece is cut out of the file of the
last run, when that has the very bytes it was proven with. The page it comes to is read back like any other.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import partial

from generators.drawing.pieces import Piece
from generators.issue.digest import Digests, made_from, made_with
from generators.issue.stamp import PLACEHOLDER


@dataclass(frozen=True, slots=True)
class Cut:
    """Where a piece stands in a file: its key, its first byte, how many; fonts it brought, what was said."""

    key: str
    at: int
    length: int
    fonts: tuple[str, ...]
    said: tuple[str, ...]


class Shelf:
    """The pieces of one run in one process."""

    def __init__(self, known: Mapping[str, tuple[bytes, Cut]] | None = None) -> None:
        """``known`` are pieces of the last run by key, each with the file it stands in."""
        self._known = known or {}
        self._here: dict[str, Piece] = {}
        self._asked: dict[str, Piece] = {}
        self._names = Digests()
        self._made_with = made_with()

    def piece(self, drawer: partial[Piece], draw: Callable[[], Piece]) -> Piece:
        """The piece a drawer draws, taken again where it was drawn from the same things."""
        key = made_from(drawer, self._made_with, self._names)
        piece = self._here.get(key) or self._again(key) or draw()
        self._here[key] = self._asked[key] = piece
        return piece

    def _again(self, key: str) -> Piece | None:
        if key not in self._known:
            return None
        data, cut = self._known[key]
        code = data[cut.at : cut.at + cut.length]
        return Piece(code.decode("utf-8"), cut.fonts, cut.said) if len(code) == cut.length else None

    def cuts(self, body: bytes) -> tuple[Cut, ...]:
        """Where the pieces that were asked for since the last call stand in the file they were asked for.

        Left out is a piece that must not be taken again: one that holds a revision, or stands in the file in
        other letters.
        """
        found = []
        for key, piece in self._asked.items():
            code = piece.code.encode("utf-8")
            at = body.find(code) if PLACEHOLDER not in piece.code else -1
            if at >= 0:
                found.append(Cut(key, at, len(code), piece.fonts, piece.said))
        self._asked.clear()
        return tuple(found)
