"""The panel's u = 0, v = 0 and straight datums on a finished sheet, measured against its own marks."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from generators.model.plan import PanelLayout
from generators.verify.pdf.content import Box, Content, Point, Word
from generators.verify.pdf.template.pose import HOLE_MM, Pose

LEAST_TICK_MM = 5.0
NEAR_MM = 12.0
"""No word stands further from the end of its own tick: the outermost of its places."""

CLEAR_MM = 1.0
"""An axis nearer to the frame than this may be left out: nobody would tell it from the frame."""

WORDS = ("u = 0", "v = 0")
Line = tuple[Point, Point]


def axis_problems(page: Content, layout: PanelLayout, pose: Pose, rim: Box) -> Iterator[str]:
    """Axes that show within the frame without two ticks and their words, and words where no axis is."""
    lines = [
        (s.points[0], s.points[1])
        for s in page.shapes
        if s.stroked and not s.filled and not s.curves and len(s.points) == 2
    ]
    origin = pose.page(0.0, 0.0)
    for axis, words in enumerate(WORDS):
        at, said = origin[axis], [word for word in page.words if word.text.strip() == words]
        if not rim[axis] + CLEAR_MM < at < rim[axis + 2] - CLEAR_MM:
            if said and not rim[axis] < at < rim[axis + 2]:
                yield f"says {words!r} and does not show it"
            continue
        ends = (rim[1 - axis], rim[3 - axis])
        for end in ends:
            if not any(_tick(line, axis, at, end) for line in lines):
                yield f"has no tick for {words} at the edge of the sheet"
        if not _beside(said, axis, at, ends):
            yield f"does not say {words!r} at both of its ticks"
    for datum in layout.datums:
        if datum.kind == "point":
            continue
        axis = 0 if datum.kind == "vertical" else 1
        at = pose.page(datum.u_mm, datum.v_mm)[axis]
        ends = (rim[1 - axis], rim[3 - axis])
        if rim[axis] + CLEAR_MM < at < rim[axis + 2] - CLEAR_MM and not any(
            _whole(line, axis, at, ends) for line in lines
        ):
            yield f"does not draw datum {datum.words} where it belongs"


def _tick(line: Line, axis: int, at: float, end: float) -> bool:
    """True for a line on the axis that begins at that side of the frame."""
    if any(abs(p[axis] - at) > HOLE_MM for p in line):
        return False
    along = [p[1 - axis] for p in line]
    return min(abs(a - end) for a in along) <= HOLE_MM and abs(along[0] - along[1]) >= LEAST_TICK_MM


def _whole(line: Line, axis: int, at: float, ends: tuple[float, float]) -> bool:
    return all(abs(p[axis] - at) <= HOLE_MM for p in line) and all(
        min(abs(p[1 - axis] - end) for p in line) <= HOLE_MM for end in ends
    )


def _beside(said: Sequence[Word], axis: int, at: float, ends: tuple[float, float]) -> bool:
    """True when a word stands near the axis at each end of it."""

    def near(word: Word, end: float) -> bool:
        across = max(word.box[axis] - at, at - word.box[axis + 2], 0.0)
        along = max(word.box[1 - axis] - end, end - word.box[3 - axis], 0.0)
        return across <= NEAR_MM and along <= NEAR_MM + LEAST_TICK_MM

    return all(any(near(word, end) for word in said) for end in ends)
