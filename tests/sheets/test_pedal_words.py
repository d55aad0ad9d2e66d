"""The verdict names what is wrong, and the numbers are the engine's."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from pedal_specs import VARIANTS
from sheet_pages import prepared

from generators.hydraulics.pedal_sheet import PedalSheet
from generators.hydraulics.ranking import FRONT
from generators.sheets.pedal.words import (
    best_rows,
    bore_name,
    expected_words,
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

SAYS = {
    "right": ("Releases with 1.3 mm to spare", "set the stop at 148.5 mm of pad travel, rod 116.5 mm."),
    "stop of the spec kept": ("Releases with 1.0 mm to spare", "stop at 145.0 mm", "recommended 148.5 mm"),
    "stop too early": ("DOES NOT RELEASE", "110.0 mm", "set the stop at 148.5 mm"),
    "stop short of the margin": ("short of its margin", "set the stop at 148.5 mm"),
    "stop too late": ("STOPS TOO LATE at 168.0 mm", "fingers over-travel at 163.7 mm", "148.5 mm"),
    "floor too near": ("no stop is right", "floor at 115.0 mm", "Take a 7/8 in master"),
    "bore too small": ("no stop is right", "Take a 11/16 in master"),
    "rod too long": ("ROD TOO LONG", "2.0 mm off its rest", "116.5 mm would leave 0.5 mm"),
    "brake": ("500 N on the pad makes 5.26 MPa front and 3.66 MPa rear", "rod 116.5 mm"),
    "brake of one circuit": ("500 N on the pad makes 9.55 MPa front at",),
    "brake that meets the floor": ("FRONT MASTER BOTTOMS before 500 N",),
}


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
