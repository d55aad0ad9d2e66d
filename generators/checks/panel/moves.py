"""What a person can move to mend a finding, and the shortest straight move that clears it."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field

import numpy as np
import shapely
import shapely.affinity
from shapely.geometry import LineString, Point
from shapely.geometry.base import BaseGeometry

from generators.checks.measure import Floats, Ints, area_of
from generators.checks.panel.view import PanelView, on_face
from generators.model.plan import FoldLine, PanelLayout
from generators.model.spec.job import Limits
from generators.model.words import FACES

DIRECTIONS = (
    ("to the left", -1.0, 0.0),
    ("to the right", 1.0, 0.0),
    ("up", 0.0, 1.0),
    ("down", 0.0, -1.0),
)
LONGEST_MM = 300.0
"""Moves longer than this are a new layout; it also keeps the search local on large panels."""

SHORT_MM = 60.0
MOST_SEARCHES = 40
"""With more things than this out of place the panel needs a new layout, not a list of moves."""

SLACK_MM = 1e-6
"""Pieces that only touch do not block."""

ASSUMED_SHEET_MM = 3.0
COARSE_MM = 0.05
QUARTER_STEPS = 64
Span = tuple[float, float]
Place = tuple[float, float]


def setback(layout: PanelLayout, fold: FoldLine) -> float:
    """Fold line to tangent line in mm, on the outside of the fold: the more of its two faces."""
    return (fold.inside_radius_mm + layout.thickness_mm) * math.tan(fold.angle_rad / 2)


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """A direction, unit vector, and how far along it to look, mm."""

    du: float
    dv: float
    reach: float

    def back(self) -> Way:
        """The same, the other way."""
        return Way(du=-self.du, dv=-self.dv, reach=self.reach)

    def line(self, start: Place) -> LineString:
        """The way of one point."""
        return LineString([start, (start[0] + self.du * self.reach, start[1] + self.dv * self.reach)])


@dataclass(frozen=True, slots=True, kw_only=True)
class Mover:
    """What moves as one: a hole of the spec, or parts with all their holes; ``label`` names it."""

    label: str
    holes: Ints
    feet: tuple[int, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Moves:
    """Finds moves on one panel. A move must clear everything the rules look at, not one finding only."""

    panel: PanelView
    limits: Limits
    thickness_mm: Mapping[str, float]
    outline: BaseGeometry
    centres: shapely.STRtree
    things: shapely.STRtree
    parts: dict[str, list[int]]
    wide_mm: float
    found: dict[str, str] = field(default_factory=dict)
    grown: dict[tuple[int, float], BaseGeometry] = field(default_factory=dict)

    def hole(self, i: int, otherwise: str) -> str:
        """``move part bulkheads 72 mm to the left`` for what brings hole ``i``.

        ``otherwise`` ends the sentence where no straight move is clear.
        """
        return self._told(self.mover(i), otherwise)

    def part(self, name: str, otherwise: str) -> str:
        """The same for a part."""
        return self._told(self._parts([name], ()), otherwise)

    def mover(self, i: int) -> Mover:
        """What moves with a new hole."""
        parts = self.panel.parts_of(i)
        if not parts:
            return Mover(label=f"hole {self.panel.number(i)}", holes=np.array([i], dtype=np.intp), feet=())
        return self._parts(parts, (i,) if "panel" in self.panel.sources[i] else ())

    def _parts(self, names: list[str], alone: tuple[int, ...]) -> Mover:
        label = self.panel.parts_text(names)
        if alone:
            label = f"hole {self.panel.number(alone[0])} with {label}"
        holes = sorted({i for n in names for i in self.parts.get(n, ()) if self.panel.new[i]} | set(alone))
        feet = tuple(k for k, f in enumerate(self.panel.layout.footprints) if f.part in names)
        return Mover(label=label, holes=np.array(holes, dtype=np.intp), feet=feet)

    def _told(self, mover: Mover, otherwise: str) -> str:
        if mover.label not in self.found and len(self.found) < MOST_SEARCHES:
            self.found[mover.label] = self._shortest(mover)
        return f"move {mover.label} {self.found.get(mover.label) or otherwise}"

    def _shortest(self, mover: Mover) -> str:
        # most moves are short, and past the best one so far there is nothing to look for
        for first in (SHORT_MM, LONGEST_MM):
            reach = first
            best = ""
            for words, du, dv in DIRECTIONS:
                far = self._far(mover, Way(du=du, dv=dv, reach=reach))
                if 0 < far < reach:
                    reach, best = far, f"{far:.0f} mm {words}"
            if best:
                return best
        return ""

    def _far(self, mover: Mover, way: Way) -> float:
        """How far along ``way`` everything of the mover is clear, mm; ``way.reach`` or more: nowhere."""
        spans: list[Span] = []
        for pieces in self._blocked(mover, way):
            spans.extend(pieces)
            far = _first_clear(spans)
            if far >= way.reach:
                return far
        return _first_clear(spans)

    def _blocked(self, mover: Mover, way: Way) -> Iterator[Iterator[Span]]:
        """Pieces of the way, mm along it, where something of the mover would break a rule; by thing."""
        for foot in mover.feet:
            yield self._foot(foot, mover, way)
        for i in mover.holes.tolist():
            start = (float(self.panel.u[i]), float(self.panel.v[i]))
            line = way.line(start)
            yield self._edge(i, line, start, way)
            yield self._obstacles(i, mover, line, start, way)
            yield self._neighbours(i, mover, start, way)

    def _edge(self, i: int, line: LineString, start: Place, way: Way) -> Iterator[Span]:
        panel, limits = self.panel, self.limits
        if panel.loaded[i]:
            need = limits.hole_edge_ratio * 2 * float(panel.radius[i])
        else:
            need = float(panel.radius[i]) + limits.least_ligament_mm(panel.layout.thickness_mm)
        need = max(need, *(float(panel.spanner[face][i]) for face in FACES))
        yield from _spans(line.difference(self._grown(-1, self.outline, -need)), start, way)
        for k, fold in enumerate(panel.layout.folds):
            reach = float(panel.radius[i]) + max(limits.fold_clearance_mm, setback(panel.layout, fold))
            zone = self._grown(-2 - k, LineString([fold.start, fold.end]), reach)
            yield from _spans(line.intersection(zone), start, way)

    def _obstacles(self, i: int, mover: Mover, line: LineString, start: Place, way: Way) -> Iterator[Span]:
        panel = self.panel
        count = len(panel.keepouts)
        widest = max(float(panel.radius[i]), *(float(panel.spanner[f][i] + panel.nut[f][i]) for f in FACES))
        for k in self.things.query(line, predicate="dwithin", distance=widest).tolist():
            if k < count:
                need, shape = self._needed(i, k), panel.keepouts[k].shape
            else:
                if k - count in mover.feet:
                    continue
                face = panel.layout.footprints[k - count].face
                need, shape = (
                    max(float(panel.radius[i]), float(panel.nut[face][i])),
                    panel.footprints[k - count].shape,
                )
            if need > 0:
                yield from _spans(line.intersection(self._grown(k, shape, need)), start, way)

    def _needed(self, i: int, k: int) -> float:
        """How far a hole's centre must stay outside an obstacle, mm; 0 where they do not mind each other."""
        panel, keepout = self.panel, self.panel.layout.keepouts[k]
        need = 0.0
        if keepout.bead:
            return float(panel.radius[i])
        if keepout.gap_mm < self.limits.drill_breakthrough_mm and not keepout.movable:
            need = float(panel.radius[i])
        for face in FACES:
            if on_face(keepout, face) and panel.stand[face][i] > keepout.gap_mm:
                need = max(
                    need, float(panel.radius[i]), float(panel.nut[face][i]), float(panel.spanner[face][i])
                )
        return need

    def _neighbours(self, i: int, mover: Mover, start: Place, way: Way) -> Iterator[Span]:
        panel, limits = self.panel, self.limits
        near = self._near((*start, *start), way)
        near = near[near != i] if len(mover.holes) == 1 else np.setdiff1d(near, mover.holes)
        if not len(near):
            return
        radius = panel.radius[near]
        need = panel.radius[i] + radius + limits.least_ligament_mm(panel.layout.thickness_mm)
        if panel.loaded[i]:
            wide = 2 * np.maximum(panel.radius[i], radius)
            need = np.maximum(need, np.where(panel.loaded[near], limits.hole_spacing_ratio * wide, 0.0))
        for face in FACES:
            nut, spanner = panel.nut[face], panel.spanner[face]
            if nut[i] > 0:
                room = np.maximum(nut[i], spanner[i]) + np.maximum(nut[near], spanner[near])
                room = np.minimum(room, np.maximum(spanner[i] + nut[near], nut[i] + spanner[near]))
                need = np.maximum(need, np.where(nut[near] > 0, np.maximum(room, nut[i] + nut[near]), 0.0))
        along = (panel.u[near] - start[0]) * way.du + (panel.v[near] - start[1]) * way.dv
        aside = (panel.u[near] - start[0]) * way.dv - (panel.v[near] - start[1]) * way.du
        half = np.sqrt(np.maximum(0.0, need**2 - aside**2))
        meets = (half > 0) & (along + half > 0)
        yield from zip((along - half)[meets].tolist(), (along + half)[meets].tolist(), strict=True)

    def _near(self, bounds: tuple[float, float, float, float], way: Way) -> Ints:
        """Holes that something within these bounds may come near on its way."""
        u0, v0, u1, v1 = bounds
        du, dv, side = way.du * way.reach, way.dv * way.reach, self.wide_mm
        box = shapely.box(
            u0 + min(0.0, du) - side,
            v0 + min(0.0, dv) - side,
            u1 + max(0.0, du) + side,
            v1 + max(0.0, dv) + side,
        )
        out: Ints = np.sort(self.centres.query(box))
        return out

    def _foot(self, foot: int, mover: Mover, way: Way) -> Iterator[Span]:
        """Where a part's outline would leave the panel, cover a hole, or lie on something."""
        panel, layout = self.panel, self.panel.layout
        footprint, shape = layout.footprints[foot], panel.footprints[foot].shape
        hull = shapely.convex_hull(shapely.simplify(shape, COARSE_MM))
        corners = shapely.get_coordinates(hull)[:-1]
        for u, v in corners.tolist():
            inside = self._grown(-1, self.outline, COARSE_MM)
            yield from _spans(way.line((u, v)).difference(inside), (u, v), way)
        count = len(panel.keepouts)
        sheet = self.thickness_mm.get(footprint.part, ASSUMED_SHEET_MM) + footprint.lift_mm
        swept = shapely.union_all(
            [hull, shapely.affinity.translate(hull, way.du * way.reach, way.dv * way.reach)]
        )
        for k in self.things.query(shapely.convex_hull(swept), predicate="intersects").tolist():
            if k < count:
                keepout = layout.keepouts[k]
                minds = on_face(keepout, footprint.face) and (keepout.bead or keepout.gap_mm < sheet)
                other = panel.keepouts[k].shape
            else:
                two = layout.footprints[k - count]
                minds = k - count not in mover.feet and (
                    on_face(two, footprint.face) or on_face(footprint, two.face)
                )
                other = panel.footprints[k - count].shape
            if minds:
                yield from _hull_spans(corners, other, way)
        for i in np.setdiff1d(self._near(shape.bounds, way), mover.holes).tolist():
            if layout.holes[i].status == "blank" or footprint.part in panel.sources[i]:
                continue
            nut = float(panel.nut[footprint.face][i]) if footprint.face in panel.nut else 0.0
            reach = max(float(panel.radius[i]), nut)
            start = (float(panel.u[i]), float(panel.v[i]))
            # the hole seen from the part moves the other way
            meets = way.back().line(start).intersection(self._grown(count + foot, shape, reach))
            yield from _spans(meets, start, way.back())

    def _grown(self, key: int, shape: BaseGeometry, by: float) -> BaseGeometry:
        cell = (key, by)
        if cell not in self.grown:
            self.grown[cell] = shape.buffer(by, quad_segs=QUARTER_STEPS)
        return self.grown[cell]


