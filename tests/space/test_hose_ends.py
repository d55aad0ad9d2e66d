"""End fittings of hoses as bodies: where hand calculation puts them, what only they meet, elbows and their words."""

from __future__ import annotations

import math
from pathlib import Path

import pytest
from space_jobs import job, others
from spec_pieces import line_ends

from generators.errors import SpecError
from generators.model.findings import Severity
from generators.solve.hoses.lines import HoseAnswer
from generators.solve.job import Prepared
from generators.space.body import named

OUTSIDE = 0.45 * 25.4  # -3 hose, AC 43.13-1B table 9-3
# at x -300, z 100 from y 100 to y 500: 298 mm off the engine face of the wall
LINE = """
[[hose]]
name = "straight"
title = "Straight line"
service = "pressure"
from = "near.out"
to = "far.out"
dash = 3
radius = "30 mm"
{more}
"""
BAR = """
[[obstacle]]
name = "bar"
what = "heater duct"
start = ["-300 mm", "{y} mm", "{z} mm"]
end = ["-200 mm", "{y} mm", "{z} mm"]
diameter = "20 mm"
"""


def line(more: str = "", z: float = 100.0) -> tuple[str, str]:
    return others(line_ends((-300, 100, 100), (-300, 500, z)) + LINE.format(more=more))


def hose(prepared: Prepared) -> HoseAnswer:
    return next(h for h in prepared.lines.hoses if h.spec.name == "straight")


def test_nut_and_socket_without_figures_follow_the_hose(tmp_path: Path) -> None:
    """1.4 outsides wide, over the hose's end (25 mm) and two outsides of hose; a feed hose is clipped and has none."""
    bodies = named(job(tmp_path, line()).scene.bodies)
    low, high = bodies["hose:straight.from.fitting"].box
    assert (low[1], high[1]) == pytest.approx((100.0, 100.0 + 25.0 + 2 * OUTSIDE))
    assert high[0] - low[0] == pytest.approx(1.4 * OUTSIDE)
    low, high = bodies["hose:straight.to.fitting"].box
    assert (low[1], high[1]) == pytest.approx((500.0 - 25.0 - 2 * OUTSIDE, 500.0))
    assert "hose:feed.from.fitting" not in bodies


def test_figures_of_the_spec(tmp_path: Path) -> None:
    given = '  [hose.to_end]\n  diameter = "22 mm"\n  length = "60 mm"'
    low, high = named(job(tmp_path, line(given)).scene.bodies)["hose:straight.to.fitting"].box
    assert (low[1], high[1]) == pytest.approx((440.0, 500.0))
    assert (low[2], high[2]) == pytest.approx((89.0, 111.0))


@pytest.mark.parametrize(("z", "hit"), [(129.7, True), (130.2, False)])
def test_a_socket_in_something_is_one_finding(z: float, hit: bool, tmp_path: Path) -> None:
    """A duct of 20 mm over the hose's end: a socket of 40 mm ends 20 mm over the axis, so the duct's middle has to
    stay 30 mm over it; the hose itself is 14 mm off and more.
    """
    given = '  [hose.from_end]\n  diameter = "40 mm"\n  length = "60 mm"'
    bar = others(BAR.format(y=130, z=100 + z - 100))
    told = [
        f
        for f in job(tmp_path, line(given), bar).findings
        if f.severity is Severity.FAIL and "trap" not in f.code
    ]
    assert [f.code for f in told] == (["bodies-meet"] if hit else [])
    assert all("straight line (fitting at near)" in f.where and "heater duct" in f.where for f in told)


def test_where_the_hose_itself_is_told_of_its_fitting_is_not(tmp_path: Path) -> None:
    bar = others(BAR.format(y=130, z=100))
    told = [f.code for f in job(tmp_path, line(), bar).findings if "bar" in f.found or "duct" in f.where]
    assert told == ["hose-clearance"]


