"""The install sheet of a job with hoses: steps in the order of the graph, lengths only when they may be cut."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from sheet_pages import page_texts

from generators.pipeline.prepare import Prepared, prepare
from generators.pipeline.tasks import job_tasks

SPECS = Path(__file__).parents[2] / "specs"


@pytest.fixture(scope="module")
def dray() -> Prepared:
    return prepare(SPECS / "dray_tractor.toml")


@pytest.fixture(scope="module")
def sheet(dray: Prepared, tmp_path_factory: pytest.TempPathFactory) -> str:
    path = tmp_path_factory.mktemp("sheets") / "install_sheet.pdf"
    task = next(t for t in job_tasks(dray, "A4") if t.entry.path == "install_sheet.pdf")
    task.write(path)
    return " ".join(page_texts(path))


def step_of(sheet: str, words: str) -> int:
    """The number of the step that begins with these words."""
    found = re.findall(rf"❏ ([0-9]{{1,3}})\. {words}", sheet)
    assert len(found) == 1, (words, found)
    return int(found[0])


def test_steps_run_through_without_a_gap(sheet: str) -> None:
    numbers = [int(n) for n in re.findall(r"❏ ([0-9]{1,3})\. (?=[A-Z])", sheet)]
    assert numbers == list(range(1, len(numbers) + 1))
    assert len(numbers) > 25


def test_what_is_measured_names_its_step_and_no_length(sheet: str) -> None:
    measure = step_of(sheet, "Measure the hose to the slave now")
    # nothing but the step stands in the list where others have their length
    assert f"Hose to the slave -4 hose, 9 mm outside measure at step {measure} " in sheet
    assert step_of(sheet, "Fit the clutch slave cylinder") < measure


def test_what_is_cut_is_released_after_both_ends(sheet: str, dray: Prepared) -> None:
    hose = next(h for h in dray.lines.hoses if h.spec.name == "master_hose")
    assert hose.length is not None
    fit = step_of(sheet, "Fit the hose to the master")
    assert f"when step {fit - 1} is done" in sheet
    assert f"{hose.length.cut_mm:.2f} mm" in sheet
    for end in ("clutch master cylinder", "union at the front of the frame"):
        assert step_of(sheet, f"Fit the {end}") < fit


def test_every_step_of_a_panel_hole_is_pictured_once_it_is_drilled(sheet: str) -> None:
    assert sheet.index("Dash plate: mark and drill") < sheet.index("Cylinders and fittings")
    assert sheet.index("Put up the clamps") < sheet.index("Fit the rigid line along the frame")
    assert sheet.index("Check by hand.") < sheet.index("Bleed with the full stroke")
