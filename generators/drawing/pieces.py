"""Pieces of pages that take long to draw, each told from any other by all it is drawn from.

On paper a piece is the operators of a drawing, on a page of the web its element.

A drawer is a partial of a module-level function over plain data, and draws with the pen it is given, nothing
else. So what it drew before can be put on a page again, letter for letter, when it is asked for with the same
data. Who keeps pieces lays out a shelf (``issue.shelf``); where none is laid out every piece is drawn.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from functools import partial
from typing import Any, Protocol

from generators.drawing.paper.pdf_pen import PdfPen


@dataclass(frozen=True, slots=True)
class Piece:
    """The operators of a piece, fonts it brought to its file, and what its drawer said."""

    code: str
    fonts: tuple[str, ...]
    said: tuple[str, ...]


class Shelf(Protocol):
    """Where pieces are kept."""

    def piece(self, drawer: partial[Piece], draw: Callable[[], Piece]) -> Piece:
        """The piece a drawer draws, known by it and drawn by ``draw``."""


_LAID_OUT: list[Shelf] = []


@contextmanager
def laid_out(shelf: Shelf) -> Iterator[None]:
    """Within the block, pieces are taken from this shelf and kept on it."""
    _LAID_OUT.append(shelf)
    try:
        yield
    finally:
        _LAID_OUT.pop()


def put(
    pen: PdfPen, drawer: partial[Any], draw: Callable[[PdfPen], tuple[str, ...]] | None = None
) -> tuple[str, ...]:
    """Draw a piece on the page ``pen`` is at; returns what its drawer says.

    ``drawer`` takes a pen as its first argument. It must leave the state of the page as it finds it, as
    ``Pen.clipped`` does. With ``draw`` it is that which draws, and ``drawer`` only says what from: all of it.
    """
    asked, how = (partial(drawn, one, pen.fonts) for one in (drawer, draw or drawer))
    piece = _LAID_OUT[-1].piece(asked, how) if _LAID_OUT else how()
    pen.put(piece.code, piece.fonts)
    return piece.said


def kept(made_of: partial[Any], draw: Callable[[], Piece]) -> Piece:
    """A piece of text that stands in its file as ``draw`` gives it; ``made_of`` says what from: all of it."""
    return _LAID_OUT[-1].piece(made_of, draw) if _LAID_OUT else draw()


def drawn(drawer: Callable[[PdfPen], tuple[str, ...]], fonts: tuple[str, ...]) -> Piece:
    """A piece drawn for a file that has these fonts, in the order they came to it."""
    pen = PdfPen.aside(fonts)
    said = drawer(pen)
    return Piece(code=pen.code, fonts=pen.fonts[len(fonts) :], said=tuple(said))
