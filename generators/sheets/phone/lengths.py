"""Lengths within a text, each in mm and in inches: the page shows one of them, without a script both."""

from __future__ import annotations

import re
from collections.abc import Iterator

from generators.sheets.phone.elements import Child, Element, el
from generators.units import INCH_MM

_NUMBER = r"-?\d+(?:\.\d+)?"
_SPAN = rf"{_NUMBER}(?:(?: to | × |–){_NUMBER})*"
_INCHES = r"(?:\d+(?:\.\d+)?|\d+ \d+/\d+|\d+/\d+) in(?:, ~?[\d /]+)?"
LENGTH = re.compile(
    rf"(?<![\w./-])(?:(?P<both_mm>{_SPAN}) mm \((?P<both_in>{_INCHES})\)"
    rf"|(?P<first_in>{_INCHES}) \((?P<first_mm>{_SPAN}) mm\)"
    rf"|(?P<mm>{_SPAN}) mm(?![\w²³/]))"
)
FINE, COARSE = 3, 2
"""Decimals of an inch for a length with and without decimals of a mm: no less exact than what is said in mm."""


def with_lengths(text: str) -> Iterator[Child]:
    """The text in pieces; a length is an element that holds it in both units."""
    at = 0
    for found in LENGTH.finditer(text):
        yield text[at : found.start()]
        yield _both(found)
        at = found.end()
    yield text[at:]


def _both(found: re.Match[str]) -> Element:
    mm = found["both_mm"] or found["first_mm"] or found["mm"]
    inches = found["both_in"] or found["first_in"]
    if inches is None:
        inches = f"{in_inches(mm)} in"
    millimetres, other = el("span", f"{mm} mm", class_="mm"), el("span", inches, class_="in")
    order = [other, millimetres] if found["first_in"] else [millimetres, other]
    opened, closed = el("span", " (", class_="either"), el("span", ")", class_="either")
    return el("span", order[0], opened, order[1], closed, class_="length")


def in_inches(mm: str) -> str:
    """``2 to 3`` mm as ``0.08 to 0.12``: each number of mm in inches."""
    return re.sub(_NUMBER, _inches, mm)


def _inches(found: re.Match[str]) -> str:
    places = FINE if "." in found[0] else COARSE
    return f"{float(found[0]) / INCH_MM:.{places}f}"
