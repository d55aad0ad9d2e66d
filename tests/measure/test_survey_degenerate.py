"""Sets of readings that cannot say where holes are: each is named, none is solved wrongly."""

from __future__ import annotations

import itertools
import math
from dataclasses import replace

import numpy as np
import pytest
from survey_samples import HANDED, SQUARE, distances, readings

from generators.checks.survey.readings import check_survey
from generators.measure.datum import loose_holes
from generators.measure.next_reading import candidates, updated, worst_major
from generators.measure.survey import Survey, survey
from generators.model.findings import Severity
from generators.model.spec.readings import Handed, MeasuredHole, Reading, Readings

FIVE = np.array([[120.0, 60.0], [340.0, 90.0], [310.0, 260.0], [90.0, 220.0], [220.0, 150.0]])
ROW = np.array([[0.0, 0.0], [110.0, 0.0], [240.0, 0.0], [330.0, 0.0]])


def fails(result: Survey) -> set[str]:
    return {f.code for f in check_survey(result) if f.severity is Severity.FAIL}


def test_a_good_set_is_clean() -> None:
    assert fails(survey(readings(FIVE, handed=HANDED))) == set()


def test_mirror_is_named_and_one_handedness_reading_ends_it() -> None:
    open_set = survey(readings(FIVE))
    assert fails(open_set) == {"readings-mirror"}
    assert any(t.mirror for t in open_set.twins)
    left = survey(readings(FIVE, handed=HANDED))
    right = survey(readings(FIVE, handed=[replace(HANDED[0], side="right")]))
    behind = survey(readings(FIVE, handed=[replace(HANDED[0], seen_from="engine")]))
    assert left.points()[2][1] > 0 > right.points()[2][1]
    assert behind.points() == pytest.approx(right.points(), abs=1e-6)
    assert left.points() == pytest.approx(right.points() * (1, -1), abs=1e-6)


def test_edges_need_no_handedness() -> None:
    assert fails(survey(readings(FIVE, lines=True))) == set()


def test_handedness_against_the_distances_is_named() -> None:
    wrong = [replace(HANDED[0], side="right")]
    assert fails(survey(readings(FIVE, lines=True, handed=wrong))) == {"handed-against"}


def test_two_handedness_readings_that_contradict() -> None:
    both = [HANDED[0], Handed(hole="d", side="right", from_="a", to="b")]
    assert "handed-against" in fails(survey(readings(FIVE, handed=both)))


def test_a_hole_with_two_distances_is_said_to_have_two_places() -> None:
    pairs = [(0, 1), (1, 2), (0, 2), (0, 3), (1, 3), (2, 3), (0, 4), (1, 4)]
    result = survey(readings(FIVE, pairs, handed=HANDED))
    assert fails(result) == {"readings-two-places"}
    (twin,) = result.twins
    assert twin.moved == (4,)
    # both places keep both distances, and one of them is the true one
    places = [result.points(), twin.adjusted.points()]
    true = distances(FIVE)
    for p in places:
        assert [distances(p)[4][k] for k in (0, 1)] == pytest.approx([true[4][0], true[4][1]], abs=1e-6)
    assert min(abs(distances(p)[4][2] - true[4][2]) for p in places) < 1e-6
    assert max(abs(distances(p)[4][2] - true[4][2]) for p in places) > 1.0
    # the advised reading tells them apart, and taking it ends the matter
    assert result.advice is not None
    other = {"c": 2, "d": 3}[({result.advice.hole, result.advice.to} - {"e"}).pop()]
    assert fails(survey(readings(FIVE, [*pairs, (4, other)], handed=HANDED))) == set()


def test_a_handedness_reading_chooses_between_two_places() -> None:
    pairs = [(0, 1), (1, 2), (0, 2), (0, 3), (1, 3), (2, 3), (0, 4), (1, 4)]
    side = Handed(hole="e", side="left", from_="a", to="b")
    result = survey(readings(FIVE, pairs, handed=[*HANDED, side]))
    assert fails(result) == set()
    assert distances(result.points()) == pytest.approx(distances(FIVE), abs=1e-6)


def test_a_pair_hanging_on_two_holes_folds_over() -> None:
    # a b | c d and e f tied to a and b and to each other, but not across
    six = np.array([[0.0, 0.0], [200.0, 0.0], [60.0, 120.0], [150.0, 140.0], [70.0, 90.0], [160.0, 60.0]])
    pairs = [(0, 1), (0, 2), (1, 2), (0, 3), (1, 3), (2, 3), (0, 4), (1, 4), (0, 5), (1, 5), (4, 5)]
    result = survey(readings(six, pairs, handed=HANDED))
    assert fails(result) == {"readings-two-places"}
    assert any(set(t.moved) in ({4, 5}, {2, 3}) for t in result.twins)


