"""Holes that are there and were measured: what their uncertainty asks of a part's clearances, added up by hand.

M8 in 9 mm, in panel and part, leaves 2 mm; the part's own holes take 0.4 mm. A centre read with a standard uncertainty s
each way lies in a round of 2 x 2.4477 s with 95 % (chi-square of 2 degrees of freedom, 5.991): 4.8955 s.
"""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from calling import call
from checked import written
from checks.joint_jobs import FOUR_TENTHS, MIDDLE, bolt, firewall, job_of, on, plate, slot
from flawed import SPECS
from typed import printed, typed

from generators.checks.joint.mating import round_zone
from generators.checks.joint.measured_places import check_measured_places
from generators.layout.mounting import PlacedPart
from generators.layout.panels import panel_layout
from generators.layout.stacking import stacked
from generators.model.findings import Finding, Severity
from generators.model.install import InstallOrder, Task
from generators.model.plan import PanelHole
from generators.model.spec.job import ExistingHole
from generators.model.words import PlacedBy
from generators.solve.work import with_work

FERROW = (SPECS / "ferrow_bus.toml").read_text(encoding="utf-8")


def there(
    name: str, u: float, v: float = 0.0, *, sigma: float | None = None, by: PlacedBy = ""
) -> ExistingHole:
    return ExistingHole(
        name=name,
        at=(MIDDLE[0] + u, MIDDLE[1] + v),
        diameter_mm=9.0,
        action="reuse",
        what="old hole",
        uncertainty_mm=sigma,
        measured_by=by,
    )


def judged(part: PlacedPart, *existing: ExistingHole) -> tuple[dict[str, PanelHole], list[Finding]]:
    """Holes by name, and what is said of measured places."""
    sheet = firewall(existing=existing)
    placed = stacked(job_of(sheet), [part])
    order = InstallOrder(tasks=(Task(kind="part", name="p", title="t"),), needs=())
    layouts = with_work([panel_layout(sheet, placed, ())], [sheet], placed, (), order, FOUR_TENTHS)
    return {h.name: h for h in layouts[0].holes}, list(check_measured_places([sheet], placed, layouts))


def pair(*third: tuple[float, float]) -> PlacedPart:
    at = ((-50.0, 0.0), (50.0, 0.0), *third)
    return on(plate(*(bolt(f"m_{k}", u, v, "M8") for k, (u, v) in enumerate(at))))


def test_the_round_holds_95_of_100_centres() -> None:
    rng = np.random.default_rng(3)
    off = np.hypot(*rng.normal(0.0, 0.5, (2, 40_000)))
    assert np.mean(off <= round_zone(0.5) / 2) == pytest.approx(0.95, abs=0.005)
    assert round_zone(0.5) == pytest.approx(0.5 * 2 * math.sqrt(5.991), rel=1e-4)


@pytest.mark.parametrize(("sigma", "fits"), [(0.326, True), (0.328, False)])
def test_two_measured_holes_share_the_clearance_of_both(sigma: float, fits: bool) -> None:
    """2 x 4.8955 s + 0.8 of 4 mm: s to 0.3268 mm."""
    _, found = judged(pair(), there("a", -50.0, sigma=sigma), there("b", 50.0, sigma=sigma))
    assert (found == []) == fits
    for warned in found:
        assert warned.severity is Severity.WARN
        assert warned.value == pytest.approx(2 * 4.8955 * sigma + 0.8, abs=1e-3)
        assert warned.limit == pytest.approx(4.0)


@pytest.mark.parametrize(("by", "sigma"), [("tape", 0.5), ("rule", 0.3), ("caliper", 0.1)])
def test_an_instrument_stands_for_its_uncertainty(by: PlacedBy, sigma: float) -> None:
    holes, found = judged(pair(), there("a", -50.0, by=by), there("b", 50.0, by=by))
    assert holes["a"].sigma_mm == sigma
    assert bool(found) == (by == "tape")
    # what was read finer than with it goes before
    finer = judged(pair(), there("a", -50.0, by=by, sigma=0.1), there("b", 50.0, sigma=0.1))[1]
    assert not any(f.severity is Severity.WARN for f in finer)


def test_one_measured_hole_holds_the_part_and_the_rest_is_drilled_through_it() -> None:
    holes, found = judged(pair((0.0, 40.0)), there("a", -50.0, by="tape"))
    assert holes["a"].work.locates == ("p",)
    assert {holes[f"p.m_{k}"].work.how for k in (1, 2)} == {"part"}
    assert found == []


