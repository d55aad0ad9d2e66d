"""Single-stroke letters of straight lines, drawn on a grid four wide and six high.

No stroke comes back to where it began, and no two close a ring: if a machine cuts them through by mistake,
nothing falls out.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

Point = tuple[float, float]
Stroke = tuple[Point, ...]

HIGH, WIDE, ADVANCE = 6, 4, 6
"""Grid steps: height of a letter, its width, and from one letter to the next."""

GLYPHS: Mapping[str, str] = MappingProxyType(
    {
        "A": "002640 1232",
        "B": "0006 163645443323 3342413010",
        "C": "4536160501103041",
        "D": "0006 162644422010",
        "E": "46060040 0333",
        "F": "460600 0333",
        "G": "45361605011030414323",
        "H": "0006 4046 0343",
        "I": "1030 2026 1636",
        "J": "4641301001",
        "K": "0006 460340",
        "L": "060040",
        "M": "0006234640",
        "N": "00064046",
        "O": "100105163645413020",
        "P": "0006 163645443313",
        "Q": "100105163645413020 3140",
        "R": "0006 163645443313 2340",
        "S": "453616050413334241301001",
        "T": "0646 2026",
        "U": "060110304146",
        "V": "062046",
        "W": "0610233046",
        "X": "0046 0640",
        "Y": "062346 2320",
        "Z": "06460040",
        "0": "100105163645413020 2224",
        "1": "142620 1030",
        "2": "05163645440040",
        "3": "05163645443313 334241301001",
        "4": "360222 3034",
        "5": "460604344341301001",
        "6": "36160501103041423313",
        "7": "064610",
        "8": "3344453616050413 33424130100102",
        "9": "10304145361605041333",
        "-": "1333",
        ".": "2021",
        "/": "0046",
        "_": "0040",
        " ": "",
    }
)
"""Strokes of each letter, two digits a point: across, then up."""


def glyph(letter: str) -> tuple[Stroke, ...]:
    """The strokes of one letter in grid steps. Raises ``KeyError`` for one there is none of."""
    return tuple(
        tuple((float(text[i]), float(text[i + 1])) for i in range(0, len(text), 2))
        for text in GLYPHS[letter].split()
    )


def strokes(text: str, height_mm: float) -> tuple[Stroke, ...]:
    """A line of letters from its lower left corner, mm. Raises ``KeyError`` as ``glyph``."""
    step = height_mm / HIGH
    return tuple(
        tuple(((x + i * ADVANCE) * step, y * step) for x, y in stroke)
        for i, letter in enumerate(text)
        for stroke in glyph(letter)
    )


def width_mm(text: str, height_mm: float) -> float:
    """From the left of the first letter's grid to the right of the last one's, mm."""
    return (len(text) * ADVANCE - (ADVANCE - WIDE)) * height_mm / HIGH
