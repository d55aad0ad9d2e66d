"""The form of the bus filled in from true places by a tape, with slips and without: what is found and named."""

from __future__ import annotations

import math
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from bus_forms import FAR, OFF, Values, filled, wrong
from true_vehicle import Truth, readings, written

from generators.geometry.frames import panel_frame
from generators.jobs.fits.answer import own_values
from generators.jobs.fits.read import measured, slip_words
from generators.jobs.form.form import MeasureForm, sheet_of
from generators.measure.chance.asked import Observation
from generators.measure.chance.slips import vehicle_of
from generators.reading.vehicle import read_vehicle
from generators.solve.job import prepare


def test_least_squares_with_what_vehicles_are_like_by_hand() -> None:
    """One unknown of deviation 3, read once as 5 ± 4: mean 5 x 9/25 = 1.8, variance 9 x 16/25 = 5.76."""
    obs = [Observation(key=("a",), row=np.array([1.0]), expected=0.0, sigma=4.0)]
    found = vehicle_of(obs, [5.0], np.array([[9.0]]))
    assert found.mean == pytest.approx([1.8])
    assert found.covariance == pytest.approx(np.array([[5.76]]))
    assert found.slips == ()


def test_what_was_measured_is_found_again(form: MeasureForm, tmp_path: Path) -> None:
    found = measured(form, read_vehicle(filled(form, OFF, tmp_path)))
    assert found.vehicle.slips == ()
    assert found.vehicle.wider == 1.0
    own = own_values(found)
    at = [float(t.removesuffix(" mm")) for t in own["panel[bulkhead].existing[choke_cable].at"]]
    assert at == pytest.approx([83.0, 108.0], abs=1.5)
    slave = [float(t.removesuffix(" mm")) for t in own["component[slave].on.at"]]
    assert slave == pytest.approx([-126.0, 377.0, 325.0], abs=3.5)


def _inches(v: Values) -> None:
    v[3] = v[3] / 25.4


def _swapped(v: Values) -> None:
    v[1], v[2] = v[2], v[1]


@pytest.mark.parametrize(
    ("slip", "kind", "number"), [(_inches, "inches", 3), (_swapped, "swapped", 1), (wrong, "wrong", 5)]
)
def test_slips_are_named_by_the_number_of_their_picture(
    form: MeasureForm, tmp_path: Path, slip: Callable[[Values], None], kind: str, number: int
) -> None:
    found = measured(form, read_vehicle(filled(form, Truth(), tmp_path, slip)))
    (one,) = found.vehicle.slips
    assert (one.kind, found.taken.numbers[one.place]) == (kind, number)
    (words,) = slip_words(found.taken, found.vehicle.slips)
    assert f"reading {number}" in words or f"readings {number} and 2" in words
    true = readings(form, Truth())
    if kind != "swapped":
        assert one.value == pytest.approx(true[number], abs=3.0)


def test_a_lean_to_the_other_side_is_named_and_mended(form: MeasureForm, tmp_path: Path) -> None:
    """The toe board leans 45 degrees forward; a minus before it is no vehicle."""

    def minus(v: Values) -> None:
        v[8] = -v[8]

    found = measured(form, read_vehicle(filled(form, OFF, tmp_path, minus)))
    (slip,) = found.vehicle.slips
    assert (slip.kind, found.taken.numbers[slip.place], found.vehicle.doubt) == ("sign", 8, ())
    assert slip_words(found.taken, [slip]) == [
        "reading 8 leans to the other side: -45.0 degrees is taken as 45.0 degrees"
    ]


def test_a_mend_that_may_be_the_vehicle_waits_for_both_readings_to_be_taken_again() -> None:
    """By hand: two readings of 300 and 310 mm, vehicles of 3 mm, a tape of 0.5. Read as 311 and 299 mm: each off by
    11 mm, 3.6 times √(9 + 0.25), more than chance, so they were exchanged; but of a vehicle that differs four times
    as much as was thought (√(144 + 0.25) = 12.0) neither is odd."""
    obs = [
        Observation(key=(name,), row=np.array(row), expected=expected, sigma=0.5)
        for name, row, expected in (("a", [1.0, 0.0], 300.0), ("b", [0.0, 1.0], 310.0))
    ]
    found = vehicle_of(obs, [311.0, 299.0], np.diag([9.0, 9.0]))
    assert [(s.kind, s.place, s.other) for s in found.slips] == [("swapped", 0, 1)]
    assert found.doubt == (0, 1)
    # 300 and 600 mm exchanged are no vehicle's
    far = [obs[0], Observation(key=("b",), row=np.array([0.0, 1.0]), expected=600.0, sigma=0.5)]
    found = vehicle_of(far, [600.0, 300.0], np.diag([9.0, 9.0]))
    assert [s.kind for s in found.slips] == ["swapped"]
    assert found.doubt == ()
    # measured again with the same result they stand
    found = vehicle_of(obs, [311.0, 299.0], np.diag([9.0, 9.0]), frozenset({0, 1}))
    assert (found.slips, found.doubt) == ((), ())


