"""``install.html``: the guide as one page that needs nothing but itself."""

from __future__ import annotations

import base64
import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from html import escape
from pathlib import Path
from string import Template

from generators.drawing.paper.waived import LEAD, MARK, grouped
from generators.drawing.paper.waived import TITLE as WAIVED_TITLE
from generators.drawing.space.views import OBLIQUE
from generators.model.install import Guide, StepTable
from generators.model.plan import PanelLayout
from generators.model.words import CAUTIONS
from generators.sheets.hose_words import LinesSheet
from generators.sheets.phone.elements import Element, el, markup
from generators.sheets.phone.holes import hole_tables
from generators.sheets.phone.pictures import WIDTH_MM, Pictures
from generators.sheets.phone.steps import Steps, caution, checks_id, contents, listing, table
from generators.sheets.phone.three import licence, three_js
from generators.sheets.space.picture import SpaceView
from generators.sheets.space.sheet import SpaceSheet, places
from generators.sheets.web.inline import GUIDE, kept, styled, write_page
from generators.space.shown import AT_REST, AT_STOP, BOLTS, OBSTACLES, ZONES

SWITCHES: tuple[tuple[str, str, bool, str], ...] = (
    (OBSTACLES, "In the way", True, ""),
    (BOLTS, "Bolts", True, ""),
    (AT_STOP, "Pedal pressed", False, AT_REST),
    (ZONES, "Heat, spray, stones", False, ""),
)
"""What the 3D view can leave out: a group, its word, whether it begins with it, what is shown instead."""

TALLEST_MM = 70.0
FINISHED = "The finished job"
HOLES = "Every hole"
BEFORE = "Before you begin"
ABOUT = "About this page"


@dataclass(frozen=True, slots=True, kw_only=True)
class Space:
    """The assembly for the 3D view: ``glb`` as in ``assembly.glb``; titles and groups by the names in it."""

    glb: bytes
    titles: Mapping[str, str]
    groups: Mapping[str, str]


def write_phone_page(
    path: Path,
    *,
    job: str,
    guide: Guide,
    layouts: Sequence[PanelLayout],
    lines: LinesSheet,
    sheet: SpaceSheet,
    space: Space | None,
    inch_first: bool,
) -> tuple[str, ...]:
    """Write ``install.html``. Returns what a person should know of it. Raises ``OSError``."""
    library = three_js() if space is not None else ""
    shown = space if library else None
    by_name = {layout.panel: layout for layout in layouts}
    pictures = Pictures(by_name, lines, sheet)
    listed = [(layout.panel, hole.number) for layout in layouts for hole in layout.holes]
    tables = hole_tables(layouts, guide)
    ids = {node.get("id", "") for node in tables}
    checked = [layout.panel for layout in layouts if checks_id(layout.panel) in ids]
    steps = Steps(pictures, shown.titles if shown else (), listed, checked)
    style, script = styled(GUIDE, ("phone", "page.css")), kept("phone", "page.js")
    scripts = [script, *((library, kept("web", "turning.js"), kept("phone", "view.js")) if shown else ())]
    finished = _finished(sheet, pictures, shown is not None)
    main = [
        *finished,
        *(listing(number, one) for number, one in enumerate(guide.lists, 1)),
        el("div", id="steps"),
        *(steps.phase(number, phase) for number, phase in enumerate(guide.phases, 1)),
        *([el("section", el("h2", HOLES), tables, id="holes")] if tables else []),
    ]
    write_page(
        path,
        "phone",
        heading=f"{guide.title}: install page",
        style=style,
        allowed=scripts,
        job=escape(job),
        revision=escape(guide.revision),
        title=escape(guide.title),
        first="in" if inch_first else "mm",
        cautions=markup(_cautions(guide)),
        contents=markup(
            contents(
                guide,
                [(BEFORE, "cautions"), *([(FINISHED, "finished")] if finished else [])],
                [*([(HOLES, "holes")] if listed else []), (ABOUT, "about")],
            )
        ),
        about=ABOUT,
        main="\n".join(map(markup, main)),
        licences=markup(licences()) if shown else "",
        list=markup(el("a", "Holes", class_="button", id="list", href="#holes")) if listed else "",
        button=markup(_opens("3D")) if shown else "",
        space=_space(shown, library, guide.revision) if shown else "",
        script=script,
    )
    if space is not None and not library:
        return (
            f"{path.name} has no view in 3D: this release of trimesh does not hold the library that draws it",
        )
    return ()


def _cautions(guide: Guide) -> Element:
    out = el("section", caution((*CAUTIONS, *guide.before), BEFORE), class_="cautions", id="cautions")
    if guide.loop:
        out.append(caution([guide.loop], "No order of work"))
    if guide.waived:
        rows = tuple(grouped(guide.waived))
        listed = StepTable(head=("rule", "reason"), rows=rows, shares=(0.4, 0.6))
        out.append(
            el(
                "div",
                el("strong", f"⚠ {MARK}"),
                el("h2", WAIVED_TITLE),
                el("p", LEAD),
                table(listed),
                class_="caution",
            )
        )
    return out


def _opens(words: str, name: str = "") -> Element:
    return el("button", words, type="button", data_opens=name)


def _finished(sheet: SpaceSheet, pictures: Pictures, turns: bool) -> list[Element]:
    sights = sheet.sights()
    found = places(sights, sheet.feet)
    if not found:
        return []
    views = [
        SpaceView(
            sheet,
            sights,
            OBLIQUE,
            shown=place.shown,
            words="",
            width_mm=WIDTH_MM,
            tallest_mm=TALLEST_MM,
            headed=False,
        )
        for place in found[:1]
    ]
    words = "From behind, the left and above: the driver sits on your side"
    return [
        el(
            "section",
            el("h2", FINISHED),
            [pictures.framed([view], words) for view in views],
            el("p", _opens("Turn it in 3D"), data_script="", hidden="") if turns else None,
            id="finished",
        )
    ]


def _space(space: Space, library: str, revision: str) -> str:
    options = [el("option", title, value=name) for name, title in space.titles.items()]
    there = set(space.groups.values())
    groups = [
        el("button", word, type="button", data_group=name, data_instead=other, aria_pressed=str(on).lower())
        for name, word, on, other in SWITCHES
        if name in there
    ]
    # the revision is put on later, where it is found: it must not be met by chance in the middle of this
    token = revision.rsplit(maxsplit=1)[-1] if revision else ""
    packed = base64.b64encode(space.glb).decode()
    packed = packed.replace(token, f"{token[:1]}\n{token[1:]}") if token else packed
    return Template(kept("phone", "space.html")).substitute(
        options="\n".join(map(markup, options)),
        groups="\n".join(map(markup, groups)),
        titles=json.dumps(dict(space.titles), ensure_ascii=False).replace("<", "\\u003c"),
        assembly=packed,
        library=library,
        turning=kept("web", "turning.js"),
        script=kept("phone", "view.js"),
    )


def licences() -> Element:
    """What the library in the page asks to be said of it."""
    words = el("p", "The view in 3D is drawn by three.js.")
    return el(
        "details",
        el("summary", "Licence of the library in this page"),
        words,
        el("pre", licence()),
    )
