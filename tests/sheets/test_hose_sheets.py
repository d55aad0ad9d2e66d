"""The install sheet of a job with hoses: steps in the order of the graph, lengths only when they may be cut."""

from __future__ import annotations

import math
import re
from dataclasses import replace
from pathlib import Path

import pytest
from made_once import solved
from sheet_pages import page_texts

from generators.jobs.make.job_files import job_files
from generators.jobs.make.line_sheets import lines_sheet
from generators.sheets.hose_words import about
from generators.sheets.install.hoses import hose_steps
from generators.sheets.install.tools import line_rows
from generators.solve.job import Prepared, prepare


@pytest.fixture(scope="module")
def dray() -> Prepared:
    return solved("dray_tractor")


@pytest.fixture(scope="module")
def sheet(dray: Prepared, tmp_path_factory: pytest.TempPathFactory) -> str:
    path = tmp_path_factory.mktemp("sheets") / "install_sheet.pdf"
    task = next(t for t in job_files(dray, "A4") if t.entry.path == "install_sheet.pdf")
    task.body(path=path)
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
    assert f"ut the hose {hose.length.cut_mm:.0f} mm (least " in sheet
    for end in ("clutch master cylinder", "union at the front of the frame"):
        assert step_of(sheet, f"Fit the {end}") < fit


@pytest.mark.parametrize("made_up", [False, True])
def test_a_rigid_line_that_comes_made_up_is_bent_and_neither_cut_nor_flared(
    dray: Prepared, made_up: bool
) -> None:
    # nut and flare are on when it is bought, so its ends cannot be trimmed (common practice, no source)
    lines = lines_sheet(dray.lines, dray.file.job, dray.file.units)
    line = next(h for h in lines.hoses if h.spec.kind == "rigid")
    assert line.length is not None
    if made_up:
        line = replace(line, spec=replace(line.spec, made_up_mm=line.length.made_up_mm))
    lines = replace(lines, hoses=tuple(line if h.spec.name == line.spec.name else h for h in lines.hoses))
    (step,) = hose_steps(line, lines)
    assert "bend as the table says" in step.how
    for words in ("cut it", "nut and sleeve on and flare", "trim the end", "Blow it clean"):
        assert (words in step.how) != made_up
    for words in (
        "nuts on and both ends flared",
        "try a wire, bent by the table",
        "its ends on and its plugs in",
    ):
        assert (words in step.how) == made_up
    tools = next(words for what, words in line_rows(lines) if what == "rigid line")
    assert ("tube cutter" in tools) == ("flaring tool" in tools) == (not made_up)
    assert "bender" in tools


def test_every_step_of_a_panel_hole_is_pictured_once_it_is_drilled(sheet: str) -> None:
    assert sheet.index("Dash plate: mark and drill") < sheet.index("Cylinders and fittings")
    assert sheet.index("put up the clamps") < sheet.index("Fit the rigid line along the frame")
    assert sheet.index("Check by hand.") < sheet.index("Bleed with the full stroke")


@pytest.fixture(scope="module")
def van_sheet(hose_van: Path, tmp_path_factory: pytest.TempPathFactory) -> str:
    path = tmp_path_factory.mktemp("van") / "install_sheet.pdf"
    task = next(t for t in job_files(prepare(hose_van), "A4") if t.entry.path == "install_sheet.pdf")
    task.body(path=path)
    return " ".join(page_texts(path))


def test_every_hose_has_its_own_picture_from_two_sides(sheet: str, dray: Prepared) -> None:
    hoses = [h for h in dray.lines.hoses if h.path is not None]
    for view in ("From the vehicle's left, front on the left", "As the driver sees it"):
        assert sheet.count(view) == len(hoses)
    # an end is named in the picture as in the step
    assert sheet.count("Clutch master cylinder (outlet)") == 2


