"""Whether a drawing's views stand where its projection puts them: the words, the sign, the views."""

from __future__ import annotations

from collections.abc import Iterator

from generators.standards import paper_rows, projection_of
from generators.verify.pdf.content import Box, Content, PdfFile, Word, as_circle, plain

SIZE_MM = 0.01
SIGN_MM = 0.05
SIGN_CIRCLES_MM = (5.6, 2.8)
SIGN_CONE_MM = (5.2, 5.6)
NEAR_MM = 16.0
WORDS = {"first": "First-angle projection", "third": "Third-angle projection"}
# on which side of the front view a third-angle view stands: across and up
THIRD_ANGLE_SIDES = {
    "RIGHT SIDE": (1, 0),
    "LEFT SIDE": (-1, 0),
    "FROM ABOVE": (0, 1),
    "FROM BELOW": (0, -1),
}
FRONT = "FRONT"
STRIP_MM, FRAME_MM, SAME_MM = 0.7, 10.0, 0.1
"""How thick the line over title block and notes is, how far from the edges it ends, and how nearly."""


def words_of_views(page: Content) -> list[Word]:
    """The words over the strip at a drawing's foot: a title there may be worded as a view or a scale is."""
    tops = [
        low
        for shape in page.shapes
        for x0, low, x1, high in (shape.box,)
        if not shape.closed
        and abs(shape.width - STRIP_MM) < SAME_MM
        and high - low < SAME_MM
        and abs(x0 - FRAME_MM) < SAME_MM
        and abs(page.width - FRAME_MM - x1) < SAME_MM
    ]
    return [word for word in page.words if word.box[1] > max(tops, default=0.0)]


def paper_projection(pdf: PdfFile) -> str:
    """``first`` or ``third``: what is usual on the file's own paper, ``""`` for unknown paper."""
    if not pdf.pages:
        return ""
    short, long = sorted((pdf.pages[0].width, pdf.pages[0].height))
    for row in paper_rows():
        if abs(short - row.width_mm) < SIZE_MM and abs(long - row.height_mm) < SIZE_MM:
            return projection_of(row.name)
    return ""


def projection_problems(pdf: PdfFile, projection: str) -> Iterator[str]:
    """What says or shows another projection than ``first`` or ``third``; sheets count from 1."""
    if projection not in WORDS:
        return
    for i, page in enumerate(pdf.pages):
        sheet = f"sheet {i + 1}"
        for known, words in WORDS.items():
            if (plain(words) in plain(page.text)) != (known == projection):
                wrong = "does not say" if known == projection else "says"
                yield f"{sheet} {wrong} {words!r}"
        sign = _sign(page)
        if sign != projection:
            yield f"{sheet} has {f'the {sign}-angle' if sign else 'no'} sign, not the {projection}-angle one"
        yield from (f"{sheet}: {problem}" for problem in _views(page, projection))


def _sign(page: Content) -> str:
    """Which projection sign a page carries: the cone's small end is left, its view beside one end."""
    circles = [c for s in page.shapes if (c := as_circle(s, SIGN_MM)) is not None]
    large, small = SIGN_CIRCLES_MM
    eyes = [
        (c.x, c.y)
        for c in circles
        if abs(c.diameter - large) < SIGN_MM
        and any(
            abs(d.diameter - small) < SIGN_MM and abs(d.x - c.x) < SIGN_MM and abs(d.y - c.y) < SIGN_MM
            for d in circles
        )
    ]
    for shape in page.shapes:
        x0, y0, x1, y1 = shape.box
        if not shape.closed or shape.curves or abs(x1 - x0 - SIGN_CONE_MM[0]) > SIGN_MM:
            continue
        if abs(y1 - y0 - SIGN_CONE_MM[1]) > SIGN_MM:
            continue
        left = [y for x, y in shape.points if abs(x - x0) < SIGN_MM]
        if max(left) - min(left) > SIGN_CONE_MM[1] - 1:
            continue  # its small end is not left: no sign of ours
        for x, y in eyes:
            if abs(y - (y0 + y1) / 2) < SIGN_MM and abs(x - (x0 + x1) / 2) < NEAR_MM:
                return "third" if x < x0 else "first"
    return ""


def _views(page: Content, projection: str) -> Iterator[str]:
    captions: dict[str, Box] = {w.text.strip(): w.box for w in words_of_views(page)}
    if FRONT not in captions:
        return
    front = captions[FRONT]
    for name, (across, up) in THIRD_ANGLE_SIDES.items():
        if name not in captions:
            continue
        box = captions[name]
        sense = 1 if projection == "third" else -1
        off = (box[0] + box[2] - front[0] - front[2]) * across + (box[1] + box[3] - front[1] - front[3]) * up
        if off * sense <= 0:
            yield f"the view {name} stands on the wrong side for {projection}-angle projection"
