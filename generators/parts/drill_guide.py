"""A printed block that guides the drill for new holes of a panel, keyed to holes it already has.

It lies on the panel with round pegs in existing holes, so the new holes come where the plan has them
without paper. It is a tool: it is taken off again when the holes are drilled.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import Literal

import shapely
from shapely.geometry import Point, Polygon
from shapely.geometry.base import BaseGeometry

from generators.errors import GeometryFault
from generators.figures import format_short
from generators.geometry.contours import bounds, fits_turned, polygon, polyline, rectangle
from generators.geometry.hull import hull_of_discs
from generators.model.contour import Contour
from generators.model.plan import Bush, Fitting, Flange, Hole, PartPlan, Peg
from generators.model.spec import fields as key
from generators.model.spec.job import PartSpec
from generators.model.spec.shop import PartPrinter
from generators.model.under import HoleUnder, PanelUnder
from generators.parts.building.openings import INSIDE_MM, plan_of
from generators.parts.kind import Kind, on_sample
from generators.sheetmetal.allowance import BendRule
from generators.standards import drill_bush
from generators.units import UnitSystem

PEG_PAST_PANEL_MM = 2.0
"""How far a peg reaches past the panel's far face; a peg's tip is chamfered by half as much."""
WINDOWS_MM = (50.0, 40.0, 32.0, 25.0, 20.0, 16.0)
"""Diameters of windows tried, the largest first. Ours."""

SHIFTS = 4
"""So many places of the rows are tried each way within one step. Ours."""

SAME_MM2 = 1e-6
CHORD_MM = 0.1

WARP: Mapping[str, str] = MappingProxyType(
    {
        "PLA": "PLA keeps flat: a clean bed is enough. Keep it out of a hot car, it goes soft at 60 °C.",
        "PETG": "PETG lifts a little at the corners: bed at 70 to 80 °C, a brim of 5 mm.",
        "ABS": "ABS warps: bed at 100 °C, a closed printer, a brim of 10 mm, let it cool on the bed.",
    }
)
"""What keeps a print flat, by plastic: common practice, no source."""

LEAST_PEG_MM = 1.0
LEAST_PEGS = 2
SECTORS = (
    "on the right",
    "at the upper right",
    "at the top",
    "at the upper left",
    "on the left",
    "at the lower left",
    "at the bottom",
    "at the lower right",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class DrillGuide:
    """Parameters. Bores and pegs lie where the panel has the holes, whatever the part's origin."""

    over: tuple[str, ...] = key.names(
        "New holes to guide: holes, or parts for all of theirs; none named, every one", hi=50, default=()
    )
    pegs: tuple[str, ...] = key.names(
        "Holes its pegs drop into, existing or new ones drilled first; none named, every one that stays",
        hi=20,
        default=(),
    )
    drill: Literal["pilot", "final"] = key.choice("Drill that is guided", ("pilot", "final"), default="pilot")
    bush: bool = key.flag("Steel bushes in the bores; without them the plastic wears", default=True)
    bush_outside_mm: float | None = key.length(
        "Outside diameter of your bushes, if not that of DIN 179 (from memory)", lo=2.0, hi=60.0, default=None
    )
    peg_height_mm: float | None = key.length(
        "Height of the pegs, if not the panel and 2 mm", lo=1.0, hi=40.0, default=None
    )
    margin_mm: float = key.length(
        "Plastic outside the outermost bores and pegs", lo=2.0, hi=80.0, default=6.0
    )
    ribbed: bool = key.flag(
        "As little plastic as holds: the outline runs tight round bores and pegs, and round windows leave "
        "ribs between them; without it a whole rectangular block",
        default=True,
    )
    rib_mm: float = key.length(
        "Least width of a rib, and of the plastic from a window to a bore's boss or the outside",
        lo=2.0,
        hi=40.0,
        default=6.0,
    )
    corner_radius_mm: float = key.length("Corner radius of a whole block", hi=40.0, default=3.0)
    cut_corner_mm: float = key.length(
        "Corner cut off a whole block, to see which way round it goes", lo=4.0, hi=60.0, default=10.0
    )


