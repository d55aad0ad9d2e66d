"""A finished 1:1 template, measured from the file alone and compared with the layout.

Each page says where it is through its registration marks: targets labelled ``u 300 v 150``. From
them comes the page's own scale, turn and mirror, and from those where every hole must be.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from pathlib import Path

from generators.geometry.printing import scale_test
from generators.model.plan import PanelHole, PanelLayout
from generators.model.spec.shop import PaperPrinter
from generators.model.words import NEW, Face
from generators.standards import paper_rows
from generators.verify.pdf.content import (
    Box,
    Circle,
    Content,
    PdfFile,
    Point,
    UnreadablePdfError,
    as_circle,
    inner,
    printed,
    read_pdf,
)
from generators.verify.pdf.template.axes import axis_problems
from generators.verify.pdf.template.callouts import callout_problems
from generators.verify.pdf.template.cover import cover_problems, list_problems
from generators.verify.pdf.template.ellipses import ellipse_problems
from generators.verify.pdf.template.laying import laying_problems
from generators.verify.pdf.template.pose import (
    FINAL_LINE,
    HOLE_MM,
    PAPER,
    SIZE_MM,
    Pose,
    frame,
    is_final,
    labelled_marks,
    page_pose,
    print_matrix,
    roll_width,
)
from generators.verify.pdf.template.slits import slit_problems
from generators.verify.pdf.template.slots import slot_problems
from generators.verify.pdf.template.words import bar_problems, says, table_problems, word_problems
from generators.verify.pdf.template.works import sign_problems
from generators.verify.pdf.template.wrap import wrap_key, wrap_problems
from generators.verify.pdf_texts import MARK
from generators.verify.readback import ReadBack

LARGEST_MM = 200 * 25.4
MADE_FOR = "Made for printer "
LEAST_FINAL_MM = 1.0  # no hole of a spec is smaller


def read_template_pdf(
    path: Path,
    layout: PanelLayout,
    *,
    face: Face,
    job: str,
    revision: str,
    rel: str,
    printer: PaperPrinter | None = None,
    tables: bool = True,
    used: tuple[float, float] | None = None,
) -> ReadBack:
    """Measure a finished template; one made for a calibrated ``printer`` as that printer sets it.

    Patch sheets have no ``tables``. ``used`` is what of each sheet is drawn on, mm, where that is less than
    the paper.

    Checks that each page has the size of the paper it names (or the width of its roll), print
    scaling, the pose of every page (scale to 1e-5, mirrored only on the engine face), every circle
    (0.01 mm), the check bars, the words and the hole table. A file that cannot be read is a
    problem, not an exception.
    """
    try:
        pdf = read_pdf(path)
    except UnreadablePdfError as fault:
        return ReadBack(path=rel, problems=(str(fault),))
    problems = file_problems(pdf)
    found: set[str] = set()
    whole: set[str] = set()
    labelled: set[str] = set()
    times: Counter[str] = Counter()
    tiles = table_count = 0
    pages: list[Content] = []
    for number, drawn in enumerate(pdf.pages, 1):
        said = size_problems(drawn)
        said += printer_problems(drawn, printer)
        page = printed(drawn, print_matrix(drawn, printer)) if printer is not None else drawn
        (page,) = _drawn_on([page], used)
        pages.append(page)
        if number == 1:
            said += _cover_problems(page, layout, job, revision)
            said += list_problems(_drawn_on(pdf.pages, used), face, corrected=printer is not None)
            problems += [f"page 1: {text}" for text in said]
            continue
        said += word_problems(page, layout, face=face, job=job, revision=revision)
        said += [] if f"page {number} of {len(pdf.pages)}" in page.text else ["its page number is missing"]
        said += bar_problems(page)
        if "HOLE TABLE" in page.text or "CHECK DISTANCES" in page.text:
            table_count += 1
            said += _table_page_problems(page)
        else:
            tiles += 1
            said += tile_problems(page, layout, face, found, whole, labelled, times, tables)
            said += [] if tables else laying_problems(page, layout, face)
        problems += [f"page {number}: {text}" for text in said]
    torn = [w for w in layout.wraps if wrap_key(w) not in found]
    found -= {wrap_key(w) for w in layout.wraps}
    missing = [h for h in layout.holes if h.number not in found]
    problems += [
        f"hole {h.number} ({h.purpose}) is on no page" for h in missing if _must_show(h, layout, tables)
    ]
    problems += table_problems(pages, layout) if tables else _twice(times, layout)
    new = [h.number for h in layout.holes if h.status in NEW]
    bare = [n for n in new if n not in labelled]
    # a crowded sheet may leave a few to its table; a sheet without labels is another matter
    if 2 * len(bare) > len(new):
        problems.append(f"labels only {len(new) - len(bare)} of {len(new)} holes to drill")
    cut = sorted(found - whole)
    facts = [
        "scale test first" + (f", made for printer {printer.name}" if printer is not None else ""),
        f"{tiles} tile pages and {table_count} table pages at 1:1, {face} face",
        f"{len(found)} of {len(layout.holes)} holes measured to {HOLE_MM} mm, {len(whole)} whole on one page",
    ]
    facts.append(f"{len(labelled)} of {len(layout.holes)} holes labelled, each label at its own hole")
    facts += [f"check length of {math.dist(*w.check):.1f} mm over the fold: whole on no page" for w in torn]
    if cut:
        facts.append(f"whole on no page: {', '.join(cut)}")
    if missing:
        facts.append(f"kept holes on no page: {', '.join(h.number for h in missing)}")
    return ReadBack(path=rel, facts=tuple(facts), problems=tuple(problems))


def printer_problems(page: Content, printer: PaperPrinter | None) -> list[str]:
    """A page made for one printer must say so, and no other page may."""
    if printer is None:
        return ["says it is made for one printer"] if MADE_FOR in page.text else []
    wanted = f"{MADE_FOR}{printer.name} only"
    return [] if says(page, wanted) else [f"does not say {wanted!r}"]


def _cover_problems(page: Content, layout: PanelLayout, job: str, revision: str) -> list[str]:
    named = PAPER.search(page.text)
    roll = named is not None and bool(named["roll"])
    # a roll is cut as long as the test asks, so its width alone decides
    test = scale_test(page.width, 10 * page.width if roll else page.height, layout.units)
    return cover_problems(page, test, words=(layout.title, job, f"revision {revision}"))


def _twice(times: Counter[str], layout: PanelLayout) -> list[str]:
    """On patches each new hole is drilled by one sheet: by two, it would be drilled twice."""
    return [
        f"hole {h.number} is to be drilled by {times[h.number]} patches"
        for h in layout.holes
        if h.status in NEW and times[h.number] > 1
    ]


def _must_show(hole: PanelHole, layout: PanelLayout, whole: bool) -> bool:
    """A hole that is only kept, and from which nothing is measured, may be off the sheets.

    A ``whole`` template shows the witness hole; patches have the distances from it in words.
    """
    return hole.status != "datum" or (whole and hole.name == layout.witness_hole)


def _drawn_on(pages: Sequence[Content], used: tuple[float, float] | None) -> Sequence[Content]:
    """The part of each sheet that is drawn on."""
    return pages if used is None else [inner(page, *used) for page in pages]


def file_problems(pdf: PdfFile) -> list[str]:
    """What a file to print at 1:1 must ask of whoever prints it, and does not."""
    problems: list[str] = []
    if pdf.print_scaling:
        problems.append("does not ask for printing without scaling (PrintScaling None)")
    if not pdf.one_sided:
        problems.append("does not ask for one side of the paper only (Duplex Simplex)")
    if pdf.version < 17:
        problems.append(f"PDF version {pdf.version / 10:g} does not know PrintScaling and Duplex; 1.7 does")
    if pdf.user_unit:
        problems.append("has a UserUnit: not every printer program honours it")
    return problems


def size_problems(page: Content, *, named: bool = True) -> list[str]:
    """A page that is not of the paper it names; one not ``named`` must be of some paper we know."""
    w, h = page.width, page.height
    problems: list[str] = []
    sizes = {r.name: (r.width_mm, r.height_mm) for r in paper_rows()}
    said = PAPER.search(page.text)
    if said is None and not named:
        if all(min(math.dist((w, h), s), math.dist((h, w), s)) > SIZE_MM for s in sizes.values()):
            problems.append(f"{w:.3f} x {h:.3f} mm is no paper we know")
    elif said is None:
        problems.append("does not name its paper")
    elif said["roll"]:
        width = roll_width(said["roll"])
        if width is None or min(abs(w - width), abs(h - width)) > SIZE_MM:
            problems.append(f"{w:.3f} x {h:.3f} mm does not come off a roll of {said['roll']}")
    elif said["sheet"] not in sizes:
        problems.append(f"names no known paper: {said['sheet']}")
    else:
        a, b = sizes[said["sheet"]]
        if min(math.dist((w, h), (a, b)), math.dist((w, h), (b, a))) > SIZE_MM:
            problems.append(f"{w:.3f} x {h:.3f} mm is not {said['sheet']}, {a:g} x {b:g} mm")
    if max(w, h) > LARGEST_MM + SIZE_MM:
        problems.append("is larger than 200 in, where viewers disagree")
    if page.rotation:
        problems.append(f"is turned by {page.rotation}°")
    if page.cropped:
        problems.append("is cropped to less than its paper")
    if page.annotations or page.others:
        problems.append("has pictures, forms or notes, which cannot be measured")
    return problems


def _table_page_problems(page: Content) -> list[str]:
    drawn = [c for c in map(as_circle, page.shapes) if c is not None and is_final(c.shape)]
    return ["a circle is drawn on a table page"] if drawn else []


def tile_problems(
    page: Content,
    layout: PanelLayout,
    face: Face,
    found: set[str],
    whole: set[str],
    labelled: set[str],
    times: Counter[str],
    every: bool,
) -> list[str]:
    """Problems of one sheet; ``every`` hole within its frame must be there, but on a patch sheet."""
    circles = [c for c in map(as_circle, page.shapes) if c is not None]
    marks = labelled_marks(page, circles)
    pose, problems = page_pose(marks, face)
    rim = frame(page)
    if rim is None:
        problems.append("has no frame around the drawing")
    if pose is None or rim is None:
        return problems
    finals = [c for c in circles if is_final(c.shape) and c.diameter >= LEAST_FINAL_MM - HOLE_MM]
    thin = [c for c in circles if c.shape.stroked and c.shape.width < FINAL_LINE[0]]
    explained: set[int] = set()
    placed: dict[str, tuple[PanelHole, Point]] = {}
    for hole in layout.holes:
        x, y = pose.page(hole.u_mm, hole.v_mm)
        near = [c for c in finals if math.hypot(c.x - x, c.y - y) <= HOLE_MM]
        near = [c for c in near if abs(c.diameter - hole.final_dia_mm) <= HOLE_MM]
        inside = rim[0] < x < rim[2] and rim[1] < y < rim[3]
        explained |= {id(c) for c in near}
        if not inside:
            continue
        if not near and not every:
            continue
        if not near:
            problems.append(
                f"hole {hole.number} has no Ø{hole.final_dia_mm:.2f} circle within {HOLE_MM} mm "
                f"of u {hole.u_mm:.2f} v {hole.v_mm:.2f}"
            )
            continue
        found.add(hole.number)
        times[hole.number] += 1
        placed[hole.number] = (hole, (x, y))
        r = hole.final_dia_mm / 2
        if rim[0] < x - r and x + r < rim[2] and rim[1] < y - r and y + r < rim[3]:
            whole.add(hole.number)
        problems += _drawn_right(page, hole, near, thin, (x, y), rim)
        if hole.travel_mm and hole.number in whole:
            problems += slot_problems(page, hole, tuple(pose.page(*end) for end in hole.ends))
    problems += callout_problems(page, placed, labelled, rim)
    problems += wrap_problems(page, layout, pose, rim, found)
    problems += slit_problems(page, layout, face, pose, rim, [at for at, _ in marks])
    problems += axis_problems(page, layout, pose, rim)
    problems += ellipse_problems(page, layout, pose.page, rim)
    problems += [
        f"a circle of Ø{c.diameter:.2f} at x {c.x:.2f} y {c.y:.2f} of the page is no hole of the plan"
        for c in finals
        if id(c) not in explained and not _is_outline(c, layout, pose)
    ]
    return problems


def _is_outline(circle: Circle, layout: PanelLayout, pose: Pose) -> bool:
    """True for the edge of a round panel, drawn thicker than a hole."""
    corners = [pose.page(p.u, p.v) for p in layout.contour.vertices]
    return circle.shape.width > FINAL_LINE[1] and all(
        abs(math.dist(p, (circle.x, circle.y)) - circle.diameter / 2) <= HOLE_MM for p in corners
    )


def _drawn_right(
    page: Content,
    hole: PanelHole,
    near: Sequence[Circle],
    thin: Sequence[Circle],
    at: Point,
    frame: Box,
) -> list[str]:
    """The circle once, solid or dashed as it must be, with its pilot, and nothing painted over it.

    Only what lies within ``frame`` counts: outside it the circle does not show, and the check bars do.
    """
    problems: list[str] = []
    if len(near) > 1:
        problems.append(f"hole {hole.number} is drawn {len(near)} times")
    solid = hole.status in NEW and hole.work.how != "hose"
    if near[0].shape.dashed == solid:
        kind = "solid, new" if solid else "dashed, already there or last"
        problems.append(f"hole {hole.number} should be {kind}")
    problems += sign_problems(page, hole, at, thin)
    radius = hole.final_dia_mm / 2
    if any(
        s.filled and s.order > near[0].shape.order and _covers_rim(box, at, radius)
        for s in page.shapes
        if (box := _within(s.box, frame)) is not None
    ):
        problems.append(f"hole {hole.number} is painted over")
    marks = [_within(w.box, frame) for w in page.words if MARK in w.text]
    if any(box is not None and _covers_rim(box, at, radius) for box in marks):
        problems.append(f"the mark {MARK!r} lies over hole {hole.number}")
    return problems


def _within(box: Box, frame: Box) -> Box | None:
    """The part of a box inside the frame, or None."""
    x0, y0 = max(box[0], frame[0]), max(box[1], frame[1])
    x1, y1 = min(box[2], frame[2]), min(box[3], frame[3])
    return (x0, y0, x1, y1) if x0 < x1 and y0 < y1 else None


def _covers_rim(box: Box, centre: Point, radius: float) -> bool:
    """True when a box reaches the circle's line or its centre."""
    x, y = centre
    nx, ny = min(max(x, box[0]), box[2]), min(max(y, box[1]), box[3])
    nearest = math.hypot(nx - x, ny - y)
    farthest = max(math.hypot(cx - x, cy - y) for cx in (box[0], box[2]) for cy in (box[1], box[3]))
    return nearest < radius - 0.01 and (farthest > radius or nearest < 0.5)
