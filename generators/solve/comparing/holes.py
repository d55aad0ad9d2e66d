"""Holes of the panels, before and after: moved, of another size, new, gone."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from generators.figures import fixed
from generators.geometry.contours import Placement, transformed
from generators.model.plan import PanelHole, PanelLayout
from generators.model.words import other_hand

SAME_MM = 0.005
"""Half of the last decimal a sheet prints of a place or a size: what is nearer reads the same."""

DRILLED = "drilled already"
"""What became of a hole to drill that the panel now has."""

Place = tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class HoleChange:
    """One hole that differs. ``was`` and ``now`` are None for one that is new or gone.

    ``was_done`` and ``now_done`` say what is done to it and what goes in it. ``drilled`` tells that it was a
    hole to make, not one the panel has.
    """

    panel: str
    name: str
    number: str
    purpose: str
    was: Place | None
    now: Place | None
    was_dia_mm: float = 0.0
    now_dia_mm: float = 0.0
    was_done: str = ""
    now_done: str = ""
    drilled: bool = True

    def seen_from(self, at: Place) -> HoleChange:
        """The same with its places counted from another point of the panel."""

        def counted(place: Place | None) -> Place | None:
            return None if place is None else (place[0] - at[0], place[1] - at[1])

        return replace(self, was=counted(self.was), now=counted(self.now))

    @property
    def far_mm(self) -> float:
        """How far it moved; 0 for one that is new or gone."""
        return math.dist(self.was, self.now) if self.was is not None and self.now is not None else 0.0

    @property
    def moved(self) -> bool:
        """True for one that is elsewhere."""
        return self.far_mm > SAME_MM

    @property
    def resized(self) -> bool:
        """True for one of another size."""
        there = self.was is not None and self.now is not None
        return there and abs(self.now_dia_mm - self.was_dia_mm) > SAME_MM

    @property
    def overlaps(self) -> bool:
        """True for one whose new rim runs into the old hole, if that was drilled."""
        return self.moved and self.far_mm < (self.was_dia_mm + self.now_dia_mm) / 2

    @property
    def kind(self) -> str:
        """What it is in one word or two."""
        if self.was is None:
            return "new"
        if self.now is None:
            return "gone"
        said = [word for word, true in (("moved", self.moved), ("other size", self.resized)) if true]
        return ", ".join(said) or "made otherwise"


def hole_changes(before: Sequence[PanelLayout], after: Sequence[PanelLayout]) -> tuple[HoleChange, ...]:
    """Holes that differ, in the order of the panels and holes before; new ones after them."""
    names = list(dict.fromkeys([*(x.panel for x in before), *(x.panel for x in after)]))
    out: list[HoleChange] = []
    for name in names:
        mine = {_known_as(h): h for x in before if x.panel == name for h in x.holes}
        theirs = {_known_as(h): h for x in after if x.panel == name for h in x.holes}
        for hole in dict.fromkeys([*mine, *theirs]):
            out += _change(name, hole, mine.get(hole), theirs.get(hole))
    return tuple(out)


def _known_as(hole: PanelHole) -> str:
    """What a hole is told by in both states: one drilled already by what it was drilled as."""
    return hole.stands_for or hole.name


def _change(panel: str, name: str, was: PanelHole | None, now: PanelHole | None) -> Iterator[HoleChange]:
    one = now or was
    if one is None:
        return
    was_done = _done(was) if was is not None else ""
    now_done = _done(now) if now is not None else ""
    if was is not None and now is not None and was.status != now.status:
        was_done, now_done = was.status, now.status
        if now.stands_for and was.status == "drill":
            now_done = DRILLED
    change = HoleChange(
        panel=panel,
        name=name,
        number=one.number,
        purpose=one.purpose,
        was=None if was is None else (was.u_mm, was.v_mm),
        now=None if now is None else (now.u_mm, now.v_mm),
        was_dia_mm=was.final_dia_mm if was is not None else 0.0,
        now_dia_mm=now.final_dia_mm if now is not None else 0.0,
        was_done=was_done,
        now_done=now_done,
        drilled=(was or one).status == "drill",
    )
    if was is None or now is None or change.moved or change.resized or was_done != now_done:
        yield change


def _done(hole: PanelHole) -> str:
    """What is done to a hole besides its place and size, and what goes in it, in words."""
    what = f"{hole.kind.replace('_', ' ')} {hole.thread}".strip()
    if hole.head_mm:
        what += f", head {fixed(hole.head_mm, 2)} mm {'dimpled' if hole.dimpled else 'cut'}"
    return f"{hole.status}, {what}"


def same_holes(before: Sequence[PanelLayout], after: Sequence[PanelLayout]) -> dict[str, int]:
    """How many holes to drill of each panel are where they were and as large."""
    changed = {(c.panel, c.name) for c in hole_changes(before, after)}
    return {
        x.panel: sum(h.status == "drill" and (x.panel, _known_as(h)) not in changed for h in x.holes)
        for x in before
    }


def in_a_mirror(layouts: Sequence[PanelLayout]) -> tuple[PanelLayout, ...]:
    """Panels as a mirror shows them, for a picture and for comparing with those of the other hand."""
    flip = Placement(mirror=True)
    return tuple(
        replace(
            x,
            contour=transformed(x.contour, flip),
            holes=tuple(replace(h, name=_in_the_other_hand(h.name), u_mm=-h.u_mm) for h in x.holes),
        )
        for x in layouts
    )


def _in_the_other_hand(name: str) -> str:
    """What a hole is called there: a part draws its own holes anew, all other names are those of the spec."""
    part, dot, own = name.partition(".")
    return f"{part}{dot}{other_hand(own)}"
