"""Rows of clamps put in their best place, against the shortest way over a line in closed form."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest

from generators.errors import SpecError
from generators.model.findings import Finding, Severity
from generators.solve.job import Prepared, prepare

# Two ports in front of an upright wall (its cab face is x = 0), a thin hose over one clamp or more on a line
# of the wall. Seats, ends and straights are next to nothing, so that the hose is a string.
SPEC = """
[job]
name = "wall"
title = "Invented wall"

[[panel]]
name = "wall"
title = "Wall"
material = "mild steel, as built"
thickness = "2 mm"
origin = ["0 mm", "0 mm", "0 mm"]
tilt = "0 deg"
outline = [["0 mm", "0 mm"], ["900 mm", "0 mm"], ["900 mm", "500 mm"], ["0 mm", "500 mm"]]

[[component]]
name = "low"
kind = "line_end"
on = { at = ["60 mm", "100 mm", "60 mm"], facing = "right" }
port = [{ name = "a", at = ["0 mm", "0 mm", "0 mm"] }]

[[component]]
name = "high"
kind = "line_end"
on = { at = ["140 mm", "820 mm", "440 mm"], facing = "left" }
port = [{ name = "b", at = ["0 mm", "0 mm", "0 mm"] }]

[[clamp_row]]
name = "row"
dash = 4
place = "best"
ROW

[[hose]]
name = "string"
service = "pressure"
from = "low.a"
to = "high.b"
dash = 4
outside = "4 mm"
radius = "2 mm"
end = "0 mm"
straight = "0 mm"
clamps = ["row"]

[limits]
hose_support = "2000 mm"
hose_straight_ratio = 0
"""
ON_WALL = 'panel = "wall"\nside = "cab"\nstart = ["400 mm", "40 mm"]\nend = ["430 mm", "460 mm"]\ncount = 1'
IN_SPACE = (
    'start_at = ["0 mm", "400 mm", "40 mm"]\nend_at = ["0 mm", "430 mm", "460 mm"]\nfacing = "cab"\ncount = 1'
)
KEEPOUT = """
  [[panel.obstacle]]
  name = "box"
  face = "cab"
  what = "box"
  corner = ["LOW mm", "BOTTOM mm"]
  size = ["100 mm", "60 mm"]
  depth = "1 mm"
"""
A, B = np.array([60.0, 100.0, 60.0]), np.array([140.0, 820.0, 440.0])
# the loop lies above the screw: half of 1/4 in and 9 mm up, half of 1/4 in and 3 mm off the wall
SHIFT = np.array([3.175 + 3.0, 0.0, 3.175 + 9.0])
START, END = np.array([0.0, 400.0, 40.0]) + SHIFT, np.array([0.0, 430.0, 460.0]) + SHIFT


def shortest_over_line() -> tuple[float, float]:
    """Where on the line the string from A to B touches it, and its length.

    Turned about the line into one plane, B lies across from A and the string is straight (Heron): it
    divides the way along the line as the two distances from it.
    """
    way = (END - START) / np.linalg.norm(END - START)
    along = [float((p - START) @ way) for p in (A, B)]
    off = [float(np.linalg.norm(p - START - s * way)) for p, s in zip((A, B), along, strict=True)]
    at = along[0] + (along[1] - along[0]) * off[0] / (off[0] + off[1])
    return at, math.hypot(along[1] - along[0], off[0] + off[1])


def placed(folder: Path, row: str, extra: str = "") -> tuple[Prepared, Finding]:
    spec = folder / "wall.toml"
    text = SPEC.replace("ROW", row).replace("\n[[component]]", extra + "\n[[component]]", 1)
    spec.write_text(text, encoding="utf-8")
    job = prepare(spec)
    (found,) = [f for f in job.findings if f.code == "place-best"]
    return job, found


def screw(job: Prepared) -> np.ndarray:
    """The one clamp's screw in the vehicle, mm."""
    (clamp,) = job.file.job.clamp
    if clamp.on.at is not None:
        return np.array(clamp.on.at)
    hole = next(h for x in job.layouts for h in x.holes if h.name == clamp.on.holes[0])
    return np.array([0.0, hole.u_mm, hole.v_mm])


