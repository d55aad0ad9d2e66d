"""Where a panel lies on one tile, and what of it shows there."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import shapely
from shapely import geometry

from generators.drawing.paper.furniture import Live
from generators.drawing.template.hole_words import millimetres
from generators.drawing.template.taken import Point
from generators.drawing.template.tiles import MARK_ARM_MM as MARK_REACH_MM
from generators.figures import fixed, format_short
from generators.geometry.contours import Placement, polyline, transformed
from generators.geometry.slits import slit
from generators.model.contour import Contour
from generators.model.plan import KeepOut, PanelLayout
from generators.model.words import Face
from generators.units import INCH_MM

U_AXIS, V_AXIS = "u = 0", "v = 0"


@dataclass(frozen=True, slots=True, kw_only=True)
class View:
    """Where panel points lie on the page: 1:1, mirrored in u for the engine face."""

    live: Live
    box: tuple[int, int, int, int]
    mirror: bool

    def point(self, u: float, v: float) -> Point:
        """Page mm of a panel point."""
        along_u = self.box[2] - u if self.mirror else u - self.box[0]
        return self.live.x + along_u, self.live.y + (v - self.box[1])

    def contour(self, contour: Contour) -> Contour:
        """An outline in page mm."""
        du = self.live.x + (self.box[2] if self.mirror else -self.box[0])
        return transformed(contour, Placement(du=du, dv=self.live.y - self.box[1], mirror=self.mirror))

    def shows(self, u: float, v: float, radius: float = 0.0) -> bool:
        """True when a circle there reaches into the tile."""
        b = self.box
        return b[0] - radius < u < b[2] + radius and b[1] - radius < v < b[3] + radius


def shown_keepouts(layout: PanelLayout, face: Face) -> list[KeepOut]:
    """All, but a bead pressed through the sheet only as it is on this face."""
    here = {(k.name, k.contour) for k in layout.keepouts if k.face == face}
    return [k for k in layout.keepouts if k.face == face or (k.name, k.contour) not in here]


def wrap_names(layout: PanelLayout, view: View) -> list[tuple[str, Point, Point]]:
    """Words for the strips and their check lengths, each with the line they stand beside."""
    found = []
    for wrap in layout.wraps:
        angle = millimetres(math.degrees(wrap.angle_rad), 1)
        radius = format_short(wrap.inside_radius_mm, layout.units, 1)
        way = "toward" if (wrap.toward == "engine") == view.mirror else "away from"
        words = (
            f"fold {angle}° {way} you, inside radius {radius}: "
            "lay the paper round it, from this line to the other"
        )
        found.append((words, view.point(*wrap.start), view.point(*wrap.end)))
        length = math.dist(*wrap.check)
        check = f"{fixed(length, 1)} mm" if layout.units == "metric" else f"{fixed(length / INCH_MM, 2)} in"
        text = f"check {check} from tick to tick with a tape along the metal"
        found.append((text, view.point(*wrap.check[0]), view.point(*wrap.check[1])))
    return found


def datum_lines(layout: PanelLayout, view: View) -> list[tuple[str, Point, Point]]:
    """Straight datums across the live area: words and both ends in page mm."""
    found: list[tuple[str, Point, Point]] = []
    for datum in layout.datums:
        x, y = view.point(datum.u_mm, datum.v_mm)
        live = view.live
        words = f"datum {datum.words}: {datum.what}"
        if datum.kind == "vertical" and live.x <= x <= live.x + live.width:
            found.append((words, (x, live.y), (x, live.y + live.height)))
        if datum.kind == "horizontal" and live.y <= y <= live.y + live.height:
            found.append((words, (live.x, y), (live.x + live.width, y)))
    return found


TICK_MM = 7.0
"""Length of the ticks that show an axis of the panel at the frame of a sheet."""


AXIS_IN_MM = 0.5
"""An axis nearer to the frame than this is not told from it."""


def axis_ticks(view: View) -> list[tuple[str, tuple[tuple[Point, Point], ...]]]:
    """Where u = 0 and v = 0 leave the frame of this sheet: words, and a tick inward from either side."""
    live = view.live
    x, y = view.point(0.0, 0.0)
    right, top = live.x + live.width, live.y + live.height
    found: list[tuple[str, tuple[tuple[Point, Point], ...]]] = []
    if live.x + AXIS_IN_MM < x < right - AXIS_IN_MM:
        found.append((U_AXIS, (((x, live.y), (x, live.y + TICK_MM)), ((x, top), (x, top - TICK_MM)))))
    if live.y + AXIS_IN_MM < y < top - AXIS_IN_MM:
        found.append((V_AXIS, (((live.x, y), (live.x + TICK_MM, y)), ((right, y), (right - TICK_MM, y)))))
    return found


PAPER_GAP_MM = 0.5
"""Under what is further off the panel than this a sheet can be pushed."""

SLIT = "slit here"
STAYS_MM = 1.5
"""How far a slit stays off a hole's ring and off a mark."""


