"""Steps, lists and cautions of the guide as elements."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from generators.model.install import Guide, HoleRef, Listing, Phase, Step, StepTable
from generators.sheets.phone.elements import Element, el
from generators.sheets.phone.lengths import with_lengths
from generators.sheets.phone.pictures import Pictures

NONE = "–"
"""In a cell there is nothing to say of: no cell is empty."""

LISTED = 2
"""Columns of a list whose first word is the heading of its row and needs no name of the column."""


def hole_id(hole: HoleRef) -> str:
    """The name of a hole's row in the list of all holes."""
    return f"hole-{hole[0]}-{hole[1]}"


CHECKS, MEASURED = "checks", "distances of the hole table"
"""The class of the tables of distances to check, and the words of a step that sends one there."""


def checks_id(panel: str) -> str:
    """The name of a panel's distances to check."""
    return f"checks-{panel}"


def table(rows: StepTable, class_: str = "") -> Element:
    """A table; on a narrow screen each row is a line of text, every cell of it named after its column."""
    head = el("thead", el("tr", [el("th", column, scope="col") for column in rows.head]))
    body = el("tbody")
    for row in rows.rows:
        cells = [
            el(
                "td",
                with_lengths(text or NONE),
                data_head=column,
                **({} if text not in ("", NONE) else {"class_": "none"}),
            )
            for column, text in zip(rows.head, row, strict=True)
        ]
        body.append(el("tr", cells))
    caption = el("caption", with_lengths(rows.lead)) if rows.lead else None
    return el("table", caption, head, body, **({"class_": class_} if class_ else {}))


def caution(lines: Sequence[str], title: str = "Caution") -> Element:
    """Warnings in a frame, under a word that says what they are."""
    items = el("ul", [el("li", with_lengths(line)) for line in lines])
    return el("div", el("strong", f"⚠ {title}"), items, class_="caution", role="note")


def listing(number: int, one: Listing) -> Element:
    """A list that is no step."""
    words = el("p", with_lengths(one.words)) if one.words else None
    look = "named" if len(one.table.head) == LISTED else ""
    drawn = table(one.table, look)
    return el("section", el("h2", one.title), words, drawn, id=f"list-{number}", class_="listing")


class Steps:
    """Draws phases; ``bodies`` are the names the 3D view knows, none where there is no such view.

    ``holes`` are those in the list of all holes, ``checked`` the panels whose distances stand there.
    """

    def __init__(
        self,
        pictures: Pictures,
        bodies: Collection[str],
        holes: Collection[HoleRef],
        checked: Collection[str] = (),
    ) -> None:
        self._pictures = pictures
        self._bodies = bodies
        self._holes = holes
        self._checked = checked
        self._offered: set[str] = set()

    def phase(self, number: int, phase: Phase) -> Element:
        """A heading with its cautions and its steps."""
        return el(
            "section",
            el("h2", phase.title),
            [self._pictures.figure(picture) for picture in phase.pictures],
            caution(phase.cautions) if phase.cautions else None,
            el("ol", [self.step(one) for one in phase.steps], class_="steps"),
            id=f"phase-{number}",
            class_="phase",
        )

    def step(self, one: Step) -> Element:
        """One step: its box to tick and the order; under them the way, tables, pictures, links."""
        box = el("input", type="checkbox", id=f"tick-{one.number}", value=one.number)
        words = el(
            "span",
            el("span", f"{one.number}.", class_="number"),
            " ",
            el("span", with_lengths(one.do), class_="order"),
            el("span", " ✓ done", class_="tag"),
        )
        more = el(
            "div",
            el("p", with_lengths(one.how), class_="how") if one.how else None,
            [table(rows) for rows in one.tables],
            [self._pictures.figure(picture) for picture in one.pictures],
            self._leads(one),
            id=f"more-{one.number}",
            class_="more",
        )
        opens = el(
            "button",
            "show",
            el("span", f" step {one.number}", class_="unseen"),
            type="button",
            class_="fold",
            aria_expanded="false",
            aria_controls=f"more-{one.number}",
            hidden="",
        )
        return el(
            "li",
            el("div", el("label", box, words, for_=f"tick-{one.number}"), opens, class_="head"),
            more if len(more) else None,
            id=f"step-{one.number}",
            class_="step",
        )

    def _leads(self, one: Step) -> Element | None:
        """To the rows of its holes, and to its body in 3D, where that was not offered already."""
        out = el("div", class_="leads")
        holes = [ref for ref in dict.fromkeys((*one.holes, *one.drills)) if ref in self._holes]
        if holes:
            out.append(el("span", "Hole list:" if len(holes) > 1 else "In the hole list:"))
            out.extend(el("a", ref[1], href=f"#{hole_id(ref)}", class_="to-hole") for ref in holes)
        if MEASURED in one.how:
            for panel in dict.fromkeys(ref[0] for ref in holes if ref[0] in self._checked):
                out.append(el("a", "Check distances", href=f"#{checks_id(panel)}"))
        names = [key.partition(":")[2] for key in one.tasks if not key.startswith("drill:")]
        for name in dict.fromkeys(name for name in names if name in self._bodies):
            if name not in self._offered:
                self._offered.add(name)
                button = el(
                    "button", "See it in 3D", type="button", data_opens=name, data_script="", hidden=""
                )
                out.append(button)
        return out if len(out) else None


def contents(guide: Guide, before: Sequence[tuple[str, str]], after: Sequence[tuple[str, str]]) -> Element:
    """Where everything is, with the number of the first step under each heading.

    ``before`` and ``after`` are the titles and names of the sections around lists and phases.
    """
    out = el("ol")
    places = [*before, *((one.title, f"list-{number}") for number, one in enumerate(guide.lists, 1))]
    for number, phase in enumerate(guide.phases, 1):
        first = f", from step {phase.steps[0].number}" if phase.steps else ""
        places.append((phase.title + first, f"phase-{number}"))
    for title, name in (*places, *after):
        out.append(el("li", el("a", title, href=f"#{name}")))
    return out
