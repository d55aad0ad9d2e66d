"""The words, check bars and tables of a finished template."""

from __future__ import annotations

import itertools
import math
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from fractions import Fraction

from generators.geometry.sight import reached
from generators.model.plan import PanelHole, PanelLayout
from generators.model.words import NEW, Face
from generators.units import UnitSystem
from generators.verify.pdf.content import Content, Point, Word, plain
from generators.verify.pdf.template.works import table_work_problems

RIM = "rim of "
BARS = (("100 mm", 100.0), ("4 in", 101.6))
WITNESS = re.compile(r"Right way round only if hole (\S+) \(.*?\) is to the (LEFT|RIGHT)")
NO_WITNESS = "No existing hole tells left from right on this panel"
BAR_MM = 0.005
NEAR_BAR_MM = 5.0
COLUMN_MM = 1.0
FACES = {
    "cab": (
        "CAB FACE",
        "Printed side toward the driver.",
        "Tape to the panel from inside the cab.",
    ),
    "engine": (
        "ENGINE FACE",
        "Printed side toward the engine.",
        "Tape to the panel from the engine bay.",
        "Mirror image of the cab template.",
    ),
}
EVERY_PAGE = (
    "UP",
    "Measure all four bars before drilling.",
    "print at 100 %, no fit-to-page",
    "licensed mechanic",
    "local codes",
    "Before drilling look behind the panel",
)


def _pieces(text: str) -> list[str]:
    """The parts of a text that the sheet's plain font can show."""
    shown = "".join(c if c.encode("cp1252", "ignore") else "\0" for c in text)
    return [" ".join(part.split()) for part in shown.split("\0") if part.strip()]


def says(page: Content, text: str) -> bool:
    """True when the page says it, however its words are broken into lines."""
    return all(plain(piece) in page.bare for piece in _pieces(text))


def word_problems(page: Content, layout: PanelLayout, *, face: Face, job: str, revision: str) -> list[str]:
    """What a page must say and does not, or says of the other face."""
    wanted = (layout.title, job, f"revision {revision}", *FACES[face], *EVERY_PAGE)
    problems = [f"does not say {text!r}" for text in wanted if not says(page, text)]
    other = FACES["engine" if face == "cab" else "cab"][0]
    titles = " ".join((layout.title, job))
    if other in page.text and other not in titles:
        problems.append(f"says {other!r}, the other face")
    return problems + _key_problems(page, layout, face)


def _key_problems(page: Content, layout: PanelLayout, face: Face) -> list[str]:
    """The sentence that shows a flipped sheet must be true of the hole it names."""
    found = WITNESS.search(page.text)
    if found is None:
        return [] if NO_WITNESS in page.text else ["does not say which hole shows a flipped sheet"]
    hole = next((h for h in layout.holes if h.number == found[1]), None)
    if hole is None or hole.status in NEW:
        return [f"takes hole {found[1]} to show a flipped sheet, which is not in the panel yet"]
    us = [p.u for p in layout.contour.vertices]
    left = (hole.u_mm < (min(us) + max(us)) / 2) == (face == "cab")
    if found[2] != ("LEFT" if left else "RIGHT"):
        return [f"says hole {found[1]} is to the {found[2]}, which is the flipped sheet"]
    return []


def bar_problems(page: Content, *, upright: bool = True) -> list[str]:
    """Each bar must be there lying and ``upright``, and as long as it says, edge to edge."""
    problems: list[str] = []
    lines = [
        (s.points[0], s.points[1])
        for s in page.shapes
        if s.stroked and not s.filled and not s.curves and len(s.points) == 2
    ]
    for label, length in BARS:
        for axis, way in ((0, "lying"), (1, "upright"))[: 1 + upright]:
            words = [w for w in page.words if w.text.strip() == label and _runs(w) == axis]
            measured = [m for w in words if (m := _bar(w, lines, axis, length)) is not None]
            if not measured:
                problems.append(f"has no {way} {label} bar")
            problems += [
                f"its {way} {label} bar measures {m:.3f} mm, not {length:.3f}"
                for m in measured
                if abs(m - length) > BAR_MM
            ]
    return problems


def _runs(word: Word) -> int:
    """0 for words that lie, 1 for words that stand."""
    return int(word.box[3] - word.box[1] > word.box[2] - word.box[0])


