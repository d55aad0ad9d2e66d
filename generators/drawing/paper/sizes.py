"""Which paper: a named sheet, or a roll that is cut as long as needed."""

from __future__ import annotations

from dataclasses import dataclass

from generators.errors import LookupFault, UnitError
from generators.standards import paper, paper_rows
from generators.units import parse_length_mm

ROLL = "roll:"
BOTH = "both"
BOTH_OF = ("A4", "letter")
# A narrower roll leaves no room for the check bars; a wider one than plotters take is a slip.
ROLL_LEAST_MM, ROLL_MOST_MM = 200.0, 2_000.0


@dataclass(frozen=True, slots=True, kw_only=True)
class PaperChoice:
    """A sheet as bought, upright, in mm; ``height_mm`` is ``None`` for a roll.

    ``used_mm`` is what of it is drawn on, upright and about its middle: less than the sheet where one
    layout goes on two papers.
    """

    name: str
    width_mm: float
    height_mm: float | None
    used_mm: tuple[float, float] | None = None

    @property
    def is_roll(self) -> bool:
        """True when the sheet is cut from a roll."""
        return self.height_mm is None

    @property
    def drawn_mm(self) -> tuple[float, float | None]:
        """Width and height of what is drawn on, upright, mm; a roll has no height."""
        return self.used_mm or (self.width_mm, self.height_mm)

    def sheet_of(self, width_mm: float, height_mm: float) -> tuple[float, float]:
        """The sheet, mm, of a drawn area of that size: the paper as bought, upright or lying."""
        if self.used_mm is None or self.height_mm is None:
            return width_mm, height_mm
        upright = self.width_mm, self.height_mm
        return upright if width_mm <= height_mm else upright[::-1]


def paper_choice(text: str) -> PaperChoice:
    """Read ``A4``, ``A3``, ``letter``, ``tabloid`` or ``roll:WIDTH`` (``roll:24 in``).

    Raises ``LookupFault`` for an unknown sheet, ``UnitError`` for a width that is not a length with
    its unit or lies outside 200 to 2000 mm (ours: room for the check bars; plotters end there).
    """
    name = text.strip()
    if name.lower().startswith(ROLL):
        given = name[len(ROLL) :].strip()
        width = parse_length_mm(given)
        if not ROLL_LEAST_MM <= width <= ROLL_MOST_MM:
            raise UnitError(repr(given), f"a roll width from {ROLL_LEAST_MM:g} mm to {ROLL_MOST_MM:g} mm")
        return PaperChoice(name=f"{ROLL}{' '.join(given.split())}", width_mm=width, height_mm=None)
    known = {row.name.lower(): row.name for row in paper_rows()}
    if name.lower() not in known:
        raise LookupFault("paper", name, [*known.values(), 'roll:WIDTH, like "roll:610 mm"'])
    row = paper(known[name.lower()])
    return PaperChoice(name=row.name, width_mm=row.width_mm, height_mm=row.height_mm)


def paper_choices(text: str) -> tuple[PaperChoice, ...]:
    """The paper ``text`` names, or A4 and letter for ``both``: then alike in what of them is drawn on.

    Raises what ``paper_choice`` raises.
    """
    if text.strip().lower() != BOTH:
        return (paper_choice(text),)
    rows = [paper(name) for name in BOTH_OF]
    used = min(row.width_mm for row in rows), min(row.height_mm for row in rows)
    return tuple(
        PaperChoice(name=row.name, width_mm=row.width_mm, height_mm=row.height_mm, used_mm=used)
        for row in rows
    )
