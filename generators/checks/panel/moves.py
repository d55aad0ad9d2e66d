"""What a person can move to mend a finding, and the shortest straight move that clears it."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from operator import attrgetter

import numpy as np
import shapely
import shapely.affinity
from shapely.geometry import LineString, Point
from shapely.geometry.base import BaseGeometry

from generators.checks.measure import Floats, Ints, area_of
from generators.checks.panel.view import PanelView
from generators.checks.panel.zones import Blocked, Thing, stands_in
from generators.model.changes import Proposal, Shift

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

FURTHER_MM = (8.0, 20.0, 45.0)
"""How much further a move is proposed where the nearest clear place does not do for the rest of the job."""

MOST_FURTHER = 4
MOST_PROPOSED = 60
"""The same for moves to be tried, with those the findings tell among them."""

SLACK_MM = 1e-6
"""Pieces that only touch do not block."""

COARSE_MM = 0.05
QUARTER_STEPS = 64
Span = tuple[float, float]
Place = tuple[float, float]


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
class Clear:
    """A straight move after which nothing of the panel is in the way: how far, mm, and where to."""

    far: float
    words: str
    du: float
    dv: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Mover:
    """What moves as one: a hole of the spec, or parts with all their holes; ``label`` names it.

    ``things`` are the same as a ``Shift`` of the spec names them.
    """

    label: str
    things: tuple[str, ...]
    holes: Ints
    feet: tuple[int, ...]
    bodies: tuple[int, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Moves:
    """Finds moves on one panel. A move must leave the blocked regions of all rules, not of one finding only.

    ``within`` joins the rules' regions round one thing: the widest, by hole. ``things`` is the tree of
    obstacles, then footprints.
    """

    panel: PanelView
    blocked: Blocked
    within: Mapping[Thing, Floats]
    centres: shapely.STRtree
    things: shapely.STRtree
    parts: dict[str, list[int]]
    wide_mm: float
    found: dict[str, tuple[Clear, ...]] = field(default_factory=dict)
    told: set[str] = field(default_factory=set)
    grown: dict[tuple[Thing, float], BaseGeometry] = field(default_factory=dict)

    def hole(self, i: int, otherwise: str) -> str:
        """``move part bulkheads 72 mm to the left`` for what brings hole ``i``.

        ``otherwise`` ends the sentence where no straight move is clear.
        """
        return self._told(self.mover(i), otherwise)

    def part(self, name: str, otherwise: str) -> str:
        """The same for a part."""
        return self._told(self._parts([name], ()), otherwise)

    def hole_moves(self, i: int) -> tuple[Proposal, ...]:
        """Moves of what brings hole ``i`` that clear all rules of this panel, the shortest first."""
        return self._proposed(self.mover(i))

    def part_moves(self, name: str) -> tuple[Proposal, ...]:
        """The same for a part."""
        return self._proposed(self._parts([name], ()))

    def mover(self, i: int) -> Mover:
        """What moves with a new hole."""
        parts = self.panel.parts_of(i)
        if not parts:
            return Mover(
                label=f"hole {self.panel.number(i)}",
                things=(self._hole_thing(i),),
                holes=np.array([i], dtype=np.intp),
                feet=(),
                bodies=(),
            )
        return self._parts(parts, (i,) if "panel" in self.panel.sources[i] else ())

    def _hole_thing(self, i: int) -> str:
        return f"hole:{self.panel.layout.panel}/{self.panel.layout.holes[i].name}"

    def _parts(self, names: list[str], alone: tuple[int, ...]) -> Mover:
        label = self.panel.parts_text(names)
        things = [f"part:{name}" for name in names]
        if alone:
            label = f"hole {self.panel.number(alone[0])} with {label}"
            things = [self._hole_thing(alone[0]), *things]
        holes = sorted({i for n in names for i in self.parts.get(n, ()) if self.panel.new[i]} | set(alone))
        feet = tuple(k for k, f in enumerate(self.panel.layout.footprints) if f.part in names)
        bodies = tuple(k for k, b in enumerate(self.panel.layout.bodies) if b.part in names)
        return Mover(
            label=label,
            things=tuple(things),
            holes=np.array(holes, dtype=np.intp),
            feet=feet,
            bodies=bodies,
        )

    def _told(self, mover: Mover, otherwise: str) -> str:
        if mover.label in self.told or len(self.told) < MOST_SEARCHES:
            self.told.add(mover.label)
            clear = self._clear(mover)
            if clear:
                return f"move {mover.label} {clear[0].far:.0f} mm {clear[0].words}"
        return f"move {mover.label} {otherwise}"

    def _proposed(self, mover: Mover) -> tuple[Proposal, ...]:
        if mover.label not in self.found and len(self.found) >= MOST_PROPOSED:
            return ()
        return tuple(
            Proposal(
                words=f"move {mover.label} {{by}} {move.words}",
                steps=tuple(
                    Shift(thing=thing, u=move.far * move.du, v=move.far * move.dv) for thing in mover.things
                ),
            )
            for move in self._clear(mover)
        )

    def _clear(self, mover: Mover) -> tuple[Clear, ...]:
        """Clear moves, the shortest each way first, then those further on; none where nothing is clear."""
        if mover.label not in self.found:
            self.found[mover.label] = self._searched(mover)
        return self.found[mover.label]

    def _searched(self, mover: Mover) -> tuple[Clear, ...]:
        # most moves are short
        for reach in (SHORT_MM, LONGEST_MM):
            nearest, further = [], []
            for words, du, dv in DIRECTIONS:
                spans = self._spans(mover, Way(du=du, dv=dv, reach=reach))
                far = _first_clear(spans)
                if not 0 < far < reach:
                    continue
                nearest.append(Clear(far=far, words=words, du=du, dv=dv))
                more = {_first_clear(spans, far + step) for step in FURTHER_MM}
                further += [Clear(far=f, words=words, du=du, dv=dv) for f in sorted(more) if f < reach]
            if nearest:
                by_far = attrgetter("far")
                return (*sorted(nearest, key=by_far), *sorted(further, key=by_far)[:MOST_FURTHER])
        return ()

    def _spans(self, mover: Mover, way: Way) -> list[Span]:
        """Pieces of ``way``, mm along it, where something of the mover is in the way; no more than decide."""
        spans: list[Span] = []
        for pieces in self._blocked(mover, way):
            spans.extend(pieces)
            if _first_clear(spans) >= way.reach:
                break
        return spans

    def _blocked(self, mover: Mover, way: Way) -> Iterator[Iterator[Span]]:
        """Pieces of the way, mm along it, where something of the mover would break a rule; by thing."""
        for foot in mover.feet:
            yield self._foot(foot, mover, way)
        for body in mover.bodies:
            yield self._body(body, way)
        for i in mover.holes.tolist():
            start = (float(self.panel.u[i]), float(self.panel.v[i]))
            line = way.line(start)
            yield self._edge(i, line, start, way)
            yield self._obstacles(i, mover, line, start, way)
            yield self._neighbours(i, mover, start, way)

    def _edge(self, i: int, line: LineString, start: Place, way: Way) -> Iterator[Span]:
        for thing in (self.panel.outline, *self.panel.folds):
            yield from _spans(self._closed(thing, i, line), start, way)

    def _obstacles(self, i: int, mover: Mover, line: LineString, start: Place, way: Way) -> Iterator[Span]:
        panel = self.panel
        solid, along = (*panel.keepouts, *panel.footprints), {panel.footprints[k] for k in mover.feet}
        widest = max((float(self.within[t][i]) for t in solid if t in self.within), default=0.0)
        for k in self.things.query(line, predicate="dwithin", distance=widest).tolist():
            if solid[k] not in along:
                yield from _spans(self._closed(solid[k], i, line), start, way)

    def _closed(self, thing: Thing, i: int, line: LineString) -> BaseGeometry:
        """The pieces of a line where the centre of hole ``i`` may not lie because of a thing."""
        within = float(self.within[thing][i]) if thing in self.within else 0.0
        if within <= 0:
            return LineString()
        if thing.inward:
            return line.difference(self._grown(thing, -within))
        return line.intersection(self._grown(thing, within))

    def _neighbours(self, i: int, mover: Mover, start: Place, way: Way) -> Iterator[Span]:
        panel = self.panel
        near = self._near((*start, *start), way)
        near = near[near != i] if len(mover.holes) == 1 else np.setdiff1d(near, mover.holes)
        if not len(near):
            return
        mine = np.full_like(near, i)
        need = np.maximum.reduce([within(mine, near) for within in self.blocked.pairs])
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
        panel = self.panel
        thing, part = panel.footprints[foot], panel.layout.footprints[foot].part
        hull = shapely.convex_hull(shapely.simplify(thing.shape, COARSE_MM))
        corners = shapely.get_coordinates(hull)[:-1]
        for u, v in corners.tolist():
            inside = self._grown(panel.outline, COARSE_MM)
            yield from _spans(way.line((u, v)).difference(inside), (u, v), way)
        swept = shapely.union_all(
            [hull, shapely.affinity.translate(hull, way.du * way.reach, way.dv * way.reach)]
        )
        solid = (*panel.keepouts, *panel.footprints)
        kept_off = self.blocked.under[foot] - {panel.footprints[k] for k in mover.feet}
        for k in self.things.query(shapely.convex_hull(swept), predicate="intersects").tolist():
            if solid[k] in kept_off:
                yield from _hull_spans(corners, solid[k].shape, way)
        for i in np.setdiff1d(self._near(thing.shape.bounds, way), mover.holes).tolist():
            if part in panel.sources[i]:
                continue
            start = (float(panel.u[i]), float(panel.v[i]))
            # the hole seen from the part moves the other way
            meets = self._closed(thing, i, way.back().line(start))
            yield from _spans(meets, start, way.back())

    def _body(self, number: int, way: Way) -> Iterator[Span]:
        """Where a flange that stands up would stand in an obstacle, or over an existing hole in use."""
        layout = self.panel.layout
        body = layout.bodies[number]
        corners = shapely.get_coordinates(shapely.convex_hull(area_of(body.contour)))[:-1]
        for keepout, thing in zip(layout.keepouts, self.panel.keepouts, strict=True):
            if stands_in(body, keepout):
                yield from _hull_spans(corners, thing.shape, way)
        for hole in layout.holes:
            if hole.status == "datum" and body.part not in hole.owners:
                rim = shapely.Point(hole.u_mm, hole.v_mm).buffer(hole.final_dia_mm / 2)
                yield from _hull_spans(corners, rim, way)

    def _grown(self, thing: Thing, by: float) -> BaseGeometry:
        cell = (thing, by)
        if cell not in self.grown:
            self.grown[cell] = thing.shape.buffer(by, quad_segs=QUARTER_STEPS)
        return self.grown[cell]


def moves(panel: PanelView, blocked: Blocked) -> Moves:
    """The search on one panel, outside everything ``blocked``."""
    parts: dict[str, list[int]] = {}
    for i, sources in enumerate(panel.sources):
        for source in sources:
            parts.setdefault(source, []).append(i)
    within: dict[Thing, Floats] = {}
    for zone in blocked.zones:
        there = within.get(zone.thing)
        within[zone.thing] = zone.within if there is None else np.maximum(there, zone.within)
    return Moves(
        panel=panel,
        blocked=blocked,
        within=within,
        centres=shapely.STRtree(np.asarray(shapely.points(panel.u, panel.v))),
        things=shapely.STRtree([t.shape for t in (*panel.keepouts, *panel.footprints)]),
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


def apart_moves(mend: Moves, i: int, j: int) -> tuple[Proposal, ...]:
    """Moves of the one of two holes that goes more easily, then of the other if it is new."""
    panel = mend.panel
    if panel.new[i] and panel.new[j] and set(panel.parts_of(i)) & set(panel.parts_of(j)):
        return ()  # they move together
    stays, goes = panel.movable(i, j)
    return tuple(p for k in (goes, stays) if panel.new[k] for p in mend.hole_moves(k))


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


def _first_clear(spans: Iterable[Span], start: float = 0.0) -> float:
    """The shortest way from ``start`` past all blocked pieces, whole mm; ``start`` when nothing blocks it."""
    far = start
    for low, high in sorted(spans):
        if low - SLACK_MM < far < high - SLACK_MM:
            far = math.ceil(high - SLACK_MM)
    return far
