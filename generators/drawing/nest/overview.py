"""The overview of a nest as a PDF: the job on page one, then each sheet on a page of its own."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from generators.drawing.nest.words import CAUTIONS, fewest, job_lines, remnant_name, sheet_lines
from generators.drawing.paper.bench_sheet import (
    LINE,
    MARGIN_MM,
    PAD_MM,
    PLAIN,
    SMALL,
    BenchSheet,
    page_size,
    paragraphs,
)
from generators.drawing.paper.dimensions import arrow
from generators.drawing.paper.pdf_pen import PdfPen
from generators.drawing.paper.pen import GREY, LIGHT, MEDIUM, THIN, Pen, text_width
from generators.drawing.paper.waived import waived_list
from generators.geometry.contours import stadium, transformed
from generators.model.contour import Contour, Vertex
from generators.model.findings import Waived
from generators.model.spec.tools.rates import Rates
from generators.nesting.cost import NestWork
from generators.nesting.nest import Laid, LaidSheet, Nest, moved, stock_name
from generators.units import UnitSystem

TITLE = "NEST"
DASH = (3.0, 1.2)
TEXT_ROOM_MM = 78.0
NUMBER_MM = 3.2
GAP_MM = 0.8


@dataclass(frozen=True, slots=True, kw_only=True)
class _Sheet(BenchSheet):
    """The pages of one nest."""

    nest: Nest
    work: NestWork
    rates: Rates
    job: str

    @property
    def pages(self) -> int:
        """Pages of the file."""
        return 1 + len(self.nest.sheets)

    def numbers(self) -> dict[str, int]:
        """What a part is called on the pictures."""
        return {blank.plan.name: number for number, blank in enumerate(self.nest.blanks, 1)}


def write_nest_overview(
    nest: Nest,
    path: Path,
    *,
    work: NestWork,
    rates: Rates,
    job: str,
    job_title: str,
    revision: str,
    paper: str = "A4",
    waived: Sequence[Waived] = (),
    units: UnitSystem = "metric",
) -> None:
    """Write the overview of a nest, lying on ``paper``.

    Raises ``LookupFault`` for unknown paper, ``ExportError`` when the file cannot be written.
    """
    width, height = page_size(paper, lying=True)
    sheet = _Sheet(
        title=TITLE,
        cautions=CAUTIONS,
        leaf="page",
        job_title=job_title,
        revision=revision,
        waived=tuple(waived),
        units=units,
        width=width,
        height=height,
        nest=nest,
        work=work,
        rates=rates,
        job=job,
    )
    pen = PdfPen(path, title=f"{job_title}: nest", subject=f"nest {revision}")
    sets = f", {nest.sets} sets" if nest.sets > 1 else ""
    title = f"{TITLE}: {len(nest.sheets)} sheet{'s' if len(nest.sheets) > 1 else ''}{sets}"
    with sheet.page(pen, 1, sheet.pages, title) as (top, _):
        _first(pen, sheet, top)
    for laid in nest.sheets:
        title = f"{TITLE}: sheet {laid.number} of {len(nest.sheets)}, {stock_name(laid.rack)}"
        with sheet.page(pen, 1 + laid.number, sheet.pages, title) as (top, low):
            _page(pen, sheet, laid, top, low)
    pen.finish()


def _text(pen: Pen, x: float, top: float, texts: Sequence[str], room: float) -> float:
    y = top - PLAIN * LINE
    for text in texts:
        bold = text.startswith(("TOTAL", "TAKE"))
        y = paragraphs(pen, [text], (x, y), room, PLAIN, bold=bold, gap=GAP_MM)
    return y + PLAIN * LINE


def _first(pen: Pen, sheet: _Sheet, top: float) -> None:
    """Parts with their quantities, stocks with their sheets, times and prices."""
    nest, x = sheet.nest, MARGIN_MM + PAD_MM
    half = sheet.inner / 2
    rows = [("No.", "part", "material", "pieces", "sheets")]
    for number, blank in enumerate(nest.blanks, 1):
        on = [str(s.number) for s in nest.sheets if any(d.part == blank.plan.name for d in s.laid)]
        stock = f"{blank.plan.material}, {blank.plan.thickness_mm:g} mm"
        rows.append((str(number), blank.plan.name, stock, str(blank.count), ", ".join(on)))
    _table(pen, x, top - 3, rows, half + 8)
    left = x + half + 16
    room = sheet.width - MARGIN_MM - PAD_MM - left
    lines = [
        f"{name}: {count} sheet{'s' if count > 1 else ''}; by the blanks' area no nest takes fewer "
        f"than {least}."
        for name, count, least in fewest(nest)
    ]
    y = _text(pen, left, top - 2, [*lines, "", *job_lines(nest, sheet.work, sheet.rates)], room)
    if sheet.waived:
        waived_list(sheet.waived, room).draw(pen, left, y - 3)


def _table(pen: Pen, x: float, top: float, rows: Sequence[Sequence[str]], width: float) -> float:
    """A plain table as wide as its words, within ``width``; returns its lower side."""
    columns = [max(text_width(row[i], PLAIN, bold=True) for row in rows) + 3 for i in range(len(rows[0]))]
    scale = min(1.0, width / sum(columns))
    step = PLAIN * 1.7 * scale
    y = top
    pen.stroke(THIN)
    for number, row in enumerate(rows):
        at = x
        for word, column in zip(row, columns, strict=True):
            pen.text(at + 1.2, y - step + 1.6 * scale, word, PLAIN * scale, bold=number == 0)
            at += column * scale
        y -= step
        pen.line(x, y, x + sum(columns) * scale, y)
    return y


def _page(pen: Pen, sheet: _Sheet, laid: LaidSheet, top: float, low: float) -> None:
    """One sheet: its picture, what is on it, what it takes."""
    rack, nest = laid.rack, sheet.nest
    left = sheet.width - MARGIN_MM - PAD_MM - TEXT_ROOM_MM
    pen.stroke(THIN, GREY)
    pen.line(left - PAD_MM, low, left - PAD_MM, top)
    work = sheet.work.sheets[laid.number - 1]
    y = _text(
        pen,
        left,
        top - 2,
        list(sheet_lines(nest, laid, work, sheet.rates, sheet.units, sheet.job)),
        TEXT_ROOM_MM,
    )
    numbers = sheet.numbers()
    counts: dict[str, int] = {}
    for one in laid.laid:
        counts[one.part] = counts.get(one.part, 0) + 1
    rows = [
        ("No.", "part", "on this sheet", "of"),
        *(
            (str(numbers[part]), part, str(count), str(nest.blank(part).count))
            for part, count in sorted(counts.items(), key=lambda item: numbers[item[0]])
        ),
    ]
    _table(pen, left, y - 2, rows, TEXT_ROOM_MM)
    room = left - PAD_MM - MARGIN_MM - 8, top - low - 16
    scale = min(room[0] / rack.length_mm, room[1] / rack.width_mm)
    x0 = MARGIN_MM + 4 + (room[0] - scale * rack.length_mm) / 2
    y0 = low + 8 + (room[1] - scale * rack.width_mm) / 2
    _picture(pen, sheet, laid, (x0, y0, scale))


def _picture(pen: Pen, sheet: _Sheet, laid: LaidSheet, at: tuple[float, float, float]) -> None:
    x0, y0, scale = at
    rack, numbers = laid.rack, sheet.numbers()
    pen.stroke(MEDIUM)
    pen.rect(x0, y0, scale * rack.length_mm, scale * rack.width_mm)
    if laid.remnant is not None:
        u0, v0, u1, v1 = laid.remnant
        pen.stroke(THIN, dash=DASH)
        pen.rect(x0 + scale * u0, y0 + scale * v0, scale * (u1 - u0), scale * (v1 - v0))
        middle = x0 + scale * (u0 + u1) / 2, y0 + scale * (v0 + v1) / 2
        words = f"REMNANT {remnant_name(laid, sheet.job)}, KEEP"
        upright = (v1 - v0) > (u1 - u0) and scale * (u1 - u0) < text_width(words, PLAIN) + 2
        pen.text(*middle, words, PLAIN, align="centre", angle_deg=90.0 if upright else 0.0)
    for one in laid.laid:
        _blank(pen, sheet, one, at)
    for one in laid.laid:
        _number(pen, sheet, one, at, str(numbers[one.part]))
    along = rack.grain == "length"
    long = 16.0
    gx, gy = x0 + 1, y0 - 4.5
    pen.stroke(THIN)
    pen.text(gx, gy - 1, "rolling direction", SMALL)
    gx += text_width("rolling direction", SMALL) + 2
    if along:
        pen.line(gx, gy, gx + long, gy)
        arrow(pen, (gx, gy), 3.141592653589793)
        arrow(pen, (gx + long, gy), 0.0)
    else:
        pen.line(gx + 2, gy - 2.5, gx + 2, gy + 3.5)
        arrow(pen, (gx + 2, gy - 2.5), -1.5707963267948966)
        arrow(pen, (gx + 2, gy + 3.5), 1.5707963267948966)


def _blank(pen: Pen, sheet: _Sheet, one: Laid, at: tuple[float, float, float]) -> None:
    """The outline and openings of a blank as it lies, on paper."""
    x0, y0, scale = at
    cut = moved(sheet.nest.blank(one.part).cut, one.place)

    def page(contour: Contour) -> Contour:
        return Contour(tuple(Vertex(x0 + scale * p.u, y0 + scale * p.v, p.bulge) for p in contour.vertices))

    pen.stroke(THIN)
    pen.contour(page(cut.contour), fill=LIGHT)
    for hole in cut.holes:
        pen.circle(x0 + scale * hole.u_mm, y0 + scale * hole.v_mm, scale * hole.diameter_mm, fill=1.0)
    for slot in cut.slots:
        pen.contour(
            page(stadium(slot.u_mm, slot.v_mm, slot.width_mm, slot.travel_mm, slot.angle_rad)), fill=1.0
        )


def _number(pen: Pen, sheet: _Sheet, one: Laid, at: tuple[float, float, float], number: str) -> None:
    """The part's number where its origin's flange is: the middle of the blank's box."""
    x0, y0, scale = at
    cut = transformed(sheet.nest.blank(one.part).cut.contour, one.place)
    us, vs = [p.u for p in cut.vertices], [p.v for p in cut.vertices]
    x, y = x0 + scale * (min(us) + max(us)) / 2, y0 + scale * (min(vs) + max(vs)) / 2
    wide = text_width(number, NUMBER_MM, bold=True) + 1.0
    pen.rect(x - wide / 2, y - 1.6, wide, 3.2, fill=1.0, edge=False)
    pen.text(x, y - 1.1, number, NUMBER_MM, bold=True, align="centre")
