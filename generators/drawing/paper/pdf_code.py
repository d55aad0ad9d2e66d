"""Numbers, outlines and words as they stand in a page of PDF, as reportlab writes them, but faster.

Every byte is the one reportlab would write (a test holds it): its own ways look at each number and each word
anew, and a set of sheets has some hundred thousands of them.
"""

from __future__ import annotations

from functools import lru_cache

from reportlab.lib.rl_accel import escapePDF
from reportlab.pdfbase.pdfmetrics import Font, getFont, registerFont

from generators.drawing.paper.pen import BOLD, REGULAR, UNITS_PER_EM

MOST_WORDS = 1 << 16
"""Words whose widths are kept; a job has some thousands."""

SMALLEST = 1e-7
_SIX, _FIVE, _FOUR, _THREE, _TWO, _ONE = (10.0**k for k in range(1, 7))


def number(value: float) -> str:
    """A number with seven digits, six of them after the point at most, no nought that says nothing."""
    size = abs(value)
    if size <= SMALLEST:
        return "0"
    if size < _SIX:
        text = f"{value:.6f}"
    elif size < _FIVE:
        text = f"{value:.5f}"
    elif size < _FOUR:
        text = f"{value:.4f}"
    elif size < _THREE:
        text = f"{value:.3f}"
    elif size < _TWO:
        text = f"{value:.2f}"
    elif size < _ONE:
        text = f"{value:.1f}"
    else:
        return f"{value:.0f}"
    text = text.rstrip("0").rstrip(".")
    return text[1:] if text[0] == "0" and len(text) > 1 else text


class Outline:
    """A path in points; what a canvas draws with ``drawPath``."""

    def __init__(self) -> None:
        self._code = ["n"]

    def getCode(self) -> str:  # noqa: N802 - reportlab's name
        """The operators."""
        return " ".join(self._code)

    def move_to(self, x: float, y: float) -> None:
        """Begin at a point."""
        self._code.append(f"{number(x)} {number(y)} m")

    def line_to(self, x: float, y: float) -> None:
        """A straight line to a point."""
        self._code.append(f"{number(x)} {number(y)} l")

    def curve_to(self, x1: float, y1: float, x2: float, y2: float, x3: float, y3: float) -> None:
        """A Bézier curve with two handles to a point."""
        self._code.append(f"{number(x1)} {number(y1)} {number(x2)} {number(y2)} {number(x3)} {number(y3)} c")

    def close(self) -> None:
        """Back to where it began."""
        self._code.append("h")


class _Measured(Font):
    """One of the fonts every PDF reader has; it remembers how wide words are."""

    def __init__(self, name: str) -> None:
        super().__init__(name, name, getFont(name).encName)
        self._units = lru_cache(MOST_WORDS)(self._units_of)

    def _units_of(self, text: str) -> int:
        """Width in thousandths of the font's size: whole, as that of each letter is."""
        return round(super().stringWidth(text, UNITS_PER_EM))

    def stringWidth(self, text: str | bytes, size: float, encoding: str = "utf8") -> float:  # noqa: N802 - reportlab's name
        """Width at that size, points."""
        said = text if isinstance(text, str) else text.decode(encoding)
        return self._units(said) * 0.001 * size


def plain(text: str, font: str) -> str | None:
    """A text's letters in a font, as they stand between brackets; None where it needs another font too."""
    return _escaped(text, getFont(font).encName)


@lru_cache(MOST_WORDS)
def _escaped(text: str, encoding: str) -> str | None:
    try:
        return str(escapePDF(text.encode(encoding)))
    except UnicodeEncodeError:
        return None


def measure_once() -> None:
    """From now on the two fonts of all sheets remember the widths of words."""
    for name in (REGULAR, BOLD):
        if not isinstance(getFont(name), _Measured):
            registerFont(_Measured(name))
