"""A finished part drawing, measured from the file alone and compared with the plan."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Sequence
from pathlib import Path

import numpy as np

from generators.figures import fixed
from generators.geometry.contours import bounds
from generators.model.plan import Hole, PartPlan, Peg
from generators.sheetmetal.folding import FlatPattern, flat_pattern
from generators.standards import material, paper_rows
from generators.verify.pdf.content import (
    Content,
    PdfFile,
    UnreadablePdfError,
    as_circle,
    plain,
    read_pdf,
    says,
)
from generators.verify.pdf.drawing_projection import paper_projection, projection_problems, words_of_views
from generators.verify.pdf.drawing_tables import (
    bend_table_problems,
    hole_table_problems,
    hole_use_problems,
    peg_table_problems,
)
from generators.verify.pdf.inspecting.asked import title_problems
from generators.verify.pdf.inspecting.cheeks import cheek_problems
from generators.verify.pdf.inspecting.feet import feet_of, feet_problems
from generators.verify.pdf.inspecting.leaning import height_problems
from generators.verify.pdf.inspecting.making import coat_problems, cut_file_problems, mass_problems
from generators.verify.pdf.inspecting.welded import welded_problems
from generators.verify.pdf.rebuild.compare import drawn_from, rebuild_problems
from generators.verify.pdf.rebuild.etched import etched_place_problems
from generators.verify.pdf.rebuild.finishes import finish_problems
from generators.verify.pdf.rebuild.folded import folded_problems, overall_problems
from generators.verify.pdf.rebuild.scales import scale_problems, scale_said
from generators.verify.pdf.welds import (
    past_problems,
    thickness_problems,
    weld_place_problems,
    weld_problems,
    weld_sign_problems,
)
from generators.verify.readback import ReadBack

SIZE_MM = 0.01
CIRCLE_MM = 0.01
OUTLINE_MM = 0.05
CURVE_STEPS = 32
EDGE_MM = 10.0
LEAST_VERSION = 16  # PrintScaling came with PDF 1.6 (ISO 32000-1 12.2)
TITLE = re.compile(r"(?:FLAT BLANK|PLATE|BLOCK) (\d+):(\d+)")
SHEET = re.compile(r"\b(\d+) of (\d+)\b")
CAUTION = "have the work checked by a licensed mechanic and follow local codes"
NOT_FULL_SIZE = "Do not scale this drawing: it is not 1:1."
GRAIN = {"along_u": "grain along X", "along_v": "grain along Y"}
MIRRORED = "MIRRORED (opposite hand)"


def read_part_drawing(
    path: Path,
    plan: PartPlan,
    *,
    job_title: str,
    revision: str,
    rel: str,
    smallest_hole_mm: float = 0.0,
    projection: str = "",
    cut_file: str = "",
    kerf_mm: float | None = None,
    contact: str = "",
    date: str = "",
) -> ReadBack:
    """Measure a finished drawing against the plan; ``rel`` is the name it goes by in reports.

    ``projection`` is ``first`` or ``third``; by itself what is usual on the file's paper. ``cut_file`` and
    ``kerf_mm``: what the blank is cut from, and how wide a cut its lines are moved for. ``contact`` answers
    questions, if the job names anybody; ``date`` is the job's, if it has one.
    Checks paper, print scaling, the words every sheet must carry, every hole and bend in the
    tables, and the flat view itself: its circles must have the plan's diameters and lie as the
    plan's holes lie, at the stated scale, to 0.01 mm of paper. A file that cannot be read is a
    problem, not an exception.
    """
    flat = flat_pattern(plan)
    try:
        pdf = read_pdf(path)
    except UnreadablePdfError as fault:
        return ReadBack(path=rel, problems=(str(fault),))
    problems = [*_file_problems(pdf), *_words(pdf, plan, job_title, revision)]
    problems += title_problems(pdf.pages, plan, contact, date)
    problems += projection_problems(pdf, projection or paper_projection(pdf))
    problems += _tables(pdf, plan, flat, smallest_hole_mm)
    problems += hole_table_problems(pdf, flat)
    problems += hole_use_problems(pdf, plan, flat)
    problems += finish_problems(pdf, plan)
    problems += peg_table_problems(pdf, plan, flat)
    problems += bend_table_problems(pdf, plan, flat)
    problems += [*folded_problems(pdf, plan), *overall_problems(pdf, plan)]
    text = " ".join(page.text for page in pdf.pages)
    problems += weld_problems(text, plan)
    problems += thickness_problems(pdf.pages, plan)
    problems += weld_place_problems(pdf.pages)
    problems += feet_problems(text, plan)
    problems += cheek_problems(text, plan)
    problems += height_problems(text, plan)
    problems += welded_problems(text, plan, feet_of(plan))
    problems += past_problems(text, plan)
    problems += cut_file_problems(text, plan, cut_file, kerf_mm)
    problems += mass_problems(text, plan)
    problems += coat_problems(text, plan)
    problems += weld_sign_problems(pdf, plan)
    rebuilt = rebuild_problems(pdf, flat)
    problems += rebuilt
    scale, page = _scale(pdf)
    facts = [f"{len(pdf.pages)} sheets" if len(pdf.pages) > 1 else "1 sheet"]
    if not rebuilt:
        facts.append("blank, holes and bend lines rebuilt from the printed sizes alone")
    if page is None:
        problems.append("no view says that it is the flat blank or plate, and its scale")
    else:
        facts.append(f"flat view {scale[0]}:{scale[1]}")
        ratio = scale[0] / scale[1]
        problems += _not_full_size(pdf)
        rounds: tuple[Hole | Peg, ...] = (*flat.holes, *plan.flanges[0].pegs)
        found, circle_problems = _circles(page, rounds, ratio)
        problems += circle_problems
        if rounds:
            what = "holes" if len(rounds) == len(flat.holes) else "holes and pegs"
            facts.append(f"{found} of {len(rounds)} {what} in place to {CIRCLE_MM} mm of paper")
        problems += _outline(page, flat, ratio)
        problems += etched_place_problems(pdf, plan, flat, ratio, drawn_from(pdf, flat))
    problems += scale_problems(pdf)
    return ReadBack(path=rel, facts=tuple(facts), problems=tuple(dict.fromkeys(problems)))


def _file_problems(pdf: PdfFile) -> Iterator[str]:
    if pdf.print_scaling:
        yield "the file does not ask viewers to print without scaling (PrintScaling None)"
    if pdf.version < LEAST_VERSION:
        yield f"PDF version {pdf.version / 10:.1f} does not know PrintScaling"
    if pdf.user_unit:
        yield "the file sets UserUnit, which viewers do not agree on"
    for i, page in enumerate(pdf.pages):
        sides = sorted((page.width, page.height))
        if not any(
            abs(sides[0] - row.width_mm) < SIZE_MM and abs(sides[1] - row.height_mm) < SIZE_MM
            for row in paper_rows()
        ):
            yield f"sheet {i + 1} is {page.width:.2f} x {page.height:.2f} mm, no known paper"
        if page.rotation or page.cropped:
            yield f"sheet {i + 1} is turned or cropped"
        for word in page.words:
            x0, y0, x1, y1 = word.box
            outside = min(x0, y0, page.width - x1, page.height - y1) < EDGE_MM
            if word.text.strip() and outside:
                yield f"sheet {i + 1}: {word.text.strip()!r} is outside the frame"


def _words(pdf: PdfFile, plan: PartPlan, job_title: str, revision: str) -> Iterator[str]:
    ordered = plan.material if plan.printed else material(plan.material).ordered(bent=bool(plan.bends))
    for i, page in enumerate(pdf.pages):
        text = page.text
        thickness = f"{fixed(plan.thickness_mm, 2)} mm"
        for what, word in (
            ("job", job_title),
            ("part", f"part {plan.name}"),
            ("revision", revision),
            ("material", ordered),
            ("thickness", thickness),
            ("caution", CAUTION),
            ("general tolerance", plan.tolerance if not plan.printed else ""),
            ("grain", "" if plan.printed else GRAIN.get(plan.grain, "grain either way")),
            ("hand", MIRRORED if plan.mirrored else ""),
        ):
            if not says(text, word):
                yield f"sheet {i + 1} does not give the {what} {word!r}"
        if not plan.mirrored and says(text, MIRRORED):
            yield f"sheet {i + 1} says {MIRRORED!r}, which the part is not"
        numbers = SHEET.findall(text)
        if (str(i + 1), str(len(pdf.pages))) not in numbers:
            yield f"sheet {i + 1} does not say that it is {i + 1} of {len(pdf.pages)}"


def _not_full_size(pdf: PdfFile) -> Iterator[str]:
    """The warning stands on every sheet but those whose title block says 1:1."""
    for i, page in enumerate(pdf.pages):
        told = plain(NOT_FULL_SIZE) in plain(page.text)
        if told == (scale_said(page) == "1:1"):
            yield f"sheet {i + 1} {'says' if told else 'does not say'} {NOT_FULL_SIZE!r}"


def _tables(pdf: PdfFile, plan: PartPlan, flat: FlatPattern, smallest_mm: float) -> Iterator[str]:
    """Every diameter as often as holes have it, every bend by name."""
    words = [word.text.strip() for page in pdf.pages for word in page.words]
    sizes: dict[str, int] = {}
    for hole in flat.holes:
        size = fixed(hole.diameter_mm, 2)
        sizes[size] = sizes.get(size, 0) + 1
    for slot in flat.slots:
        size = f"{fixed(slot.width_mm, 2)} × {fixed(slot.width_mm + slot.travel_mm, 2)}"
        sizes[size] = sizes.get(size, 0) + 1
    for size, count in sizes.items():
        if words.count(size) < count:
            yield f"the tables give the size {size} {words.count(size)} times, the plan {count}"
    for number in range(1, len(flat.holes) + len(flat.slots) + 1):
        if not any(w in (str(number), f"{number}*") for w in words):
            yield f"no hole number {number}"
    marked = sum(1 for h in flat.holes if h.diameter_mm < smallest_mm)
    marked += sum(1 for s in flat.slots if s.width_mm < smallest_mm)
    if marked and not any(w.startswith("* Centre mark only") for w in words):
        yield f"{marked} openings are too small to cut, but no note says to drill them"
    for bend in plan.bends:
        name = bend.name.replace("_", " ")
        if name not in words:
            yield f"no bend {name!r} in the tables"
        label = f"{name} {bend.direction.upper()} {_short(math.degrees(bend.angle_rad))}°"
        if label not in words:
            yield f"the flat view does not label the bend {label!r}"


def _short(value: float) -> str:
    return fixed(value, 2).rstrip("0").rstrip(".")


def _scale(pdf: PdfFile) -> tuple[tuple[int, int], Content | None]:
    for page in pdf.pages:
        for word in words_of_views(page):
            match = TITLE.match(word.text.strip())
            if match:
                up, down = int(match[1]), int(match[2])
                return (up, down), page if up and down else None
    return (0, 0), None


def _circles(page: Content, holes: Sequence[Hole | Peg], ratio: float) -> tuple[int, list[str]]:
    """How many holes and pegs are where the plan has them, and what is wrong with the rest.

    The view may stand anywhere on the sheet: every circle of the right size is tried as the
    first hole, and the place that explains most circles wins.
    """
    if not holes:
        return 0, []
    circles = [c for s in page.shapes if (c := as_circle(s, CIRCLE_MM / 2)) is not None]
    first = max(range(len(holes)), key=lambda k: holes[k].diameter_mm)
    drawn = np.array([(c.x, c.y, c.diameter) for c in circles]).reshape(-1, 3)
    planned = ratio * np.array([(h.u_mm, h.v_mm, h.diameter_mm) for h in holes])
    # by hole, then by circle: how far off each of its three figures is before the view is put in its place
    off = drawn[None, :, :] - planned[:, None, :]
    sized = np.abs(off[:, :, 2]) <= CIRCLE_MM
    best: list[Hole | Peg] | None = None
    for circle in np.flatnonzero(sized[first]):
        there = np.abs(off[:, :, :2] - off[first, circle, :2]).max(axis=2) <= 2 * CIRCLE_MM
        seen = (there & sized).any(axis=1)
        missing = [hole for hole, found in zip(holes, seen.tolist(), strict=True) if not found]
        if best is None or len(missing) < len(best):
            best = missing
    if best is None:
        size = holes[first].diameter_mm * ratio
        return 0, [f"the flat view has no circle of {size:.3f} mm on paper for {_called(holes[first])}"]
    return len(holes) - len(best), [f"{_called(h)} is not drawn in its place and size" for h in best]


def _called(item: Hole | Peg) -> str:
    return f"{'peg' if isinstance(item, Peg) else 'hole'} {item.name!r}"


def _outline(page: Content, flat: FlatPattern, ratio: float) -> Iterator[str]:
    """One closed path must be as wide and as high as the blank at its scale."""
    u0, v0, u1, v1 = bounds(flat.contour)
    wanted = (u1 - u0) * ratio, (v1 - v0) * ratio
    for shape in page.shapes:
        if not shape.closed:
            continue
        x0, y0, x1, y1 = shape.box
        for curve in shape.curves:  # an arc's extreme lies between its ends
            for i in range(1, CURVE_STEPS):
                x, y = _bezier(curve, i / CURVE_STEPS)
                x0, y0, x1, y1 = min(x0, x), min(y0, y), max(x1, x), max(y1, y)
        if abs(x1 - x0 - wanted[0]) < OUTLINE_MM and abs(y1 - y0 - wanted[1]) < OUTLINE_MM:
            return
    yield f"no outline of {wanted[0]:.2f} x {wanted[1]:.2f} mm on paper"


def _bezier(
    curve: tuple[tuple[float, float], tuple[float, float], tuple[float, float], tuple[float, float]], t: float
) -> tuple[float, float]:
    s = 1 - t
    weights = (s**3, 3 * s * s * t, 3 * s * t * t, t**3)
    x = sum(w * p[0] for w, p in zip(weights, curve, strict=True))
    y = sum(w * p[1] for w, p in zip(weights, curve, strict=True))
    return x, y