def test_a_hole_on_one_distance_swings() -> None:
    pairs = [*itertools.combinations(range(4), 2), (0, 4)]
    result = survey(readings(FIVE, pairs, handed=HANDED))
    assert fails(result) == {"readings-too-few"}
    ((which, way),) = result.loose
    assert which == 4
    # it can only go square to the line that holds it
    step = result.points()[4] - result.points()[0]
    held = math.atan2(step[1], step[0])
    assert way is not None
    assert abs(math.cos(way - held)) < 1e-6


def test_a_ring_of_four_folds_like_a_gate() -> None:
    result = survey(readings(SQUARE, [(0, 1), (1, 2), (2, 3), (3, 0)], handed=HANDED))
    assert fails(result) == {"readings-too-few"}
    assert {i for i, _ in result.loose} >= {2, 3}
    # any finite fold keeps the four sides: the program must not pretend to know the diagonal
    assert result.advice is not None
    assert {result.advice.hole, result.advice.to} in ({"a", "c"}, {"b", "d"})


def test_offsets_hold_what_distances_leave_open() -> None:
    given = readings(SQUARE, [(0, 1), (1, 2), (2, 3), (3, 0)])
    square_to = Reading(kind="offset_u", from_="a", to="d", is_mm=0.0)
    also = Reading(kind="offset_v", from_="a", to="b", is_mm=0.0)
    sides = [
        Handed(hole="d", side="left", from_="a", to="b"),
        Handed(hole="c", side="left", from_="a", to="b"),
    ]
    result = survey(replace(given, reading=(*given.reading, square_to, also), handed=tuple(sides)))
    assert not result.adjusted.free.shape[1]
    assert distances(result.points()) == pytest.approx(distances(SQUARE), abs=1e-4)


def test_unconnected_groups_are_named() -> None:
    pairs = [(0, 1), (1, 2), (0, 2), (3, 4)]
    result = survey(readings(FIVE, pairs, handed=HANDED))
    found = [f for f in check_survey(result) if f.severity is Severity.FAIL]
    assert {f.code for f in found} == {"readings-unconnected"}
    assert "a b c; d e" in found[0].found


def test_edges_connect_groups() -> None:
    assert fails(survey(readings(FIVE, [(0, 1)], lines=True))) == set()


def test_a_hole_nobody_measured_to() -> None:
    result = survey(readings(FIVE, list(itertools.combinations(range(4), 2)), handed=HANDED))
    assert fails(result) == {"readings-unconnected"}


@pytest.mark.parametrize("seed", range(3))
def test_holes_on_one_line_are_named(seed: int) -> None:
    rng = np.random.default_rng(seed)
    result = survey(readings(ROW, rng=rng, handed=HANDED))
    assert "readings-on-line" in fails(result)
    assert result.on_line is not None
    # what it says of the uncertainty across covers where the search put them
    assert np.abs(result.points()[:, 1]).max() <= result.on_line.across_mm * 3


def test_an_exact_row_is_still_a_row() -> None:
    assert fails(survey(readings(ROW, handed=HANDED))) == {"readings-on-line"}


def test_offsets_from_a_straight_edge_cure_a_row() -> None:
    given = readings(ROW, handed=())
    offsets = tuple(Reading(kind="offset_v", from_="a", to=n, is_mm=0.0) for n in "bcd")
    assert "readings-on-line" not in fails(survey(replace(given, reading=(*given.reading, *offsets))))


@pytest.mark.parametrize("which", [0, 3, 5, 8])
def test_one_slip_is_named_whichever_reading_it_is(which: int) -> None:
    rng = np.random.default_rng(40 + which)
    given = readings(FIVE, handed=HANDED, rng=rng, slip=(which, 12.0 if which % 2 else -9.0))
    result = survey(given)
    assert "reading-gross-error" in fails(result)
    slipped = given.reading[which]
    first = result.problem.rows[result.suspects[0].row]
    labels = [result.problem.rows[s.row].label for s in result.suspects]
    assert f"{slipped.from_} to {slipped.to}, centres" in labels
    if len(labels) == 1:
        assert first.source == f"reading[{which}]"
        assert result.suspects[0].error_mm == pytest.approx(12.0 if which % 2 else -9.0, abs=3.0)