def test_a_slip_that_hides_in_the_sum_shows_by_itself() -> None:
    """By hand: nine readings of one length, vehicles of 3 mm, a tape of 1; one is 4 mm more than the others.

    Of the others' mean it is off by 4 / √(1 + 1/8) = 3.77 at most, more than Baarda's 3.29; together they leave
    about 14.2 (4² · 8/9) of nine, which chance explains well."""
    obs = [Observation(key=(str(k),), row=np.array([1.0]), expected=300.0, sigma=1.0) for k in range(9)]
    found = vehicle_of(obs, [300.0] * 8 + [304.0], np.array([[9.0]]))
    assert [(s.kind, s.place) for s in found.slips] == [("wrong", 8)]
    assert vehicle_of(obs, [300.0] * 8 + [303.0], np.array([[9.0]])).slips == ()


def test_three_slips_of_three_kinds_are_all_named(form: MeasureForm, tmp_path: Path) -> None:
    """A wrong digit, inches for mm and two lines exchanged, on a vehicle that differs by some mm."""

    def three(v: Values) -> None:
        v[2] += 50.0
        v[5] /= 25.4
        v[4], v[6] = v[6], v[4]

    found = measured(form, read_vehicle(filled(form, OFF, tmp_path, three)))
    said = {(s.kind, found.taken.numbers[s.place]) for s in found.vehicle.slips}
    assert said == {("wrong", 2), ("inches", 5), ("swapped", 4)}
    assert found.vehicle.wider == 1.0


def test_what_was_measured_again_is_believed(form: MeasureForm, tmp_path: Path) -> None:
    """One hole 15 mm off, ten times what the spec says: a slip at first; measured again, the vehicle is so."""
    truth = Truth(holes={"bulkhead.choke_cable": (15.0, 0.0)})
    path = filled(form, truth, tmp_path)
    (slip,) = measured(form, read_vehicle(path)).vehicle.slips
    assert (slip.kind, slip.place) == ("wrong", 0)
    text = path.read_text(encoding="utf-8").replace("number = 1\n", "number = 1\nagain = true\n")
    path.write_text(text, encoding="utf-8")
    found = measured(form, read_vehicle(path))
    assert found.vehicle.slips == ()
    assert found.vehicle.wider > 1
    at = own_values(found)["panel[bulkhead].existing[choke_cable].at"]
    assert float(at[0].removesuffix(" mm")) == pytest.approx(95.0, abs=1.5)


@pytest.mark.parametrize("said", ["-0.6 deg", "-90.6 deg"])
def test_a_panel_that_lies_is_read_off_level_and_may_lean_over_it(
    form: MeasureForm, tmp_path: Path, said: str
) -> None:
    """The cross member looks down: -90 deg. Its rear edge 0.6 deg low is more than that: minus, the front high."""
    number = next(k for k, a in enumerate(form.asked, 1) if a.panel == "cross_member")
    line = sheet_of(form).lines[number - 1]
    assert line.expected == pytest.approx(0.0)
    assert "off level" in line.words
    # by hand: v of the panel runs to the rear, and falls
    frame = panel_frame((0.0, 0.0, 0.0), math.radians(-90.6), 0.0)
    assert frame[0, 1] > 0.99
    assert frame[2, 1] < 0
    text = written(form, readings(form, Truth())).replace('"-90.0 deg"', f'"{said}"')
    path = tmp_path / "readings.toml"
    path.write_text(text, encoding="utf-8")
    found = measured(form, read_vehicle(path))
    assert found.vehicle.slips == ()
    tilt = own_values(found)["panel[cross_member].tilt"]
    assert -90.7 < float(tilt.removesuffix(" deg")) < -90.3
    prepare(form.prepared.file.spec_path, values={"panel[cross_member].tilt": tilt})


def test_two_readings_that_cannot_be_are_another_vehicle_and_not_slips(
    form: MeasureForm, tmp_path: Path
) -> None:
    found = measured(form, read_vehicle(filled(form, FAR, tmp_path)))
    assert [s for s in found.vehicle.slips if s.kind == "wrong"] == []
    assert found.vehicle.wider > 1
