"""The verdict names what is wrong, and its numbers are those of a hand calculation."""

from __future__ import annotations

import math
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest
from hand_pedal import HandBrake, HandClutch, HandLinkage
from pedal_specs import VARIANTS
from sheet_pages import prepared

from generators.hydraulics.pedal_sheet import PedalSheet
from generators.hydraulics.ranking import FRONT
from generators.sheets.pedal.words import (
    best_rows,
    bore_name,
    difference,
    expected_words,
    in_both,
    inches,
    losing_rows,
    own_row,
    own_standing,
    pounds,
    psi,
    releasing,
    stop_name,
    stop_to_set,
    verdict,
)

# The toy pedal of ``pedal_specs``, its numbers written out once more and worked in ``hand_pedal``: pivot 103 out and 62
# up, 3/4 in master of 1.4 in, 7/8 in slave of 1 1/4 in, 18 in of 1/8 in hose, 1,500 N.
LINK = HandLinkage(across=103.0, above=62.0, pin=(14.0, -60.0), pad=(60.0, -330.0))
TOY = HandClutch(
    link=LINK,
    master=0.75 * 25.4,
    master_stroke=1.4 * 25.4,
    slave=0.875 * 25.4,
    slave_stroke=1.25 * 25.4,
    load=((0.0, 1500.0),),
    hoses=((18 * 25.4, 25.4 / 8),),
)
ROD = f"{LINK.rod:.1f} mm"
MIDDLE = f"{(TOY.earliest + TOY.fingers) / 2:.1f} mm"
TWIN = HandBrake(
    link=LINK, circuits=((0.55, 0.75 * 25.4, 28.0, 3000.0), (0.45, 13 / 16 * 25.4, 28.0, 2500.0))
)
SINGLE = HandBrake(link=LINK, circuits=((1.0, 0.75 * 25.4, 28.0, 3000.0),))
MASTERS = tuple(n / 16 for n in (10, 11, 12, 13, 14, 15, 16))
"""Usual bores of masters in inches (common practice, from memory): 5/8 to 1."""


def spare(stop: float) -> str:
    """Release at a stop beyond what releases with the margin."""
    return f"Releases with {TOY.release(stop) - TOY.releases - TOY.margin:.1f} mm to spare"


def nearest_opener(bore: float, floor: float) -> str:
    """The usual master nearest in size with which the clutch releases before fingers and floor."""
    for inch in sorted((m for m in MASTERS if m * 25.4 != bore), key=lambda m: abs(m * 25.4 - bore)):
        other = replace(TOY, master=inch * 25.4)
        if other.earliest <= min(other.fingers, floor):
            return f"Take a {Fraction(inch)} in master"
    raise AssertionError("no master does it")


def pressures(brake: HandBrake, *names: str) -> str:
    found = brake.pressures(brake.rod_for(500.0))
    return " and ".join(f"{p:.2f} MPa {name}" for p, name in zip(found, names, strict=True))


SAYS = {
    "right": (spare((TOY.earliest + TOY.fingers) / 2), f"set the stop at {MIDDLE} of pad travel, rod {ROD}."),
    "stop of the spec kept": (spare(145.0), "stop at 145.0 mm", f"recommended {MIDDLE}"),
    "stop too early": ("DOES NOT RELEASE", "110.0 mm", f"set the stop at {MIDDLE}"),
    "stop short of the margin": ("short of its margin", f"set the stop at {MIDDLE}"),
    "stop too late": (
        "STOPS TOO LATE at 168.0 mm",
        f"fingers over-travel at {TOY.fingers:.1f} mm",
        MIDDLE,
    ),
    "floor too near": ("no stop is right", "floor at 115.0 mm", nearest_opener(0.75 * 25.4, 115.0)),
    "bore too small": ("no stop is right", nearest_opener(0.625 * 25.4, 170.0)),
    "rod too long": (
        "ROD TOO LONG",
        f"{replace(LINK, given_rod=119.0).piston(0.0):.1f} mm off its rest",
        f"{ROD} would leave 0.5 mm",
    ),
    "brake": (f"500 N on the pad makes {pressures(TWIN, 'front', 'rear')}", f"rod {ROD}"),
    "brake of one circuit": (f"500 N on the pad makes {pressures(SINGLE, 'front')} at",),
    "brake that meets the floor": ("FRONT MASTER BOTTOMS before 500 N",),
}


def test_the_hand_calculation_agrees_with_what_the_variants_are_called() -> None:
    # stops of 110, 131 and 168 mm against release, release with the margin, and over-travel
    assert 110.0 < TOY.pad(7.5) < 131.0 < TOY.earliest < 145.0 < TOY.fingers < 168.0
    assert replace(TOY, master=0.625 * 25.4).earliest > 170.0
    # 9 cc through the front master is longer than its stroke
    assert 9000 / math.pi * 4 / 19.05**2 > 28.0


