"""A sound job is silent; with one thing in the way there is one finding, in its place, and no other."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from space_jobs import bolt, job, others

from generators.model.findings import Finding, Severity

# the hanger is 96 mm wide inside, of 4 mm sheet: cheeks from 48 to 52 mm beside u 300, bends of
# 4 mm inside
CLAMP = others("""
[[clamp]]
name = "loop"
dash = 5
on = { panel = "wall", holes = ["own"], side = "cab" }
run = "up"
aside = "right"
aside_by = "14 mm"
stand_off = "60 mm"
""")
# above the middle of a panel that is x = 0: x is how far it is off, y is u, z is v
BAR = others("""
[[obstacle]]
name = "bar"
what = "heater duct"
start = ["60 mm", "230 mm", "270 mm"]
end = ["60 mm", "275 mm", "270 mm"]
diameter = "20 mm"
""")
OTHER_CYLINDER = others("""
[[component]]
name = "slave"
title = "Slave cylinder"
kind = "slave"
on = { at = ["-100 mm", "300 mm", "130 mm"], facing = "up" }
diameter = "30 mm"
length = "60 mm"

  [[component.port]]
  name = "inlet"
  at = ["0 mm", "0 mm", "-20 mm"]
  facing = "down"
""")
FITTING = (
    "# HOLES",
    '[[panel.hole]]\n  name = "line"\n  kind = "bulkhead"\n  dash = 4\n  purpose = "a line"\n'
    '  at = { u = "222 mm", v = "270 mm" }\n  # HOLES',
)
LEG = others("""
[[component]]
name = "elbow"
title = "Bulkhead fitting"
kind = "bulkhead"
dash = 4
on = { panel = "wall", holes = ["line"], side = "cab" }
seat_cab = "30 mm"
elbow = { face = "cab", toward = "right", leg = "40 mm" }
""")
LOOSE_PEDAL = (
    'hanger = "hanger"\nseat = "8 mm"',
    'pivot = ["95 mm", "450 mm", "262 mm"]\nseat_at = ["-10 mm", "450 mm", "200 mm"]\n'
    'axis_to = ["-20 mm", "450 mm", "200 mm"]',
)
WIDE = ('diameter = "36 mm" # BODY', 'diameter = "5 in"')
BIG_RESERVOIR = ('diameter = "60 mm"\nlength = "70 mm"', 'diameter = "130 mm"\nlength = "70 mm"')
UNDRILLED = ("# MOUNT", "holes = false")

FLAWS = {
    "a nut beside a bend": ([bolt(247, 240)], "spanner-on-part", ("left cheek", "(own)"), (249, 240)),
    "a clamp through a cheek": (
        [bolt(236, 270, "engine", "M8"), CLAMP],  # whose bolts are long enough for the spacer
        "bodies-meet",
        ("left cheek", "loop"),
        (250, 270),
    ),
    "a duct through a cheek": ([BAR], "bodies-meet", ("left cheek", "heater duct"), (250, 270)),
    "a body over its own nuts": ([WIDE], "bodies-meet", ("master cylinder", "hanger."), (300, 200)),
    "a reservoir in the panel": ([BIG_RESERVOIR], "bodies-meet", ("wall", "reservoir"), (120, 345)),
    "two cylinders": ([OTHER_CYLINDER], "bodies-meet", ("master cylinder", "slave cylinder"), (300, 186)),
    "a fitting's leg through a cheek": (
        [FITTING, LEG],
        "through-uncut-metal",
        ("left cheek", "leg"),
        (250, 270),
    ),
    "nothing drilled": ([UNDRILLED], "through-uncut-metal", ("master cylinder", "wall"), (300, 200)),
    "a pushrod with no hole": ([LOOSE_PEDAL], "through-uncut-metal", ("pushrod", "wall"), (450, 201)),
}


def hard(findings: tuple[Finding, ...]) -> list[Finding]:
    """What is more than a note."""
    return [f for f in findings if f.severity is not Severity.NOTE]


def place(found: Finding) -> tuple[float, float]:
    """The u and v a finding says."""
    told = re.search(r"u (-?[0-9.]+) v (-?[0-9.]+)", found.found)
    assert told is not None, found
    return float(told[1]), float(told[2])


def test_a_sound_job_is_silent(tmp_path: Path) -> None:
    assert hard(job(tmp_path).findings) == []


@pytest.mark.parametrize("flaw", FLAWS)
def test_one_thing_in_the_way_is_one_finding(flaw: str, tmp_path: Path) -> None:
    changes, code, names, (u, v) = FLAWS[flaw]
    (found,) = hard(job(tmp_path, *changes).findings)
    assert (found.code, found.severity) == (code, Severity.FAIL)
    for name in names:
        assert name in found.where
    # the middle of what two things share is somewhere in the smaller of them
    away = 45.0 if flaw in ("a body over its own nuts", "a reservoir in the panel") else 6.0
    assert place(found) == pytest.approx((u, v), abs=away)


@pytest.mark.parametrize(
    ("u", "severity"),
    [(239.3, None), (239.8, Severity.WARN), (243.2, Severity.WARN), (243.7, Severity.FAIL)],
)
def test_nut_and_spanner_beside_a_bend(u: float, severity: Severity | None, tmp_path: Path) -> None:
    """An M5 locking nut is 6.8 mm high at most (ISO 7040) on a washer of 1.1 (ISO 7089), 9.24 mm across corners; a
    spanner of 4.7 mm (ISO 4032) sweeps 17.6 mm.

    The bend's outside is a circle of 8 mm about (256, 8). Over the washer the spanner ends at 5.8 mm, where it is at
    256 - sqrt(64 - 2.2²) = 248.31: they touch at 239.51. The nut ends at 7.9, where it is at 248.00: at 243.38.
    """
    found = hard(job(tmp_path, bolt(u, 240)).findings)
    assert [(f.code, f.severity) for f in found] == ([("spanner-on-part", severity)] if severity else [])


@pytest.mark.parametrize(("diameter", "hit"), [(42.1, True), (41.9, False)])
def test_a_body_beside_its_own_nuts(diameter: float, hit: bool, tmp_path: Path) -> None:
    """Bolts 29 mm beside the axis, washers 16 mm wide (ISO 7089), wider than M8 heads across corners: 21 mm is left."""
    found = hard(job(tmp_path, ('diameter = "36 mm" # BODY', f'diameter = "{diameter + 0.2} mm"')).findings)
    assert [f.code for f in found] == (["bodies-meet"] if hit else [])


def existing(folder: Path, less: float = 0.0) -> str:
    """The holes that the hanger drills, as if they were there already, the bore smaller by ``less``."""
    text = ""
    for hole in job(folder).layouts[0].holes:
        if "hanger" in hole.owners:
            diameter = hole.final_dia_mm - (less if "bore" in hole.name else 0.0)
            text += (
                f'[[panel.existing]]\n  name = "old_{hole.number}"\n  at = ["{hole.u_mm!r} mm", "{hole.v_mm!r} mm"]\n'
                f'  diameter = "{diameter!r} mm"\n  what = "of the old hanger"\n  serves = "hanger"\n'
            )
    return text + "  # HOLES"


def test_openings_that_are_there_need_no_drilling(tmp_path: Path) -> None:
    assert hard(job(tmp_path, UNDRILLED, ("# HOLES", existing(tmp_path))).findings) == []


def test_an_opening_too_small_is_said_with_what_is_needed(tmp_path: Path) -> None:
    (found,) = hard(job(tmp_path, UNDRILLED, ("# HOLES", existing(tmp_path, less=2.0))).findings)
    assert found.code == "through-uncut-metal"
    # the nose is as wide as the hanger's own bore
    assert (found.value, found.limit) == (pytest.approx(28.0), pytest.approx(30.0))
    assert place(found) == pytest.approx((300.0, 200.0), abs=0.05)


def test_a_slanting_rod_needs_a_longer_opening(tmp_path: Path) -> None:
    """8 mm across, at atan(d / l) from square through 2 mm: D / cos a + t tan a."""
    (found,) = hard(job(tmp_path, LOOSE_PEDAL).findings)
    # pin at (95 + 14, 262 - 60), seat at (-10, 200) and 0.5 mm of play before it: 2 mm aside in 118.5
    aside, ahead = 2.0, 118.5
    cosine = ahead / (ahead**2 + aside**2) ** 0.5
    assert found.limit == pytest.approx(8.0 / cosine + 2.0 * aside / ahead, abs=1e-6)