def drill_guide(spec: PartSpec[DrillGuide], bend: BendRule, under: PanelUnder) -> PartPlan:
    """Plan of a drill guide. Raises ``GeometryFault`` for holes the panel does not have, or not so."""
    p = spec.parameters
    fits = _takes_peg if p.pegs else (lambda h: h.status == "datum")
    keys = _chosen(under, p.pegs, "pegs", fits, "a hole for a peg")
    if len(keys) < LEAST_PEGS:
        raise GeometryFault("a guide needs pegs in two holes; with one it turns", "pegs")
    holes = _chosen(
        under, p.over, "over", lambda h: h.status == "drill" and h not in keys, "another hole to drill"
    )
    bores = [_bore(p, bend, spec.thickness_mm, h, under.units) for h in holes]
    height = p.peg_height_mm if p.peg_height_mm is not None else under.thickness_mm + PEG_PAST_PANEL_MM
    pegs = [_peg(h, bend.printer.peg_clearance_mm, height) for h in keys]
    turn = spec.mount.rotate_rad if spec.mount is not None else 0.0
    way = _which_way(pegs, turn) if p.ribbed else f"the cut corner is {_sector(turn + math.pi / 4)}"
    after = _opened_later(p, holes)
    bushes = "Press the bushes in flush with the side to the metal. " if p.bush else ""
    new = [h.number for h in keys if h.status == "drill"]
    first = f"Drill {', '.join(new)} first, to size: pegs go there. " if new else ""
    notes = [
        f"Lies on the {under.face} face of panel {under.panel}, pegs into the metal; as you look at that "
        f"face {way}.",
        "Print with the side without pegs on the bed, pegs up, bores upright, without supports. "
        "What the printer needs is in these sizes: do not scale.",
        f"{first}{bushes}Clamp it down before drilling{after}",
    ]
    outline = hull_of_discs(_bosses(p, bores, pegs)) if p.ribbed else _outline(p, bores, pegs)
    if p.ribbed:
        kept = [(x.u_mm, x.v_mm, x.diameter_mm) for x in bores]
        kept += [(x.u_mm, x.v_mm, x.diameter_mm) for x in pegs]
        bores += windows(outline, kept, p.rib_mm)
    notes[1] += warp_words(spec.material, outline, bend.printer)
    block = Flange(name="block", contour=outline, holes=tuple(bores), pegs=tuple(pegs))
    plan = plan_of(spec, "Drill guide", (block,), notes=tuple(notes))
    return replace(plan, printed=True, tool=True)


def _sector(angle_rad: float) -> str:
    """Where something is that lies that way from the middle."""
    return SECTORS[round(angle_rad / (math.pi / 4)) % len(SECTORS)]


def _which_way(pegs: Sequence[Peg], turn_rad: float) -> str:
    """Which way round it goes, by its pegs furthest apart: ``the peg for panel hole A is on the left``."""
    one, other = max(
        itertools.combinations(pegs, 2),
        key=lambda pair: math.dist((pair[0].u_mm, pair[0].v_mm), (pair[1].u_mm, pair[1].v_mm)),
    )
    toward = math.atan2(one.v_mm - other.v_mm, one.u_mm - other.u_mm) + turn_rad
    said = []
    for peg, way in ((one, toward), (other, toward + math.pi)):
        hole = peg.purpose.partition(",")[0]
        said.append(f"the peg for {hole} (Ø {peg.diameter_mm:g}) is {_sector(way)}")
    return " and ".join(said)


def _bosses(p: DrillGuide, bores: Sequence[Hole], pegs: Sequence[Peg]) -> list[tuple[float, float, float]]:
    """Plastic round every bore and peg: middle and radius."""
    rounds = [(x.u_mm, x.v_mm, x.diameter_mm / 2 + p.margin_mm) for x in bores]
    return rounds + [(x.u_mm, x.v_mm, x.diameter_mm / 2 + p.margin_mm) for x in pegs]


