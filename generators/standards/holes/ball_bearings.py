"""Deep-groove ball bearings in a bore: their sizes, the classes of housing and shaft, circlips."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType

from generators.errors import LookupFault
from generators.standards._table import Trust, find, index, read_table
from generators.standards.holes.limits import HoleTolerance, tolerance_width_mm

__all__ = [
    "BEARING_SHAFT",
    "HOUSING_CLASSES",
    "BallBearing",
    "Circlip",
    "HousingField",
    "RingTolerance",
    "ball_bearing",
    "ball_bearing_rows",
    "circlip",
    "circlip_rows",
    "housing_field_rows",
    "housing_tolerance",
    "ring_tolerance",
    "ring_tolerance_rows",
    "shaft_tolerance",
]

HOUSING_CLASSES = ("H7", "J7", "K7", "M7", "N7", "P7")
"""Fields of a bearing's bore, loose to tight."""

BEARING_SHAFT = "h6"
"""Field of a shaft that goes into the inner rings by hand and is clamped with them: from memory."""

HOUSING_GRADE, SHAFT_GRADE = 7, 6


@dataclass(frozen=True, slots=True, kw_only=True)
class BallBearing:
    """One size, mm: ``chamfer_mm`` is the least of its rings' edges."""

    number: str
    bore_mm: float
    outside_mm: float
    width_mm: float
    chamfer_mm: float
    edition: str
    source: str
    trust: Trust


@dataclass(frozen=True, slots=True, kw_only=True)
class Circlip:
    """A circlip for a bore, mm: its thickness, and its groove's diameter (``over_mm`` more at most), width
    and least distance from there to the end of the bore.
    """

    bore_mm: float
    thickness_mm: float
    groove_mm: float
    over_mm: float
    wide_mm: float
    edge_mm: float
    edition: str
    source: str
    trust: Trust

    @property
    def takes_mm(self) -> float:
        """What groove and rim take of a bore's depth, mm."""
        return self.wide_mm + self.edge_mm


@dataclass(frozen=True, slots=True, kw_only=True)
class RingTolerance:
    """How much smaller a ring of class Normal may be, mm, at its bore and outside; none is larger."""

    over_mm: float
    up_to_mm: float
    bore_lower_mm: float
    outside_lower_mm: float
    edition: str
    source: str
    trust: Trust


@dataclass(frozen=True, slots=True, kw_only=True)
class HousingField:
    """Upper deviations of the fields J7 to P7 by their names, mm."""

    over_mm: float
    up_to_mm: float
    upper_mm: Mapping[str, float]
    edition: str
    source: str
    trust: Trust


@cache
def ball_bearing_rows() -> tuple[BallBearing, ...]:
    """Every size. Raises nothing. Source: ISO 15, each row's own."""
    return tuple(
        BallBearing(
            number=row.text("number"),
            bore_mm=row.length_mm("bore"),
            outside_mm=row.length_mm("outside"),
            width_mm=row.length_mm("width"),
            chamfer_mm=row.length_mm("chamfer"),
            edition=row.text("edition"),
            source=row.text("source"),
            trust=row.trust(),
        )
        for row in read_table("ball_bearings")
    )


@cache
def circlip_rows() -> tuple[Circlip, ...]:
    """Circlips for the outsides of ``ball_bearing_rows``. Raises nothing. Source: DIN 472."""
    return tuple(
        Circlip(
            bore_mm=row.length_mm("bore"),
            thickness_mm=row.length_mm("thickness"),
            groove_mm=row.length_mm("groove"),
            over_mm=row.length_mm("groove_over"),
            wide_mm=row.length_mm("groove_wide"),
            edge_mm=row.length_mm("groove_edge"),
            edition=row.text("edition"),
            source=row.text("source"),
            trust=row.trust(),
        )
        for row in read_table("circlips")
    )


