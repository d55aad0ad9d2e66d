"""How far each hole of a panel and each part on it may lie off the plan, to first order.

A hole by paper is off as far as the hole or edge it is given from, as the paper is turned by the other holes
it is laid on, by the print's scale over the distance between, and by laying and drilling. A part goes where
its bolts put it, and what is drilled through it goes with it.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

import numpy as np

from generators.checks.joint.mating import Opened, of_panel, of_parts
from generators.layout.mounting import PlacedPart
from generators.measure.equations import Array
from generators.measure.fitting.fit import Joint
from generators.model.plan import PanelHole, PanelLayout
from generators.model.spec.job import Panel, Position
from generators.model.spec.shop import Positions
from generators.model.words import HoleWay
from generators.reading.keys.datums import EDGES, ORIGIN, position_datums
from generators.solve.spread.columns import Columns, Sparse

UV = ("u", "v")
Point2 = tuple[float, float]
QUARTER = np.array([[0.0, -1.0], [1.0, 0.0]])
"""Turns a vector of a plane by a quarter, counter-clockwise."""

__all__ = ["ORIGIN", "PanelMoves", "PartMove"]


class PartMove:
    """How a part lies off its plan on its panel: shift (u, v) and turn about ``middle``, each by columns."""

    def __init__(self, middle: Point2, shift: Sparse, turn: Sparse) -> None:
        self.middle, self.shift, self.turn = np.array(middle), shift, turn

    def at(self, point: Point2 | Array) -> Sparse:
        """How far a point of it lies off, in the panel's plane."""
        lever = QUARTER @ (np.asarray(point) - self.middle)
        return self.shift.plus(self.turn, lever[:, None])


STILL = PartMove((0.0, 0.0), Sparse(), Sparse())


