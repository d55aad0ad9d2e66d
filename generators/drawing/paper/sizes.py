"""Which paper: a named sheet, or a roll that is cut as long as needed."""

from __future__ import annotations

from dataclasses import dataclass

from generators.errors import LookupFault, UnitError
from generators.standards import paper, paper_rows
from generators.units import parse_length_mm

ROLL = "roll:"
# A narrower roll leaves no room for the check bars; a wider one than plotters take is a slip.
ROLL_LEAST_MM, ROLL_MOST_MM = 200.0, 2_000.0


@dataclass(frozen=True, slots=True, kw_only=True)
class PaperChoice:
    """A sheet as bought, upright, in mm; ``height_mm`` is ``None`` for a roll."""

    name: str
    width_mm: float
    height_mm: float | None

    @property
    def is_roll(self) -> bool:
        """True when the sheet is cut from a roll."""
        return self.height_mm is None


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