def test_what_is_on_no_panel_is_found_with_a_tape_from_a_bolt(sheet: str, van_sheet: str) -> None:
    """By hand: the web's hole 16, a bolt's, is at y -230, z 570 and its engine face at x 4292; the rail's first
    screw at (4020, -244, 644), its second 400 mm further forward and 5.1 mm up. The van's slave inlet is at
    (58, 355, 190); the bolt nearest to it in its toe board, 60 mm down the 45 degree slope from the fold at
    (250, 620) and at y 341, lies with its engine face 1.6 mm forward and down of it.

    A fitting hides the middle of its hole, and a bolt's can be found with the bolt in or out.
    """
    straight = math.dist((4020, -244, 644), (4292, -230, 570))
    where = "272 mm forward, 14 mm left, 74 mm up of the middle of hole 16 (a bolt's) of the cross member web"
    assert f"{where}, on its engine face; {straight:.0f} mm straight across" in sheet
    s = math.sqrt(0.5)
    face = (250 + s * (60 - 1.6), 341, 620 - s * (60 + 1.6))
    away = (58 - face[0], 355 - face[1], 190 - face[2])
    words = (
        f"{-away[0]:.0f} mm forward, {away[1]:.0f} mm right, {-away[2]:.0f} mm down of the middle of hole 21"
    )
    assert f"{words} (a bolt's) of the toe board, on its engine face; {math.hypot(*away):.0f} mm" in van_sheet


def test_a_fresh_reader_knows_what_to_have_at_hand_and_what_stays_empty(sheet: str, van_sheet: str) -> None:
    for text in (sheet, van_sheet):
        assert text.index("At hand before you begin") < text.index("Print page 1 of the pack")
        assert "37 degree flaring tool" in text
    assert "step drill 12 mm, 32 mm; twist drill 4.5 mm, 5.5 mm, 5.7 mm, 6.6 mm" in van_sheet
    # pilots of 3 mm, the largest of them opened to 9 mm, 2 mm at a time (common practice, no source)
    assert "to go up from the pilot, twist drill 5 mm, 7 mm" in van_sheet
    # a -4 fitting: thread 7/16 in, 0.2 to 1 mm of play
    assert "step drill 12 mm 12.00 mm (0.472 in); may be 11.32 to 12.11 mm" in van_sheet
    # the doubler has two holes and one fitting
    assert "Plug the holes that stay empty in the firewall: 8, -4 bulkhead fitting" in van_sheet
    assert "Plug what stays empty" not in sheet


def test_hose_steps_say_what_is_true_of_that_hose(van_sheet: str) -> None:
    steps = re.split(r"❏ [0-9]{1,3}\. ", van_sheet)
    assert ",," not in van_sheet
    # a twist drill over 6 mm grabs after a small pilot, through a part too (common practice, no source)
    through = [s for s in steps if re.match(r"Drill holes? [0-9, ]+ through the|Clamp the .* and drill", s)]
    large = [
        max(map(float, re.findall(r"with twist drill ([0-9.]+) mm", s)), default=0.0) > 6 for s in through
    ]
    assert any(large)
    for step, wide in zip(through, large, strict=True):
        assert ("go up from the pilot by 2 mm at a time" in step) == (wide and "without a pilot" not in step)
    # one hole of the toe board is small enough to have no pilot, and its step says so
    assert re.search(r"Holes? [0-9, ]+: to size in the mark, without a pilot\.", van_sheet)
    assert "or in place and finger tight where a step leaves one loose for it" in van_sheet
    assert "a locking nut only as far as its ring" in van_sheet
    slave, line, feed = (
        next(s for s in steps if s.startswith(f"Fit the {words}"))
        for words in ("hose to the slave", "line inside the cab", "feed hose from the reservoir")
    )
    assert "from the clutch slave cylinder (inlet) to the toe board bulkhead fitting (engine side)" in slave
    assert "close the clamps" not in slave
    assert "close the clamps" in line
    assert "from its seat in the toe board bulkhead fitting (cab side)" in line
    assert "by hand, as the clamps pull it in" in line
    # it is clipped on, has no nut, and its reservoir hangs loose until that hose has decided its place
    assert "nut" not in feed
    assert "The clutch reservoir, held on its clutch reservoir bracket, is still loose" in feed


def test_a_length_told_roughly_is_rounded_as_every_other_figure() -> None:
    """A half goes away from zero (ISO 80000-1 annex B, rule B), in both units."""
    assert [about(x, "metric") for x in (11.5, 12.5, 12.49)] == ["12 mm", "13 mm", "12 mm"]
    assert [about(25.4 * x / 32, "inch") for x in (15, 17, 33)] == ["1/2 in", "9/16 in", "1 1/16 in"]
