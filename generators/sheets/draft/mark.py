"""What says that a picture is a draft: the word across it, a scale that nobody can drill from, pins."""

from __future__ import annotations

import math
from collections.abc import Sequence

from generators.drawing.paper.pen import BLACK, GREY, MEDIUM, THICK, THIN, WHITE, Pen, text_width
from generators.model.findings import Severity
from generators.sheets.document import Picture
from generators.sheets.draft.content import Pin

WORD = "DRAFT"
USE = "not issued, not for cutting or drilling"
PALE = 0.9
"""Grey of the word across a picture: lines and letters over it stay readable."""
TALLEST_MM, TURN_DEG = 34.0, 24.0
PIN_MM, PIN_PAD = 2.6, 0.9
HEAD_MM, ROW_MM = 4.6, 4.4

REDUCED = (2, 5, 10, 20, 50, 100, 200, 500, 1000)
"""Reduced scales of ISO 5455: 1 to that. Never 1:1: a draft must fit no metal."""


def reduced(width_mm: float, height_mm: float, room: tuple[float, float]) -> int:
    """The first reduced scale at which a thing fits the room, as the number after ``1:``."""
    need = max(width_mm / room[0], height_mm / room[1])
    return next((scale for scale in REDUCED if scale >= need), math.ceil(need))


def across(pen: Pen, width_mm: float, height_mm: float) -> None:
    """The word across a box from its lower left corner; drawn before what it must not hide."""
    size = min(TALLEST_MM, width_mm / 4.2, height_mm * 0.6)
    rows = max(1, round(height_mm / (3.2 * size)))
    for row in range(rows):
        y = height_mm * (row + 0.5) / rows - size * 0.5
        pen.text(width_mm / 2, y, WORD, size, bold=True, align="centre", grey=PALE, angle_deg=TURN_DEG)


def pin_size(number: int) -> tuple[float, float]:
    """Width and height of a pin, mm."""
    return text_width(str(number), PIN_MM, bold=True) + 2 * PIN_PAD, PIN_MM + 2 * PIN_PAD * 0.7


def draw_pin(pen: Pen, x: float, y: float, pin: Pin) -> None:
    """A finding's number in its box, by its lower left corner.

    White on black is a fail, a thick frame a warning, a thin one a note: told apart without colour.
    """
    width, height = pin_size(pin.number)
    fails = pin.finding.severity is Severity.FAIL
    pen.stroke({Severity.FAIL: MEDIUM, Severity.WARN: THICK, Severity.NOTE: THIN}[pin.finding.severity])
    pen.rect(x, y, width, height, fill=BLACK if fails else WHITE)
    pen.text(
        x + width / 2,
        y + PIN_PAD * 0.7 + PIN_MM * 0.14,
        str(pin.number),
        PIN_MM,
        bold=True,
        align="centre",
        grey=WHITE if fails else BLACK,
    )


class Marked(Picture):
    """Another picture as a draft: the word under it, its words above, pins of what it shows in a row."""

    def __init__(self, inner: Picture, words: str, pins: Sequence[Pin] = ()) -> None:
        self._inner, self._words, self._pins = inner, words, tuple(pins)
        width, height = inner.size
        width = max(width, text_width(words, 2.6) + 20.0)
        self._rows = _rows(self._pins, width)
        super().__init__(width, height + HEAD_MM + ROW_MM * len(self._rows))
        self.pinned_at: list[tuple[int, float, float, float, float]] = []
        """Once painted: number, left, low, width and height of every pin, mm."""

    def paint(self, pen: Pen) -> None:
        """Word, picture, then head and pins."""
        width, top = self.size
        across(pen, *self._inner.size)
        self._inner.paint(pen)
        head(pen, top, width, self._words)
        self.pinned_at = []
        for number, row in enumerate(self._rows, 1):
            x, low = 0.0, top - HEAD_MM - ROW_MM * number + 0.2
            for pin in row:
                draw_pin(pen, x, low, pin)
                self.pinned_at.append((pin.number, x, low, *pin_size(pin.number)))
                x += pin_size(pin.number)[0] + 1.5


def head(pen: Pen, top_mm: float, width_mm: float, words: str) -> None:
    """The line over a picture: the word, what is shown, what it is not for."""
    pen.text(0, top_mm - 3.2, WORD, 3.0, bold=True)
    start = text_width(WORD, 3.0, bold=True) + 2.0
    rest = (
        words if text_width(words, 2.6) + text_width(USE, 2.6) + start + 4 > width_mm else f"{words}; {USE}"
    )
    pen.text(start, top_mm - 3.2, rest, 2.6, grey=GREY)


def _rows(pins: Sequence[Pin], width_mm: float) -> list[list[Pin]]:
    rows: list[list[Pin]] = []
    used = math.inf
    for pin in pins:
        wide = pin_size(pin.number)[0] + 1.5
        if used + wide > width_mm:
            rows.append([])
            used = 0.0
        rows[-1].append(pin)
        used += wide
    return rows
