"""``draft.html``: all pictures on one page for a tablet, which needs nothing but itself."""

from __future__ import annotations

import json
from collections.abc import Collection, Iterator
from html import escape
from pathlib import Path

from generators.model.words import CAUTIONS
from generators.sheets.draft.content import Content
from generators.sheets.draft.files import HEADS, PINS, cure, lead, svg_text
from generators.sheets.draft.mark import USE
from generators.sheets.draft.pictures import Drawn, What, drawn
from generators.sheets.draft.space import space_data
from generators.sheets.phone.elements import Element, el, inline_svg, markup
from generators.sheets.phone.page import licences
from generators.sheets.phone.three import three_js
from generators.sheets.web.inline import kept, styled, write_page

PX_PER_MM = 6.0


def write_draft_page(
    path: Path, *, content: Content, whats: Collection[What], revision: str
) -> tuple[str, ...]:
    """Write the page. Returns what a person should know of it. Raises ``OSError``."""
    library = three_js() if "scene" in whats and content.space is not None else ""
    turned = [library, kept("web", "turning.js"), kept("draft", "space.js")] if library else []
    scripts = [*turned, kept("draft", "page.js")]
    pictures = [*drawn(content, whats)]
    style = styled(("draft", "draft.css"), ("draft", "page.css"))
    listed = dict.fromkeys(one.what for one in pictures)
    links = [("findings", "Findings"), *((what, HEADS[what]) for what in listed)]
    if library:
        links.append(("space", "In 3D"))
    space = ""
    if library:
        told = json.dumps(space_data(content), ensure_ascii=False).replace("<", "\\u003c")
        space = kept("draft", "space.html")
        space += f'<script type="application/json" id="space-data">{told}</script>'
    write_page(
        path,
        "draft",
        heading=f"DRAFT: {content.title}",
        style=style,
        allowed=scripts,
        job=escape(content.job),
        title=escape(content.title),
        revision=escape(revision),
        lead=escape(lead(content)),
        use=USE,
        cautions=markup(el("section", [el("p", line) for line in CAUTIONS], class_="cautions")),
        contents="".join(markup(el("li", el("a", word, href=f"#{name}"))) for name, word in links),
        main="\n".join(map(markup, [_findings(content), *_sections(pictures, content, revision)])),
        space=space,
        licences=markup(licences()) if library else "",
        scripts="\n".join(f"<script>{script}</script>" for script in scripts),
    )
    return ()


def _findings(content: Content) -> Element:
    if not content.pins:
        return el("section", el("h2", "Findings"), el("p", "No findings."), id="findings")
    rows = [
        el(
            "tr",
            *(
                el("td", cell)
                for cell in (
                    str(pin.number),
                    pin.finding.code,
                    pin.finding.severity.value,
                    pin.finding.where,
                    f"{pin.finding.found}; limit {pin.finding.wanted}",
                    cure(pin.finding),
                )
            ),
            class_=pin.finding.severity.value,
        )
        for pin in content.pins
    ]
    heads = ("no.", "rule", "result", "where", "found", "what to do")
    table = el(
        "table", el("thead", el("tr", [el("th", head, scope="col") for head in heads])), el("tbody", rows)
    )
    return el("section", el("h2", "Findings"), el("p", PINS), el("div", table, class_="wide"), id="findings")


def _sections(pictures: Collection[Drawn], content: Content, revision: str) -> Iterator[Element]:
    for what in dict.fromkeys(one.what for one in pictures):
        figures = [
            el(
                "figure",
                el(
                    "div",
                    inline_svg(
                        svg_text(one, content, revision), f"{one.name}-", f"Draft. {one.title}", PX_PER_MM
                    ),
                    class_="paper",
                    id=f"picture-{one.name}",
                ),
                el("figcaption", f"{one.title}."),
            )
            for one in pictures
            if one.what == what
        ]
        yield el("section", el("h2", HEADS[what]), figures, id=what)
