"""A clamp's band closes on a rigid line only where the line is straight; a hose may bend in it."""

from __future__ import annotations

from dataclasses import replace
from itertools import accumulate

import pytest
from made_once import solved

from generators.layout.spots import BAND_MM
from generators.model.hose_path import Arc, HosePath
from generators.solve.hoses.waypoints import held_by

BENT_RAD = 0.02
"""Turns below this are no bends: a tube is laid so by hand."""


def bends(path: HosePath) -> list[tuple[float, float]]:
    ends = list(accumulate((s.length_mm for s in path.segments), initial=0.0))
    return [
        (a, b)
        for a, b, s in zip(ends, ends[1:], path.segments, strict=False)
        if isinstance(s, Arc) and s.sweep_rad > BENT_RAD
    ]


@pytest.mark.parametrize("demo", ["wrenfield_van", "dray_tractor"])
def test_no_bend_of_a_rigid_line_lies_in_a_clamp(demo: str) -> None:
    """Half of 1/2 in (12.7 mm) each way; the band's width is common practice, no source."""
    seen = 0
    for hose in solved(demo).lines.hoses:
        if hose.spec.kind != "rigid" or hose.path is None:
            continue
        for held in (s for s in hose.path.supports if s.kind == "clamp"):
            seen += 1
            first, last = held.station_mm - 6.35 + 1e-6, held.station_mm + 6.35 - 1e-6
            assert all(b <= first or a >= last for a, b in bends(hose.path))
    assert seen


def test_a_hose_may_bend_in_its_clamp() -> None:
    hoses = solved("wrenfield_van").lines.hoses
    (clamp,) = next(h for h in hoses if h.spec.kind == "rigid").run.via
    assert clamp.straight_mm == BAND_MM / 2 == pytest.approx(6.35)
    loose = replace(clamp, straight_mm=0.0)
    soft = next(h.spec for h in hoses if h.spec.kind == "hose")
    assert held_by(loose, soft).straight_mm == 0.0
