"""What a measuring form says, as plain data: the paper and the page for a phone show the same."""

from __future__ import annotations

from dataclasses import dataclass

from generators.model.plan import PanelLayout
from generators.model.words import Face
from generators.units import UnitSystem

HOW = (
    "Press the tape flat on the metal and straight from mark to mark; across the air pull it tight. Hold its "
    "10 cm or 1 in mark at the first rim and take that off again: its hook is worn.",
    "Rim means the bare metal edge of the hole, the near side: pull grommets aside.",
    "Write what the tape says, with its unit, and do not convert: 438.5 mm, or 17 1/4 in. Half a millimetre "
    "or a 32nd is enough.",
    "Measure each twice, the second time from the other end. Where the two differ, measure again.",
    "Hole letters are those of the pictures here; a dashed arrow goes through the air to what its line "
    "names. Leave a line empty rather than guess it.",
)
SAFE = (
    "Before you reach in: engine off and cold, battery disconnected, wheels chocked. Nothing is drilled or "
    "taken off for this form.",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """One reading to take. ``at`` and ``end`` are its ends in the panel's plane; ``far`` where it leaves it.

    ``expected`` is what it would be by plan, mm or degrees, and ``spread`` how far vehicles are from that.
    """

    number: int
    kind: str
    panel: str
    face: Face
    from_: str
    to: str
    at: tuple[float, float]
    end: tuple[float, float]
    words: str
    how: str
    expected: float
    spread: float
    unit: str

    @property
    def far(self) -> bool:
        """True for one that leaves the panel's plane."""
        return self.kind in ("across", "port")


@dataclass(frozen=True, slots=True, kw_only=True)
class FormSheet:
    """The form: its readings, the panels they are on, and what they cannot tell."""

    job: str
    variant: str
    title: str
    contact: str
    lines: tuple[Line, ...]
    layouts: tuple[PanelLayout, ...]
    untold: tuple[str, ...]
    units: UnitSystem
    revision: str

    def views(self) -> tuple[tuple[PanelLayout, Face, tuple[Line, ...]], ...]:
        """Pictures to draw: each panel and face with the readings that are seen there."""
        out = []
        for layout in self.layouts:
            faces: tuple[Face, ...] = ("cab", "engine")
            for face in faces:
                here = (x for x in self.lines if x.panel == layout.panel and x.face == face)
                mine = tuple(x for x in here if x.kind != "lean")
                if mine:
                    out.append((layout, face, mine))
        return tuple(out)

    @property
    def leans(self) -> tuple[Line, ...]:
        """Readings by a level, which need no picture."""
        return tuple(x for x in self.lines if x.kind == "lean")
