"""One bolted place, before anything is chosen for it: what lies in the stack, and what is held."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from generators.errors import LookupFault
from generators.model.joints.fasteners import INTO_THREAD, FastenerForm, Held, Side2, ThreadIn
from generators.standards import Fastener, Material, fastener_rows, least_tensile, material, material_rows

SAME_MM = 1e-6
DESIGN_STEEL = "1008 steel"
"""What a sheet is taken as that is called steel and no more: the weakest of the table."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Layer:
    """A sheet a washer bears on: its opening ``hole_mm`` wide, with ``travel_mm`` between end centres.

    ``yield_mpa`` is None for a metal nobody has named. ``soft`` is what is printed of plastic.
    """

    words: str
    thickness_mm: float
    yield_mpa: float | None
    hole_mm: float
    travel_mm: float = 0.0
    soft: bool = False


OTHER_SIDE: Mapping[Side2, Side2] = MappingProxyType({"low": "high", "high": "low"})


@dataclass(frozen=True, slots=True, kw_only=True)
class Joint:
    """One place. ``sheets_mm`` is all the sheets; ``faces`` what each washer bears on, None where that is not
    a sheet of the job. ``stud_mm`` is how far a stud stands off the panel, ``over_mm`` the sheets on it.
    ``lies`` is the side the part lies on that is bolted to a panel. ``stands_mm`` is how far a stop bolt's
    head stands off its upright. ``outside`` is what is held where that is not of the job.
    ``large`` asks for large washers whatever the sheet needs."""

    key: str
    task: str
    bag: str
    purpose: str
    row: Fastener
    form: FastenerForm = "bolt"
    into: ThreadIn = "locking nut"
    sheets_mm: float
    low: Layer | None = None
    high: Layer | None = None
    held: Held | None = None
    nuts: tuple[Side2, ...] = ()
    lies: Side2 | None = None
    panel: str = ""
    hole: str = ""
    part: str = ""
    opening: str = ""
    quantity: int = 1
    stud_mm: float = 0.0
    over_mm: float = 0.0
    stands_mm: float = 0.0
    clamp: bool = False
    soft_foot: bool = False
    own_thread: bool = False
    outside: Layer | None = None
    large: bool = False

    @property
    def head(self) -> Side2 | None:
        """The side the head goes on: where a screw is driven from, else across from the only nut there is
        room for, else on what is held, else on the part. None for a stud, whose nut is all there is.

        A head on what is held, and the nut on the sheet, is common practice, no source.
        """
        if self.form in ("stud", "shaft", "stop bolt") or self.own_thread:
            return None
        if self.into in INTO_THREAD:
            behind = OTHER_SIDE[self.lies] if self.lies is not None else "high"
            return self.nuts[0] if len(self.nuts) == 1 else behind
        if len(self.nuts) == 1:
            return OTHER_SIDE[self.nuts[0]]
        return self.held.side if self.held is not None else self.lies or "high"


def bolt_of(shank_mm: float) -> Fastener | None:
    """The bolt of that diameter; None where the table has none."""
    return next((row for row in fastener_rows() if abs(row.major_mm - shank_mm) < SAME_MM), None)


def bolt_name(where: str, hole: str) -> str:
    """Name of a bolt's body: the panel and the hole's number, or the part and the hole's name."""
    return f"bolt:{where}.{hole}"


def sheet_metal(words: str) -> Material | None:
    """The row of the material table a sheet is by what it is called; None where that does not say it.

    A name of the table, or one that begins as it does; steel of no name is the table's weakest. Aluminium of
    no name may be soft: none.
    """
    try:
        return material(words)
    except LookupFault:
        pass
    for row in material_rows():
        if words.lower().startswith(row.name.lower()):
            return row
    return material(DESIGN_STEEL) if "steel" in words.lower() else None


def sheet_yield(words: str) -> float | None:
    """Least yield of a sheet by what it is called, MPa; None where that does not say it."""
    row = sheet_metal(words)
    return None if row is None else row.yield_mpa


def sheet_tensile(words: str) -> float | None:
    """Least tensile strength of a sheet by what it is called, MPa; None where no figure is known."""
    row = sheet_metal(words)
    found = None if row is None else least_tensile(row.name)
    return None if found is None else found.mpa