def test_an_inch_read_as_millimetres_is_named() -> None:
    rng = np.random.default_rng(3)
    given = readings(FIVE, handed=HANDED, rng=rng)
    k = 5
    bad = replace(given.reading[k], is_mm=given.reading[k].is_mm / 25.4)
    result = survey(replace(given, reading=(*given.reading[:k], bad, *given.reading[k + 1 :])))
    assert result.problem.rows[result.suspects[0].row].source == f"reading[{k}]"


def test_two_slips_are_not_one() -> None:
    rng = np.random.default_rng(8)
    given = readings(FIVE, handed=HANDED, lines=True, rng=rng)
    worse = tuple(
        replace(r, is_mm=r.is_mm + (9.0 if k in (1, 8) else 0.0)) for k, r in enumerate(given.reading)
    )
    result = survey(replace(given, reading=worse))
    assert "reading-gross-error" in fails(result)
    assert result.chance < 1e-6


def test_a_set_that_disagrees_all_over() -> None:
    """Every reading taken twice, 1.9 mm apart at 0.5 mm stated: none is beyond 3.29, together they are."""
    given = readings(FIVE, handed=HANDED, lines=True)
    twice = tuple(replace(r, is_mm=r.is_mm + by) for r in given.reading for by in (-0.95, 0.95))
    result = survey(replace(given, reading=twice))
    assert fails(result) == {"readings-disagree"}
    assert distances(result.points()) == pytest.approx(distances(FIVE), abs=1e-6)


@pytest.mark.parametrize("scale", [0.97, 1.12])
def test_a_wrong_scale_is_named_and_not_applied(scale: float) -> None:
    """A print at 97 % or 112 %: two known holes say it. The known places stay where they are."""
    rng = np.random.default_rng(2)
    result = survey(readings(FIVE, known=(0, 1), handed=HANDED, rng=rng, scale=scale))
    assert "readings-scale" in fails(result)
    wish = next(s for s in result.scales if s.instrument == "tape")
    assert wish.scale == pytest.approx(scale, abs=0.02)
    assert result.points()[:2] == pytest.approx(FIVE[:2], abs=1e-6)


def test_scale_is_silent_when_nothing_can_tell() -> None:
    result = survey(readings(FIVE, handed=HANDED, rng=np.random.default_rng(2), scale=1.12))
    assert result.scales == ()


# --- the next reading -----------------------------------------------------------------------
def test_next_reading_is_the_best_by_brute_force() -> None:
    pairs = [(0, 1), (1, 2), (0, 2), (2, 3), (0, 3), (1, 3), (1, 4), (2, 4), (0, 4)]
    given = readings(FIVE, pairs, handed=HANDED, rng=np.random.default_rng(5))
    result = survey(given)
    assert result.advice is not None
    best = {}
    for row, to in candidates(result.problem, given.line, given.measure.tape_mm):
        name = result.problem.names[row.a]
        exact = float(np.hypot(*(result.points()[row.a] - result.points()[row.b])))
        more = Reading(from_=name, to=to, is_mm=exact)
        again = survey(replace(given, reading=(*given.reading, more)))
        best[name, to] = worst_major(again.adjusted.covariance)[0]
    chosen = best[result.advice.hole, result.advice.to]
    assert chosen == pytest.approx(min(best.values()), rel=1e-6)
    assert result.advice.major_mm == pytest.approx(chosen, rel=1e-6)


def test_update_of_a_covariance_is_the_inverse_of_more_information() -> None:
    rng = np.random.default_rng(9)
    root = rng.normal(size=(6, 6))
    cov, slope = root @ root.T, rng.normal(size=6)
    wanted = np.linalg.inv(np.linalg.inv(cov) + np.outer(slope, slope) / 0.3**2)
    assert updated(cov, slope, 0.3) == pytest.approx(wanted, rel=1e-9)


def test_exact_places_have_no_ellipse() -> None:
    result = survey(readings(FIVE, known=(0, 1), handed=HANDED, rng=np.random.default_rng(2)))
    assert [e.major_mm for e in result.ellipses[:2]] == [0.0, 0.0]
    assert min(e.major_mm for e in result.ellipses[2:]) > 0.1
    assert loose_holes(result.problem, result.adjusted) == []


def test_one_hole_read_directly() -> None:
    given = Readings(
        measure=readings(FIVE).measure,
        hole=(MeasuredHole(name="a", diameter_mm=9.0, at=(10.0, 20.0), uncertainty_mm=0.4),),
    )
    result = survey(given)
    assert result.points()[0] == pytest.approx((10.0, 20.0))
    assert result.ellipses[0].major_mm == pytest.approx(0.4 * 2.4477, abs=1e-4)
    assert fails(result) == set()