class PanelMoves:
    """One panel: displacements of its holes by number, and of the parts on it by name.

    ``ways`` says how holes are made where that is otherwise than decided, by number.
    """

    def __init__(
        self,
        panel: Panel,
        layout: PanelLayout,
        parts: Sequence[PlacedPart],
        shop: Positions,
        columns: Columns,
        ways: Mapping[str, HoleWay],
    ) -> None:
        self.panel, self.layout, self.shop, self.columns = panel, layout, shop, columns
        self.ways = ways
        self.parts = {p.spec.name: p for p in parts if p.mount is not None and p.mount.panel == panel.name}
        self.hole: dict[str, Sparse] = {}
        self.part: dict[str, PartMove] = {}
        self._at = {hole.name: hole.at for hole in panel.existing}
        for hole in layout.holes:
            if hole.status != "drill" or self.way(hole) in ("paper", "guide"):
                self.hole[hole.number] = self._made(hole)

    def way(self, hole: PanelHole) -> HoleWay:
        """How its place is found."""
        return self.ways.get(hole.number, hole.work.how)

    def existing(self, name: str) -> Sparse:
        """How far an existing hole lies off."""
        found = self.columns.of("existing", f"{self.panel.name}.{name}", UV)
        return Sparse({column: np.eye(2)[k] for k, column in enumerate(found)})

    def _made(self, hole: PanelHole) -> Sparse:
        if hole.status in ("datum", "reuse", "blank"):
            name = min(self._at, key=lambda n: math.dist(self._at[n], (hole.u_mm, hole.v_mm)), default="")
            near = name and math.dist(self._at[name], (hole.u_mm, hole.v_mm)) < hole.final_dia_mm / 2
            return self.existing(name) if near else Sparse()
        return self.by_paper(hole, drilled=self.way(hole) != "guide")

    def by_paper(self, hole: PanelHole, *, drilled: bool = True) -> Sparse:
        """A hole marked through the paper."""
        at = np.array((hole.u_mm, hole.v_mm))
        datums = self.given_from(hole)
        out = Sparse()
        from_ = np.zeros(2)
        for axis, name in enumerate(datums):
            if name in self._at:
                pick = np.zeros((2, 2))
                pick[axis, axis] = 1.0
                out = out.plus(self.existing(name), pick)
            from_[axis] = self._datum(name, axis)
        lever = QUARTER @ (at - from_)
        out = out.plus(self._turned(datums[0] if datums[0] == datums[1] else ""), lever[:, None])
        for column in self.columns.of("print_scale", self.panel.name):
            out = out.plus(Sparse({column: at - from_}))
        for k, column in enumerate(self.columns.of("paper", self.panel.name, UV)):
            out = out.plus(Sparse({column: np.eye(2)[k]}))
        if drilled:
            # each hole has a start of its own, all by the row of their panel
            for k, column in enumerate(self._drill(hole)):
                out = out.plus(Sparse({column: np.eye(2)[k]}))
        return out

    def _drill(self, hole: PanelHole) -> tuple[int, ...]:
        return self.columns.of_each("drill", self.panel.name, hole.number, UV)

    def _turned(self, datum: str) -> Sparse:
        """How the paper is turned, its datum over that hole: by least squares of the others."""
        if datum not in self._at:
            return Sparse()  # by an edge
        at = np.array(self._at[datum])
        levers = {name: np.array(p) - at for name, p in self._at.items() if name != datum}
        power = sum(float(r @ r) for r in levers.values())
        out = Sparse()
        for name, lever in levers.items():
            row = (QUARTER @ lever)[None, :] / power
            out = out.plus(self.existing(name), row).plus(self.existing(datum), -row)
        return out

    def given_from(self, hole: PanelHole) -> tuple[str, str]:
        """Names of the datums its u and v are given from; empty for the panel's origin."""
        for own in self.panel.hole:
            if own.name == hole.name:
                return position_datums(own.at)
        for use in self.panel.pattern:
            if (use.label or use.name) in {hole.name.rpartition(".")[0], *hole.owners}:
                return position_datums(use.at)
        for owner in hole.owners:
            part = self.parts.get(owner)
            if part is not None and part.mount is not None:
                return position_datums(part.mount.at)
        return position_datums(Position(u_mm=0.0, v_mm=0.0))

    def _datum(self, name: str, axis: int) -> float:
        if name in self._at:
            return self._at[name][axis]
        edges = [point[axis] for point in self.panel.outline]
        if name in EDGES:
            return min(edges) if name in ("left", "bottom") else max(edges)
        return next((d.at[axis] for d in self.panel.datum if d.name == name), 0.0)

    def members(self, part: PlacedPart) -> list[tuple[PanelHole, Opened, Opened]]:
        """Bolts a part shares with its panel: the hole, as opened, and the part's own opening."""
        return [
            (hole, of_panel(hole, self.shop, guided=False), own)
            for hole in self.layout.holes
            if hole.status in ("drill", "weld", "reuse") and hole.shank_mm
            for own in of_parts(self.panel, [part], hole, self.shop)
        ]

    def bolted(self, part: PlacedPart) -> tuple[tuple[Joint, ...], list[Sparse], list[Sparse]]:
        """The joints a part is put on over, how far each is off, and what it adds to its clearance.

        Places the part on the way: the rest of its holes are drilled through it.
        """
        name = part.spec.name
        joints: list[Joint] = []
        offs: list[Sparse] = []
        clears: list[Sparse] = []
        pilots: list[tuple[Array, Sparse]] = []
        for hole, panel, own in self.members(part):
            at = np.array(own.at)
            cut = self.columns.of_each("cut", name, f"{hole.number}.{own.owner}", UV)
            moved = Sparse({column: -np.eye(2)[k] for k, column in enumerate(cut)})
            if self.way(hole) in ("part", "hose") and hole.work.part == name and hole.number in self.hole:
                continue  # drilled through it where it was held
            if hole.number not in self.hole:
                if hole.work.pilot_from is not None and self.way(hole) == "part" and hole.work.part == name:
                    pilots.append((at, self.by_paper(hole).plus(moved)))
                continue
            joints.append(_joint(hole, panel, own))
            offs.append(self.hole[hole.number].plus(moved))
            sized = self.columns.of("hole_size", f"{self.panel.name}.{self._existing_at(hole)}")
            given = hole.status == "reuse" and not hole.tool
            clears.append(Sparse({c: np.array([0.5]) for c in sized}) if given else Sparse())
        if name not in self.part:
            self.place(part, laid([j.part for j in joints], offs, pilots))
        return tuple(joints), offs, clears

    def place(self, part: PlacedPart, move: PartMove) -> None:
        """Where a part comes to lie, and with it the holes drilled through it."""
        name = part.spec.name
        self.part[name] = move
        for hole in self.layout.holes:
            mine = self.way(hole) in ("part", "hose") and hole.work.part == name
            if hole.number not in self.hole and mine:
                self.hole[hole.number] = move.at((hole.u_mm, hole.v_mm))

    def _existing_at(self, hole: PanelHole) -> str:
        return min(self._at, key=lambda n: math.dist(self._at[n], (hole.u_mm, hole.v_mm)), default="")


def laid(
    points: Sequence[Point2], offs: Sequence[Sparse], pilots: Sequence[tuple[Array, Sparse]]
) -> PartMove:
    """The least-squares move of a part on its bolts, to first order; on one bolt, turned to its pilots."""
    if not points:
        return STILL
    at = np.array(points)
    middle = at.mean(axis=0)
    shift = Sparse()
    for off in offs:
        shift = shift.plus(off, 1.0 / len(offs))
    arms = [(p - middle, off) for p, off in zip(at, offs, strict=True)]
    if len(points) == 1:
        arms = [(p - middle, off.plus(offs[0], -1.0)) for p, off in pilots]
    power = sum(float(r @ r) for r, _ in arms)
    turn = Sparse()
    if power > 0:
        for lever, off in arms:
            turn = turn.plus(off, (QUARTER @ lever)[None, :] / power)
    return PartMove((float(middle[0]), float(middle[1])), shift, turn)


def _joint(hole: PanelHole, panel: Opened, own: Opened) -> Joint:
    slot = own if own.travel_mm else panel
    return Joint(
        name=hole.number,
        kind=hole.kind,
        part=own.at,
        part_dia_mm=own.diameter_mm,
        panel=(hole.u_mm, hole.v_mm),
        panel_dia_mm=panel.diameter_mm,
        shank_mm=hole.shank_mm,
        fixed=panel.fixed or own.fixed,
        travel_mm=slot.travel_mm,
        slot_rad=slot.along_rad,
    )
