"""What stands in a job: nuts beside bends and bodies, and what goes through metal, just too near and not."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from space_jobs import bolt, job

from generators.model.findings import Finding, Severity

LOOSE_PEDAL = (
    'hanger = "hanger"\nseat = "8 mm"',
    'pivot = ["95 mm", "450 mm", "262 mm"]\nseat_at = ["-10 mm", "450 mm", "200 mm"]\n'
    'axis_to = ["-20 mm", "450 mm", "200 mm"]',
)
UNDRILLED = ("# MOUNT", "holes = false")


def hard(findings: tuple[Finding, ...]) -> list[Finding]:
    """What is more than a note."""
    return [f for f in findings if f.severity is not Severity.NOTE]


def place(found: Finding) -> tuple[float, float]:
    """The u and v a finding says."""
    told = re.search(r"u (-?[0-9.]+) v (-?[0-9.]+)", found.found)
    assert told is not None, found
    return float(told[1]), float(told[2])


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
