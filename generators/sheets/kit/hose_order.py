"""The order of made-up hoses for a supplier: as a sheet and as a table."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Unpack

from generators.figures import fixed, format_length, format_short
from generators.model.spec.fittings import HoseEnd
from generators.sheets.document import body_width, boxed, gap, heading, paragraph, table
from generators.sheets.kit.sheet import OnEach, write_kit_sheet
from generators.sheets.tables import csv_text
from generators.solve.hoses.made_up import MadeUp, is_elbow
from generators.units import UnitSystem

HEAD = "HOSE ORDER"
ASK = "bore or pressure not given: ask before it is made"
PSI_PER_MPA = 145.038
"""1 psi is 6894.76 Pa (NIST SP 811, appendix B.8)."""

COLUMNS = ("hose", "pieces", "size", "near end", "far end", "length", "tolerance", "angle")
SHARES = (0.15, 0.07, 0.14, 0.15, 0.15, 0.12, 0.12, 0.1)
CSV_COLUMNS = (
    "hose",
    "pieces",
    "dash",
    "outside_mm",
    "inside_mm",
    "working_mpa",
    "service",
    "near_end",
    "far_end",
    "length_mm",
    "minus_mm",
    "plus_mm",
    "angle_deg",
    "angle_each_way_deg",
)
HOW = (
    "Length is seat to seat; of an elbow to the axis of its seat (SAE J517). Measured on the finished hose, "
    "straight and without pressure.",
    "Angle: hold the hose straight, look along it from the near end, near fitting at six o'clock; "
    "counter-clockwise to the far fitting (SAE J517). No angle: not two elbows, turn them as they come.",
    "The pressure is the highest it works at. For brake fluid, unless the order says otherwise.",
    "Each hose is proof-tested by its maker before it is sent, blown clean, a plug in the nut of each end.",
)
SHORTER = "A smaller minus than usual: shorter, this hose would be pulled tight when pressure shortens it."


@dataclass(frozen=True, slots=True, kw_only=True)
class HoseOrder:
    """What is ordered for so many kits; ``left`` are hoses and lines that are not, with the reason."""

    hoses: tuple[MadeUp, ...]
    titles: tuple[str, ...]
    sets: int
    left: tuple[tuple[str, str], ...] = ()
    units: UnitSystem = "metric"

    def rows(self) -> tuple[tuple[str, ...], ...]:
        """As printed, in the order of ``COLUMNS``."""
        return tuple(self._row(hose, title) for hose, title in zip(self.hoses, self.titles, strict=True))

    def _row(self, hose: MadeUp, title: str) -> tuple[str, ...]:
        spec, units = hose.spec, self.units
        return (
            title,
            str(self.sets),
            size_words(hose, units),
            end_words(spec.from_end, spec.dash, units),
            end_words(spec.to_end, spec.dash, units),
            format_length(hose.length_mm, units),
            tolerance_words(hose, units),
            angle_words(hose),
        )

    def csv_rows(self) -> tuple[tuple[str, ...], ...]:
        """For the supplier's own program, in the order of ``CSV_COLUMNS``; plain mm and degrees."""
        return tuple(self._plain(hose) for hose in self.hoses)

    def _plain(self, hose: MadeUp) -> tuple[str, ...]:
        spec = hose.spec
        between = "" if hose.between_rad is None else str(_whole_degrees(hose.between_rad))
        return (
            spec.name,
            str(self.sets),
            str(spec.dash),
            f"{hose.outside_mm:g}",
            f"{hose.bore_mm:g}" if hose.bore_mm else "",
            "" if hose.rating_mpa is None else f"{hose.rating_mpa:g}",
            spec.service,
            end_words(spec.from_end, spec.dash, "metric"),
            end_words(spec.to_end, spec.dash, "metric"),
            fixed(hose.length_mm, 1),
            fixed(_down(hose.minus_mm), 1),
            fixed(_down(hose.plus_mm), 1),
            between,
            fixed(math.degrees(hose.angle_mm_rad), 0) if between else "",
        )


def _down(mm: float) -> float:
    """To a tenth, never up: a tolerance may be printed tighter than it is, not wider."""
    return math.floor(mm * 10 + 1e-9) / 10


def _whole_degrees(angle_rad: float) -> int:
    """0 to 359: a full turn is none."""
    return round(math.degrees(angle_rad)) % 360


def size_words(hose: MadeUp, units: UnitSystem) -> str:
    """``-4, 9 mm outside, 3.175 mm inside, pressure, for 10 MPa (1450 psi)``."""
    said = [f"-{hose.spec.dash}", f"{format_short(hose.outside_mm, units, 3)} outside"]
    if hose.bore_mm:
        said.append(f"{format_short(hose.bore_mm, units, 3)} inside")
    said.append(hose.spec.service)
    if hose.rating_mpa is not None:
        said.append(f"for {hose.rating_mpa:.3g} MPa ({hose.rating_mpa * PSI_PER_MPA:.0f} psi)")
    if not hose.bore_mm or hose.rating_mpa is None:
        said.append(ASK)
    return ", ".join(said)


def end_words(end: HoseEnd | None, dash: int, units: UnitSystem) -> str:
    """``-4 swivel, 37 degree, 90 degree elbow, drop 25 mm``."""
    plain = f"-{dash} swivel, 37 degree"
    if end is None or not is_elbow(end) or end.drop_mm is None:
        return f"{plain}, straight"
    return f"{plain}, {math.degrees(end.angle_rad):.0f} degree elbow, drop {format_short(end.drop_mm, units)}"


def tolerance_words(hose: MadeUp, units: UnitSystem) -> str:
    """``+4.7 / -2.1 mm``."""
    plus, minus = format_short(_down(hose.plus_mm), units, 3), format_short(_down(hose.minus_mm), units, 3)
    return f"+{plus}, −{minus}" + (" (!)" if hose.minus_mm < hose.usual_mm else "")


def angle_words(hose: MadeUp) -> str:
    """``90° ± 3°``; a dash where there is none."""
    if hose.between_rad is None:
        return "–"
    each = math.degrees(hose.angle_mm_rad)
    return f"{_whole_degrees(hose.between_rad)}° ± {each:.0f}°"


def order_csv(order: HoseOrder) -> str:
    """``hose_order.csv``."""
    return csv_text(CSV_COLUMNS, order.csv_rows())


def write_hose_order(path: Path, *, order: HoseOrder, facts: Sequence[str], **each: Unpack[OnEach]) -> None:
    """Write the order. Raises ``OSError``."""
    width = body_width(each["paper"])
    story: list[Any] = [boxed(HOW, width), gap(2)]
    if order.hoses:
        story.append(table(COLUMNS, order.rows(), [width * s for s in SHARES]))
        if any(h.minus_mm < h.usual_mm for h in order.hoses):
            story += [gap(1), paragraph(f"(!) {SHORTER}")]
    if order.left:
        story += heading("Not ordered")
        story.append(table(("hose or line", "why"), order.left, (width * 0.35, width * 0.65)))
    write_kit_sheet(path, HEAD, story, facts=facts, **each)