def _bar(word: Word, lines: Sequence[tuple[Point, Point]], axis: int, length: float) -> float | None:
    """What the bar of a label measures, in mm: line or edge ticks, whichever is farther from ``length``."""
    across = 1 - axis
    middle = ((word.box[0] + word.box[2]) / 2, (word.box[1] + word.box[3]) / 2)
    bars = [
        (a, b)
        for a, b in lines
        if abs(a[across] - b[across]) < BAR_MM
        and abs(a[axis] - b[axis]) > 50
        and abs((a[axis] + b[axis]) / 2 - middle[axis]) < 2.0
        and abs(a[across] - middle[across]) < NEAR_BAR_MM
    ]
    # a line of the drawing, clipped away here, may lie nearer to the words than the bar does
    for a, b in sorted(bars, key=lambda line: abs(line[0][across] - middle[across])):
        ticks = sorted(
            p[axis]
            for p, q in lines
            if abs(p[axis] - q[axis]) < BAR_MM
            # what is clipped away beside the frame may cross the bar, but only its edges are centred on it
            and abs((p[across] + q[across]) / 2 - a[across]) < BAR_MM
            and abs(p[across] - q[across]) > BAR_MM
            and min(abs(p[axis] - a[axis]), abs(p[axis] - b[axis])) < 1.0
        )
        if len(ticks) > 1:
            return max(ticks[-1] - ticks[0], abs(a[axis] - b[axis]), key=lambda m: abs(m - length))
    return None


# --- tables ---------------------------------------------------------------------------------
CELL_MM = 8.0
WRAPPED = ("tool", "when and how")
HOLE_HEADS = ("no.", "pilot", "final", "may be", "u mm", "v mm", "u in", "v in", *WRAPPED)
LINE_GAP = 1.5  # heights of a figure from one line down to the next
LIMITS = re.compile(r"(\d[\d.]*) to (\d[\d.]*)")


def table_problems(pages: Sequence[Content], layout: PanelLayout) -> list[str]:
    """Every hole must stand in the table with its numbers, and each check distance be true."""
    rows: dict[str, dict[str, str]] = {}
    distances: list[tuple[str, str, str]] = []
    for whole in pages:
        # a word set across the page (a watermark) has a box over half of it and is no cell
        page = replace(whole, words=tuple(w for w in whole.words if w.box[3] - w.box[1] < CELL_MM))
        if "HOLE TABLE" in page.text:
            rows.update(_rows(page))
        if _check_heads(page):
            distances += check_distances(page)
    problems: list[str] = []
    for hole in layout.holes:
        row = rows.get(hole.number)
        if row is None:
            problems.append(f"hole {hole.number} is not in the hole table")
        else:
            problems += _row_problems(hole, row, layout.units)
    by_number = {h.number: h for h in layout.holes}
    for from_, to, text in distances:
        a, b = from_.removeprefix(RIM), to.removeprefix(RIM)
        if a not in by_number or b not in by_number:
            problems.append(f"a check distance runs from {a} to {b}, which is no hole")
        elif not _equals(text, ruled(by_number[a], by_number[b]), layout.units):
            problems.append(f"the check distance {a} to {b} says {text}")
        elif any(cell.startswith(RIM) == (by_number[n].status in NEW) for cell, n in ((from_, a), (to, b))):
            problems.append(f"the check distance {a} to {b} does not run from rims of what is there")
        elif any(
            len({w.beyond(h.u_mm, h.v_mm) for h in (by_number[a], by_number[b])}) > 1 for w in layout.wraps
        ):
            problems.append(f"the check distance {a} to {b} runs round the fold, where no rule lies")
    # on two flats there may be one hole each
    if (
        not layout.wraps
        and not distances
        and any(ruled_from(h, layout) for h in layout.holes if h.status in NEW)
    ):
        problems.append("has no check distances")
    return [*problems, *(_rules(pages, layout) if distances else ())]


OUT = {"metric": (0.5, "2 mm"), "inch": (25.4 / 64, "1/16 in")}
"""What a steel rule shows, and how far out a panel is another one."""


