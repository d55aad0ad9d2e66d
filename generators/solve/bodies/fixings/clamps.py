"""Bodies of cushioned clamps: the loop round the hose, the foot beside it, and what holds it off the sheet.

No table of clamps could be read: band and foot are ours, the sizes that matter come from the spec.
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from generators.geometry.frames import Matrix
from generators.layout.spots import BAND_MM, CUSHION_MM, Sheets, clamp_place, point3
from generators.model.hose_path import Point3
from generators.model.spec.lines import Clamp
from generators.solve.bodies.draft import Draft
from generators.solve.bodies.fixings.stacks import lying_on
from generators.solve.bodies.fixings.threads import thread_name
from generators.solve.fasteners.holders import FOOT_MM, spacer_mm
from generators.solve.fasteners.joint import bolt_name
from generators.space.pieces import Box, Piece, Rod
from generators.units import DASH_MM


def clamp_name(name: str) -> str:
    """Name of a clamp's body."""
    return f"clamp:{name}"


def clamp_body(draft: Draft, clamp: Clamp, sheets: Sheets, along: Mapping[str, Point3]) -> None:
    """A clamp's body and what it is fixed to; ``along`` has the hose's direction in each clamp.

    A grommet has none: it lines its hole. Raises ``GeometryFault`` for a place that is not there.
    """
    if clamp.fastener == "grommet":
        return
    middle, axis, where = clamp_place(clamp, sheets)
    run = axis or along.get(clamp.name)
    out, origin = where.frame[:3, 0], where.frame[:3, 3]
    stack = lying_on(where, sheets)
    # the sheet's own surface is where the spec measures from, whatever lies under the hose
    way = np.array(run) if run is not None else _any_way(out)
    half = clamp.dash * DASH_MM / 2 + CUSHION_MM
    centre = np.array(middle)
    pieces: list[Piece] = [
        Rod(start=point3(centre - way * BAND_MM / 2), end=point3(centre + way * BAND_MM / 2), radius_mm=half)
    ]
    side = centre - origin - ((centre - origin) @ out) * out
    reach = float(np.linalg.norm(side))
    # the foot lies on the sheet, or on what holds it off
    lift = spacer_mm(clamp)
    if reach > 1e-6:
        pieces.append(_foot(origin + lift * out, side / reach, out, reach))
    if lift > FOOT_MM / 2:
        pieces.append(Rod(start=point3(origin), end=point3(origin + lift * out), radius_mm=BAND_MM / 2))
    own = clamp_name(clamp.name)
    draft.add(own, clamp.name.replace("_", " "), "clamp", clamp.name, pieces)
    draft.fix(own, stack.names)
    for hole in clamp.on.holes:
        bolt = bolt_name(where.panel, where.hole)
        draft.fix(own, [bolt, thread_name(bolt), bolt_name(where.part, hole)])


def _any_way(out: Matrix) -> Matrix:
    """Some direction in the sheet: for a clamp no hose goes through."""
    way = np.cross(out, np.eye(3)[int(np.argmin(np.abs(out)))])
    return np.asarray(way / np.linalg.norm(way))


def _foot(at: Matrix, side: Matrix, out: Matrix, reach_mm: float) -> Box:
    """From the far side of the fastener to the middle of the loop."""
    pose = np.eye(4)
    pose[:3, 0], pose[:3, 1], pose[:3, 2] = side, np.cross(out, side), out
    pose[:3, 3] = at + side * (reach_mm - BAND_MM / 2) / 2 + out * FOOT_MM / 2
    return Box(pose=pose, half_mm=((reach_mm + BAND_MM / 2) / 2, BAND_MM / 2, FOOT_MM / 2))
