"""The list of what is in a pack: every page with its name, panel, face and what it is for."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby

from generators.drawing.pack.choice import SheetSet
from generators.drawing.template.sheet import Leaf
from generators.model.plan import PanelHole
from generators.model.words import NEW, Face, HoleWay

FACE_NAMES: dict[Face, str] = {"cab": "cab", "engine": "engine bay"}
COUNTED = re.compile(r"(\D*)(\d+)")
MARK = "mark hole"
LEADS: tuple[tuple[HoleWay, str], ...] = (
    ("part", "not from paper but through the part:"),
    ("guide", "not from paper but through the guide:"),
    ("hose", "where the hose puts it:"),
    ("paper", "later:"),
)
"""How the holes are made that are shown on a sheet and not punched through it."""

JOINS = "joins the others, nothing to mark"
NONE = "–"
"""The side of what is laid on no face."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """One line of the list: pages ``first`` to ``last``, what they are, of which panel and face, what for."""

    first: int
    last: int
    name: str
    panel: str
    side: str
    use: str

    @property
    def is_sheet(self) -> bool:
        """True for what is laid on one face of a panel."""
        return self.side != NONE

    @property
    def cells(self) -> tuple[str, str, str, str, str]:
        """As it is printed."""
        pages = f"{self.first}" if self.first == self.last else f"{self.first} to {self.last}"
        return pages, self.name, self.panel, self.side, self.use


def marked_on(sets: Sequence[SheetSet]) -> list[tuple[SheetSet, Leaf, tuple[PanelHole, ...]]]:
    """Each sheet with the holes told of it: one shown by two is told of the first of them.

    A hole that no paper places is told where it is whole on a sheet.
    """
    told: set[str] = set()
    out = []
    for found in sets:
        for leaf in found.way.leaves:
            mine = [
                h
                for h in found.layout.holes
                if h.number in found.marks or (h.status in NEW and not h.work.punched)
            ]
            here = tuple(h for h in mine if h.number not in told and _on(leaf, h))
            told |= {h.number for h in here}
            out.append((found, leaf, here))
    return out


def _on(leaf: Leaf, hole: PanelHole) -> bool:
    return leaf.shows(hole) and (leaf.only is None or hole.number in leaf.only)


def numbers_in_words(numbers: Sequence[str]) -> str:
    """``3 to 9, 12 and F2``: runs of three and more are told by their ends."""
    runs: list[list[str]] = []
    for number in numbers:
        if runs and _next(runs[-1][-1]) == number:
            runs[-1].append(number)
        else:
            runs.append([number])
    words = [text for run in runs for text in ([f"{run[0]} to {run[-1]}"] if len(run) > 2 else run)]
    return " and ".join(filter(None, (", ".join(words[:-1]), *words[-1:])))


def _next(number: str) -> str:
    """The number after ``F9``: ``F10``; nothing after a letter."""
    found = COUNTED.fullmatch(number)
    return f"{found[1]}{int(found[2]) + 1}" if found else ""


def use_words(holes: Sequence[PanelHole]) -> str:
    """What a sheet is for: ``mark holes 3 and 9; through the part: 4 to 8``."""
    said = []
    for lead, mine in (
        (MARK, [h for h in holes if h.work.punched]),
        *((lead, [h for h in holes if not h.work.punched and h.work.how == how]) for how, lead in LEADS),
    ):
        if mine:
            many = "s" if len(mine) > 1 and lead == MARK else ""
            said.append(f"{lead}{many} {numbers_in_words([h.number for h in mine])}")
    return "; ".join(said) or JOINS


def sheet_entries(sets: Sequence[SheetSet], first: int) -> list[Entry]:
    """The sheets to mark from, the first of them on page ``first``."""
    out: list[Entry] = []
    for page, (found, leaf, holes) in enumerate(marked_on(sets), first):
        out.append(
            Entry(
                first=page,
                last=page,
                name=leaf.name,
                panel=found.layout.title,
                side=FACE_NAMES[found.face],
                use=use_words(holes),
            )
        )
    return out


def why_words(sets: Sequence[SheetSet]) -> list[str]:
    """Why these sheets, one sentence for each face; panels alike in one."""
    said = [(found.why, found.layout.title, found.face) for found in sets]
    out: list[str] = []
    for (why, face), group in groupby(said, key=lambda x: (x[0], x[2])):
        titles = ", ".join(title for _, title, _ in group)
        bay = " (engine bay)" if face == "engine" else ""
        out.append(f"{titles}{bay}: {why}.")
    return out