def moves(panel: PanelView, limits: Limits, thickness_mm: Mapping[str, float]) -> Moves:
    """The search on one panel; ``thickness_mm`` are the sheets of mounted parts by name."""
    parts: dict[str, list[int]] = {}
    for i, sources in enumerate(panel.sources):
        for source in sources:
            parts.setdefault(source, []).append(i)
    return Moves(
        panel=panel,
        limits=limits,
        thickness_mm=thickness_mm,
        outline=area_of(panel.layout.contour),
        centres=shapely.STRtree(np.asarray(shapely.points(panel.u, panel.v))),
        things=shapely.STRtree([r.shape for r in (*panel.keepouts, *panel.footprints)]),
        parts=parts,
        wide_mm=2 * panel.widest_mm,
    )


def apart(mend: Moves, i: int, j: int, short: str) -> str:
    """How two holes get ``short`` further apart: a hole of a part moves with it, an existing one stays."""
    panel = mend.panel
    stays, goes = panel.movable(i, j)
    both = sorted(set(panel.parts_of(i)) & set(panel.parts_of(j)))
    if both and panel.new[i] and panel.new[j]:
        return f"set {panel.holes([i, j])} of {panel.parts_text(both)} at least {short} further apart"
    if not panel.new[goes]:
        return f"both exist: use another hole than {panel.number(goes)}, at least {short} further away"
    away = f"at least {short} away from hole {panel.number(stays)}"
    # a hole alone may go any way; a part has more to mind
    return mend.hole(goes, away) if panel.parts_of(goes) else f"move hole {panel.number(goes)} {away}"


