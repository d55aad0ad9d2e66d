"""Shapes laid edge to edge as one."""

from __future__ import annotations

from collections.abc import Iterable

import shapely
from shapely.geometry.base import BaseGeometry

GRID_MM = 1e-9


def joined(shapes: Iterable[BaseGeometry]) -> BaseGeometry:
    """All of some shapes whose edges may coincide but for the last digits of their sums.

    Left as they are a whole shape is lost now and then: a flaw of the library beneath, open at the time of
    writing (libgeos issues 965 and 1344). On a grid far finer than any tolerance here none is.
    """
    return shapely.union_all(list(shapes), grid_size=GRID_MM)
