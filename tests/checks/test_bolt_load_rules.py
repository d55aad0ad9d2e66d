"""Rules on bolts under load and on a panel's give: each limit by hand, from both sides.

Proof loads ISO 898-1 table 5 (two transcriptions); AISI S100 J4.4.2 pull-over, formula and factor in two transcriptions;
EN 1993-1-8 table 3.4 read in transcriptions; EN 1993-1-3 table 8.4 and 14 CFR 23.303 from memory, sure.
"""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from bolt_load_jobs import M8_PLAIN, MILD, PLATE, THICK, bolt, given, loaded

from generators.model.findings import Finding, Severity
from generators.strength.joint.loads import HAND_RANGE, BoltForce
from generators.strength.joint.sheets import Under, holds_n
from generators.strength.joint.uses import BoltUse, use_of

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
    assert holds_n([MILD], wide, 8.0) == pytest.approx(0.75 * 1.2 * 18.2 * 270)
    # at most 3/4 in = 19.05 mm counts
    broad = Under(head_mm=20.0, washer_mm=4.0, outside_mm=40.0)
    assert holds_n([MILD], broad, 8.0) == pytest.approx(0.75 * 1.2 * 19.05 * 270)


# AISI S100 J4.4.2 gives the sheet under the head alone; half of the panel behind it is ours: 2.0 + 1.2/2 mm
def test_of_panel_and_doubler_the_one_under_the_nut_counts_and_half_the_other() -> None:
    two = replace(MILD, words="a doubler", thickness_mm=2.0)
    assert holds_n([MILD, two], M8_PLAIN, 8.0) == pytest.approx(0.75 * 16 * 270 * 2.6)
    held = replace(bolt(), pulled=(MILD, two))
    assert said(loaded(0.75 * 16 * 270 * 2.6 / FACTOR - 1, on=held)) == []
    assert said(loaded(0.75 * 16 * 270 * 2.6 / FACTOR + 1, on=held)) == [("bolt-pull-through", Severity.FAIL)]
    # a doubler thinner than half the panel lies under the nut as a washer would: never less than the panel alone
    foil = replace(MILD, words="a doubler", thickness_mm=0.5)
    assert holds_n([MILD, foil], M8_PLAIN, 8.0) == pytest.approx(0.75 * 16 * 270 * 1.2)


# EN 1993-1-8 table 3.4: dm is the mean of across flats and across corners, M8 (13 + 15.01)/2 = 14.0; 0.6 pi dm t fu/1.25
M8_LARGE = Under(head_mm=13.0, flats_mm=13.0, washer_mm=2.0, outside_mm=24.0)


def punched(thickness: float) -> float:
    return 0.6 * math.pi * (13 + 26 / math.sqrt(3)) / 2 * thickness * 360 / 1.25


def test_plate_over_three_sixteenths_is_punched_by_the_nut_whatever_washer_it_has() -> None:
    for under in (M8_PLAIN, M8_LARGE, Under(head_mm=13.0, flats_mm=13.0)):
        assert holds_n([PLATE], under, 8.0) == pytest.approx(punched(8.0))
    # a flange head counts with what it bears with, 13 mm here
    assert holds_n([PLATE], Under(head_mm=13.0), 8.0) == pytest.approx(0.6 * math.pi * 13 * 8 * 360 / 1.25)
    thick = replace(bolt(PLATE, M8_LARGE), proof_n=1e6, near=M8_LARGE)
    assert said(loaded(punched(8.0) / FACTOR - 5, on=thick)) == []
    assert said(loaded(punched(8.0) / FACTOR + 5, on=thick)) == [("bolt-pull-through", Severity.FAIL)]


@pytest.mark.parametrize(
    "under", [M8_PLAIN, M8_LARGE, Under(head_mm=8.0, flats_mm=8.0, washer_mm=3.0, outside_mm=30.0)]
)
def test_about_three_sixteenths_the_smaller_of_both_forms_counts(under: Under) -> None:
    dm = under.flats_mm * (1 + 2 / math.sqrt(3)) / 2
    for thickness in (3.01, 4.75, 4.77, 5.25):
        over = (
            0.75
            * thickness
            * min(under.head_mm + 2 * under.washer_mm + thickness, under.outside_mm, 19.05)
            * 360
        )
        punch = 0.6 * math.pi * dm * thickness * 360 / 1.25
        sheet = replace(PLATE, thickness_mm=thickness, hole_mm=5.5)
        assert holds_n([sheet], under, 5.0 if under.flats_mm < 13 else 8.0) == pytest.approx(min(over, punch))


# what counts is the ring beside the hole: (16 - hole)/(16 - 8 - 1.5875) of 3888 N from a hole of 9.59 mm on
@pytest.mark.parametrize(("hole", "share"), [(9.58, 1.0), (12.0, 4 / 6.4125), (15.0, 1 / 6.4125)])
def test_a_hole_wider_than_usual_leaves_only_the_ring_beside_it(hole: float, share: float) -> None:
    worn = bolt(replace(MILD, hole_mm=hole))
    assert said(loaded(3888 * share / FACTOR - 1, on=worn)) == []
    assert said(loaded(3888 * share / FACTOR + 1, on=worn)) == [("bolt-pull-through", Severity.FAIL)]


