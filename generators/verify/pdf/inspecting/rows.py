"""Rows of a finished inspection sheet as they stand on the paper, and the words they are known by."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass

from generators.model.plan import Bend, PartPlan
from generators.verify.pdf.content import PdfFile, Word

HEADS = ("No.", "measure", "with", "nominal", "least", "most", "measured", "ok")
BENT = {
    "ON THE BENT PART": (False, False),
    "ON THE BENT PART, BEFORE IT IS WELDED": (True, False),
    "ON THE WELDED PART, ONCE IT IS COOL": (True, True),
}
"""Headings over what is measured on the bent part: whether it has welds, and whether they are made."""

DISTANCE = re.compile(r"hole (\d+) to hole (\d+), over the far rims")
EDGE = re.compile(r"far rim of hole (\d+) from the (left|lower) edge of the (?:blank|plate)")
AGAIN = re.compile(r"R(\d+)")
SLOT_EDGE = re.compile(r"far rim of slot (\d+) from the (left|lower) edge of the (?:blank|plate)")
NEAR = re.compile(
    r"near rim of (hole|slot) (\d+) from edge ([a-z]{1,2}) to ([a-z]{1,2}), by the drawing's letters"
)
BETWEEN = re.compile(r"angle between the faces of (.+) and (.+)")
FACE = r"the (?:outer face|lower side|upper side)"
OVER = re.compile(rf"(.+), over {FACE}s? of (.+?) and (?:{FACE} of )?(.+), close to the bends")
TO_END = re.compile(rf"(.+), from {FACE} of (.+) to its far end")
FINISHED = re.compile(r"F(\d+)")
THREAD = re.compile(r"thread (\S+) of hole (\d+): goes in by hand, all through")
HEIGHT = re.compile(
    r"centre of (?:hole|slot) (\d+) above the lower side of ([^:]+)"
    r"(: its lowest rim and its highest( on the outer side)?, the mean of both)?"
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """A row as it stands on the paper; ``filled`` are words in the columns that are to be empty.

    ``stage`` is what the heading says: whether it has welds, and whether they are made; None on the blank.
    """

    key: str
    what: str
    using: str
    nominal: str
    least: str
    most: str
    stage: tuple[bool, bool] | None
    filled: bool

    @property
    def bent(self) -> bool:
        """Whether it is measured on the bent part."""
        return self.stage is not None


def outside(plan: PartPlan, *each: tuple[str, Bend]) -> str:
    """How a row names the outer faces of flanges at a bend of each: by side where one is bent both ways."""
    ups, both = [bend.direction == "up" for _, bend in each], False
    for flange, _ in each:
        own = [b.direction == "up" for b in plan.bends if flange in (b.child, b.parent)]
        both = both or (any(own) and not all(own))
    called = ["lower side" if up else "upper side" for up in ups] if both else ["outer face" for _ in ups]
    words = [flange.replace("_", " ") for flange, _ in each]
    if len(each) > 1 and len(set(called)) > 1:
        return " and ".join(f"the {face} of {word}" for face, word in zip(called, words, strict=True))
    return f"the {called[0]}{'s' if len(each) > 1 else ''} of {' and '.join(words)}"


def read_rows(pdf: PdfFile) -> tuple[list[Row], list[str]]:
    """Rows of every page by the columns under its heads."""
    rows: list[Row] = []
    problems: list[str] = []
    stage: tuple[bool, bool] | None = None
    for number, page in enumerate(pdf.pages, 1):
        words = [w for w in page.words if w.text.strip()]
        heads = [next((w for w in words if w.text.strip() == head), None) for head in HEADS]
        found = [h for h in heads if h is not None]
        if len(found) < len(HEADS):
            problems.append(f"sheet {number} has no table to fill in")
            continue
        lefts = [h.box[0] for h in found]
        under = [w for w in words if w.box[3] < found[0].box[1]]
        first = sorted((w for w in under if abs(w.box[0] - lefts[0]) < 0.5), key=lambda w: -w.box[1])
        for here, after in zip(first, [*first[1:], None], strict=True):
            if here.text.strip().startswith("ON THE"):
                stage = BENT.get(here.text.strip())
                continue
            rows.append(_cells(here, after, under, lefts, stage))
    return rows, problems


def _cells(
    here: Word,
    after: Word | None,
    under: Sequence[Word],
    lefts: Sequence[float],
    stage: tuple[bool, bool] | None,
) -> Row:
    low = after.box[3] if after is not None else here.box[1] - 12.0

    def cell(column: int, *, all_lines: bool = False) -> str:
        right = lefts[column + 1] if column + 1 < len(lefts) else math.inf
        own = [w for w in under if lefts[column] - 0.5 <= w.box[0] < right - 0.5]
        level = [w for w in own if w.box[1] < here.box[3] and here.box[1] < w.box[3]]
        if all_lines:
            level = sorted((w for w in own if low < w.box[1] < here.box[3]), key=lambda w: -w.box[1])
        return " ".join(" ".join(w.text.split()) for w in level)

    return Row(
        key=here.text.strip(),
        what=cell(1, all_lines=True),
        using=cell(2),
        nominal=cell(3),
        least=cell(4),
        most=cell(5),
        stage=stage,
        filled=bool(cell(6) or cell(7)),
    )
