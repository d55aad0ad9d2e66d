"""Who is asked about a part, its number, and of what day its sheets are: what every sheet of it must say."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from generators.model.plan import PartPlan
from generators.verify.pdf.content import Content, plain

LEAD = "Questions:"
LINE = re.compile(r"Questions:_{20,}")
"""Where nobody is named: a line a hand can write on."""


def title_problems(pages: Sequence[Content], plan: PartPlan, contact: str, date: str) -> Iterator[str]:
    """What every sheet of a part has in its title: whom to ask, the date, the number etched on the part."""
    yield from asked_problems(pages, contact, date)
    yield from number_problems(pages, plan.name, plan.etch)


def asked_problems(pages: Sequence[Content], contact: str, date: str) -> Iterator[str]:
    """Pages that do not name ``contact`` in full, or have no line to write on where it is empty.

    ``date`` is looked for as a whole; letters the plain font lacks are not looked for.
    """
    for number, page in enumerate(pages, 1):
        told = plain(page.text)
        shown = "".join(c if c.encode("cp1252", "ignore") else "\0" for c in contact)
        if not contact and not LINE.search(told):
            yield f"sheet {number} has no line for who answers questions"
        if contact and (LINE.search(told) or told.count(LEAD) != 1):
            yield f"sheet {number} does not say once who answers questions"
        rest = told[told.find(LEAD) + len(LEAD) :] if LEAD in told else ""
        pieces = [plain(piece) for piece in shown.split("\0")]
        if not rest.startswith(pieces[0]) or not all(piece in rest for piece in pieces):
            yield f"sheet {number} does not say {f'{LEAD} {contact}'!r}"
        if plain(date) not in told:
            yield f"sheet {number} does not give the date {date!r}"


def number_problems(pages: Sequence[Content], name: str, number: str) -> Iterator[str]:
    """Pages whose title does not have the part's number and issue, a line by itself or beside its ``name``.

    A title is written in one go: what is said of the etching within a sentence does not count.
    """
    if not number:
        return
    beside = rf"(?:.*, )?part {re.escape(name)}, {re.escape(number)}(?:: .*)?"
    own = re.compile(rf"part number and issue {re.escape(number)}|{beside}")
    for count, page in enumerate(pages, 1):
        if not any(own.fullmatch(" ".join(w.text.split())) for w in page.words):
            yield f"sheet {count} does not have the part's number {number!r} in its title"