def windows(outline: Contour, kept: Sequence[tuple[float, float, float]], rib_mm: float) -> list[Hole]:
    """Round windows in level rows, each row between those of the last, that leave ribs ``rib_mm`` at least.

    ``kept`` are u, v and diameter of bores and pegs: each keeps a boss as wide as a rib all round it. Of all
    sizes and places of the rows the ones that take most plastic away, the largest of equals.
    """
    # a hair less room than there is, for arcs and chords
    room: BaseGeometry = Polygon(polyline(outline)).buffer(-rib_mm - CHORD_MM)
    for u, v, wide in kept:
        room = room.difference(Point(u, v).buffer(wide / 2 + rib_mm + CHORD_MM))
    u0, v0, u1, v1 = bounds(outline)
    best: list[tuple[float, float]] = []
    most, size = 0.0, 0.0
    for wide in WINDOWS_MM:
        inside = room.buffer(-wide / 2)
        if inside.is_empty:
            continue
        shapely.prepare(inside)
        step = wide + rib_mm
        rise = step * math.sqrt(3) / 2
        for i, j in itertools.product(range(SHIFTS), repeat=2):
            grid = [
                (u0 + step * (k + i / SHIFTS + row % 2 / 2), v0 + rise * (row + j / SHIFTS))
                for row in range(math.ceil((v1 - v0) / rise) + 1)
                for k in range(-1, math.ceil((u1 - u0) / step) + 1)
            ]
            fits = shapely.covers(inside, shapely.points(grid))
            places = list(itertools.compress(grid, fits))
            if len(places) * wide**2 > most + SAME_MM2:
                best, most, size = places, len(places) * wide**2, wide
    return [
        Hole(
            name=f"window_{number}",
            u_mm=u,
            v_mm=v,
            diameter_mm=size,
            purpose="window, saves plastic",
            fitting=Fitting(kind="lightening", label="window"),
        )
        for number, (u, v) in enumerate(best, 1)
    ]


def warp_words(material: str, outline: Contour, printer: PartPrinter) -> str:
    """What keeps a print of that plastic flat, and how a long one lies on the bed; as more sentences."""
    u0, v0, u1, v1 = bounds(outline)
    said = WARP.get(material, "")
    size, bed = (u1 - u0, v1 - v0), (printer.bed_width_mm, printer.bed_depth_mm)
    if fits_turned(*size, *bed) and not fits_turned(*size, *bed, square=True):
        said += f" It fits on a bed of {bed[0]:g} x {bed[1]:g} mm only turned: lay it corner to corner."
    return f" {said}".rstrip() if said else ""


def _takes_peg(hole: HoleUnder) -> bool:
    # a hole that is opened up for something new is not yet, or no longer, the size it says
    return hole.status not in ("reuse", "weld")


def _chosen(
    under: PanelUnder, names: Sequence[str], parameter: str, fits: Callable[[HoleUnder], bool], what: str
) -> list[HoleUnder]:
    """The named holes in the panel's order, each once. Raises ``GeometryFault``."""
    wanted: list[HoleUnder] = []
    for name in names:
        found = [h for h in under.named(name) if fits(h)]
        if not found:
            known = ", ".join(h.name for h in under.holes if fits(h)) or "none"
            raise GeometryFault(f"{name!r} is not {what} of panel {under.panel!r}; it has {known}", parameter)
        wanted += found
    chosen = [h for h in under.holes if (h in wanted if names else fits(h))]
    if not chosen:
        raise GeometryFault(f"panel {under.panel!r} does not have {what}", parameter)
    return chosen


def _leads_pilot(p: DrillGuide, hole: HoleUnder) -> bool:
    """True where its bush is for the pilot: a step drill, a saw or a punch runs in no bush."""
    return hole.pilot_dia_mm > 0 and (p.drill == "pilot" or not hole.by_twist_drill)


def _opened_later(p: DrillGuide, holes: Sequence[HoleUnder]) -> str:
    """What is left to do without the guide, as the end of a sentence."""
    later = [h.number for h in holes if _leads_pilot(p, h)]
    if p.drill == "pilot" or len(later) == len(holes):
        return "; open the holes to size without it."
    return f"; open {', '.join(later)} to size without it." if later else "."


def _bore(
    p: DrillGuide, bend: BendRule, thickness_mm: float, hole: HoleUnder, units: UnitSystem = "metric"
) -> Hole:
    """The bore over one new hole. Raises ``LookupFault`` when no bush is large enough."""
    if not hole.drill_near:
        raise GeometryFault(f"hole {hole.number} {hole.name!r} is drilled from the other face", "over")
    drill = hole.pilot_dia_mm if _leads_pilot(p, hole) else hole.diameter_mm
    bush = Bush(drill_mm=drill, outside_mm=0.0, length_mm=thickness_mm)
    if p.bush:
        row = drill_bush(drill)
        # flush with the lower side and as long as the block takes
        lengths = [x for x in row.lengths_mm if x <= thickness_mm] or row.lengths_mm[:1]
        outside = p.bush_outside_mm if p.bush_outside_mm is not None else row.outside_mm
        if outside <= drill:
            raise GeometryFault(f"a drill of {drill:g} mm does not go through that bush", "bush_outside")
        bush = Bush(drill_mm=drill, outside_mm=outside, length_mm=lengths[-1])
    label = f"drill {drill:g}" if units == "metric" else f"drill {format_short(drill, units)}"
    if p.bush:
        label = f"bush {bush.outside_mm:g} × {bush.length_mm:g}, {label}"
    return Hole(
        name=f"bore_{hole.number}",
        u_mm=hole.u_mm,
        v_mm=hole.v_mm,
        diameter_mm=(bush.outside_mm or drill) + bend.printer.bore_clearance_mm,
        purpose=f"panel hole {hole.number}",
        fitting=Fitting(kind="bore", label=label),
        bush=bush,
    )


