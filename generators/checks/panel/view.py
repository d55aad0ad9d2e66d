"""The holes of a panel as arrays, with the pairs of neighbours every rule looks at."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry import LineString

from generators.checks.measure import Floats, Ints, area_of, depth_inside, line_distance, near_pairs
from generators.checks.panel.zones import Flags, Thing
from generators.checks.part.part import LOADED
from generators.checks.rule import listed
from generators.model.contour import Contour
from generators.model.limits import Limits
from generators.model.plan import Footprint, KeepOut, PanelHole, PanelLayout
from generators.model.words import FACES, NEW, Face

SAME_PLACE_MM = 0.1
"""Centres nearer than this are one hole: finer than a drill can be set by hand."""

NO_PART = frozenset({"panel", "existing"})


@dataclass(frozen=True, slots=True, kw_only=True)
class PanelView:
    """A layout ready for the rules. Arrays run over ``layout.holes``; lengths in mm.

    ``new`` are holes to drill and studs to weld, ``used`` those and reused ones: what a fitting goes into;
    ``blank`` are to be closed. ``nut``,
    ``spanner`` (radii) and ``stand`` (height off the panel) are by face, 0 where there is none.
    ``first``, ``second`` and ``apart`` are pairs of neighbours and their centre distance (of a slot, from the
    line between its end centres); ``widest_mm``
    is the largest room a hole wants around its centre. ``folds``, ``keepouts`` and ``footprints`` run as
    those of the layout.
    """

    layout: PanelLayout
    u: Floats
    v: Floats
    radius: Floats
    new: Flags
    used: Flags
    blank: Flags
    loaded: Flags
    nut: dict[str, Floats]
    spanner: dict[str, Floats]
    stand: dict[str, Floats]
    depth: Floats
    outline: Thing
    folds: tuple[Thing, ...]
    first: Ints
    second: Ints
    apart: Floats
    widest_mm: float
    sources: tuple[frozenset[str], ...]
    keepouts: tuple[Thing, ...]
    footprints: tuple[Thing, ...]

    @property
    def same(self) -> Flags:
        """Which pairs are two entries for one hole."""
        out: Flags = self.apart <= SAME_PLACE_MM
        return out

    def hole(self, index: int) -> str:
        """``panel:firewall hole 4 (bulkheads.bulkhead_1)``."""
        return self.where([index])

    def pair(self, i: int, j: int) -> str:
        """``panel:firewall holes 3 (clamp) and 7 (hanger.mount_1)``."""
        return self.where([i, j])

    def where(self, indices: Iterable[int]) -> str:
        """Any number of holes with the panel before them."""
        return f"panel:{self.layout.panel} {self.holes(indices)}"

    def holes(self, indices: Iterable[int]) -> str:
        """``hole 4 (clamp)`` or ``holes 4 (clamp), 5 (line) and B (heater_pipe)``."""
        names = [self.number(i) for i in indices]
        return f"hole{'s' if len(names) > 1 else ''} {listed(names)}"

    def number(self, index: int) -> str:
        """What the sheets call this hole, with its name in the spec: ``4 (bulkheads.bulkhead_1)``."""
        hole: PanelHole = self.layout.holes[index]
        return f"{hole.number} ({hole.name})" if hole.number else hole.name

    def parts_of(self, index: int) -> list[str]:
        """The parts that bring this hole, by name; none for a hole of the panel itself."""
        return sorted(self.sources[index] - NO_PART)

    def parts_text(self, names: Sequence[str]) -> str:
        """``part bulkheads``, ``parts hanger and plate``; empty without any."""
        return f"part{'s' if len(names) > 1 else ''} {listed(names)}" if names else ""

    def groups(self, indices: Iterable[int]) -> list[list[int]]:
        """Holes that are mended together: the new ones of one part; any other stands alone."""
        out: dict[object, list[int]] = {}
        for i in indices:
            together = bool(self.new[i] and self.parts_of(i))
            out.setdefault(self.sources[i] if together else i, []).append(i)
        return list(out.values())

    def movable(self, i: int, j: int) -> tuple[int, int]:
        """The pair as (stays, moves): an existing hole cannot move, and a hole alone moves easily."""
        if self.new[i] != self.new[j]:
            return (j, i) if self.new[i] else (i, j)
        return (j, i) if self.parts_of(j) and not self.parts_of(i) else (i, j)


def on_face(thing: KeepOut | Footprint, face: Face) -> bool:
    """True when a keep-out or part is on that face."""
    return thing.face == face


def share_face(one: Footprint, two: Footprint) -> bool:
    """True when two parts lie on one face."""
    return on_face(one, two.face) or on_face(two, one.face)


def panel_view(layout: PanelLayout, limits: Limits) -> PanelView:
    """The arrays of a layout."""
    holes = layout.holes
    u = np.array([h.u_mm for h in holes], dtype=np.float64)
    v = np.array([h.v_mm for h in holes], dtype=np.float64)
    radius = np.array([h.final_dia_mm for h in holes], dtype=np.float64) / 2
    used = np.array([h.status in ("drill", "weld", "reuse") for h in holes], dtype=np.bool_)
    loaded = np.array([h.kind in LOADED for h in holes], dtype=np.bool_) & used
    nuts = np.array([h.nut_circle_mm for h in holes], dtype=np.float64) / 2
    spanners = np.array([h.spanner_circle_mm for h in holes], dtype=np.float64) / 2
    reaches = {
        "cab": np.array([h.reach_cab_mm for h in holes], dtype=np.float64),
        "engine": np.array([h.reach_engine_mm for h in holes], dtype=np.float64),
    }
    nut: dict[str, Floats] = {}
    spanner: dict[str, Floats] = {}
    stand: dict[str, Floats] = {}
    for face in FACES:
        turns = np.array([h.nut_face in (face, "both") for h in holes], dtype=np.bool_) & used
        nut[face] = np.where(turns, nuts, 0.0)
        spanner[face] = np.where(turns, spanners, 0.0)
        tall = np.where(nut[face] > 0, 2 * radius, 0.0)
        stand[face] = np.where(used, np.maximum(reaches[face], tall), 0.0)
    widest = np.maximum.reduce([radius, nuts, spanners]) if len(holes) else radius
    reach = np.maximum(
        np.maximum(widest, radius + limits.least_ligament_mm(layout.thickness_mm)),
        np.where(loaded, limits.hole_spacing_ratio * 2 * radius, 0.0),
    )
    travel = np.array([h.travel_mm for h in holes], dtype=np.float64)
    reach = reach + travel / 2
    first, second, apart = near_pairs(u, v, reach)
    depth = depth_inside(u, v, layout.contour)
    if travel.any():
        spines = [LineString(h.ends) for h in holes]
        slots = (travel[first] > 0) | (travel[second] > 0)
        for k in np.flatnonzero(slots).tolist():
            apart[k] = spines[first[k]].distance(spines[second[k]])
        for end in (0, 1):
            at_u, at_v = (np.array([h.ends[end][axis] for h in holes]) for axis in (0, 1))
            depth = np.minimum(depth, depth_inside(at_u, at_v, layout.contour))
    every = np.arange(len(holes), dtype=np.intp)
    return PanelView(
        layout=layout,
        u=u,
        v=v,
        radius=radius,
        new=np.array([h.status in NEW for h in holes], dtype=np.bool_),
        used=used,
        blank=np.array([h.status == "blank" for h in holes], dtype=np.bool_),
        loaded=loaded,
        nut=nut,
        spanner=spanner,
        stand=stand,
        depth=depth,
        outline=Thing(shape=area_of(layout.contour), index=every, depth=depth, inward=True),
        folds=tuple(
            Thing(
                shape=LineString([f.start, f.end]),
                index=every,
                depth=-line_distance(u, v, f.start, f.end),
            )
            for f in layout.folds
        ),
        first=first,
        second=second,
        apart=apart,
        widest_mm=float(reach.max(initial=0.0)),
        sources=tuple(frozenset(h.owners) for h in holes),
        keepouts=_outlines([k.contour for k in layout.keepouts], u, v, widest),
        footprints=_outlines([f.contour for f in layout.footprints], u, v, widest),
    )


def _outlines(contours: list[Contour], u: Floats, v: Floats, widest: Floats) -> tuple[Thing, ...]:
    """Each outline with the holes whose widest circle may meet it."""
    shapes = [area_of(c) for c in contours]
    found: dict[int, list[int]] = defaultdict(list)
    if len(u) and shapes:
        tree = shapely.STRtree(shapely.box(u - widest, v - widest, u + widest, v + widest))
        for region, hole in tree.query(shapes).T.tolist():
            found[region].append(hole)
    out = []
    for i, (contour, shape) in enumerate(zip(contours, shapes, strict=True)):
        index = np.array(sorted(found[i]), dtype=np.intp)
        depth = depth_inside(u[index], v[index], contour, shape)
        out.append(Thing(shape=shape, index=index, depth=depth))
    return tuple(out)
