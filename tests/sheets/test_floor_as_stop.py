"""What the install sheet says of a floor that is the stop, where its covering is gone."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from made_once import solved

from generators.sheets.install.pedal_steps import past_the_covering


def test_the_bare_floor_is_told_with_what_comes_next(demo_spec: Path) -> None:
    (pedal,) = solved("wrenfield_van").pedals
    assert pedal.clutch is not None
    window = pedal.clutch.window
    (fingers,) = (limit for limit in window.limits if limit.key == "fingers")
    said = f"at {fingers.pad_mm:.1f} mm {fingers.label}"
    assert past_the_covering(window) == f", which is still right: only {said}"
    # just past it, the sheet must not call it right
    assert past_the_covering(replace(window, gone_mm=fingers.pad_mm + 0.2)) == f", too far: {said}"
    floor = tuple(limit for limit in window.limits if limit.key == "floor")
    assert past_the_covering(replace(window, limits=floor)) == ""