def _rules(pages: Sequence[Content], layout: PanelLayout) -> Iterator[str]:
    """The allowances of the check distances: of marks as the plan reckons with them, two of them together."""
    one, panel = OUT[layout.units]
    off = [h.work.off_mm for h in layout.holes if h.work.punched and h.work.off_mm > 0]
    wanted = [f"rim to rim {panel}, more is another panel"]
    if off:
        # less than a two hundredth of a step short of it is noise
        steps = max(int(min(off) / one + 0.005), 1)
        for k, what in ((1, "Rim to mark"), (2, "Mark to mark")):
            size = f"{steps * k * one:g} mm" if layout.units == "metric" else f"{Fraction(steps * k, 64)} in"
            wanted.append(f"{what} {size}")
        wanted.append("between two marks rules over those from rims")
    for text in wanted:
        if not any(says(page, text) for page in pages):
            yield f"the check distances do not say {text!r}"


def _row_problems(hole: PanelHole, row: Mapping[str, str], units: UnitSystem) -> Iterator[str]:
    """Where a row of the hole table says another thing than the plan."""
    short = "in" if units == "inch" else "mm"
    wanted = (
        (f"u {short}", hole.u_mm),
        (f"v {short}", hole.v_mm),
        ("final", hole.final_dia_mm),
        ("pilot", hole.pilot_dia_mm if hole.status == "drill" else 0.0),
    )
    for head, value in wanted:
        if not _equals(row.get(head, ""), value, units):
            yield f"the hole table says {row.get(head)!r} for {head} of hole {hole.number}"
    if not within_limits(row.get("may be", ""), hole, units):
        yield f"the hole table says hole {hole.number} may be {row.get('may be')!r}"
    if _bare(row.get("tool", "")) != _bare(hole.tool or "–"):
        yield f"the hole table says {row.get('tool')!r} for the tool of hole {hole.number}"
    yield from table_work_problems(hole, _bare(row.get("when and how", "")))


def within_limits(text: str, hole: PanelHole, units: UnitSystem) -> bool:
    """True when printed limits are the hole's, rounded inward by under a digit; none for none."""
    found = LIMITS.search(text)
    if found is None or not hole.most_mm:
        return found is None and not hole.most_mm
    one, digit = (25.4, 0.0254) if units == "inch" else (1.0, 0.01)
    low, high = float(found[1]) * one - hole.least_mm, hole.most_mm - float(found[2]) * one
    # limits closer than one digit may change places
    slack = 1e-6 if hole.most_mm - hole.least_mm >= digit else digit
    return all(-slack <= off <= digit + slack for off in (low, high))


def _bare(text: str) -> str:
    """A text without its spaces: a cell may be broken into lines anywhere, and a font lacks some signs."""
    return "".join("".join(_pieces(text)).split())


APART_MM = 1e-6
"""Nothing is measured between what lies in one place."""


def ruled(a: PanelHole, b: PanelHole) -> float:
    """What a rule reads: from the rim of a hole or slot that is there, from the middle of a new one, mm."""
    least = min(_ends_apart(a, b), _ends_apart(b, a))
    return max(least - sum((h.there_mm or h.final_dia_mm) / 2 for h in (a, b) if h.status not in NEW), 0.0)


def ruled_from(hole: PanelHole, layout: PanelLayout) -> int:
    """How many other holes of a flat panel a rule reaches from a new one: nothing stands between."""
    others = (other for other in layout.holes if ruled(other, hole) > APART_MM)
    return sum(reached(layout, other, hole) for other in others if other.number != hole.number)


def _ends_apart(a: PanelHole, b: PanelHole) -> float:
    """From an end of the spine of ``a`` to the spine of ``b``, the nearer of both: two that do not cross."""
    spines = [h.ends if h.status not in NEW else ((h.u_mm, h.v_mm),) * 2 for h in (a, b)]
    (bu, bv), (eu, ev) = spines[1]
    du, dv = eu - bu, ev - bv
    long = du * du + dv * dv
    found = []
    for u, v in spines[0]:
        share = min(max(((u - bu) * du + (v - bv) * dv) / long, 0.0), 1.0) if long else 0.0
        found.append(math.hypot(u - bu - share * du, v - bv - share * dv))
    return min(found)


def _equals(text: str, value: float, units: UnitSystem = "metric") -> bool:
    """True when a printed number is ``value`` in mm, rounded to 0.01 mm or 0.001 in, or a 64th of an inch."""
    try:
        found = sum(float(Fraction(piece)) for piece in text.split()) if text != "–" else 0.0
    except (ValueError, ZeroDivisionError):
        return False
    if text.startswith("-") and " " in text:
        return False
    one, half = (25.4, 0.0127) if units == "inch" else (1.0, 0.005)
    return bool(text) and abs(found * one - value) <= half + 1e-6