def _spans(pieces: BaseGeometry, start: Place, way: Way) -> Iterator[Span]:
    """The pieces of a way as distances from its start."""
    if pieces.is_empty:
        return
    for piece in shapely.get_parts(pieces).tolist():
        if isinstance(piece, Point):
            continue
        at = (shapely.get_coordinates(piece) - start) @ (way.du, way.dv)
        yield float(at.min()), float(at.max())


def _hull_spans(corners: Floats, other: BaseGeometry, way: Way) -> Iterator[Span]:
    """Where the hull of ``corners``, on its way, meets the hull of ``other``: their difference set."""
    theirs = shapely.get_coordinates(shapely.convex_hull(shapely.simplify(other, COARSE_MM)))
    spread = (theirs[:, None, :] - corners[None, :, :]).reshape(-1, 2)
    zone = LineString(spread).convex_hull
    for low, high in _spans(way.line((0.0, 0.0)).intersection(zone), (0.0, 0.0), way):
        if high - low > COARSE_MM:
            yield low, high


def _first_clear(spans: Iterable[Span]) -> float:
    """The shortest way past all blocked pieces in whole mm; 0 when nothing blocks the start."""
    far = 0.0
    for low, high in sorted(spans):
        if low - SLACK_MM < far < high - SLACK_MM:
            far = math.ceil(high - SLACK_MM)
    return far
