"""What `fits` says of the bus whose form was filled in from true places by a tape."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from bus_forms import FAR, OFF, Values, filled, quiet, wrong
from calling import call
from true_vehicle import Truth, readings, written

from generators.cli.commands.field.fits import screen
from generators.errors import SpecError
from generators.jobs.fits.answer import answered
from generators.jobs.fits.own import own_text
from generators.jobs.fits.read import measured
from generators.jobs.form.form import MeasureForm
from generators.reading.vehicle import read_vehicle
from generators.solve.job import prepare


def test_the_bus_by_plan_fits_when_its_line_is_made_on_it(
    form: MeasureForm, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("generators.jobs.fits.answer.MOST_TRIED", 2)
    monkeypatch.setattr("generators.jobs.fits.answer.ROUNDS", 2)
    monkeypatch.setattr("generators.jobs.fits.answer.INSTALLS", 1000)
    found = answered(measured(form, read_vehicle(filled(form, OFF, tmp_path))), quiet)
    assert found.verdict == "fits with moves"
    assert "hose[cab_line].measure" in found.values
    # what is written for it reads, has the moves and the places, and keeps the comments
    text = own_text(found)
    spec = tmp_path / "ferrow_bus.toml"
    spec.write_text(text, encoding="utf-8")
    (tmp_path / "shop.toml").write_bytes((form.prepared.file.spec_path.parent / "shop.toml").read_bytes())
    again = prepare(spec)
    assert next(h for h in again.file.job.hose if h.name == "cab_line").measure
    assert "# the only hole the pressure line needs" in text
    assert [f for f in again.findings if f.blocks] == []


def test_a_slave_far_from_its_place_is_no_fit_of_the_kit_as_sold(
    form: MeasureForm, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The truth by the job itself: with the slave there its hose is 30 mm and more too short."""
    there = prepare(
        form.prepared.file.spec_path, values={"component[slave].on.at": ["-180 mm", "375 mm", "270 mm"]}
    )
    was, now = (next(h for h in p.lines.hoses if h.spec.name == "slave_hose") for p in (form.prepared, there))
    assert was.length is not None
    assert now.path is not None
    assert now.path.length_mm > was.length.made_up_mm + 20
    monkeypatch.setattr("generators.jobs.fits.answer.ROUNDS", 0)
    found = answered(measured(form, read_vehicle(filled(form, FAR, tmp_path))), quiet)
    assert found.chance < 0.05
    # nobody's vehicle is so: first the three readings that say it are measured again, then it is told
    assert (found.verdict, found.likely) == ("measure again", "does not fit")
    assert [found.measured.taken.numbers[k] for k in found.measured.vehicle.doubt] == [4, 5, 6]
    said = list(screen(found))
    assert any("measure readings 4, 5 and 6 again" in line for line in said)
    assert "not told yet: it waits for readings 4, 5 and 6 to be measured again; else it would be:" in said
    path = tmp_path / "readings.toml"
    text = path.read_text(encoding="utf-8")
    for number in (4, 5, 6):
        text = text.replace(f"number = {number}\n", f"number = {number}\nagain = true\n")
    path.write_text(text, encoding="utf-8")
    sure = measured(form, read_vehicle(path))
    assert (sure.vehicle.slips, sure.vehicle.doubt) == ((), ())
    assert sure.vehicle.wider > 1
    assert answered(sure, quiet).verdict == "does not fit"
    assert found.why[0].name in (
        "hose to the slave reaches",
        "line from the bulkhead to the master meets its seats",
    )


def test_the_command_answers_by_its_exit_code(
    form: MeasureForm, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    spec = str(form.prepared.file.spec_path)
    path = filled(form, Truth(), tmp_path, wrong)
    monkeypatch.setattr("generators.jobs.fits.answer.ROUNDS", 0)
    assert call("fits", spec, str(path), "--json") == 1
    said: dict[str, Any] = json.loads(capsys.readouterr().out)
    assert (said["ok"], said["verdict"], said["slips"][0]["reading"]) == (False, "measure again", 5)


def test_millimetres_called_inches_are_read_however_long_and_a_minus_is_told_by_its_number(
    form: MeasureForm, tmp_path: Path
) -> None:
    """338 mm as 338 in is 8.6 m, longer than anything a spec may hold: a slip like any other. A tape has no minus."""

    def unit(v: Values) -> None:
        v[6] *= 25.4

    path = filled(form, OFF, tmp_path, unit)
    found = measured(form, read_vehicle(path))
    (slip,) = found.vehicle.slips
    assert (slip.kind, found.taken.numbers[slip.place]) == ("millimetres", 6)
    path.write_text(path.read_text(encoding="utf-8").replace('is = "', 'is = "-', 3), encoding="utf-8")
    with pytest.raises(SpecError) as caught:
        read_vehicle(path)
    assert [f.hint.partition(";")[0] for f in caught.value.faults] == [
        f"reading number {number} of the form" for number in (1, 2, 3)
    ]


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ('job = "ferrow_bus"', 'job = "wrenfield_van"', "the job these are asked for"),
        ('from = "choke_cable"', 'from = "choke"', "a reading this job can ask for"),
        ("number = 2", "number = 1", "number 1 again"),
        ("mm", "furlong", "furlong"),
        ("leans =", "is =", "a length with its unit"),
        ("is = ", "isnt = ", "isnt"),
    ],
)
def test_a_file_of_another_job_or_with_faults(
    form: MeasureForm, tmp_path: Path, old: str, new: str, says: str
) -> None:
    path = tmp_path / "bad.toml"
    path.write_text(written(form, readings(form, Truth())).replace(old, new, 1), encoding="utf-8")
    with pytest.raises(SpecError) as caught:
        measured(form, read_vehicle(path))
    assert any(says in f"{f.found} {f.expected} {f.hint}" for f in caught.value.faults), caught.value.faults