@pytest.mark.parametrize(("sigma", "fits"), [(0.204, True), (0.205, False)])
def test_a_third_hole_of_less_clearance_is_told_alone(sigma: float, fits: bool) -> None:
    """Between two M8 of 9 mm, which let the part lie as planned, one of 8.4 mm: 4.8955 s + 0.4 of 0.4 + 1 mm."""
    tight = bolt("m_2", 0.0, 0.0, "M8", fit="fine")
    part = on(plate(bolt("m_0", -50.0, 0.0, "M8"), bolt("m_1", 50.0, 0.0, "M8"), tight))
    _, found = judged(part, *(there(n, u, sigma=sigma) for n, u in (("a", -50.0), ("b", 50.0), ("c", 0.0))))
    assert (found == []) == fits
    for warned in found:
        assert warned.where.endswith("(c)")
        assert warned.value == pytest.approx(4.8955 * sigma + 0.4, abs=1e-3)
        assert warned.limit == pytest.approx(1.4)


def test_a_third_hole_must_be_met_by_a_part_that_two_hold() -> None:
    """One end coarse, 10 mm, opened in the panel: 2 x 2.448 + 0.8 of 4 + 2 mm holds the part, read by tape, up to
    1.224 mm off in the middle. There one of s = 0.4 must take 2 x 1.224 + 1.958 + 0.4 of 2 mm."""
    ends = (bolt("m_0", -50.0, 0.0, "M8", fit="coarse"), bolt("m_1", 50.0, 0.0, "M8"))
    part = on(plate(*ends, bolt("m_2", 0.0, 0.0, "M8")))
    ends_there = (there("a", -50.0, by="tape"), there("b", 50.0, by="tape"))
    (found,) = judged(part, *ends_there, there("c", 0.0, sigma=0.4))[1]
    assert found.value == pytest.approx(4.806, abs=2e-3)
    assert found.limit == pytest.approx(2.0)


def test_a_part_that_cannot_be_drilled_through_must_meet_the_hole_by_plan() -> None:
    """4.8955 s + 0.4 of 2 mm, with the drill behind the panel."""
    part = pair()
    assert part.spec.mount is not None
    behind = replace(part, spec=replace(part.spec, mount=replace(part.spec.mount, drill_from="engine")))
    assert judged(behind, there("a", -50.0, sigma=0.326))[1] == []
    (found,) = judged(behind, there("a", -50.0, sigma=0.328))[1]
    assert found.limit == pytest.approx(2.0)
    assert "drill through p, from the face it lies on" in {p.words for p in found.proposals}


def test_a_slot_along_the_line_takes_it_up() -> None:
    for angle, fits in ((0.0, True), (math.pi / 2, False)):
        slotted = on(plate(bolt("m_0", -50.0, 0.0, "M8"), replace(slot(6.0, angle, 9.0), u_mm=50.0)))
        found = judged(slotted, there("a", -50.0, by="tape"), there("b", 50.0, by="tape"))[1]
        assert (found == []) == fits


def test_holes_nobody_says_how_they_were_measured_are_noted() -> None:
    (found,) = judged(pair(), there("a", -50.0), there("b", 50.0))[1]
    assert found.severity is Severity.NOTE
    assert judged(pair(), there("a", -50.0))[1] == []


def test_the_change_printed_for_holes_read_by_tape_works(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    text = FERROW.replace('measured_by = "caliper"', 'measured_by = "tape"')
    call("check", str(written(tmp_path, text)))
    # the bus's other hand of drive stands below it with the same
    change, *_ = (c for c in printed(capsys.readouterr().out) if c.code == "mating")
    assert change.words.startswith("measure bolt_")
    call("check", str(written(tmp_path, typed(text, change))))
    assert "mating" not in capsys.readouterr().out


@pytest.mark.parametrize(
    ("by", "given", "told"),
    [("caliper", 5.0, True), ("caliper", 0.301, True), ("caliper", 0.299, False), ("tape", 0.251, False),
     ("tape", 0.249, True), ("", 5.0, False)],
)  # fmt: skip
def test_an_uncertainty_its_instrument_does_not_give_is_told(by: PlacedBy, given: float, told: bool) -> None:
    """A tape's 0.5 mm: four readings halve it (the mean's s / sqrt n); three times is a slip."""
    panel = firewall(existing=(there("a", -50.0, by=by, sigma=given),))
    found = [
        f for f in check_measured_places([panel], [], [panel_layout(panel, (), ())]) if "existing" in f.where
    ]
    assert [f.severity for f in found] == ([Severity.NOTE] if told else [])
