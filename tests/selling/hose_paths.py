"""Paths of hoses whose angles are worked out by hand."""

from __future__ import annotations

from generators.model.hose_path import HosePath, Segment, Straight


def path(*segments: Segment) -> HosePath:
    return HosePath(name="h", segments=segments, supports=(), outside_dia_mm=9.0, bend_radius_mm=50.0)


LEVEL = path(Straight(start=(0.0, 0.0, 0.0), end=(300.0, 0.0, 0.0)))
"""Rearward along x; looked along from its start, the vehicle's right (+y) is on the left hand, up is up."""
