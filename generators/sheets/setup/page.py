"""``PART_setup.html``: how a part is bent, step by step, as a page that needs nothing but itself."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from html import escape
from pathlib import Path

from generators.bending.setting import Machines
from generators.bending.steps import AnyStep
from generators.bending.steps import Sequence as Bends
from generators.drawing.bending.blank import LETTERED, TITLE, draw_blank
from generators.drawing.bending.instead import all_steps, instead_lines
from generators.drawing.bending.views.plan_view import plan_view
from generators.drawing.bending.views.side_view import side_view
from generators.drawing.bending.words import cautions, head, lines, order_lines, part_lines
from generators.drawing.paper.svg_pen import SvgPen
from generators.drawing.paper.waived import LEAD, MARK, grouped
from generators.model.findings import Waived
from generators.model.plan import PartPlan
from generators.model.spec.titles import questions
from generators.model.words import CAUTIONS as LEGAL
from generators.sheets.phone.elements import Element, el, inline_svg, markup
from generators.sheets.web.inline import GUIDE, kept, styled, write_page
from generators.units import UnitSystem

FRAMES = 9
"""Pictures of a bend from the flat sheet to its end."""

WIDTH_MM, HEIGHT_MM, ABOVE_MM = 120.0, 84.0, 60.0
PX_PER_MM = 5.0


def write_setup_page(
    path: Path,
    *,
    job: str,
    plan: PartPlan,
    bends: Bends,
    machines: Machines,
    job_title: str,
    revision: str,
    waived: Sequence[Waived] = (),
    units: UnitSystem = "metric",
    instead: Bends | None = None,
    contact: str = "",
    date: str = "",
) -> None:
    """Write the page of an order of bends that was found. Raises ``OSError``."""
    style, script = styled(GUIDE, ("setup", "page.css")), kept("setup", "page.js")
    steps = all_steps(bends, instead)
    facts = [
        *part_lines(plan, machines, steps, units),
        *order_lines(steps, machines, plan, units),
        *instead_lines(bends, instead),
    ]
    main = [el("section", [el("p", line) for line in facts], class_="facts")]
    main.append(_blank(plan))
    for number, step in enumerate(steps, 1):
        # the first of either order has nothing before it
        before = None if number in (1, len(bends.steps) + 1) else steps[number - 2]
        title = head(number, step, plan, units, instead=number > len(bends.steps))
        main.append(_step(number, title, step, before, plan, machines, units))
    write_page(
        path,
        "setup",
        heading=f"{plan.title}: bending",
        style=style,
        allowed=[script],
        job=escape(job),
        part=escape(plan.name),
        revision=escape(revision),
        title=escape(plan.title),
        job_title=escape(job_title),
        date=escape(f", {date}" if date else ""),
        asked=escape(f" {questions(contact)}." if contact else ""),
        cautions=markup(_cautions(steps, waived)),
        main="\n".join(map(markup, main)),
        script=script,
    )


def _cautions(steps: Sequence[AnyStep], waived: Sequence[Waived]) -> Element:
    words = [el("p", line) for line in (*cautions(steps), LEGAL[0])]
    out = el(
        "section", el("div", el("strong", "Before you bend"), words, class_="caution"), class_="cautions"
    )
    if waived:
        rows = [el("p", ": ".join(row)) for row in grouped(waived)]
        out.append(el("div", el("strong", f"⚠ {MARK}"), el("p", LEAD), rows, class_="caution"))
    return out


def _blank(plan: PartPlan) -> Element:
    """The blank with the letters of its corners."""
    pen = SvgPen(Path(), WIDTH_MM, HEIGHT_MM, title="", subject="")
    draw_blank(pen, plan, 0.0, 0.0, WIDTH_MM, HEIGHT_MM)
    picture = inline_svg(pen.drawn(), "blank", TITLE, PX_PER_MM)
    return el(
        "section", el("h2", TITLE), el("div", picture, class_="picture"), el("p", LETTERED), class_="blank"
    )


def _step(
    number: int,
    title: str,
    step: AnyStep,
    before: AnyStep | None,
    plan: PartPlan,
    machines: Machines,
    units: UnitSystem,
) -> Element:
    far, words = FRAMES - 1, f"How far step {number} is bent"
    slide = el("input", type="range", min=0, max=far, value=far, aria_label=words)
    controls = el(
        "div", el("button", "Play", type="button"), el("label", slide), class_="controls", hidden=""
    )
    frames = list(_frames(number, step, plan, machines))
    said = [el("p", line) for line in lines(step, before, plan, units)]
    above = list(_above(number, step, plan, machines, units))
    return el(
        "section",
        el("div", el("div", frames, class_="picture"), controls, above),
        el("div", el("h2", title), said, class_="words"),
        class_="step",
        id=f"step{number}",
    )


def _above(
    number: int, step: AnyStep, plan: PartPlan, machines: Machines, units: UnitSystem
) -> Iterator[Element]:
    """The sheet squared by its edge, from above."""
    squared = plan_view(plan, step, machines, units)
    if squared is not None:
        pen = SvgPen(Path(), WIDTH_MM, ABOVE_MM, title="", subject="")
        squared.draw(pen, 0.0, 0.0, WIDTH_MM, ABOVE_MM)
        picture = inline_svg(pen.drawn(), f"s{number}above", f"Step {number}, from above", PX_PER_MM)
        yield el("div", picture, class_="picture above")


def _frames(number: int, step: AnyStep, plan: PartPlan, machines: Machines) -> Iterator[Element]:
    """The bend at equal shares of its angle, the last one seen; all with the same part of the machine."""
    views = [side_view(plan, step, machines, share=index / (FRAMES - 1)) for index in range(FRAMES)]
    boxes = [view.box for view in views]
    seen = (
        min(b[0] for b in boxes),
        min(b[1] for b in boxes),
        max(b[2] for b in boxes),
        max(b[3] for b in boxes),
    )
    for index, view in enumerate(views):
        pen = SvgPen(Path(), WIDTH_MM, HEIGHT_MM, title="", subject="")
        view.draw(pen, 0.0, 0.0, WIDTH_MM, HEIGHT_MM, seen)
        degrees = math.degrees(step.pressed_rad) * index / (FRAMES - 1)
        words = f"Step {number}, bent to {degrees:.1f} degrees"
        picture = inline_svg(pen.drawn(), f"s{number}f{index}", words, PX_PER_MM)
        attributes = {"hidden": ""} if index < FRAMES - 1 else {}
        yield el("div", picture, class_="frame", data_at=f"{degrees:.1f} degrees", **attributes)
