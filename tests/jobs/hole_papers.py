"""What finished papers say of each hole, read without anything that wrote them.

Pages are read as shapes and words; all the rest, how a label is led, what a ring means, how a step is worded, is
read here by itself.
"""

from __future__ import annotations

import csv
import math
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

import ezdxf

from generators.verify.pdf.content import Circle, Content, Word, as_circle

AFTER = re.compile(r"(?:after|at) step (\d+)")
SIDE = re.compile(r"(cab|engine) side$")
RING_MM = (0.3, 0.5)
SECOND_MM = 2.4
NEAR_MM = 0.06


@dataclass(frozen=True, kw_only=True)
class Said:
    """What one paper says of one hole; ``step`` 0 for none, ``face`` empty where nothing is drilled."""

    when: str
    how: str
    step: int = 0
    face: str = ""
    pilot: str = ""


@dataclass(frozen=True, kw_only=True)
class Row:
    """A line of ``holes.csv``."""

    panel: str
    number: str
    at: tuple[float, float]
    said: Said
    through: str
    tool: str
    piloted: bool


def csv_rows(path: Path) -> dict[str, Row]:
    """Every hole of the job by its number."""
    with path.open(encoding="utf-8", newline="") as lines:
        return {
            line["hole"]: Row(
                panel=line["panel"],
                number=line["hole"],
                at=(float(line["u_mm"]), float(line["v_mm"])),
                said=Said(
                    when=line["when"],
                    how=line["how"],
                    step=int(line["after_step"] or 0),
                    face=line["face"],
                    pilot=line["pilot_from"],
                ),
                through=line["through"],
                tool=line["tool"],
                piloted=float(line["pilot_dia_mm"] or 0) > 0,
            )
            for line in csv.DictReader(lines)
        }


def phrase(text: str) -> Said:
    """A phrase of the tables: ``pilot now, marked through the paper, cab side, last, after step 34, …``."""
    pilot = re.match(r"pilot now, marked through the paper, (cab|engine) side, ", text)
    rest = text[pilot.end() :] if pilot else text
    starts = {"open up": "open", "close it": "close", "now": "now", "last": "last", "never": "never"}
    when = next(word for start, word in starts.items() if rest.startswith(start))
    step, side = AFTER.search(rest), SIDE.search(rest)
    how = "there"
    if when in ("now", "last"):
        how = "hose" if "where its hose puts" in rest else "part" if ", bolted on" in rest else "guide"
        how = "paper" if "through the paper" in rest else how
    return Said(
        when=when,
        how=how,
        step=int(step[1]) if step else 0,
        face=side[1] if side else "",
        pilot=pilot[1] if pilot else "",
    )


# ------------------------------------------------------------------------------------------- the plotter's file
LAYER = {"paper": "DRILL", "part": "DRILL_THROUGH", "guide": "DRILL_THROUGH", "hose": "DRILL_LAST"}


def dxf_says(path: Path, numbers: Sequence[str]) -> dict[str, Said]:
    """Its list of holes, line by line."""
    texts = [e.dxf.text for e in ezdxf.readfile(path).modelspace().query("TEXT")]
    found = {}
    for text in texts:
        number = text.split(" ", 1)[0]
        if number in numbers and "; " in text:
            found[number] = phrase(text.rsplit("; ", 1)[1])
    return found


def dxf_layers(path: Path, row: Row) -> set[str]:
    """Layers of the circles about a hole."""
    circles = ezdxf.readfile(path).modelspace().query("CIRCLE")
    return {c.dxf.layer for c in circles if math.dist(c.dxf.center.vec2, row.at) < 0.01}


# ---------------------------------------------------------------------------------------------------- templates
def table_says(pages: Sequence[Content]) -> dict[str, Said]:
    """The last column of the hole table, row by row."""
    found = {}
    for page in pages:
        if "HOLE TABLE" not in page.text:
            continue
        words = [w for w in page.words if w.text.strip() and w.box[3] - w.box[1] < 6]
        head = next(w for w in words if w.text.strip() == "when and how")
        first = next(w for w in words if w.text.strip() == "no.")
        ends = [w.box[3] for w in words if w.text.strip() == "CHECK DISTANCES"]
        low = max(ends, default=0.0)
        below = [w for w in words if low < w.box[3] < head.box[1]]
        numbers = sorted((w for w in below if abs(w.box[0] - first.box[0]) < 0.5), key=lambda w: -w.box[3])
        for number, nxt in zip(numbers, [*numbers[1:], None], strict=True):
            end = nxt.box[3] if nxt is not None else low
            lines = [
                w for w in below if w.box[0] > head.box[0] - 1 and end + 0.3 < w.box[3] < number.box[3] + 1.2
            ]
            text = " ".join(w.text.strip() for w in sorted(lines, key=lambda w: -w.box[3]))
            found[number.text.strip()] = phrase(text)
    return found


@dataclass(frozen=True, kw_only=True)
class Label:
    """A label of a sheet with the sign at the end of its leader."""

    number: str
    text: str
    lines: int
    sign: str


