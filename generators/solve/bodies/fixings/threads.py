"""Bodies of what stays in a panel with a thread: inserts (rivet nuts), weld nuts and weld studs.

No table of inserts or weld nuts could be read. The hole of an insert is the spec's; flange and formed end
follow from it, a weld nut from the plain nut of its thread.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from generators.checks.joint.welds import WELD_NUT_PER_NUT
from generators.geometry.frames import Matrix
from generators.layout.spots import point3
from generators.layout.stacking import FLANGE_PER_HOLE
from generators.model.plan import PanelHole
from generators.solve.bodies.fixings.stacks import Stack
from generators.space.pieces import Piece, Rod
from generators.standards import Fastener

FLANGE_MM = 1.0
"""Thickness of an insert's flange (common practice, no source)."""
FORMED = 1.6
"""Formed end of an insert behind the sheet, in thread diameters (common practice, no source)."""

WORDS = {"insert": "threaded insert", "weld_nut": "weld nut", "stud": "weld stud"}
"""What a sheet calls them, by the kind of hole."""


def thread_name(bolt: str) -> str:
    """Name of the body of what stays in a hole, from that of its bolt."""
    return f"{bolt}.thread"


def thread_pieces(hole: PanelHole, row: Fastener, stack: Stack, panel: Stack) -> Iterator[Piece]:
    """An insert, a weld nut or a stud; ``panel`` is the panel alone, ``stack`` with all that lies on it.

    ``nut_face`` of the hole is the face a bolt or a nut turns on: of an insert that it is set from, of a stud
    that it is welded to, of a weld nut the other one.
    """
    seat, behind, out = _faces(panel, hole)
    if hole.kind == "stud":
        reach = hole.reach_cab_mm if hole.nut_face == "cab" else hole.reach_engine_mm
        yield Rod(start=point3(seat), end=point3(seat + reach * out), radius_mm=row.major_mm / 2)
    elif hole.kind == "weld_nut":
        radius = WELD_NUT_PER_NUT * row.nut_corners_mm / 2
        yield Rod(start=point3(behind), end=point3(behind - row.nut_height_mm * out), radius_mm=radius)
    elif hole.kind == "insert":
        wide = FLANGE_PER_HOLE * hole.final_dia_mm / 2
        _seat, far, _out = _faces(stack, hole)
        yield Rod(start=point3(seat), end=point3(seat + FLANGE_MM * out), radius_mm=wide)
        yield Rod(start=point3(far), end=point3(far - FORMED * row.major_mm * out), radius_mm=wide)
        yield Rod(start=point3(far), end=point3(seat), radius_mm=hole.final_dia_mm / 2)


def _faces(stack: Stack, hole: PanelHole) -> tuple[Matrix, Matrix, Matrix]:
    """The face the bolt or the nut turns on, the other face, the unit way off the first."""
    if hole.nut_face == "engine":
        return np.array(stack.low), np.array(stack.high), -stack.out
    return np.array(stack.high), np.array(stack.low), stack.out
