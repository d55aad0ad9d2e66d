"""Bodies of the nuts that join hoses and tubes to their seats, and of the room of their spanner."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from generators.model.hose_path import Point3
from generators.model.spec.lines import Hose
from generators.routing.paths.curves import Array, point3
from generators.space.pieces import Piece, Rod
from generators.standards import Union37, spanner_circle_mm, union37_rows

ON_THREAD = 0.5
"""Of its length, how far a nut stands over the thread it is on, behind the seat (ours: cone and thread)."""


def union_of(spec: Hose) -> Union37 | None:
    """The union a hose is joined with; None for one that is clipped on, or of a size not in the table."""
    if spec.pushed_on:
        return None
    return next((row for row in union37_rows() if row.dash == spec.dash), None)


def nut_pieces(row: Union37, seat: Point3, out: Point3) -> Iterator[Piece]:
    """The circle over a nut's corners, along the way out of its seat.

    Its length is that of a tube nut with sleeve; the swivel nut of a hose end is no longer.
    """
    at, way = np.array(seat), np.array(out)
    yield Rod(
        start=point3(at - ON_THREAD * row.nut_long_mm * way),
        end=point3(at + row.nut_long_mm * way),
        radius_mm=row.nut_af_mm / math.sqrt(3),
    )


def spanner_pieces(row: Union37, seat: Point3, out: Point3) -> Iterator[Piece]:
    """What an open spanner's head sweeps about the nut, as thick as half of it, where the nut begins."""
    at, way = np.array(seat), np.array(out)
    thick: Array = ON_THREAD * row.nut_long_mm * way
    yield Rod(start=point3(at), end=point3(at + thick), radius_mm=spanner_circle_mm(row.nut_af_mm) / 2)