def _lines(words: Sequence[Word]) -> list[list[Word]]:
    """Words that stand on one line, from top to bottom."""
    lines: list[list[Word]] = []
    for word in sorted(words, key=lambda w: (-w.box[3], w.box[0])):
        middle = (word.box[1] + word.box[3]) / 2
        if lines and abs((lines[-1][0].box[1] + lines[-1][0].box[3]) / 2 - middle) < 0.9:
            lines[-1].append(word)
        else:
            lines.append([word])
    return lines


def _rows(page: Content) -> dict[str, dict[str, str]]:
    """The hole table of a page: number to column to cell."""
    head_line = next((ln for ln in _lines(page.words) if any(w.text.strip() == "no." for w in ln)), None)
    if head_line is None:
        return {}
    heads = {w.text.strip(): w.box[0] for w in head_line if w.text.strip() in HOLE_HEADS}
    lefts = sorted(w.box[0] for w in head_line)
    top = min(w.box[1] for w in head_line)
    froms = [w.box[3] for w in _check_heads(page)]
    bottom = max(froms, default=0.0)
    body = [w for w in page.words if bottom < w.box[1] < top]
    numbers = sorted(
        (w for w in body if abs(w.box[0] - heads["no."]) < COLUMN_MM), key=lambda w: w.box[3], reverse=True
    )
    rows: dict[str, dict[str, str]] = {}
    columns = {head: [w for w in body if abs(w.box[0] - left) < COLUMN_MM] for head, left in heads.items()}
    for number, below in itertools.zip_longest(numbers, numbers[1:]):
        row = {
            head: w.text.strip()
            for head, column in columns.items()
            for w in column
            if w.box[1] < number.box[3] and number.box[1] < w.box[3]
        }
        for wrapped in (head for head in WRAPPED if head in heads):
            right = min((x for x in lefts if x > heads[wrapped] + COLUMN_MM), default=math.inf)
            end = below.box[3] if below is not None else bottom
            column = [w for w in body if heads[wrapped] - COLUMN_MM < w.box[0] < right - COLUMN_MM]
            row[wrapped] = _cell(column, number, end)
        if "u mm" in row or "u in" in row:
            rows[number.text.strip()] = row
    return rows


def _cell(column: Sequence[Word], number: Word, end: float) -> str:
    """The words of a column from a row's number down to ``end``, as long as line follows line."""
    out: list[str] = []
    last = number.box[3]
    gap = LINE_GAP * (number.box[3] - number.box[1])
    for word in sorted(column, key=lambda w: (-w.box[3], w.box[0])):
        middle = (word.box[1] + word.box[3]) / 2
        if not end < middle <= number.box[3]:
            continue
        if last - word.box[3] > gap:
            break
        last = min(last, word.box[1])
        out.append(word.text.strip())
    return " ".join(out)


def _check_heads(page: Content) -> list[Word]:
    """The heads of check distances: ``from`` with ``to`` beside it; a broken line may be that word alone."""
    heads = []
    for word in (w for w in page.words if w.text.strip() == "from"):
        beside = [
            w
            for w in page.words
            if w.box[1] < word.box[3] and word.box[1] < w.box[3] and w.box[0] > word.box[0]
        ]
        if beside and min(beside, key=lambda w: w.box[0]).text.strip() == "to":
            heads.append(word)
    return heads


def check_distances(page: Content) -> list[tuple[str, str, str]]:
    """The check distances of a page: from, to, and how far in the first unit."""
    found: list[tuple[str, str, str]] = []
    heads = _check_heads(page)
    for head in heads:
        same = [w for w in page.words if w.box[1] < head.box[3] and head.box[1] < w.box[3]]
        right = sorted((w for w in same if w.box[0] > head.box[0]), key=lambda w: w.box[0])
        columns = [head.box[0], *(w.box[0] for w in itertools.islice(right, 2))]
        for word in page.words:
            if abs(word.box[0] - columns[0]) >= COLUMN_MM or word.box[3] > head.box[1]:
                continue
            line = [w for w in page.words if w.box[1] < word.box[3] and word.box[1] < w.box[3]]
            cells = [next((w.text for w in line if abs(w.box[0] - c) < COLUMN_MM), "") for c in columns]
            if all(cells):
                found.append((cells[0].strip(), cells[1].strip(), cells[2].strip()))
    return found