def sheet_of(folder: Path, variant: str) -> PedalSheet:
    answer = prepared(folder, variant).pedals[0]
    return answer.sheet(answer.ranking())


@pytest.mark.parametrize("variant", SAYS)
def test_one_sentence_names_what_is_wrong_and_what_to_set(variant: str, tmp_path: Path) -> None:
    said = verdict(sheet_of(tmp_path, variant))
    for words in SAYS[variant]:
        assert words in said


@pytest.mark.parametrize("variant", [v for v in VARIANTS if v != "clutch and brake"])
def test_the_verdict_says_what_the_sheets_must_say(variant: str, tmp_path: Path) -> None:
    sheet = sheet_of(tmp_path, variant)
    assert all(words in verdict(sheet) for words in expected_words(sheet))


@pytest.mark.parametrize(
    ("variant", "kept", "name"),
    [
        ("right", None, "the stop"),
        ("stop of the spec kept", 145.0, "the stop"),
        ("stop too late", None, "the spec's stop"),
        ("bore too small", None, "the first limit"),
    ],
)
def test_which_stop_is_set(variant: str, kept: float | None, name: str, tmp_path: Path) -> None:
    result = sheet_of(tmp_path, variant).clutch
    assert result is not None
    assert stop_to_set(result.window) == (result.window.recommended_mm if kept is None else kept)
    assert stop_name(result.window) == name


def test_inch_units_by_their_published_factors() -> None:
    assert pounds(4.4482216152605) == "1.0 lbf"
    assert psi(6.894757) == "1000 psi"
    assert inches(25.4) == "1.000 in"
    assert [inches(float("inf")), pounds(float("nan")), psi(float("inf"))] == ["", "", ""]


def test_bores_by_their_usual_names() -> None:
    assert bore_name(19.05, "master") == "3/4 in"
    assert bore_name(31.75, "master") == "1 1/4 in"
    assert bore_name(20.0, "master") == "20.00 mm"


def test_the_own_choice_is_ranked_and_its_standing_counted(tmp_path: Path) -> None:
    sheet = sheet_of(tmp_path, "right")
    ranking = sheet.ranking
    assert ranking is not None
    assert sheet.clutch is not None
    row = own_row(ranking, sheet)
    assert row is not None
    assert ranking.travel_mm[row] == pytest.approx(sheet.clutch.window.earliest_mm, rel=1e-9)
    better = sum(
        1
        for i in np.flatnonzero(releasing(ranking))
        if ranking.travel_mm[i] <= ranking.travel_mm[row]
        and ranking.effort_n[i] <= ranking.effort_n[row]
        and (ranking.travel_mm[i], ranking.effort_n[i]) != (ranking.travel_mm[row], ranking.effort_n[row])
    )
    assert better > 0
    assert own_standing(ranking, row).startswith(f"{better} of {len(ranking.ratio)} are both")


def test_an_odd_bore_is_ranked_too(tmp_path: Path) -> None:
    from pedal_specs import CLUTCH, write_spec

    from generators.solve.job import prepare

    spec = write_spec(tmp_path, CLUTCH.replace('bore = "3/4 in"', 'bore = "20 mm"'))
    answer = prepare(spec).pedals[0]
    ranking = answer.ranking()
    assert ranking is not None
    row = own_row(ranking, answer.sheet())
    assert row is not None
    assert ranking.master_mm[row] == 20.0


def test_the_best_are_the_furthest_inside_both_targets(tmp_path: Path) -> None:
    ranking = sheet_of(tmp_path, "right").ranking
    assert ranking is not None
    rows = best_rows(ranking, 10)
    assert rows[0] == ranking.best
    assert all(ranking.code[row] == FRONT for row in rows)
    share = [max(ranking.effort_n[r] / 180, ranking.travel_mm[r] / 150) for r in rows]
    assert share == sorted(share)
    assert len(rows) == 10
    left = np.flatnonzero(ranking.code == FRONT)
    assert all(
        max(ranking.effort_n[r] / 180, ranking.travel_mm[r] / 150) >= share[-1] for r in left if r not in rows
    )


def test_losers_lose_each_for_its_own_reason(tmp_path: Path) -> None:
    ranking = sheet_of(tmp_path, "right").ranking
    assert ranking is not None
    codes = [int(ranking.code[row]) for row in losing_rows(ranking)]
    assert len(codes) == len(set(codes)) >= 3
    assert FRONT not in codes


def test_figures_that_stand_together_agree_with_each_other() -> None:
    """By hand: 132.7 mm is 5.2244 in, which whoever converts it finds; 125.86 - 119.92 is 5.94, but the
    figures printed are 125.9 and 119.9, whose difference is 6.0. In inches 4.955 - 4.721."""
    assert in_both(132.72, "metric") == ("132.7 mm", "5.224 in")
    assert in_both(132.72, "inch") == ("132.7 mm", "5.225 in")
    assert difference(125.86, 119.92, "metric") == "6.0 mm"
    assert difference(125.86, 119.92, "inch") == "0.234 in"