@pytest.mark.parametrize("pull", [0.0, 100.0])
def test_a_nut_that_falls_through_its_hole_holds_nothing(pull: float) -> None:
    nut = Under(head_mm=13.0, flats_mm=13.0)
    (found,) = loaded(pull, on=bolt(replace(MILD, hole_mm=40.0), nut))
    assert (found.code, found.severity) == ("bolt-pull-through", Severity.FAIL)
    assert "holds nothing" in found.found
    assert said(loaded(pull, on=bolt(replace(MILD, hole_mm=9.0), nut))) == []
    # the part's own sheet is no different, nor is plate: the nut is what counts there
    own = replace(bolt(), own=replace(PLATE, hole_mm=15.1))
    assert said(loaded(pull, on=own)) == [("bolt-pull-through", Severity.FAIL)]


def test_over_a_slot_the_ring_is_open_at_both_ends() -> None:
    # each end of a 9 mm slot takes 2 asin(9/16) of a turn under a 16 mm washer: 0.38 of it in all
    slot = replace(MILD, hole_mm=9.0, slotted=True)
    held = 3888 * (1 - 4 * math.asin(9 / 16) / (2 * math.pi))
    assert said(loaded(held / FACTOR - 1, on=bolt(slot))) == []
    assert said(loaded(held / FACTOR + 1, on=bolt(slot))) == [("bolt-pull-through", Severity.FAIL)]


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
    # by hand the load may be low by the range
    assert said(loaded(3887.0 / HAND_RANGE, kind="structure", low=HAND_RANGE)) == []
    assert said(loaded(3889.0 / HAND_RANGE, kind="structure", low=HAND_RANGE)) == [
        ("bolt-pull-through", Severity.WARN)
    ]


def test_a_sheet_nobody_has_named_is_said_not_passed() -> None:
    unknown = bolt(replace(MILD, tensile_mpa=None))
    (note,) = loaded(100.0, on=unknown)
    assert (note.code, note.severity) == ("bolt-bearing", Severity.NOTE)
    assert "bearing and pull-through not judged" in note.found
    assert MILD.words in note.found


def test_silence_is_never_a_pass() -> None:
    """A part of a metal without figures, on a bolt without a class: nothing but notes, and they say what of."""
    own = replace(PLATE, tensile_mpa=None)
    bare = replace(bolt(replace(MILD, tensile_mpa=None)), own=own, proof_n=None, grade="")
    notes = loaded(500.0, 9000.0, on=bare)
    assert {n.severity for n in notes} == {Severity.NOTE}
    assert [n.found.split(" not judged")[0] for n in notes] == ["strength", *["bearing and pull-through"] * 2]
    assert PLATE.words in notes[1].found
    assert MILD.words in notes[2].found
    # the part's own metal alone unknown is said too, and so is a doubler that only bears
    assert said(loaded(100.0, on=replace(bolt(), own=own))) == [("bolt-bearing", Severity.NOTE)]
    beside = replace(MILD, words="a doubler", tensile_mpa=None)
    (note,) = loaded(100.0, on=replace(bolt(), bears=(MILD, beside)))
    assert note.found.startswith("bearing not judged")
    # nor does a brace's far end pass unsaid, which is no sheet of the job
    (note,) = loaded(100.0, on=replace(bolt(), pulled=(), bears=()))
    assert (note.severity, "at the far end not judged" in note.found) == (Severity.NOTE, True)
    # a head the tables do not have is no head of no width
    assert [f.severity for f in loaded(100.0, on=replace(bolt(), near=Under(head_mm=0.0)))] == [Severity.NOTE]


def test_bearing_names_the_sheet_that_was_judged() -> None:
    (found,) = loaded(0.0, 3401.5)
    assert f"{MILD.words} bears" in found.wanted


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
    ("typed", "fires"), [(0.0, True), (0.266, True), (0.268, False), (1.199, False), (1.201, True)]
)
def test_a_typed_give_lies_between_clamped_and_resting(typed: float, fires: bool) -> None:
    assert said(given(typed * 1e-3)) == ([("panel-give", Severity.WARN)] if fires else [])


def test_a_give_left_out_is_not_one_of_nothing() -> None:
    assert said(given(None, None)) == []
    assert said(given(None, 0.0)) == [("panel-give", Severity.WARN)]


@pytest.mark.parametrize(("typed", "fires"), [(0.133, True), (0.134, False), (0.599, False), (0.601, True)])
def test_so_does_the_give_at_a_pedals_pin(typed: float, fires: bool) -> None:
    assert said(given(None, typed * 1e-3)) == ([("panel-give", Severity.WARN)] if fires else [])


def test_a_give_counted_twice_is_said() -> None:
    assert said(given(None, 0.3e-3, twice=True)) == [("panel-give", Severity.WARN)]
    assert said(given(None, 0.0, twice=True)) == []


# Roark chapter 11: the formulas hold to half the sheet, 0.6 mm
@pytest.mark.parametrize(("moved", "fires"), [(0.599, False), (0.601, True)])
def test_a_movement_over_half_the_sheet_is_noted(moved: float, fires: bool) -> None:
    assert said(given(moved=moved)) == ([("panel-give", Severity.NOTE)] if fires else [])
