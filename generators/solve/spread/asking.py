"""What a vehicle may be asked, and what a kit must know of it: distances on and between its panels."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from generators.geometry.frames import panel_frame
from generators.layout.mounting import panel_pose
from generators.layout.panels import LEVEL
from generators.layout.spots import point3, ports_of
from generators.measure.chance.asked import KNOWN_SHARE, Need, Observation
from generators.measure.chance.kit import Kit
from generators.measure.equations import Array
from generators.model.spec.job import ExistingHole, Obstacle, Panel
from generators.model.words import INSTRUMENT_MM
from generators.reading.keys.datums import EDGES
from generators.solve.job import Prepared
from generators.space.body import Body
from generators.space.distance import Space
from generators.space.pieces import Rod

AskedKind = Literal["rims", "edge", "side", "across", "port", "lean", "size"]
"""Near rim to near rim on one panel; near rim to an edge; near rim square to a thing's side; middle to middle
from panel to panel; middle to a port; how a panel leans; a diameter."""

FREE_MM = 1.0
"""Standard uncertainty of a tape in the air from rim to rim. Common practice, no source."""
LEAN_RAD = math.radians(0.2)
"""The same of a level on a telephone. Common practice, no source."""
LEAST_ROOM_MM = 1.0
TAPE_MM, END_MM = 2.0, 12.0
"""A tape as it lies in the air, half its width, and how far from its ends it may touch what it is held to."""
SHORTEST_MM = 15.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """A reading to ask for. ``at`` and ``end`` are its ends in the panel's plane, for the picture.

    ``zero_rad`` is the lean a level reads as nothing: 0, or a quarter turn of a panel that lies.
    """

    kind: AskedKind
    panel: str
    from_: str
    to: str
    face: str
    at: tuple[float, float]
    end: tuple[float, float]
    seen: Observation
    zero_rad: float = 0.0

    def leans(self, read_rad: float) -> float:
        """The lean of what a level said, rad: of a panel that lies off level, or as the spec has it."""
        return read_rad + self.zero_rad if abs(read_rad) < math.pi / 4 else read_rad


class Asking:
    """Readings that can be asked of a vehicle, over the columns of a kit."""

    def __init__(self, prepared: Prepared, kit: Kit) -> None:
        self.prepared, self.kit = prepared, kit
        self.panels: Mapping[str, Panel] = {p.name: p for p in prepared.file.job.panel}
        self._by: dict[tuple[str, str, str], int] = {
            (kit.groups[c.group].of, c.thing, c.axis): k for k, c in enumerate(kit.columns)
        }

        bodies = prepared.scene.bodies
        self._vehicle = [
            b for b in bodies if b.what in ("panel", "obstacle") and not b.name.startswith("zone")
        ]

    @property
    def prior(self) -> Array:
        """Covariance of the vehicle's columns before anything is read; zero for people's."""
        own = set(self.kit.vehicle)
        return np.diag([c.sigma**2 if k in own else 0.0 for k, c in enumerate(self.kit.columns)])

    def row(self, of: str, thing: str, weights: Mapping[str, float]) -> Array:
        """A row over the columns."""
        out = np.zeros(len(self.kit.columns))
        for axis, weight in weights.items():
            number = self._by.get((of, thing, axis))
            if number is not None:
                out[number] += weight
        return out

    def _hole(self, panel: Panel, hole: ExistingHole, way: Array) -> Array:
        """How a hole moves along a direction of its panel's plane."""
        return self.row("existing", f"{panel.name}.{hole.name}", {"u": float(way[0]), "v": float(way[1])})

    def _rim(self, panel: Panel, hole: ExistingHole) -> Array:
        return self.row("hole_size", f"{panel.name}.{hole.name}", {"": -0.5})

    def _known(self, panel: Panel) -> list[ExistingHole]:
        """Round holes of a panel."""
        return [hole for hole in panel.existing if hole.length_mm is None]

    def candidates(self) -> list[Asked]:
        """All of them. Raises nothing."""
        out = [a for panel in self.panels.values() for a in self._on_panel(panel)]
        return [a for a in (*out, *self._across(), *self._ports()) if np.any(a.seen.row)]

    def _free(self, at: Array, to: Array, ends: frozenset[str]) -> bool:
        """True where a tape from one point to another is in the way of nothing the vehicle has."""
        way = (to - at) / np.linalg.norm(to - at)
        rod = Rod(start=point3(at + END_MM * way), end=point3(to - END_MM * way), radius_mm=TAPE_MM)
        tape = Body(name="tape", title="tape", what="obstacle", owner="", forms=(rod,))
        there = [b for b in self._vehicle if b.name not in ends]
        space = Space([tape, *there])
        return not any(space.gap(0, k + 1, 0.0) for k in range(len(there)))

    def _on_panel(self, panel: Panel) -> Iterator[Asked]:
        holes = self._known(panel)
        tape = INSTRUMENT_MM["tape"]
        for a, b in itertools.combinations(holes, 2):
            way = np.subtract(b.at, a.at)
            far = float(np.hypot(*way))
            inner = far - (a.diameter_mm + b.diameter_mm) / 2
            if inner < SHORTEST_MM:
                continue
            unit = way / far
            row = self._hole(panel, b, unit) - self._hole(panel, a, unit)
            row = row + self._rim(panel, a) + self._rim(panel, b)
            yield self._asked("rims", panel, a.name, b.name, a.at, b.at, row, inner, tape)
        us, vs = [u for u, _ in panel.outline], [v for _, v in panel.outline]
        ends = {"left": min(us), "right": max(us), "bottom": min(vs), "top": max(vs)}
        for hole in holes:
            for name in EDGES:
                axis = 0 if name in ("left", "right") else 1
                sign = 1.0 if name in ("left", "bottom") else -1.0
                unit = sign * np.eye(2)[axis]
                off = sign * (hole.at[axis] - ends[name])
                to = (ends[name], hole.at[1]) if axis == 0 else (hole.at[0], ends[name])
                row = self._hole(panel, hole, unit) + self._rim(panel, hole)
                if off - hole.diameter_mm / 2 >= SHORTEST_MM:
                    yield self._asked(
                        "edge", panel, hole.name, name, hole.at, to, row, off - hole.diameter_mm / 2, tape
                    )
            number = self._by.get(("hole_size", f"{panel.name}.{hole.name}", ""))
            if number is not None:
                size = self.row("hole_size", f"{panel.name}.{hole.name}", {"": 1.0})
                caliper = INSTRUMENT_MM["caliper"]
                yield self._asked(
                    "size", panel, hole.name, "", hole.at, hole.at, size, hole.diameter_mm, caliper
                )
        for thing in panel.obstacle:
            yield from self._sides(panel, thing, holes, tape)
        lean = self.row("panel_angle", panel.name, {"": 1.0})
        middle = (math.fsum(us) / len(us), math.fsum(vs) / len(vs))
        asked = self._asked("lean", panel, panel.name, "", middle, middle, lean, panel.tilt_rad, LEAN_RAD)
        lies = abs(math.sin(panel.tilt_rad)) > LEVEL
        zero = math.copysign(math.pi / 2, panel.tilt_rad) if lies else 0.0
        yield replace(asked, zero_rad=zero, seen=replace(asked.seen, zero=zero))

    def _sides(
        self, panel: Panel, thing: Obstacle, holes: list[ExistingHole], tape: float
    ) -> Iterator[Asked]:
        """Square from a hole's rim to the nearest side of a box that lies beside it."""
        if thing.corner is None or thing.size is None:
            return
        low, high = np.array(thing.corner), np.add(thing.corner, thing.size)
        for hole in holes:
            for axis in (0, 1):
                other = 1 - axis
                if not low[other] <= hole.at[other] <= high[other]:
                    continue
                for side, sign in ((low[axis], 1.0), (high[axis], -1.0)):
                    off = sign * (side - hole.at[axis])
                    if off - hole.diameter_mm / 2 < SHORTEST_MM:
                        continue
                    unit = sign * np.eye(2)[axis]
                    weights = {"u": float(unit[0]), "v": float(unit[1])}
                    row = self.row("obstacle", f"{panel.name}.{thing.name}", weights)
                    row = row - self._hole(panel, hole, unit) + self._rim(panel, hole)
                    to = list(hole.at)
                    to[axis] = float(side)
                    yield self._asked(
                        "side",
                        panel,
                        hole.name,
                        thing.name,
                        hole.at,
                        (to[0], to[1]),
                        row,
                        off - hole.diameter_mm / 2,
                        tape,
                        face=thing.face,
                    )

    def _asked(
        self,
        kind: AskedKind,
        panel: Panel,
        from_: str,
        to: str,
        at: tuple[float, float],
        end: tuple[float, float],
        row: Array,
        expected: float,
        sigma: float,
        face: str = "cab",
    ) -> Asked:
        own = set(self.kit.vehicle)
        row = np.array([value if k in own else 0.0 for k, value in enumerate(row)])
        seen = Observation(key=(kind, panel.name, from_, to), row=row, expected=float(expected), sigma=sigma)
        return Asked(
            kind=kind, panel=panel.name, from_=from_, to=to, face=face, at=at, end=(end[0], end[1]), seen=seen
        )

    def _space(self, panel: Panel, hole: ExistingHole) -> Array:
        pose = panel_pose(panel)
        return np.asarray(pose[:3, :3] @ np.array([*hole.at, 0.0]) + pose[:3, 3])

    def _moved(self, panel: Panel, hole: ExistingHole, way: Array) -> Array:
        """How a hole moves along a direction in the vehicle, its panel leaning with it."""
        pose = panel_pose(panel)
        step = 1e-4
        leant = panel_frame(panel.origin, panel.tilt_rad + step, panel.turn_rad)
        here = np.array([*hole.at, 0.0, 1.0])
        lean = float(((leant - pose) @ here)[:3] @ way) / step
        flat = pose[:3, :2].T @ way
        return self._hole(panel, hole, flat) + self.row("panel_angle", panel.name, {"": lean})

    def _across(self) -> Iterator[Asked]:
        every = [(p, h) for p in self.panels.values() for h in self._known(p)]
        for (p, a), (q, b) in itertools.combinations(every, 2):
            if p.name == q.name:
                continue
            if not self._free(
                self._space(p, a), self._space(q, b), frozenset({f"panel:{p.name}", f"panel:{q.name}"})
            ):
                continue
            way = self._space(q, b) - self._space(p, a)
            far = float(np.linalg.norm(way))
            unit = way / far
            row = self._moved(q, b, unit) - self._moved(p, a, unit)
            end = panel_pose(p)[:3, :2].T @ (self._space(q, b) - panel_pose(p)[:3, 3])
            yield self._asked(
                "across",
                p,
                a.name,
                f"{q.name}.{b.name}",
                a.at,
                (float(end[0]), float(end[1])),
                row,
                far,
                FREE_MM,
            )

    def _ports(self) -> Iterator[Asked]:
        """From a hole to a port of a component that is free in the vehicle."""
        sheets = self.prepared.lines.sheets
        for component in self.prepared.file.job.component:
            if component.on.at is None or not component.port:
                continue
            port = ports_of(component, sheets)[0]
            seat = np.array(port.position)
            for panel in self.panels.values():
                pose = panel_pose(panel)
                face = "cab" if float(pose[:3, 2] @ (seat - pose[:3, 3])) > 0 else "engine"
                for hole in self._known(panel):
                    drop = 0.0 if face == "cab" else panel.thickness_mm
                    at = self._space(panel, hole) - drop * pose[:3, 2]
                    if not self._free(at, seat, frozenset({f"panel:{panel.name}"})):
                        continue
                    way = seat - at
                    far = float(np.linalg.norm(way))
                    unit = way / far
                    weights = dict(zip("xyz", (float(w) for w in unit), strict=True))
                    row = self.row("component", component.name, weights) - self._moved(panel, hole, unit)
                    end = pose[:3, :2].T @ (seat - pose[:3, 3])
                    yield self._asked(
                        "port",
                        panel,
                        hole.name,
                        f"{component.name}.{port.name}",
                        hole.at,
                        (float(end[0]), float(end[1])),
                        row,
                        far,
                        FREE_MM,
                        face=face,
                    )

    def needs(self) -> list[Need]:
        """What must be known: every room of the kit that the vehicle's own spread may take up."""
        own = np.array([k in set(self.kit.vehicle) for k in range(len(self.kit.columns))])
        out = []
        for gauge in self.kit.gauges:
            within = KNOWN_SHARE * max(gauge.rest_mm, LEAST_ROOM_MM)
            out += [Need(name=gauge.name, row=row * own, within=within) for row in gauge.rows]
        for part in self.kit.bolted:
            for i, j in itertools.combinations(range(len(part.joints)), 2):
                a, b = part.joints[i], part.joints[j]
                way = np.subtract(b.part, a.part)
                unit = way / np.hypot(*way)
                row = unit @ (part.off[2 * j : 2 * j + 2] - part.off[2 * i : 2 * i + 2])
                room = a.clearance_mm + b.clearance_mm
                name = f"bolts {a.name} and {b.name} of {part.title}"
                out.append(Need(name=name, row=row * own, within=KNOWN_SHARE * max(room, LEAST_ROOM_MM)))
        return out
