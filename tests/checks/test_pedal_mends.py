"""What rules on pedals propose to change: by the least that does it, and the masters and reservoirs by hand."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from pedal_jobs import FRAME, LOW, brake_pedal, clutch, clutch_pedal

from generators.checks.pedal.changes import PIN_STEP_MM, larger_master, larger_reservoir
from generators.hydraulics.brake import solve_brake
from generators.hydraulics.result import solve_clutch
from generators.model.changes import Change
from generators.model.limits import Limits


def test_a_steep_rod_gets_its_pin_moved_by_the_least_that_does() -> None:
    """Solved again with the pin at every step up to the one proposed, both ways: only the last is not steep."""
    pedal = clutch_pedal()
    angle = solve_clutch(pedal, LOW).peak_rod_angle_rad
    limits = Limits(rod_angle_rad=angle - math.radians(0.5), rod_angle_fail_rad=angle + 0.1)

    def steep(by_mm: float) -> bool:
        moved = replace(pedal, pin=(pedal.pin[0], pedal.pin[1] + by_mm))
        return "rod-angle" in {f.code for f in clutch(moved, LOW, limits)}

    (found,) = [f for f in clutch(pedal, LOW, limits) if f.code == "rod-angle"]
    (mend,) = [p for p in found.proposals if "pin" in p.words]
    (change,) = mend.steps
    assert isinstance(change, Change)
    assert change.by is not None
    assert f" {'up' if change.by > 0 else 'down'} on its arm" in mend.words
    assert not steep(change.by)
    for n in range(1, round(abs(change.by) / PIN_STEP_MM)):
        assert steep(n * PIN_STEP_MM)
        assert steep(-n * PIN_STEP_MM)


def test_a_circuit_over_its_rating_gets_the_smallest_common_master_that_keeps_it_under() -> None:
    """The force stays, so pressure goes with one over the area: 1.2 times the rating asks for sqrt(1.2) the bore."""
    pedal = brake_pedal()
    circuit = solve_brake(pedal, FRAME).circuits[0]
    found = larger_master(pedal, circuit, circuit.most_mpa / 1.2)
    bores = [s.to for p in found for s in p.steps if isinstance(s, Change)]
    least = circuit.bore_mm * math.sqrt(1.2)
    # sixteenths of an inch (common practice, no source)
    common = [25.4 * n / 16 for n in (10, 11, 12, 13, 14, 15, 16)]
    assert bores == pytest.approx([b for b in common if b >= least][:3])


@pytest.mark.parametrize(("needed_mm3", "cc"), [(120_000.0, 120), (120_001.0, 121)])
def test_a_larger_reservoir_holds_whole_cubic_centimetres_and_no_less(needed_mm3: float, cc: int) -> None:
    (mend,) = larger_reservoir("reservoir[r].volume", needed_mm3)
    assert mend.words == f"fit a reservoir of at least {cc} cc"
    assert mend.steps == (Change(path="reservoir[r].volume", to=cc, unit="cc", rounding="up"),)