def labels(page: Content) -> Iterator[Label]:
    """Every label that is led to a ring, or stands within it."""
    circles = [c for c in map(as_circle, page.shapes) if c is not None and c.shape.stroked]
    rings = [c for c in circles if RING_MM[0] <= c.shape.width <= RING_MM[1]]
    thin = [c for c in circles if c.shape.width < RING_MM[0]]
    lines = [
        s.points for s in page.shapes if s.stroked and not s.filled and not s.curves and len(s.points) == 2
    ]
    frame = _frame(page)
    for shape in page.shapes:
        if not (shape.filled and shape.stroked) or shape.curves or len(shape.points) not in (4, 5):
            continue
        box = shape.box
        inside = [w for w in page.words if _middle_in(w, box) and w.box[3] - w.box[1] <= box[3] - box[1]]
        words = [
            w.text.strip() for w in sorted(inside, key=lambda w: (-w.box[3], w.box[0])) if w.text.strip()
        ]
        ring = _led_to(box, lines, rings) or (_around(box, rings) if _holds(frame, box) else None)
        if words and ring is not None:
            number = words[0].split()[0]
            yield Label(number=number, text=" ".join(words), lines=len(words), sign=_sign(ring, lines, thin))


def _frame(page: Content) -> tuple[float, float, float, float]:
    """The largest rectangle of the page that is drawn and not filled: what is on the panel is cut off there."""
    drawn = [
        s.box
        for s in page.shapes
        if s.stroked and not s.filled and not s.curves and not s.dashed and len(s.points) in (4, 5)
    ]
    sheet = (0.0, 0.0, page.width, page.height)
    return max(
        (box for box in drawn if _holds(sheet, box)),
        key=lambda b: (b[2] - b[0]) * (b[3] - b[1]),
        default=sheet,
    )


def _holds(outer: tuple[float, float, float, float], box: tuple[float, float, float, float]) -> bool:
    return (
        outer[0] - NEAR_MM <= box[0]
        and box[2] <= outer[2] + NEAR_MM
        and outer[1] - NEAR_MM <= box[1]
        and box[3] <= outer[3] + NEAR_MM
    )


def _middle_in(word: Word, box: tuple[float, float, float, float]) -> bool:
    x, y = (word.box[0] + word.box[2]) / 2, (word.box[1] + word.box[3]) / 2
    return box[0] < x < box[2] and box[1] < y < box[3]


def _led_to(
    box: tuple[float, float, float, float],
    lines: Sequence[tuple[tuple[float, float], ...]],
    rings: Sequence[Circle],
) -> Circle | None:
    # a line of a hatch may end at a ring by chance: a leader goes for its middle
    best: tuple[float, Circle] | None = None
    for a, b in (pair for line in lines for pair in (line, line[::-1])):
        x, y = a
        on_edge = box[0] - NEAR_MM <= x <= box[2] + NEAR_MM and box[1] - NEAR_MM <= y <= box[3] + NEAR_MM
        if not on_edge or a == b:
            continue
        for ring in rings:
            if math.dist(a, (ring.x, ring.y)) <= ring.diameter / 2 + NEAR_MM:
                continue  # a line of its hatch: a leader begins outside its ring
            off = math.dist(b, (ring.x, ring.y)) - ring.diameter / 2
            if min(abs(off), abs(off - SECOND_MM / 2)) <= NEAR_MM:
                across = (b[0] - x) * (ring.y - y) - (b[1] - y) * (ring.x - x)
                aside = abs(across) / math.dist(a, b)
                if best is None or aside < best[0]:
                    best = aside, ring
    return None if best is None else best[1]


def _around(box: tuple[float, float, float, float], rings: Sequence[Circle]) -> Circle | None:
    """The ring a label stands within."""
    corners = [(box[i], box[j]) for i in (0, 2) for j in (1, 3)]
    return next((r for r in rings if all(math.dist(c, (r.x, r.y)) < r.diameter / 2 for c in corners)), None)


def _sign(ring: Circle, lines: Sequence[tuple[tuple[float, float], ...]], thin: Sequence[Circle]) -> str:
    """What ring and cross mean: paper, led, pilot, hose or there."""
    at = (ring.x, ring.y)
    middles = [
        line
        for line in lines
        if math.dist(at, ((line[0][0] + line[1][0]) / 2, (line[0][1] + line[1][1]) / 2)) < NEAR_MM
        and math.dist(*line) >= 4.0
    ]
    crossed = len(middles) >= 2
    second = any(
        math.dist(at, (c.x, c.y)) < NEAR_MM and abs(c.diameter - ring.diameter - SECOND_MM) < NEAR_MM
        for c in thin
    )
    if ring.shape.dashed:
        return "there" if crossed else "hose"
    if second:
        return "pilot" if crossed else "led"
    return "paper" if crossed else "bare"


def sign_wanted(said: Said) -> str:
    """The sign that belongs to a row of the table."""
    if said.how in ("part", "guide"):
        return "pilot" if said.pilot else "led"
    return said.how
