"""``form.html``: the measuring form on a phone. It works offline and gives a small file back."""

from __future__ import annotations

import json
from html import escape
from pathlib import Path

from generators.drawing.paper.svg_pen import SvgPen
from generators.model.words import CAUTIONS
from generators.sheets.form.content import HOW, SAFE, FormSheet, Line
from generators.sheets.form.picture import FormView
from generators.sheets.phone.elements import Element, el, inline_svg, markup
from generators.sheets.web.inline import GUIDE, kept, styled, write_page

WIDTH_MM, TALL_MM = 150.0, 95.0
PX_PER_MM = 4.4


def write_form_page(path: Path, *, sheet: FormSheet, revision: str) -> None:
    """Write the page. Raises ``OSError``."""
    style, script = styled(GUIDE, ("form", "page.css")), kept("form", "page.js")
    main = [
        el("ol", [el("li", line) for line in HOW], class_="how"),
        el("p", el("label", "Order number ", el("input", id="name", autocomplete="off", maxlength=40))),
    ]
    for number, (layout, face, lines) in enumerate(sheet.views()):
        view = FormView(layout, lines, width_mm=WIDTH_MM, face=face, tallest_mm=TALL_MM)
        pen = SvgPen(Path(), *view.size, title="", subject="")
        view.paint(pen)
        words = f"{layout.title}, {layout.seen(face)}"
        main.append(
            el(
                "section",
                el("h2", words),
                el("div", inline_svg(pen.drawn(), f"v{number}", words, PX_PER_MM), class_="picture"),
                [_field(line) for line in lines],
            )
        )
    if sheet.leans:
        main.append(el("section", el("h2", "How they lean"), [_field(line) for line in sheet.leans]))
    cautions = el("section", [el("p", line) for line in (*SAFE, *CAUTIONS)], class_="caution")
    write_page(
        path,
        "form",
        heading=f"{sheet.title}: measuring form",
        style=style,
        allowed=[script],
        job=escape(sheet.job),
        variant=escape(sheet.variant),
        revision=escape(revision),
        title=escape(sheet.title),
        contact=escape(f" Send it to {sheet.contact}." if sheet.contact else ""),
        cautions=markup(cautions),
        main="\n".join(map(markup, main)),
        script=script,
    )


def _field(line: Line) -> Element:
    """A reading: its words, a box for the figure, its unit, and what the page thinks of it."""
    units = ("deg",) if line.unit == "deg" else ("mm", "in")
    attributes = {
        "data_number": str(line.number),
        "data_kind": line.kind,
        "data_panel": line.panel,
        "data_from": line.from_,
        "data_to": line.to,
        "data_expected": json.dumps(round(line.expected, 3)),
        "data_spread": json.dumps(round(line.spread, 3)),
    }
    return el(
        "div",
        el("p", el("strong", f"{line.number}. "), line.words, el("br"), el("small", line.how)),
        el(
            "p",
            el(
                "input",
                aria_label=f"Reading {line.number}",
                inputmode="text",
                autocomplete="off",
                class_="figure",
                placeholder="438.5 or 17 1/4" if "in" in units else "1.5",
            ),
            el("select", [el("option", unit) for unit in units], aria_label=f"Unit of reading {line.number}"),
            el("span", "", class_="said", role="status"),
            el(
                "label",
                el("input", type="checkbox"),
                " measured again, it stays so",
                class_="stays",
                hidden="hidden",
            ),
        ),
        class_="reading",
        **attributes,
    )
