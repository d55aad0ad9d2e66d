"""Lengths within a text, each in mm and in inches: the page shows one of them, without a script both.

What was said in one unit only is a drill, a spanner or a rounded length: it stays beside the other unit,
so that nobody looks for a drill of 0.47 in.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from fractions import Fraction

from generators.figures import fixed
from generators.sheets.phone.elements import Child, Element, el
from generators.units import INCH_MM

_NUMBER = r"-?\d+(?:\.\d+)?"
_SPAN = rf"{_NUMBER}(?:(?: to | × |–){_NUMBER})*"
_FRACTION = r"~?(?:\d+ )?\d+/\d+|~?\d+"
_DECIMAL = r"-?\d+\.\d+"
LENGTH = re.compile(
    rf"(?<![A-Za-z0-9_./-])(?:(?P<mm>{_SPAN}) mm \((?P<inch>{_NUMBER} in)(?P<part>, (?:{_FRACTION}))?\)"
    rf"|(?P<inch_first>{_NUMBER} in) \((?:(?P<part_first>{_FRACTION}), )?(?P<mm_last>{_SPAN}) mm\)"
    rf"|(?P<only_mm>{_SPAN}) mm(?![\w²³/])"
    rf"|(?P<only_inch>(?:\d+ )?\d+/\d+|{_DECIMAL}(?: to {_DECIMAL})*) in(?![\w²³/]))"
)
_SEVERAL = re.compile(r"\d(?: to | × |–)")
FINE, COARSE = 3, 2
"""Decimals of an inch for a length with and without decimals of a mm: no less exact than the mm."""


def with_lengths(text: str) -> Iterator[Child]:
    """The text in pieces; a length is an element that holds it in both units."""
    at = 0
    for found in LENGTH.finditer(text):
        yield text[at : found.start()]
        yield _length(found)
        at = found.end()
    yield text[at:]


def _length(found: re.Match[str]) -> Element:
    if found["mm"]:
        mm, inch, first, alone = f"{found['mm']} mm", f"{found['inch']}{found['part'] or ''}", "mm", False
    elif found["inch_first"]:
        part = f", {found['part_first']}" if found["part_first"] else ""
        mm, inch, first, alone = f"{found['mm_last']} mm", found["inch_first"] + part, "in", False
    elif found["only_mm"]:
        mm, inch = f"{found['only_mm']} mm", f"{re.sub(_NUMBER, _inches, found['only_mm'])} in"
        first, alone = "mm", True
    else:
        mm, inch = f"{_millimetres(found['only_inch'])} mm", f"{found['only_inch']} in"
        first, alone = "in", True
    both = [el("span", mm, class_="mm"), el("span", inch, class_="in")]
    one, other = both if first == "mm" else both[::-1]
    opened, closed = el("span", " (", class_="either"), el("span", ")", class_="either")
    kind = "several" if _SEVERAL.search(mm) else "one"
    # shown beside the other unit, when that is chosen
    back = el("span", f" ({found[0]})", class_=f"beside-{'in' if first == 'mm' else 'mm'}") if alone else None
    return el("span", one, opened, other, closed, back, class_=f"length {kind}", data_said=found[0])


def _inches(found: re.Match[str]) -> str:
    places = FINE if "." in found[0] else COARSE
    return fixed(float(found[0]) / INCH_MM, places)


def _millimetres(inches: str) -> str:
    """Of decimals each, of a whole number and a fraction their sum."""
    if "/" in inches:
        return fixed(float(sum(map(Fraction, inches.split()))) * INCH_MM, 2)
    return re.sub(_DECIMAL, lambda one: fixed(float(one[0]) * INCH_MM, 2), inches)
