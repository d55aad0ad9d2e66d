"""Steps, lists and cautions of the guide as elements."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence

from generators.model.install import Guide, Listing, Phase, Step, StepTable
from generators.sheets.phone.elements import Element, el
from generators.sheets.phone.lengths import with_lengths
from generators.sheets.phone.pictures import Pictures

NARROW = 2
"""Columns that still stand beside each other on a phone."""


def table(rows: StepTable, class_: str = "") -> Element:
    """A table; one of many columns becomes cards on a narrow screen, each cell named after its column."""
    head = el("thead", el("tr", [el("th", column, scope="col") for column in rows.head]))
    body = el("tbody")
    for row in rows.rows:
        cells = [
            el("td", with_lengths(text), data_head=column)
            for column, text in zip(rows.head, row, strict=True)
        ]
        body.append(el("tr", cells))
    caption = el("caption", with_lengths(rows.lead)) if rows.lead else None
    look = "wide" if len(rows.head) > NARROW else "narrow"
    return el("table", caption, head, body, class_=f"{look} {class_}".rstrip())


def caution(lines: Sequence[str], title: str = "Caution") -> Element:
    """Warnings in a frame, under a word that says what they are."""
    items = el("ul", [el("li", with_lengths(line)) for line in lines])
    return el("div", el("strong", f"⚠ {title}"), items, class_="caution", role="note")


def listing(number: int, one: Listing) -> Element:
    """A list that is no step."""
    words = el("p", with_lengths(one.words)) if one.words else None
    return el("section", el("h2", one.title), words, table(one.table), id=f"list-{number}", class_="listing")


class Steps:
    """Draws phases; ``bodies`` are the names the 3D view knows, none where there is no such view."""

    def __init__(self, pictures: Pictures, bodies: Collection[str]) -> None:
        self._pictures = pictures
        self._bodies = bodies

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
        """One step: its box to tick, the order, the way, tables and pictures."""
        box = el("input", type="checkbox", id=f"tick-{one.number}", value=one.number)
        words = el(
            "span",
            el("span", f"{one.number}.", class_="number"),
            " ",
            el("span", with_lengths(one.do), class_="order"),
            el("span", " ✓ done", class_="tag"),
        )
        return el(
            "li",
            el("label", box, words, for_=f"tick-{one.number}"),
            el("p", with_lengths(one.how), class_="how") if one.how else None,
            [table(rows) for rows in one.tables],
            [self._pictures.figure(picture) for picture in one.pictures],
            list(self._buttons(one)),
            id=f"step-{one.number}",
            class_="step",
        )

    def _buttons(self, one: Step) -> Iterator[Element]:
        names = [key.partition(":")[2] for key in one.tasks if not key.startswith("drill:")]
        for name in dict.fromkeys(name for name in names if name in self._bodies):
            button = el("button", "See it in 3D", type="button", data_opens=name)
            yield el("p", button, data_script="", hidden="")


def contents(guide: Guide) -> Element:
    """Where everything is, with the number of the first step under each heading."""
    out = el("ol")
    for number, one in enumerate(guide.lists, 1):
        out.append(el("li", el("a", one.title, href=f"#list-{number}")))
    for number, phase in enumerate(guide.phases, 1):
        first = f", from step {phase.steps[0].number}" if phase.steps else ""
        out.append(el("li", el("a", phase.title + first, href=f"#phase-{number}")))
    return out
