"""What every view may call: a sheet in millimetres, origin at the lower left, y upward.

``PdfPen`` and ``SvgPen`` are two kinds of it and know nothing of each other. Line widths are those of
ISO 128: 0.7, 0.35, 0.18 mm.
"""

from __future__ import annotations

import re
from abc import ABC, abstractmethod
from collections.abc import Sequence
from contextlib import AbstractContextManager
from functools import lru_cache

from reportlab.pdfbase.pdfmetrics import stringWidth

from generators.model.contour import Contour
from generators.units import INCH_MM

POINTS_PER_MM = 72.0 / INCH_MM
THICK, MEDIUM, THIN = 0.7, 0.35, 0.18
REGULAR, BOLD = "Helvetica", "Helvetica-Bold"
BLACK, GREY, LIGHT, WHITE = 0.0, 0.45, 0.85, 1.0

BLANKS = re.compile(r"[ \t\r\n]+")

UNITS_PER_EM = 1000  # glyph widths are whole thousandths of the font size: ISO 32000-1, 9.2.4


class _Widths(dict[str, int]):
    """Width of each letter met so far in one font; these fonts have no kerning in a PDF, so widths add up."""

    def __init__(self, font: str) -> None:
        super().__init__()
        self.font = font

    def __missing__(self, letter: str) -> int:
        self[letter] = units = round(stringWidth(letter, self.font, UNITS_PER_EM))
        return units


_REGULAR, _BOLD = _Widths(REGULAR), _Widths(BOLD)


def text_width(text: str, size_mm: float, *, bold: bool = False) -> float:
    """Width in mm of a text whose font size is ``size_mm``."""
    widths = _BOLD if bold else _REGULAR
    units = sum(map(widths.__getitem__, text))
    return units * 0.001 * (size_mm * POINTS_PER_MM) / POINTS_PER_MM


def fit_text(text: str, size_mm: float, width_mm: float, *, bold: bool = False) -> str:
    """The text, cut with … when it is wider than ``width_mm``."""
    if text_width(text, size_mm, bold=bold) <= width_mm:
        return text
    while text and text_width(text + "…", size_mm, bold=bold) > width_mm:
        text = text[:-1]
    return text + "…"


def _pieces(word: str, size_mm: float, width_mm: float, bold: bool) -> list[str]:
    """A word, or as much of it at a time as fits; never less than a letter."""
    pieces: list[str] = []
    while word and text_width(word, size_mm, bold=bold) > width_mm:
        count = max(1, sum(text_width(word[:k], size_mm, bold=bold) <= width_mm for k in range(1, len(word))))
        pieces.append(word[:count])
        word = word[count:]
    return [*pieces, word] if word else pieces


def wrap_text(text: str, size_mm: float, width_mm: float, *, bold: bool = False) -> list[str]:
    """Lines no wider than ``width_mm``, broken at blanks; within a word only when it is wider by itself.

    A no-break space holds words together.
    """
    return list(_wrapped(text, size_mm, width_mm, bold))


# every sheet of a set says the same words in the same room
@lru_cache(maxsize=4096)
def _wrapped(text: str, size_mm: float, width_mm: float, bold: bool) -> tuple[str, ...]:
    lines: list[str] = []
    line = ""
    for word in (
        piece for w in BLANKS.split(text.strip()) if w for piece in _pieces(w, size_mm, width_mm, bold)
    ):
        trial = f"{line} {word}".strip()
        if line and text_width(trial, size_mm, bold=bold) > width_mm:
            lines.append(line)
            line = word
        else:
            line = trial
    return (*lines, line) if line else tuple(lines)


class Pen(ABC):
    """Draws on one page at a time; all lengths in mm, all text sizes in mm of font size.

    ``width`` and ``height`` are those of the page. A page begins with black solid lines of ``MEDIUM`` width.
    ``stroke`` holds until the next one; what is set while ``clipped`` is forgotten with the clip.
    """

    width: float
    height: float

    @abstractmethod
    def close(self) -> None:
        """Finish and write the file. Raises ``OSError`` when it cannot be written."""

    # --- state ------------------------------------------------------------------------------
    @abstractmethod
    def clipped(self, x: float, y: float, width: float, height: float) -> AbstractContextManager[None]:
        """Everything drawn inside shows only within this box."""

    @abstractmethod
    def stroke(
        self, width_mm: float = MEDIUM, grey: float = BLACK, dash: Sequence[float] | None = None
    ) -> None:
        """Set line width, grey level (0 black) and dash pattern in mm."""

    # --- shapes -----------------------------------------------------------------------------
    @abstractmethod
    def line(self, x1: float, y1: float, x2: float, y2: float) -> None:
        """A straight line."""

    @abstractmethod
    def rect(
        self, x: float, y: float, width: float, height: float, *, fill: float | None = None, edge: bool = True
    ) -> None:
        """A box from its lower left corner, filled with a grey level if given."""

    @abstractmethod
    def circle(
        self, x: float, y: float, diameter: float, *, fill: float | None = None, edge: bool = True
    ) -> None:
        """A circle by its diameter."""

    @abstractmethod
    def quadrants(self, x: float, y: float, diameter: float) -> None:
        """Two opposite black quarters of a disc: the inside of a registration mark."""

    @abstractmethod
    def polygon(
        self,
        points: Sequence[tuple[float, float]],
        *,
        fill: float | None = None,
        edge: bool = True,
        closed: bool = True,
    ) -> None:
        """A polygon or polyline."""

    @abstractmethod
    def contour(self, contour: Contour, *, fill: float | None = None, edge: bool = True) -> None:
        """An outline whose coordinates are already those of the page."""

    # --- text -------------------------------------------------------------------------------
    @abstractmethod
    def text(
        self,
        x: float,
        y: float,
        text: str,
        size: float = 3.0,
        *,
        bold: bool = False,
        align: str = "left",
        grey: float = BLACK,
        angle_deg: float = 0.0,
    ) -> None:
        """One line of text with its baseline at ``y``; ``align`` left, centre or right of ``x``."""
