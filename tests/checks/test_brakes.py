"""Rules on a brake at the force that may come: ratings, one circuit, a circuit lost."""

from __future__ import annotations

from dataclasses import replace

import pytest
from pedal_jobs import FRAME, brake, brake_pedal
from pedal_samples import FRONT, HOSE

from generators.checks.waivers import apply_waivers
from generators.hydraulics.brake import solve_brake
from generators.model.findings import Severity
from generators.model.spec.brakes import Brake
from generators.model.spec.hydraulics import Targets

GOOD = solve_brake(brake_pedal(), FRAME)
MOST = GOOD.circuits[0].most_mpa


@pytest.mark.parametrize("effort", [None, 200.0, 450.0])
def test_a_weak_piece_fails_whatever_is_comfortable(effort: float | None) -> None:
    targets = Targets(effort_n=effort)
    weak = brake_pedal(front=replace(FRONT, pressure_mpa=None, rating_mpa=MOST - 0.001), targets=targets)
    (found,) = brake(weak)
    assert (found.code, found.severity, found.where) == ("line-pressure", Severity.FAIL, "pedal:brake front")
    assert "700 N" in found.found
    held = brake_pedal(front=replace(FRONT, pressure_mpa=None, rating_mpa=MOST + 0.001), targets=targets)
    assert brake(held) == []


def test_the_weakest_hose_of_its_own_circuit_decides() -> None:
    lines = (replace(HOSE, rating_mpa=MOST - 0.001), replace(HOSE, circuit="rear", rating_mpa=20.0))
    (found,) = brake(brake_pedal(line=lines))
    assert (found.where, found.wanted) == ("pedal:brake front", f"{MOST - 0.001:g} MPa, the hose 1")


def test_pieces_without_a_rating_are_named() -> None:
    lines = (HOSE, replace(HOSE, circuit="rear", rating_mpa=20.0))
    (found,) = brake(brake_pedal(front=replace(FRONT, rating_mpa=None), line=lines))
    assert (found.code, found.severity) == ("no-rating", Severity.NOTE)
    assert found.found == "no rating of front circuit, hose 1"


# FMVSS 105 (49 CFR 571.105) S5.4.2, its first sentence as a letter of interpretation quotes it: a reservoir holds at
# least what all cylinders take that it serves, from new linings fully retracted to fully worn ones fully applied.
# By hand: 14 cc that follow the pads and 3 cc until they grip are 17; with a stroke of 28 mm of 19.05, 22.0.
@pytest.mark.parametrize(
    ("holds", "severity"),
    [(16.999, Severity.FAIL), (17.001, Severity.WARN), (21.97, Severity.WARN), (21.99, None)],
)
def test_fluid_for_worn_linings_fully_applied(holds: float, severity: Severity | None) -> None:
    worn = replace(FRONT, pressure_mpa=None, volume_mm3=3000.0, wear_mm3=14_000.0, reservoir_mm3=1000 * holds)
    found = brake(brake_pedal(front=worn))
    assert [(f.code, f.severity) for f in found] == ([("reservoir-volume", severity)] if severity else [])
    assert all(f.wanted == "22.0 cc (fail below 17.0 cc)" for f in found)


def alone(**keys: object) -> Brake:
    return Brake(front=replace(FRONT, pressure_mpa=None), **keys)  # type: ignore[arg-type]


def test_one_circuit_for_both_axles_fails() -> None:
    (found,) = brake(replace(brake_pedal(), brake=alone()))
    assert (found.code, found.severity, found.blocks) == ("one-circuit", Severity.FAIL, True)
    for keys in ({"tandem": True}, {"axles": "one"}):
        assert brake(replace(brake_pedal(), brake=alone(**keys))) == []


def test_a_vehicle_built_with_one_circuit_carries_the_words_on_every_sheet() -> None:
    words = "Built with one circuit; registered so, local code 12"
    (found,) = brake(replace(brake_pedal(), brake=alone(single_circuit=words)))
    assert (found.waived, found.blocks) == (words, False)
    (kept,) = apply_waivers([found], {})
    assert kept.waived == words


@pytest.mark.parametrize("index", [0, 1])
def test_a_lost_circuit_must_leave_a_brake_above_the_floor(index: int) -> None:
    lost = GOOD.lost[index]
    pads = sorted(x.pad_mm for x in GOOD.lost)
    assert lost.pad_mm > GOOD.at_effort_mm
    found = brake(brake_pedal(travel_mm=lost.pad_mm - 0.1))
    assert f"pedal:brake {lost.lost}" in {f.where for f in found if f.code == "circuit-lost"}
    assert all(f.severity is Severity.FAIL for f in found if f.code == "circuit-lost")
    inside = {f.where for f in brake(brake_pedal(travel_mm=lost.pad_mm + 0.1)) if f.code == "circuit-lost"}
    assert f"pedal:brake {lost.lost}" not in inside
    assert {f.code for f in brake(brake_pedal(travel_mm=pads[-1] + 0.1))} <= {"pedal-travel"}