@pytest.mark.parametrize(
    "row",
    [pytest.param(ON_WALL, id="panel"), pytest.param(IN_SPACE, id="space", marks=pytest.mark.nightly)],
)
def test_one_clamp_sits_where_the_string_crosses_its_line(tmp_path: Path, row: str) -> None:
    job, found = placed(tmp_path, row)
    at, length = shortest_over_line()
    assert found.severity is Severity.NOTE
    assert found.wanted == "no rule stops it there"
    way = (END - START) / np.linalg.norm(END - START)
    assert float((screw(job) + SHIFT - START) @ way) == pytest.approx(at, abs=1.5)
    (hose,) = job.lines.hoses
    assert hose.path is not None
    # arcs of 2 mm at the ends and the clamp cost some tenths
    assert hose.path.length_mm == pytest.approx(length, abs=1.5)
    assert not [f for f in job.findings if f.code.startswith("hose") and f.severity is not Severity.NOTE]


def test_what_stands_there_holds_it_off_and_is_named(tmp_path: Path) -> None:
    at, _length = shortest_over_line()
    u, v = 400 + 30 * at / 421.0, 40 + 420 * at / 421.0
    # the string would cross near the upper side of the box
    box = KEEPOUT.replace("LOW", f"{u - 50:.0f}").replace("BOTTOM", f"{v - 45:.0f}")
    job, found = placed(tmp_path, ON_WALL, box)
    assert found.severity is Severity.NOTE
    assert found.wanted == "stopped there by box"
    (hole,) = job.layouts[0].holes
    # no nearer than the spanner's room beside the box, and no further than it must
    gap = hole.v_mm - (round(v - 45) + 60)
    assert hole.spanner_circle_mm / 2 < gap < hole.spanner_circle_mm / 2 + 2.5
    assert not [f for f in job.findings if f.blocks]


@pytest.mark.nightly
def test_two_clamps_keep_their_spacing(tmp_path: Path) -> None:
    """Both would sit where the string crosses; 50 mm between them is the least, and is what is named."""
    job, found = placed(tmp_path, ON_WALL.replace("count = 1", "count = 2"))
    at, length = shortest_over_line()
    first, last = (np.array([h.u_mm, h.v_mm]) for h in job.layouts[0].holes)
    assert float(np.linalg.norm(last - first)) == pytest.approx(50.0, abs=1.5)
    assert "least clamp spacing" in found.wanted
    middle = float((np.array([0.0, *(first + last) / 2]) + SHIFT - START) @ (END - START)) / 421.0
    assert middle == pytest.approx(at, abs=30.0)
    (hose,) = job.lines.hoses
    assert hose.path is not None
    # the string must follow the line for 50 mm: longer than straight over it, by less than there and back
    assert length < hose.path.length_mm < length + 100.0


def test_a_row_without_a_hose_has_no_best_place(tmp_path: Path) -> None:
    spec = tmp_path / "wall.toml"
    spec.write_text(SPEC.replace("ROW", ON_WALL).replace('clamps = ["row"]', ""), encoding="utf-8")
    with pytest.raises(SpecError) as caught:
        prepare(spec)
    (fault,) = caught.value.faults
    assert fault.path == "clamp_row[0].place"
    assert "no hose goes through" in fault.found


def test_a_line_all_over_an_obstacle_leaves_no_room(tmp_path: Path) -> None:
    box = KEEPOUT.replace("LOW", "350").replace("BOTTOM", "5").replace('"60 mm"]', '"490 mm"]')
    job, found = placed(tmp_path, ON_WALL, box)
    assert found.severity is Severity.FAIL
    # and the clamp stays where an even step puts one alone
    assert [(h.u_mm, h.v_mm) for h in job.layouts[0].holes] == [pytest.approx((415.0, 250.0))]