def test_an_elbow_turns_the_hose_at_its_corner(tmp_path: Path) -> None:
    """30 mm out of the port, then up; at the far end straight: the path begins at the corner, as the trade measures."""
    given = '  [hose.from_end]\n  angle = "90 deg"\n  drop = "30 mm"\n  toward = "up"\n  length = "40 mm"'
    prepared = job(tmp_path, line(given, z=400.0))
    found = hose(prepared)
    assert found.path is not None
    assert found.run.start.position == pytest.approx((-300.0, 130.0, 100.0))
    assert found.run.start.direction == pytest.approx((0.0, 0.0, 1.0), abs=1e-12)
    assert found.path.segments[0].start == pytest.approx((-300.0, 130.0, 100.0))
    low, high = named(prepared.scene.bodies)["hose:straight.from.fitting"].box
    half = 0.7 * OUTSIDE
    assert (low[1], high[1]) == pytest.approx((100.0, 130.0 + half))
    assert (low[2], high[2]) == pytest.approx((100.0 - half, 140.0))
    # the fluid goes through the elbow as well
    (profile,) = (p for names, p in prepared.lines.profiles.items() if "straight" in names)
    assert profile.length_mm == pytest.approx(30.0 + found.path.length_mm)


def test_an_elbow_of_45_degrees(tmp_path: Path) -> None:
    given = '  [hose.from_end]\n  angle = "45 deg"\n  drop = "20 mm"\n  toward = "down"'
    found = hose(job(tmp_path, line(given)))
    assert found.run.start.direction == pytest.approx((0.0, math.sqrt(0.5), -math.sqrt(0.5)))


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ('angle = "90 deg"', "drop"),
        ('drop = "20 mm"', "angle"),
        ('angle = "90 deg"\n  drop = "20 mm"\n  toward = "left"', "along the way out of its port"),
    ],
)
def test_half_an_elbow_is_refused(given: str, said: str, tmp_path: Path) -> None:
    with pytest.raises(SpecError, match=said):
        job(tmp_path, line(f"  [hose.from_end]\n  {given}"))


def test_a_rigid_line_has_none(tmp_path: Path) -> None:
    rigid = line('kind = "rigid"\n  [hose.to_end]\n  diameter = "20 mm"')
    with pytest.raises(SpecError, match="rigid line"):
        job(tmp_path, rigid)


NUT, LONG = (
    0.437 * 25.4,
    0.70 * 25.4,
)  # -3 tube nut: across flats AN818 Rev 20, its length with sleeve from memory


@pytest.mark.parametrize("kind", ["", 'kind = "rigid"'])
def test_the_nut_of_a_line_is_as_wide_as_its_corners(kind: str, tmp_path: Path) -> None:
    """A hexagon of 0.437 in is 1 / cos 30 deg as wide over its corners; half its length lies behind the seat."""
    bodies = named(job(tmp_path, line(kind)).scene.bodies)
    low, high = bodies["hose:straight.from.nut"].box
    assert (low[1], high[1]) == pytest.approx((100.0 - LONG / 2, 100.0 + LONG))
    assert high[0] - low[0] == pytest.approx(NUT / math.cos(math.radians(30)))
    # common practice: an open spanner's head sweeps 2.2 times the width across flats
    low, high = bodies["hose:straight.to.spanner"].box
    assert (low[1], high[1]) == pytest.approx((500.0 - LONG / 2, 500.0))
    assert high[2] - low[2] == pytest.approx(2.2 * NUT)
    assert "hose:feed.from.nut" not in bodies


@pytest.mark.parametrize(("z", "code"), [(16.3, "bodies-meet"), (16.5, "no-room-for-nut"), (22.3, "")])
def test_a_nut_stands_clear_and_a_spanner_turns_it(z: float, code: str, tmp_path: Path) -> None:
    """A duct of 20 mm over the seat: the nut's corners are 6.41 mm from its axis, the spanner's head 12.21 mm."""
    bar = others(BAR.format(y=104, z=100 + z))
    told = [f for f in job(tmp_path, line('kind = "rigid"'), bar).findings if "(nut at near)" in f.where]
    assert [f.code for f in told] == ([code] if code else [])
    assert all("socket" not in f.advice for f in told)
