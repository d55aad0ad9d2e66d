"""Rules on bolts under load and on a panel's give: each limit by hand, from both sides.

Proof loads ISO 898-1 table 5 (two transcriptions); AISI S100 J4.4.2 pull-over, formula and factor in two transcriptions;
EN 1993-1-8 table 3.4 read in transcriptions; EN 1993-1-3 table 8.4 and 14 CFR 23.303 from memory, sure.
"""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from bolt_load_jobs import M8_PLAIN, MILD, PLATE, THICK, bolt, given, loaded

from generators.checks.joint.bolt_loads import BoltUse, Under, holds_n, use_of
from generators.model.findings import Finding, Severity
from generators.strength.joint.loads import HAND_RANGE, BoltForce

FACTOR = 1.5  # ultimate over limit load, 14 CFR 23.303, from memory


def said(found: list[Finding]) -> list[tuple[str, Severity]]:
    return [(f.code, f.severity) for f in found]


# M8 8.8: 580 MPa x 36.6 mm2 = 21.2 kN (ISO 898-1 table 5 prints 21 200 N); over 1.5, 14 152 N
@pytest.mark.parametrize(
    ("pull", "shear"),
    [
        (21228.0 / FACTOR, 0.0),
        # von Mises: shear counts sqrt(3) times
        (0.0, 21228.0 / FACTOR / math.sqrt(3)),
        (21228.0 / FACTOR * 0.6, 21228.0 / FACTOR * 0.8 / math.sqrt(3)),
    ],
)
def test_a_bolt_bears_its_proof_load_over_the_factor(pull: float, shear: float) -> None:
    thick = replace(THICK, bears=(replace(PLATE, thickness_mm=30.0),), own=replace(PLATE, thickness_mm=30.0))
    assert said(loaded(0.999 * pull, 0.999 * shear, on=thick)) == []
    assert said(loaded(1.001 * pull, 1.001 * shear, on=thick)) == [("bolt-strength", Severity.FAIL)]


# 0.50 x 1.5 x 1.2 mm x 16 mm x 270 MPa = 3888 N; over 1.5, 2592 N
def test_a_thin_panel_holds_an_m8_nut_no_further_than_pull_over() -> None:
    assert said(loaded(2591.0)) == []
    (found,) = loaded(2593.0)
    assert (found.code, found.severity) == ("bolt-pull-through", Severity.FAIL)
    assert "3888 N" in found.wanted
    assert found.value == pytest.approx(3888 / 2593)


def test_what_the_bent_sheet_pries_is_pulled_too() -> None:
    # 20 N m over a lever of 20 mm: 1000 N on top of 1592
    assert said(loaded(1591.0, 0.0, 20_000.0)) == []
    assert said(loaded(1593.0, 0.0, 20_000.0)) == [("bolt-pull-through", Severity.FAIL)]
    # where the part is pressed down, prying counts only beyond that
    assert said(loaded(-1000.0, 0.0, 20_000.0)) == []


def test_a_washer_counts_as_head_and_its_own_thickness_no_wider_than_it_is() -> None:
    # AISI S100 J4.4.2: dh + 2 tw + t = 13 + 3.2 + 1.2 = 17.4, of a washer of 16 mm 16; of 24 mm, 2 mm thick: 18.2
    assert M8_PLAIN.diameter_mm(1.2) == 16.0
    wide = Under(head_mm=13.0, washer_mm=2.0, outside_mm=24.0)
    assert wide.diameter_mm(1.2) == pytest.approx(18.2)
    assert holds_n([MILD], wide) == pytest.approx(0.75 * 1.2 * 18.2 * 270)
    # at most 3/4 in = 19.05 mm counts
    broad = Under(head_mm=20.0, washer_mm=4.0, outside_mm=40.0)
    assert holds_n([MILD], broad) == pytest.approx(0.75 * 1.2 * 19.05 * 270)


def test_panel_and_doubler_are_pulled_together() -> None:
    two = replace(MILD, words="a doubler", thickness_mm=2.0)
    assert holds_n([MILD, two], M8_PLAIN) == pytest.approx(0.75 * 16 * 270 * 3.2)