def standing(layout: PanelLayout, face: Face) -> list[geometry.Polygon]:
    """What stands in a sheet's way on a face, in the panel's frame; what touches is one."""
    contours = [p.contour for p in layout.passing]
    contours += [
        k.contour
        for k in layout.keepouts
        if k.face == face and not (k.bead or k.movable) and k.gap_mm <= PAPER_GAP_MM
    ]
    whole = shapely.unary_union([geometry.Polygon(polyline(c, 0.1)).buffer(0) for c in contours])
    return [one for one in getattr(whole, "geoms", [whole]) if isinstance(one, geometry.Polygon) and one.area]


def slits(
    layout: PanelLayout, view: View, face: Face, marks: Sequence[tuple[int, int]]
) -> list[tuple[Point, Point]]:
    """Where the sheet is cut in from its edge, page mm: to each thing that stands within it.

    A slit crosses no hole and no mark, but for the hole its thing stands in.
    """
    found = []
    for area in standing(layout, face):
        discs = [(float(u), float(v), MARK_REACH_MM + STAYS_MM) for u, v in marks]
        discs += [
            (h.u_mm, h.v_mm, h.final_dia_mm / 2 + h.travel_mm / 2 + STAYS_MM)
            for h in layout.holes
            if area.distance(geometry.Point(h.u_mm, h.v_mm)) > h.final_dia_mm / 2 + h.travel_mm / 2 + STAYS_MM
        ]
        line = slit(area, view.box, discs)
        if line is not None:
            found.append((view.point(*line[0]), view.point(*line[1])))
    return found


# --- what its lines mean ------------------------------------------------------------------
Box = tuple[float, float, float, float]
Shown = tuple[PanelLayout, Face, Box]
"""A sheet by the panel, the face and the tile, panel mm, that it shows."""

JOINS = "Discs with black quarters: marks for joining, not holes. A hole shown on two sheets is one hole."
HATCHED = "Hatched: keep out on this side."
SOLID = "solid outline: a part on this side"
DASHED = "dashed outline: a part or a thing on the other side"


def legend(sheets: Iterable[Shown]) -> str:
    """What lines and areas of these sheets mean: of each kind only where one of them shows it."""
    of = list(sheets)
    said = [cut] if (cut := cut_words(of)) else []
    if any(_shows(box, (k.contour for k in x.keepouts if k.face == face)) for x, face, box in of):
        said.append(HATCHED)
    lines = []
    if any(_shows(box, (p.contour for p in x.footprints if p.face == face)) for x, face, box in of):
        lines.append(SOLID)
    if any(_shows(box, _behind(x, face)) for x, face, box in of):
        lines.append(DASHED)
    if lines:
        words = "; ".join(lines)
        said.append(f"{words[0].upper()}{words[1:]}.")
    if len(of) > 1:
        said.append(JOINS)
    return " ".join(said)


def cut_words(sheets: Iterable[Shown]) -> str:
    """How such sheets are brought round what stands there; nothing where nothing does."""
    things = [(thing, box) for layout, face, box in sheets for thing in standing(layout, face)]
    if not any(geometry.box(*box).intersects(thing) for thing, box in things):
        return ""
    within = any(slit(thing, box, ()) for thing, box in things)
    to_it = f"; where a sheet says {SLIT}, cut in from its edge to get round" if within else ""
    return f"Cut the paper out wherever something stands{to_it}."


def _behind(layout: PanelLayout, face: Face) -> Iterable[Contour]:
    yield from (p.contour for p in layout.footprints if p.face != face)
    yield from (k.contour for k in shown_keepouts(layout, face) if k.face != face)


def _shows(box: Box, contours: Iterable[Contour]) -> bool:
    page = geometry.box(*box)
    return any(page.intersects(geometry.Polygon(polyline(c, 0.1)).buffer(0)) for c in contours)
