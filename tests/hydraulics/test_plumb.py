"""Places of a pedal measured with level and plumb line are those measured square to a leaning panel."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import pytest

from generators.errors import SpecError
from generators.parts import KINDS
from generators.reading import JobFile, read_job
from generators.solve.parts import plan_parts
from generators.solve.pedals import solve_pedals, squared

LEAN = math.radians(12)


@pytest.fixture
def leaning(hose_van: Path) -> JobFile:
    """The van with its firewall's top leaning forward by 12 degrees."""
    file = read_job(hose_van, {kind.name: kind.parameters for kind in KINDS})
    panels = tuple(replace(p, tilt_rad=LEAN) if p.name == "firewall" else p for p in file.job.panel)
    pedal = replace(file.job.pedal[0], travel_mm=140.0)
    return replace(file, job=replace(file.job, panel=panels, pedal=(pedal,)))


def plumb(place: tuple[float, float]) -> tuple[float, float]:
    """By hand: out points rearward and, as the top leans forward, up: (cos, sin); up points forward: (-sin, cos)."""
    out, up = place
    c, s = math.cos(LEAN), math.sin(LEAN)
    return out * c - up * s, out * s + up * c


def test_plumb_places_are_turned_by_the_panels_lean(leaning: JobFile) -> None:
    square = leaning.job.pedal[0]
    level = replace(
        square, pin=plumb(square.pin), pad=plumb(square.pad), arm=(plumb((20.0, -50.0)),), measured="plumb"
    )
    parts = plan_parts(leaning)
    (turned,) = squared(replace(leaning, job=replace(leaning.job, pedal=(level,))), parts).job.pedal
    assert turned.pin == pytest.approx(square.pin)
    assert turned.pad == pytest.approx(square.pad)
    assert turned.arm[0] == pytest.approx((20.0, -50.0))
    assert turned.measured == "panel"
    # untouched where nothing was measured so
    assert squared(leaning, parts).job.pedal == (square,)


def test_the_pad_is_where_the_plumb_line_says(leaning: JobFile) -> None:
    """150 mm rearward of the pivot and 330 mm under it, whatever the panel does."""
    level = replace(leaning.job.pedal[0], pad=(150.0, -330.0), measured="plumb")
    parts = plan_parts(leaning)
    file = squared(replace(leaning, job=replace(leaning.job, pedal=(level,))), parts)
    (answer,) = solve_pedals(file, parts, {})
    frame, (out, up) = answer.frame, file.job.pedal[0].pad
    at = [p + out * o + up * u for p, o, u in zip(frame.pivot, frame.out, frame.up, strict=True)]
    assert at == pytest.approx([frame.pivot[0] + 150.0, frame.pivot[1], frame.pivot[2] - 330.0])


def test_a_pedal_that_swings_level_has_no_plumb_line(leaning: JobFile) -> None:
    job = leaning.job
    level = replace(job.pedal[0], measured="plumb")
    mounted = tuple(
        replace(p, mount=replace(p.mount, rotate_rad=math.pi / 2))
        if p.name == level.hanger and p.mount
        else p
        for p in job.part
    )
    file = replace(leaning, job=replace(job, pedal=(level,), part=mounted))
    with pytest.raises(SpecError, match="swings level"):
        squared(file, plan_parts(file))
