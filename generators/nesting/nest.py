"""A nest as plain data: which blank lies where on which sheet."""

from __future__ import annotations

from dataclasses import dataclass, replace

from generators.geometry.contours import Placement, area, bounds, transformed
from generators.model.plan import Hole, PartPlan, Slot
from generators.model.spec.tools.rates import RackSheet
from generators.sheetmetal.folding import FlatBend, FlatPattern

Box = tuple[float, float, float, float]
"""Left, lower, right and upper side, mm."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Blank:
    """One part as it is cut: ``planned`` its blank, ``cut`` the path of the cutter, ``count`` how many."""

    plan: PartPlan
    planned: FlatPattern
    cut: FlatPattern
    least_mm: float
    count: int

    @property
    def area_mm2(self) -> float:
        """Area within its outline, openings not taken off."""
        return area(self.cut.contour)


@dataclass(frozen=True, slots=True, kw_only=True)
class Laid:
    """One blank on a sheet: turned about its origin, then moved; X and Y from its lower left corner."""

    part: str
    copy: int
    place: Placement


@dataclass(frozen=True, slots=True, kw_only=True)
class LaidSheet:
    """A sheet with blanks on it; ``remnant`` is what is kept of it."""

    number: int
    rack: RackSheet
    laid: tuple[Laid, ...]
    remnant: Box | None

    @property
    def area_mm2(self) -> float:
        """Area of the whole sheet."""
        return self.rack.length_mm * self.rack.width_mm

    @property
    def used_mm2(self) -> float:
        """Area of the sheet less the remnant."""
        return self.area_mm2 - (box_area(self.remnant) if self.remnant else 0.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Nest:
    """All sheets of a job; ``sets`` is how many of the job are cut."""

    blanks: tuple[Blank, ...]
    sheets: tuple[LaidSheet, ...]
    sets: int
    gap_mm: float
    margin_mm: float

    def blank(self, part: str) -> Blank:
        """The blank of that part; raises ``KeyError``."""
        for blank in self.blanks:
            if blank.plan.name == part:
                return blank
        raise KeyError(part)

    def outlines_mm2(self, sheet: LaidSheet) -> float:
        """Area within all outlines on a sheet: no nest can use less of it, whatever the shapes."""
        return sum(self.blank(laid.part).area_mm2 for laid in sheet.laid)


def box_area(box: Box) -> float:
    """Area of a box, mm²."""
    return (box[2] - box[0]) * (box[3] - box[1])


def stock_name(rack: RackSheet) -> str:
    """``S235 steel, 4 mm``."""
    return f"{rack.material}, {rack.thickness_mm:g} mm"


def same_stock(rack: RackSheet, plan: PartPlan) -> bool:
    """True where a part is cut from that sheet."""
    return rack.material == plan.material and abs(rack.thickness_mm - plan.thickness_mm) <= SAME_THICKNESS_MM


SAME_THICKNESS_MM = 0.02


def moved(flat: FlatPattern, place: Placement) -> FlatPattern:
    """A blank as it lies on a sheet."""

    def hole(h: Hole) -> Hole:
        u, v = place.apply(h.u_mm, h.v_mm)
        return replace(h, u_mm=u, v_mm=v)

    def slot(s: Slot) -> Slot:
        u, v = place.apply(s.u_mm, s.v_mm)
        return replace(s, u_mm=u, v_mm=v, angle_rad=s.angle_rad + place.angle)

    def bend(b: FlatBend) -> FlatBend:
        near, far, middle = (
            (place.apply(*line[0]), place.apply(*line[1])) for line in (b.near, b.far, b.middle)
        )
        return replace(b, near=near, far=far, middle=middle)

    return replace(
        flat,
        contour=transformed(flat.contour, place),
        holes=tuple(map(hole, flat.holes)),
        slots=tuple(map(slot, flat.slots)),
        bends=tuple(map(bend, flat.bends)),
    )


def box_of(blank: Blank, place: Placement) -> Box:
    """The box round a blank as it lies, mm."""
    return bounds(transformed(blank.cut.contour, place))
