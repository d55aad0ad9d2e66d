"""How far any point of the job may lie off in the vehicle: of panels, parts, components and what is there."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace

import numpy as np

from generators.geometry.frames import Matrix, panel_frame
from generators.layout.mounting import PlacedPart, panel_pose, part_matrix
from generators.layout.spots import place
from generators.measure.equations import Array
from generators.model.spec.job import Panel
from generators.model.spec.lines import Spot
from generators.sheetmetal.folding import folded_frames
from generators.solve.job import Prepared
from generators.solve.spread.columns import Columns, Sparse
from generators.solve.spread.holes import STILL, PanelMoves

XYZ = ("x", "y", "z")
STEP_RAD = 1e-4
Motion = Callable[[Array], Sparse]
"""A point in the vehicle, mm, to how far it is off by each column."""


class Moves:
    """Motions of all things of a job; ``sheets`` are its panels' by name."""

    def __init__(self, prepared: Prepared, columns: Columns, sheets: Mapping[str, PanelMoves]) -> None:
        self.prepared, self.columns, self.sheets = prepared, columns, sheets
        self.panels = {panel.name: panel for panel in prepared.file.job.panel}
        self.parts = {part.spec.name: part for part in prepared.parts}

    def leaning(self, panel: Panel) -> Motion:
        """A panel that leans otherwise, about its own u axis through its origin, with all that is on it."""
        columns = self.columns.of("panel_angle", panel.name)
        pose = panel_pose(panel)
        leant = panel_frame(panel.origin, panel.tilt_rad + STEP_RAD, panel.turn_rad)
        change = (leant @ np.linalg.inv(pose) - np.eye(4)) / STEP_RAD

        def motion(point: Array) -> Sparse:
            return Sparse(dict.fromkeys(columns, change[:3, :3] @ point + change[:3, 3]))

        return motion

    def in_plane(self, panel: Panel, off: Sparse) -> Sparse:
        """A displacement in a panel's plane as one in the vehicle."""
        return Sparse().plus(off, panel_pose(panel)[:3, :2])

    def part(self, name: str, flange: str = "") -> Motion:
        """A part with its panel; a flange that is bent up with the bends that lead to it as well."""
        part = self.parts[name]
        if part.mount is None:
            return lambda point: Sparse()
        panel = self.panels[part.mount.panel]
        lean, sheet, pose = self.leaning(panel), self.sheets[panel.name], panel_pose(panel)
        back = np.linalg.inv(pose)
        bends = self._bends(part, panel, flange)

        def motion(point: Array) -> Sparse:
            move = sheet.part.get(name, STILL)
            flat = (back[:3, :3] @ point + back[:3, 3])[:2]
            out = lean(point).plus(self.in_plane(panel, move.at(flat)))
            for column, change in bends.items():
                out = out.plus(Sparse({column: change[:3, :3] @ point + change[:3, 3]}))
            return out

        return motion

    def _bends(self, part: PlacedPart, panel: Panel, flange: str) -> dict[int, Matrix]:
        """By column of each bend, how its angle moves the flange in the vehicle, per radian."""
        plan = part.plan
        if part.mount is None or not flange or flange == plan.flanges[0].name:
            return {}
        pose = part_matrix(panel, part.mount, part.lift_mm)
        was = pose @ folded_frames(plan)[flange]
        out = {}
        for number, bend in enumerate(plan.bends):
            more = replace(bend, angle_rad=bend.angle_rad + STEP_RAD)
            bent = replace(plan, bends=(*plan.bends[:number], more, *plan.bends[number + 1 :]))
            change = (pose @ folded_frames(bent)[flange] @ np.linalg.inv(was) - np.eye(4)) / STEP_RAD
            if float(np.abs(change).max()) > 1e-9:
                for column in self.columns.of_each("bend_angle", plan.name, bend.name):
                    out[column] = change
        return out

    def hole(self, panel: str, number: str) -> Motion:
        """What is in a hole of a panel."""
        lean, sheet = self.leaning(self.panels[panel]), self.sheets[panel]

        def motion(point: Array) -> Sparse:
            off = sheet.hole.get(number, Sparse())
            return lean(point).plus(self.in_plane(self.panels[panel], off))

        return motion

    def spot(self, spot: Spot, name: str) -> Motion:
        """What sits in a place of the spec; ``name`` is the component's, for one that is free."""
        where = place(spot, self.prepared.lines.sheets)
        if spot.part:
            return self.part(spot.part, where.flange)
        if spot.panel:
            return self.hole(spot.panel, where.hole)
        columns = self.columns.of("component", name, XYZ)
        return lambda point: Sparse({c: np.eye(3)[k] for k, c in enumerate(columns)})

    def obstacle(self, name: str) -> Motion:
        """What is in the way, ``panel.name`` on a panel or ``name`` in the vehicle."""
        panel, dot, _ = name.partition(".")
        if not dot:
            columns = self.columns.of("obstacle", name, XYZ)
            return lambda point: Sparse({c: np.eye(3)[k] for k, c in enumerate(columns)})
        columns = self.columns.of("obstacle", name, ("u", "v"))
        lean = self.leaning(self.panels[panel])
        ways = panel_pose(self.panels[panel])

        def motion(point: Array) -> Sparse:
            return lean(point).plus(Sparse({c: ways[:3, k] for k, c in enumerate(columns)}))

        return motion

    def body(self, name: str) -> Motion | None:
        """A body of the scene by its name; None for one that is not looked at (hoses)."""
        table, _, rest = name.partition(":")
        owner, _, inner = rest.partition(".")
        job = self.prepared.file.job
        if table == "panel":
            return self.leaning(self.panels[owner])
        if table == "part":
            return self.part(owner, inner if inner in self._flanges(owner) else "")
        if table == "obstacle":
            return self.obstacle(rest)
        if table == "bolt":
            number = inner.partition(".")[0]
            return (
                self.hole(owner, number)
                if owner in self.panels
                else self.part(owner, self._with(owner, number))
            )
        if table == "component":
            component = next(c for c in job.component if c.name == owner)
            return self.spot(component.on, owner)
        if table == "clamp":
            clamp = next(c for c in job.clamp if c.name == owner)
            return self.spot(clamp.on, owner)
        return None

    def _flanges(self, part: str) -> set[str]:
        return {flange.name for flange in self.parts[part].plan.flanges}

    def _with(self, part: str, hole: str) -> str:
        """The flange of a part that has a hole."""
        flanges = self.parts[part].plan.flanges
        return next((f.name for f in flanges if any(o.name == hole for o in f.openings)), "")