def _peg(hole: HoleUnder, clearance_mm: float, height_mm: float) -> Peg:
    diameter = hole.diameter_mm - clearance_mm
    if diameter < LEAST_PEG_MM:
        raise GeometryFault(f"hole {hole.number} {hole.name!r} is too small for a peg", "pegs")
    return Peg(
        name=f"peg_{hole.number}",
        u_mm=hole.u_mm,
        v_mm=hole.v_mm,
        diameter_mm=diameter,
        height_mm=height_mm,
        chamfer_mm=min(PEG_PAST_PANEL_MM / 2, height_mm / 2, diameter / 4),
        hole_mm=hole.diameter_mm,
        purpose=f"panel hole {hole.number}, {hole.purpose}",
    )


def _outline(p: DrillGuide, bores: Sequence[Hole], pegs: Sequence[Peg]) -> Contour:
    """A rectangle round everything, with its upper right corner cut off."""
    rounds = _bosses(p, bores, pegs)
    u0, v0 = (min(c[axis] - c[2] for c in rounds) for axis in (0, 1))
    u1, v1 = (max(c[axis] + c[2] for c in rounds) for axis in (0, 1))
    room = min(u1 - u0, v1 - v0) - p.corner_radius_mm
    if p.cut_corner_mm >= room:
        raise GeometryFault(f"the block takes a cut corner of less than {room:.1f} mm", "cut_corner")
    if p.corner_radius_mm > room / 2:
        raise GeometryFault(f"the block takes a corner radius of at most {room / 2:.1f} mm", "corner_radius")
    c, r = p.cut_corner_mm, p.corner_radius_mm
    for u, v, reach in rounds:
        inside = (u1 + v1 - c - u - v) / math.sqrt(2)
        if inside <= reach - p.margin_mm + INSIDE_MM:
            raise GeometryFault("the cut corner runs into a bore or a peg", "cut_corner")
    corners = [(u0, v0), (u1, v0), (u1, v1 - c), (u1 - c, v1), (u0, v1)]
    return polygon(corners, (r, r, 0.0, 0.0, r))


def _sample_hole(number: str, u: float, v: float, diameter: float, pilot: float = 0.0) -> HoleUnder:
    new = pilot > 0
    return HoleUnder(
        name=f"hole_{number.lower()}",
        number=number,
        u_mm=u,
        v_mm=v,
        diameter_mm=diameter,
        pilot_dia_mm=pilot,
        status="drill" if new else "datum",
        owners=("panel" if new else "existing",),
        purpose="new hole" if new else "existing hole",
        fitting=Fitting(kind="plain" if new else "existing", label="sample"),
    )


SAMPLE = PanelUnder(
    panel="sample",
    face="cab",
    thickness_mm=1.2,
    contour=rectangle(-150.0, -100.0, 150.0, 100.0),
    holes=(
        _sample_hole("1", -12.0, 14.0, 9.0, 4.0),
        _sample_hole("2", 22.0, 14.0, 9.0, 4.0),
        _sample_hole("3", 5.0, -16.0, 22.0, 5.0),
        _sample_hole("A", -45.0, 0.0, 12.0),
        _sample_hole("B", 55.0, -8.0, 20.0),
    ),
)

KIND = Kind(
    name="drill_guide",
    summary="printed block with bush bores over new holes and pegs in existing ones: a tool, not a bracket",
    origin="any point of the panel: its bores and pegs follow the panel's holes, the part only turns with it",
    parameters=DrillGuide,
    plan=on_sample(drill_guide, SAMPLE),
    plan_on=drill_guide,
    drills=False,
    printed=True,
)
