"""What the shop cuts and bends for a lot of kits: blanks by part, every bend, hose and tube by the metre."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Unpack

from generators.figures import fixed, format_length, format_short
from generators.geometry.contours import bounds
from generators.model.plan import PartPlan
from generators.sheetmetal.folding import bend_length, flat_pattern
from generators.sheetmetal.volume import cutting, mass_kg
from generators.sheets.document import body_width, boxed, heading, table
from generators.sheets.hose_words import HoseLine, kind_words, piece_mm
from generators.sheets.kit.sheet import OnEach, write_kit_sheet
from generators.units import UnitSystem

HEAD = "CUT AND BEND LIST"
CUT = ("part", "sheet", "pieces", "blank", "cuts", "pierces", "mass each", "file")
CUT_SHARES = (0.18, 0.15, 0.07, 0.13, 0.09, 0.08, 0.09, 0.21)
BEND = ("part", "pieces", "bend", "angle", "inside radius", "length", "way")
BEND_SHARES = (0.26, 0.08, 0.2, 0.1, 0.14, 0.14, 0.08)
TUBE = ("hose or line", "what", "pieces", "cut to")
TUBE_SHARES = (0.3, 0.28, 0.1, 0.32)
SHARP = (
    "Cut edges are sharp: gloves, glasses. Check material, thickness and rolling direction before a sheet is "
    "loaded.",
    "Bends are set and checked by each part's own setup and inspection sheets, in parts/ beside this "
    "list, which only counts them.",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class ShopList:
    """For so many kits: plans with the smallest hole cut in each and the name of its file, and hoses."""

    plans: tuple[PartPlan, ...]
    least_mm: Mapping[str, float]
    files: Mapping[str, str]
    hoses: tuple[HoseLine, ...]
    sets: int
    units: UnitSystem = "metric"

    def cut_rows(self) -> tuple[tuple[str, ...], ...]:
        """Blanks, in the order of ``CUT``."""
        out = []
        for plan in self.plans:
            work = cutting(plan, self.least_mm[plan.name])
            u0, v0, u1, v1 = bounds(flat_pattern(plan).contour)
            out.append(
                (
                    plan.name,
                    f"{plan.material}, {format_short(plan.thickness_mm, self.units, 3)}",
                    str(plan.quantity * self.sets),
                    f"{format_short(u1 - u0, self.units, 1)} x {format_short(v1 - v0, self.units, 1)}",
                    f"{fixed(work.length_mm / 1000, 3)} m",
                    str(work.pierces),
                    f"{fixed(mass_kg(plan), 3)} kg",
                    self.files[plan.name],
                )
            )
        return tuple(out)

    def bend_rows(self) -> tuple[tuple[str, ...], ...]:
        """Every bend of every part, in the order of ``BEND``."""
        return tuple(
            (
                plan.name,
                str(plan.quantity * self.sets),
                f"{bend.parent} to {bend.child}",
                f"{fixed(math.degrees(bend.angle_rad), 1)}°",
                format_short(bend.inside_radius_mm, self.units),
                format_short(bend_length(bend), self.units),
                bend.direction,
            )
            for plan in self.plans
            for bend in plan.bends
        )

    def tube_rows(self) -> tuple[tuple[str, ...], ...]:
        """Hose and tube that is cut here, in the order of ``TUBE``."""
        return tuple(
            (
                hose.title,
                kind_words(hose, self.units),
                str(self.sets),
                format_length(piece_mm(hose), self.units),
            )
            for hose in self.hoses
            if hose.length is not None
        )


def write_cut_and_bend(path: Path, *, listed: ShopList, facts: Sequence[str], **each: Unpack[OnEach]) -> None:
    """Write the list. Raises ``OSError``."""
    width = body_width(each["paper"])
    story: list[Any] = [boxed(SHARP, width)]
    for title, columns, rows, shares in (
        ("Blanks to cut", CUT, listed.cut_rows(), CUT_SHARES),
        ("Bends", BEND, listed.bend_rows(), BEND_SHARES),
        ("Hose and tube to cut", TUBE, listed.tube_rows(), TUBE_SHARES),
    ):
        if rows:
            story += heading(title)
            story.append(table(columns, rows, [width * s for s in shares]))
    write_kit_sheet(path, HEAD, story, facts=facts, **each)
