"""When and how each hole is made, read from a finished template: its rings and cross, label and table row."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from fractions import Fraction

from generators.model.hole_work import HoleWork
from generators.model.plan import PanelHole
from generators.model.words import NEW
from generators.verify.pdf.content import Circle, Content, Point

CENTRE_MM = 0.05
SAME_MM = 0.01
SECOND_RING_MM = 2.4
LEAST_CROSS_MM = 4.0
SQUARE_RAD = 0.1
"""How far an arm of a cross may lean on a sheet for a printer that prints askew."""

AFTER = re.compile(r"after step (\d+)")


def sign_problems(page: Content, hole: PanelHole, at: Point, thin: Sequence[Circle]) -> list[str]:
    """What the rings and the cross of a hole say against its work; its own ring is looked at elsewhere."""
    work, name = hole.work, f"hole {hole.number}"
    crossed = _crossed(page, at)
    problems = []
    if hole.status in NEW and crossed and not work.punched:
        problems.append(f"{name} has a cross to punch, but is not made through this paper")
    if not crossed and (work.punched or hole.status not in NEW):
        problems.append(f"{name} has no cross")
    rings = [c.diameter for c in thin if math.dist((c.x, c.y), at) <= SAME_MM]
    led = work.how in ("part", "guide")
    if _has(rings, hole.final_dia_mm + SECOND_RING_MM) != led:
        problems.append(f"{name} should have {'a' if led else 'no'} second ring")
    piloted = hole.status == "drill" and 0 < hole.pilot_dia_mm < hole.final_dia_mm - 0.5
    if piloted and _has(rings, hole.pilot_dia_mm) != work.punched:
        which = (
            f"no pilot circle of Ø{hole.pilot_dia_mm:g}" if work.punched else "a pilot circle, but no pilot"
        )
        problems.append(f"{name} has {which}")
    wider = work.when == "open" and 0.5 < hole.final_dia_mm - hole.there_mm < hole.final_dia_mm
    if wider and not _has(rings, hole.there_mm):
        problems.append(f"{name} does not show the Ø{hole.there_mm:g} that is there")
    return problems


def _has(rings: Sequence[float], diameter_mm: float) -> bool:
    return any(abs(ring - diameter_mm) <= SAME_MM for ring in rings)


def _crossed(page: Content, at: Point) -> bool:
    """True where two lines cross on a point, one upright and one lying."""
    ways = set()
    for shape in page.shapes:
        if not shape.stroked or shape.filled or shape.curves or len(shape.points) != 2:
            continue
        (ax, ay), (bx, by) = shape.points
        if (
            math.dist(((ax + bx) / 2, (ay + by) / 2), at) > CENTRE_MM
            or math.hypot(bx - ax, by - ay) < LEAST_CROSS_MM
        ):
            continue
        turn = math.atan2(by - ay, bx - ax) % math.pi
        ways |= {k for k in (0, 1) if abs(math.remainder(turn - k * math.pi / 2, math.pi)) < SQUARE_RAD}
    return ways == {0, 1}


def label_problems(hole: PanelHole, lines: Sequence[str]) -> list[str]:
    """Where a label does not say what its hole waits for; one with the bare number leaves it to the sign."""
    text = " ".join(lines)
    said, work = [int(n) for n in AFTER.findall(text)], hole.work
    if any(step != work.step for step in said):
        return [f"the label of hole {hole.number} says after step {said[0]}"]
    if text.strip() == hole.number or hole.status not in NEW:
        return []
    if work.step and not said:
        return [f"the label of hole {hole.number} does not say after step {work.step}"]
    if hole.status == "drill" and work.pilot_from and hole.pilot_dia_mm > 0 and "pilot" not in text:
        return [f"the label of hole {hole.number} says nothing of the pilot drilled now"]
    # one with the size alone leaves the guide to the ring
    if work.how == "guide" and len(lines) > 1 and "through the " not in text:
        return [f"the label of hole {hole.number} does not say that it goes through the guide"]
    return []


BEGINS = {"now": "now", "last": "last", "never": "never", "open": "open up", "close": "close it"}
OPENED = re.compile(r"(?:Ø|%%c)([\d./]+)(mm|in)there(?:→|to)(?:Ø|%%c)([\d./]+)(mm|in)")
SIDE = re.compile(r"(cab|engine)side$")
PART_OFF = re.compile(r",thenopenedwithitoff,(cab|engine)side$")
INCH_MM, HALF_THOU_MM = 25.4, 0.0128


def table_work_problems(hole: PanelHole, text: str) -> list[str]:
    """What the column of when and how says against the hole's work. ``text`` is without its spaces."""
    work, problems = hole.work, []
    rest = text
    if work.pilot_from:
        pilot = f"pilotnow,markedthroughthepaper,{work.pilot_from}side,"
        if not rest.startswith(pilot):
            problems.append("says nothing of its pilot")
        rest = rest.removeprefix(pilot)
    if not rest.startswith(BEGINS[work.when].replace(" ", "")):
        problems.append(f"does not say {BEGINS[work.when]}")
    sizes = OPENED.search(rest)
    if sizes is not None and not _sizes_said(hole, sizes):
        problems.append("opens it from or to another size")
    steps = [int(n) for n in re.findall(rf"{'at' if work.when == 'close' else 'after'}step(\d+)", rest)]
    if steps != ([work.step] if work.step else []):
        problems.append(f"names step {steps}, not {work.step or 'none'}")
    bared = PART_OFF.search(rest)
    if (bared[1] if bared else None) != (hole.drill_face if work.bared(hole.final_dia_mm) else None):
        problems.append("does not say from which face it is opened with the part off")
    rest = PART_OFF.sub("", rest)
    if not _way_said(work, rest):
        problems.append(f"does not say how: {work.how} {work.part}")
    side = SIDE.search(rest)
    if (side[1] if side else None) != (hole.drill_face if work.when in ("now", "last", "open") else None):
        problems.append("names another face")
    return [f"the hole table {said} for hole {hole.number}: {text!r}" for said in problems]


def _sizes_said(hole: PanelHole, sizes: re.Match[str]) -> bool:
    return _is(sizes[1], sizes[2], hole.there_mm) and _is(sizes[3], sizes[4], hole.final_dia_mm)


def _is(text: str, unit: str, size_mm: float) -> bool:
    """True when a printed diameter is that size; of ``11/4``, its blank lost, either reading is taken."""
    if unit == "mm":
        return abs(float(Fraction(text)) - size_mm) < SAME_MM
    over, _, under = text.partition("/")
    readings = [Fraction(text)]
    if under:
        readings += [int(over[:k]) + Fraction(int(over[k:]), int(under)) for k in range(1, len(over))]
    return any(abs(float(size) * INCH_MM - size_mm) < HALF_THOU_MM for size in readings)


def _way_said(work: HoleWork, text: str) -> bool:
    title = "".join(c for c in work.part_title if not c.isspace() and c.encode("cp1252", "ignore"))
    through = re.search(r"throughthe(.*?)(,boltedon)?,(?:cab|engine)side$", text)
    if work.how == "paper":
        return through is not None and through[1] == "paper" and not through[2]
    if work.how in ("part", "guide"):
        return through is not None and through[1] == title and bool(through[2]) == (work.how == "part")
    if work.how == "hose":
        return "whereitshoseputs" in text and title in text
    return through is None and (work.when != "close" or title in text)