def test_plate_over_three_sixteenths_is_punched() -> None:
    # 0.6 pi 16 mm x 8 mm x 360 MPa / 1.25, EN 1993-1-8 table 3.4
    assert holds_n([PLATE], M8_PLAIN) == pytest.approx(0.6 * math.pi * 16 * 8 * 360 / 1.25)


# sheet 1.2 mm: kt = (0.8 x 1.2 + 1.5)/2.5 = 0.984; 2.5 x 0.984 x 270 x 8 x 1.2 / 1.25 = 5101 N, over 1.5 3400.7
def test_a_thin_panel_bears_no_further_on_a_shank() -> None:
    assert said(loaded(0.0, 3400.0)) == []
    assert said(loaded(0.0, 3401.5)) == [("bolt-bearing", Severity.FAIL)]
    # half as far from the edge as 3 d it bears half
    near = bolt(replace(MILD, edge_mm=12.0))
    assert said(loaded(0.0, 1699.0, on=near)) == []
    assert said(loaded(0.0, 1701.0, on=near)) == [("bolt-bearing", Severity.FAIL)]


def test_by_hand_what_is_not_sure_warns() -> None:
    sure = 3888 / (FACTOR * HAND_RANGE)
    assert said(loaded(sure - 1, low=HAND_RANGE)) == []
    assert said(loaded(sure + 1, low=HAND_RANGE)) == [("bolt-pull-through", Severity.WARN)]
    assert said(loaded(2593.0, low=HAND_RANGE)) == [("bolt-pull-through", Severity.FAIL)]


def test_structure_only_warns_where_it_breaks() -> None:
    # Formula SAE T.5.1.10b asks that nothing breaks at 2000 N: the factor is 1
    assert said(loaded(3887.0, kind="structure")) == []
    assert said(loaded(3889.0, kind="structure")) == [("bolt-pull-through", Severity.WARN)]


def test_a_sheet_nobody_has_named_is_said_not_passed() -> None:
    unknown = bolt(replace(MILD, tensile_mpa=None))
    (note,) = loaded(100.0, on=unknown)
    assert (note.code, note.severity) == ("bolt-pull-through", Severity.NOTE)
    assert "metal" in note.found


def test_an_insert_is_left_to_its_maker() -> None:
    insert = replace(bolt(), unknown="what a insert holds is its maker's figure")
    (note,) = loaded(100.0, on=insert)
    assert "maker" in note.found


def test_a_use_names_the_sheet_that_gives_first() -> None:
    use: BoltUse = use_of(bolt(), BoltForce(hole="mount_1", pull_n=1000.0, shear_n=0.0, bend_nmm=0.0), "c")
    assert use.sheet == MILD.words
    assert bolt().pulls_far(use)


# clamped 0.4 and resting 0.8 mm/kN, half as much again either way: 0.267 to 1.2 mm/kN
@pytest.mark.parametrize(
    ("typed", "fires"), [(0.0, False), (0.266, True), (0.268, False), (1.199, False), (1.201, True)]
)
def test_a_typed_give_lies_between_clamped_and_resting(typed: float, fires: bool) -> None:
    assert said(given(typed * 1e-3)) == ([("panel-give", Severity.WARN)] if fires else [])


@pytest.mark.parametrize(("typed", "fires"), [(0.133, True), (0.134, False), (0.599, False), (0.601, True)])
def test_so_does_the_give_at_a_pedals_pin(typed: float, fires: bool) -> None:
    assert said(given(0.0, typed * 1e-3)) == ([("panel-give", Severity.WARN)] if fires else [])


def test_a_give_counted_twice_is_said() -> None:
    assert said(given(0.0, 0.3e-3, twice=True)) == [("panel-give", Severity.WARN)]
    assert said(given(0.0, 0.0, twice=True)) == []


# Roark chapter 11: the formulas hold to half the sheet, 0.6 mm
@pytest.mark.parametrize(("moved", "fires"), [(0.599, False), (0.601, True)])
def test_a_movement_over_half_the_sheet_is_noted(moved: float, fires: bool) -> None:
    assert said(given(moved=moved)) == ([("panel-give", Severity.NOTE)] if fires else [])
