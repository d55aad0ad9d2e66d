"""Page one of a finished template: the scale test, measured, and the list of sheets."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from fractions import Fraction

from generators.geometry.printing import ScaleTest
from generators.model.words import Face
from generators.verify.pdf.content import Content, Point
from generators.verify.pdf.template.words import FACES, says

TITLE = "SCALE TEST: PRINT THIS PAGE FIRST"
CAUTIONS = ("licensed mechanic", "local codes", "Before drilling look behind the panel")
FRESH, CORRECTED = "Give the three readings to ", "This page is corrected already"
PAPER = " · paper "
BAND_MM = 26.0  # from the upper edge: margin and band
LENGTH_MM = 0.01
LEAST_LEG_MM = 100.0
NEAR_MM = 5.0

Line = tuple[Point, Point]


def cover_problems(page: Content, test: ScaleTest, *, words: Sequence[str]) -> list[str]:
    """What is wrong with the scale test: a leg, the right angle, the long side, or its words."""
    wanted = (
        TITLE,
        *CAUTIONS,
        *words,
        f"ACROSS {_said(test, test.across_mm)}",
        f"UP {_said(test, test.up_mm)}",
        f"DIAGONAL {_said(test, test.diagonal_mm)}",
    )
    problems = [f"does not say {text!r}" for text in wanted if not says(page, text)]
    lines: list[Line] = [
        (s.points[0], s.points[1])
        for s in page.shapes
        if s.stroked and not s.filled and not s.curves and len(s.points) == 2
    ]
    pairs = [(x, y) for x in _legs(page, lines, "ACROSS", 0) for y in _legs(page, lines, "UP", 1)]
    if not pairs:
        return [*problems, "has no scale test across and up"]
    # outlines in the list of sheets are cut by their frames, and what is cut away is in the file as well:
    # the legs of the test are those that meet
    _, across, up = min((_apart(x, y), x, y) for x, y in pairs)
    left, corner = sorted(across)
    low, end = sorted(up, key=_height)
    for name, found, drawn in (
        ("across", math.dist(left, corner), test.across_mm),
        ("up", math.dist(low, end), test.up_mm),
        ("diagonal", math.dist(left, end), test.diagonal_mm),
    ):
        if abs(found - drawn) > LENGTH_MM:
            problems.append(f"its scale test measures {found:.3f} mm {name}, not {drawn:g}")
    if math.dist(corner, low) > LENGTH_MM:
        problems.append("the legs of its scale test do not meet")
    for at in (left, end):
        if not any(math.dist(at, p) < LENGTH_MM and _slanted(a, b) for a, b in lines for p in (a, b)):
            problems.append("the long side of its scale test has no end to measure from")
    return problems


def _said(test: ScaleTest, mm: float) -> str:
    """A length of the test as its page must give it: whole millimetres, or quarters of an inch."""
    if test.units == "metric":
        return f"{mm:g} mm"
    whole, rest = divmod(Fraction(mm / 25.4).limit_denominator(64), 1)
    return " ".join(str(x) for x in (whole, rest) if x) + " in"


def list_problems(pages: Sequence[Content], face: Face, *, corrected: bool) -> list[str]:
    """What page one says of the file it lies in and is not so: its face, its place, the sheets that follow.

    Each page says in its band where it lies; page one must list that page under that name.
    """
    cover = pages[0]
    here, other = (FACES[f][0] for f in (face, "engine" if face == "cab" else "cab"))
    bands = [word.text.strip() for word in cover.words]
    problems = [] if here in bands else [f"does not say {here!r}"]
    problems += [f"says {other!r}, the other face"] if other in bands else []
    wanted = [f"page 1 of {len(pages)}", CORRECTED if corrected else FRESH]
    wanted += [
        f"page {number}: {word.text.split(PAPER)[0].strip().removeprefix('patch: ')}"
        for number, page in enumerate(pages[1:], 2)
        for word in page.words
        if PAPER in word.text and word.box[1] > page.height - BAND_MM and not word.text.startswith("row –")
    ]
    listed = sum(text.startswith("page ") and ": " in text for text in bands)
    if listed != len(wanted) - 2:
        problems.append(f"lists {listed} sheets, but {len(wanted) - 2} follow")
    return problems + [f"does not say {text!r}" for text in wanted if not says(cover, text)]


def _legs(page: Content, lines: Sequence[Line], name: str, axis: int) -> Iterator[Line]:
    """Lines along an axis that its label stands at the middle of."""
    for word in page.words:
        if not word.text.startswith(f"{name} "):
            continue
        middle = ((word.box[0] + word.box[2]) / 2, (word.box[1] + word.box[3]) / 2)
        yield from (
            x
            for x in lines
            if abs(x[0][1 - axis] - x[1][1 - axis]) < LENGTH_MM
            and abs(x[0][1 - axis] - middle[1 - axis]) < NEAR_MM
            and abs((x[0][axis] + x[1][axis]) / 2 - middle[axis]) < NEAR_MM
            and math.dist(*x) >= LEAST_LEG_MM
        )


def _apart(across: Line, up: Line) -> float:
    """How far the right end of one leg is from the lower end of the other, mm."""
    corner: Point = max(across)
    low: Point = min(up, key=_height)
    return math.dist(corner, low)


def _height(point: Point) -> float:
    return point[1]


def _slanted(a: Point, b: Point) -> bool:
    return min(abs(a[0] - b[0]), abs(a[1] - b[1])) > 1.0