@cache
def ring_tolerance_rows() -> tuple[RingTolerance, ...]:
    """Tolerances of rings from 6 to 80 mm. Raises nothing. Source: ISO 492, class Normal."""
    return tuple(
        RingTolerance(
            over_mm=row.length_mm("over"),
            up_to_mm=row.length_mm("up_to"),
            bore_lower_mm=row.length_mm("bore_lower"),
            outside_lower_mm=row.length_mm("outside_lower"),
            edition=row.text("edition"),
            source=row.text("source"),
            trust=row.trust(),
        )
        for row in read_table("ring_tolerances")
    )


@cache
def housing_field_rows() -> tuple[HousingField, ...]:
    """Fields of bores from 6 to 80 mm. Raises nothing. Source: ISO 286-2, from memory."""
    return tuple(
        HousingField(
            over_mm=row.length_mm("over"),
            up_to_mm=row.length_mm("up_to"),
            upper_mm=MappingProxyType({f: row.length_mm(f.lower()) for f in HOUSING_CLASSES[1:]}),
            edition=row.text("edition"),
            source=row.text("source"),
            trust=row.trust(),
        )
        for row in read_table("housing_fields")
    )


@cache
def _by_number() -> Mapping[str, BallBearing]:
    return index("ball_bearings.csv", ((row.number, row) for row in ball_bearing_rows()))


@cache
def _by_bore() -> Mapping[str, Circlip]:
    return index("circlips.csv", ((f"{row.bore_mm:g} mm", row) for row in circlip_rows()))


def ball_bearing(number: str) -> BallBearing:
    """The bearing of that number (``6003``, ``618/8``).

    Raises:
        LookupFault: no such size; lists the ones there are.

    Source: ISO 15.
    """
    return find(_by_number(), number, "ball bearing")


def circlip(bore_mm: float) -> Circlip:
    """The circlip for a bore, mm. Raises ``LookupFault`` for a size without one. Source: DIN 472."""
    return find(_by_bore(), f"{bore_mm:g} mm", "circlip for a bore")


def ring_tolerance(size_mm: float) -> RingTolerance:
    """How much smaller a ring of that nominal bore or outside may be.

    Raises ``LookupFault`` for a size outside 6 to 80 mm. Source: ISO 492, class Normal.
    """
    for row in ring_tolerance_rows():
        if row.over_mm < size_mm <= row.up_to_mm:
            return row
    raise LookupFault("tolerance of a ring", f"{size_mm:g} mm", ["over 6 to 80 mm"])


def housing_tolerance(diameter_mm: float, field: str) -> HoleTolerance:
    """The tolerance of a bearing's bore of class ``field``, one of ``HOUSING_CLASSES``.

    Raises ``LookupFault`` for another class or a size outside 6 to 80 mm. Source: ISO 286-1 for the widths,
    ISO 286-2, from memory, for where they lie.
    """
    width = tolerance_width_mm(HOUSING_GRADE, diameter_mm)
    if field == "H7":
        return HoleTolerance(
            name=field, lower_mm=0.0, upper_mm=width, source="ISO 286-1", trust=Trust.TRANSCRIBED
        )
    for row in housing_field_rows():
        if row.over_mm < diameter_mm <= row.up_to_mm and field in row.upper_mm:
            upper = row.upper_mm[field]
            return HoleTolerance(
                name=field,
                lower_mm=round(upper - width, 6),
                upper_mm=upper,
                source=row.source,
                trust=row.trust,
            )
    raise LookupFault(
        "tolerance of a bearing's bore", f"{field} of {diameter_mm:g} mm", ["H7 to P7 over 6 to 80 mm"]
    )


def shaft_tolerance(diameter_mm: float) -> HoleTolerance:
    """The tolerance of a shaft of h6.

    Raises ``LookupFault`` for a size over 250 mm. Source: ISO 286-1 for the width; the class is from memory.
    """
    return HoleTolerance(
        name=BEARING_SHAFT,
        lower_mm=-tolerance_width_mm(SHAFT_GRADE, diameter_mm),
        upper_mm=0.0,
        source="ISO 286-1; the class from memory",
        trust=Trust.MEMORY_UNSURE,
    )
