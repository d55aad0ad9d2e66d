"""What a shop's file for the cutting machine holds: layers by name, and the path beside the line.

Kerf. The machine's own program mostly moves its path by half the width of the cut (common practice, no
source). A shop that wants it done in the file says so: the outline lies half a kerf out, and openings are
a whole kerf narrower. The file declares it.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from generators.errors import GeometryFault
from generators.geometry.offset import offset_outward
from generators.model.spec.shop import Cutting
from generators.model.words import BendDirection
from generators.sheetmetal.folding import FlatPattern


@dataclass(frozen=True, slots=True, kw_only=True)
class LayerNames:
    """Layers by operation; two may be one, the last three are empty where there is no such line or letter."""

    cut: str
    mark: str
    bend_up: str
    bend_down: str
    notes: str
    grain: str
    etch: str = ""
    corners: str = ""

    def bend(self, direction: BendDirection) -> str:
        """The layer of bends ``up`` or ``down``."""
        return self.bend_up if direction == "up" else self.bend_down

    @property
    def each_once(self) -> tuple[str, ...]:
        """Every layer of the file, once."""
        marks = (self.mark, self.notes, self.grain, self.etch, self.corners)
        each = (self.cut, self.bend_up, self.bend_down, *marks)
        return tuple(name for name in dict.fromkeys(each) if name)


def lettered(cutting: Cutting, *, bent: bool) -> bool:
    """True where a part's file has its corners' letters."""
    return bent and cutting.corner_letters and cutting.notes


def layer_names(
    cutting: Cutting, *, grain: bool = False, etch: bool = False, corners: bool = False
) -> LayerNames:
    """The layers of a shop's files. Text has its own in either style: a machine that burns all that is on
    the mark layer would write it on the part. The arrow along the ``grain`` has one where it is ordered."""
    one_mark = cutting.layers == "cut_and_mark"
    return LayerNames(
        cut=cutting.cut_layer,
        mark=cutting.mark_layer,
        bend_up=cutting.mark_layer if one_mark else cutting.bend_up_layer,
        bend_down=cutting.mark_layer if one_mark else cutting.bend_down_layer,
        notes=cutting.notes_layer,
        grain=cutting.grain_layer if grain else "",
        etch=cutting.etch_layer if etch else "",
        corners=cutting.corners_layer if corners else "",
    )


def flat_tail(cutting: Cutting) -> str:
    """End of the flat file's name; R12 has no place for units, so its name gives them."""
    return "_flat_mm.dxf" if cutting.profile == "r12" else "_flat.dxf"


def cut_pattern(flat: FlatPattern, kerf_mm: float | None, smallest_hole_mm: float = 0.0) -> FlatPattern:
    """What is cut of a blank, as the machine's path runs; without a kerf, on the line itself.

    Openings narrower than ``smallest_hole_mm`` are marked, not cut, and left out here. Raises
    ``GeometryFault`` when an opening that is cut, or a notch, is narrower than the kerf.
    """
    holes = tuple(h for h in flat.holes if h.diameter_mm >= smallest_hole_mm)
    slots = tuple(s for s in flat.slots if s.width_mm >= smallest_hole_mm)
    if kerf_mm is None:
        return replace(flat, holes=holes, slots=slots)
    for name, width in [*((h.name, h.diameter_mm) for h in holes), *((s.name, s.width_mm) for s in slots)]:
        if width <= kerf_mm:
            raise GeometryFault(f"a cut {kerf_mm:g} mm wide cannot cut opening {name}")
    return replace(
        flat,
        contour=offset_outward(flat.contour, kerf_mm / 2),
        holes=tuple(replace(h, diameter_mm=h.diameter_mm - kerf_mm) for h in holes),
        slots=tuple(replace(s, width_mm=s.width_mm - kerf_mm) for s in slots),
    )
