"""What rules on hoses propose to change, by hand: the lengths, places and sizes a mend is tried with."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import pytest
from hose_jobs import SPEC, case, clamped, dashes, hose, near, stated, trapped

from generators.model.changes import Change, Insert, NewTable, Proposal, Shift
from generators.model.findings import Finding, Severity
from generators.model.hose_results import Clearance
from generators.model.spec.fittings import Adapter
from generators.model.spec.lines import Clamp, Spot


def only(findings: list[Finding], code: str) -> Finding:
    found = [f for f in findings if f.code == code]
    assert len(found) == 1, findings
    return found[0]


def lengths(proposals: Sequence[Proposal]) -> list[tuple[float | None, str]]:
    steps = [step for p in proposals for step in p.steps]
    assert all(isinstance(s, Change) and s.path == "hose[h].made_up" for s in steps)
    return [(s.to, s.rounding) for s in steps if isinstance(s, Change)]


def test_a_hose_too_short_is_tried_at_the_shortest_that_does_and_in_the_middle() -> None:
    """5 to 8 % (NAVEDTRA 14105) on 400 mm: 420 to 432 mm, in the middle 426 mm."""
    found = only(hose(case(400.0, 380.0)), "hose-too-short")
    assert lengths(found.proposals) == [(420, "up"), (pytest.approx(426.0), "near")]
    assert {p.words for p in found.proposals} == {"take a longer hose for h, by {by}"}


def test_a_hose_too_long_is_tried_at_the_longest_that_does_first() -> None:
    found = only(hose(case(400.0, 440.0)), "hose-slack")
    assert lengths(found.proposals) == [(432, "down"), (420, "up"), (pytest.approx(426.0), "near")]
    assert {p.words for p in found.proposals} == {"take a shorter hose for h, by {by}"}


def test_a_hose_whose_ends_move_is_tried_at_a_length_that_is_not_pulled_tight() -> None:
    """50 mm of fittings and (400 + 30 - 50) / 0.96 mm of hose, which gets 4 % shorter (AC 43.13-1B fig 9-9).

    That is 445.8 mm, and 3 % of 400 mm are left above it: what is advised in words is what is tried.
    """
    found = only(hose(replace(case(400.0, 424.0), moves_mm=30.0)), "hose-length-change")
    assert lengths(found.proposals) == [
        (math.ceil(50 + 380 / 0.96), "up"),
        (pytest.approx(50 + 380 / 0.96 + 6.0), "near"),
    ]
    assert found.advice == "take a hose of 445.84 mm to 457.83 mm"
    for made in (446.0, 457.0):
        assert hose(replace(case(400.0, made), moves_mm=30.0)) == []


def test_a_hose_as_long_as_its_path_reaches_but_has_no_slack() -> None:
    codes = {f.code for f in hose(case(400.0, 400.0))}
    assert "hose-slack" in codes
    assert "hose-too-short" not in codes


def test_a_long_span_gets_clamps_that_divide_it_evenly() -> None:
    """1300 mm take two clamps to leave no span over 24 in = 609.6 mm (AC 43.13-1B 9-30d(3)): 433.3 mm each.

    13 mm are 8.19 sixteenths, so -9. The hose lies level at height 0: a clamp on 12 mm holds it from below.
    """
    found = only(hose(case(1300.0, 1300 * 1.06)), "hose-support-spacing")
    assert found.advice == "add 2 clamps between start and end"
    (mend,) = found.proposals
    tables = [dict(s.keys) for s in mend.steps if isinstance(s, NewTable)]
    assert [t["dash"] for t in tables] == ["9", "9"]
    assert [t["on"] for t in tables] == [
        f'{{ at = ["{x} mm", "0.0 mm", "-12.0 mm"], facing = "up" }}' for x in ("433.3", "866.7")
    ]
    assert [s.name for s in mend.steps if isinstance(s, Insert)] == [t["name"].strip('"') for t in tables]


def test_a_new_clamp_stands_in_the_list_before_the_one_it_comes_before() -> None:
    found = only(hose(case(1100.0, 1100 * 1.06, 1000.0)), "hose-support-spacing")
    assert found.advice == "add 1 clamp between start and c1000"
    (insert,) = [s for p in found.proposals for s in p.steps if isinstance(s, Insert)]
    assert (insert.path, insert.before) == ("hose[h].clamps", "c1000")


def test_the_clamp_nearest_to_what_is_too_near_is_moved_up_or_down() -> None:
    """2 mm are lacking at 100 mm; the clamp 80 mm off is moved by 2 mm and one more, not the one 190 mm off."""
    free = Spot(at=(0.0, 0.0, 0.0))
    one = case(400.0, 424.0, 180.0, 290.0)
    gap = Clearance(
        hose="h", body="thing", what="obstacle", kind="fixed", gap_mm=1.0, limit_mm=3.0,
        station_mm=100.0, at=(100.0, 0.0, 3.0),
    )  # fmt: skip
    clamps = tuple(Clamp(name=name, dash=9, on=free) for name in ("c180", "c290"))
    found = only(hose(replace(one, clamps=clamps, clearances=(gap,))), "hose-clearance")
    assert [(p.words, p.steps) for p in found.proposals] == [
        ("raise c180 by {by}", (Shift(thing="clamp:c180", up=3.0),)),
        ("lower c180 by {by}", (Shift(thing="clamp:c180", up=-3.0),)),
    ]


def test_a_hump_is_lowered_or_the_low_point_after_it_raised_by_what_it_is_high() -> None:
    found = only(trapped(there=True), "air-trap")
    assert [(p.words, p.steps) for p in found.proposals] == [
        ("lower c1 by {by}", (Shift(thing="clamp:c1", up=-30.0),)),
        ("raise c1 by {by}", (Shift(thing="clamp:c1", up=30.0),)),
    ]


def test_a_length_stated_of_another_hose_is_tried_as_it_is_cut() -> None:
    """424 mm made up, 374 mm of it hose: from 1 % under the one to 1 % over the other both are let pass."""
    (found,) = stated(500.0)
    (mend,) = found.proposals
    assert mend.steps == (Change(path="pedal[clutch].line[h].length", to=374.0),)
    assert [stated(length) for length in (374.0, 370.3, 424.0, 428.2)] == [[], [], [], []]
    assert all(stated(length) for length in (370.2, 428.3))


def test_a_hose_is_made_the_size_of_its_ports_where_both_are_one() -> None:
    both = [f for f in dashes(3, 3) if f.code == "hose-dash-size"]
    assert len(both) == 2
    for found in both:
        (mend,) = found.proposals
        assert mend.words == "make h -3 as its ports are"
        assert mend.steps == (Change(path="hose[h].dash", word=3),)
    assert only(dashes(4, 3), "hose-dash-size").proposals == ()


def test_a_clamp_that_chokes_is_tried_at_the_size_named() -> None:
    (mend,) = only(clamped(8), "clamp-size").proposals
    assert mend.steps == (Change(path="clamp[c].dash", word=9),)


@pytest.mark.parametrize(
    ("dash", "port", "says"), [(4, 3, []), (3, 3, ["-3"]), (4, 2, ["an adapter from -3"])]
)
def test_an_adapter_fits_its_hose_at_one_end_and_its_port_at_the_other(
    dash: int, port: int, says: list[str]
) -> None:
    """A -4 hose on a -3 port, by an adapter of which one thread or the other is wrong."""
    adapter = Adapter(shelf="a", port_dash=port, dash=dash, length_mm=20.0)
    one = replace(case(), spec=replace(SPEC, made_up_mm=424.0, from_adapter=adapter), dashes=(3, None))
    assert [f.wanted for f in hose(one) if f.code == "hose-dash-size"] == says


def test_a_touch_is_no_gap_and_a_straight_run_too_short_is_only_warned_of() -> None:
    assert only(near("obstacle", "fixed", 0.0, 3.0), "hose-clearance").severity is Severity.FAIL
    assert only(hose(replace(case(), straight_mm=1.0)), "hose-straight-run").severity is Severity.WARN
