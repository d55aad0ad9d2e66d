"""What the tables of a drawing print, as numbers: corners, holes, slots, bends and datums."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

from generators.verify.pdf.content import PdfFile
from generators.verify.pdf.rebuild.cells import Row as Cells
from generators.verify.pdf.rebuild.cells import table_rows
from generators.verify.pdf.rebuild.outline import NotDeterminedError, Point, Row

CORNER_HEADS = ("corner", "X mm", "Y mm", "R mm")
ROUND_HEADS = ("outline", "X mm", "Y mm", "Ø mm")
HOLE_HEADS = ("No.", "Ø mm", "X mm", "Y mm")
BEND_HEADS = ("bend", "to", "line at", "runs")
TURNS = {"": 0, "corner": 0, "centre": 1, "centre, hollow": -1}
NONE = "–"
DATUM = re.compile(r"X0: (.+?)\. Y0: (.+?)\.$")
ABOUT = re.compile(r"hole (\d+)")


@dataclass(frozen=True, slots=True, kw_only=True)
class Opening:
    """A hole, or a slot of that width with ``travel`` between its end centres, mm and rad from X."""

    number: str
    x: float
    y: float
    width: float
    travel: float
    angle: float


@dataclass(frozen=True, slots=True, kw_only=True)
class BendLine:
    """Where a bend's line is said to lie and how far it runs, as printed."""

    name: str
    place: str
    runs: str


def _number(cells: Cells, head: str, what: str) -> float:
    text = cells.get(head, "")
    try:
        return float(text)
    except ValueError:
        raise NotDeterminedError(f"{what}: {head} is {text or 'not printed'!r}") from None


def openings(pdf: PdfFile) -> dict[str, Opening]:
    """Every row of the hole table, by number. Raises ``NotDeterminedError`` for a cell that is no number."""
    found: dict[str, Opening] = {}
    for cells in table_rows(pdf, HOLE_HEADS, ("turned",)):
        number = cells["No."].rstrip("*")
        if not number.isdigit():
            continue
        what = f"opening {number}"
        size, _, length = cells.get("Ø mm", "").partition(" × ")
        travel = angle = 0.0
        try:
            width = float(size)
            if length:
                travel = float(length) - width
                angle = math.radians(float(cells.get("turned", "").rstrip("°")))
        except ValueError:
            raise NotDeterminedError(
                f"{what}: its size is {cells.get('Ø mm', '')!r}, turned {cells.get('turned', '')!r}"
            ) from None
        if number in found:
            raise NotDeterminedError(f"{what} has two rows")
        found[number] = Opening(
            number=number,
            x=_number(cells, "X mm", what),
            y=_number(cells, "Y mm", what),
            width=width,
            travel=travel,
            angle=angle,
        )
    return found


def corners(pdf: PdfFile, holes: dict[str, Opening]) -> list[Row]:
    """Every row of the corner table in turn. Raises ``NotDeterminedError`` for what is no number."""
    rows: list[Row] = []
    for cells in table_rows(pdf, ROUND_HEADS):
        x, y, across = (_number(cells, head, "the round outline") for head in ROUND_HEADS[1:])
        rows.append(Row(letter=cells["outline"], x=x, y=y, radius=across / 2, turn=1))
    for cells in table_rows(pdf, CORNER_HEADS, ("X, Y are",)):
        letter = cells["corner"]
        what = f"corner {letter}"
        about = ABOUT.fullmatch(cells.get("X mm", ""))
        if about:
            hole = holes.get(about[1])
            if hole is None:
                raise NotDeterminedError(f"{what} lies about hole {about[1]}, which has no row")
            x, y = hole.x, hole.y
        else:
            x, y = _number(cells, "X mm", what), _number(cells, "Y mm", what)
        kind = cells.get("X, Y are", "")
        if kind not in TURNS:
            raise NotDeterminedError(f"{what}: X, Y are {kind!r}")
        radius = 0.0 if cells.get("R mm") == NONE else _number(cells, "R mm", what)
        if any(row.letter == letter for row in rows):
            raise NotDeterminedError(f"{what} has two rows")
        rows.append(Row(letter=letter, x=x, y=y, radius=radius, turn=TURNS[kind]))
    return rows


def bends(pdf: PdfFile) -> dict[str, BendLine]:
    """Where the bend table says each line lies, by the bend's name."""
    return {
        cells["bend"]: BendLine(
            name=cells["bend"], place=cells.get("line at", ""), runs=cells.get("runs", "")
        )
        for cells in table_rows(pdf, BEND_HEADS)
    }


def datum_words(pdf: PdfFile) -> tuple[str, str]:
    """Where X and Y are counted from, in words. Raises ``NotDeterminedError`` where nothing says so."""
    for page in pdf.pages:
        for word in page.words:
            match = DATUM.match(word.text.strip())
            if match:
                return match[1], match[2]
    raise NotDeterminedError("nothing says where X and Y are counted from")


def middle_of(points: list[Point]) -> tuple[Point, Point]:
    """Lower left and upper right of an outline's box."""
    xs, ys = [p[0] for p in points], [p[1] for p in points]
    return (min(xs), min(ys)), (max(xs), max(ys))
