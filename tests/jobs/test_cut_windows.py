"""How long a hose or tube may be cut: each end of what the sheet says is judged by the rules, and beyond it not."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from generators.jobs.make.asked import asked_of
from generators.jobs.make.line_sheets import job_guide, lines_sheet
from generators.model.findings import Finding
from generators.sheets.hose_words import cut_at_bench
from generators.solve.hoses.cutting import cut_windows
from generators.solve.job import Prepared, prepare
from generators.units import UnitSystem
from generators.verify.steps.cutting import Piece, cut_problems
from generators.verify.steps.text import TURN, steps_of

SPECS = Path(__file__).parents[2] / "specs"
WINDOW = re.compile(r"ut the hose (\d+) mm \(least (\d+) mm, most (\d+) mm\)")
HOSES = {"slave_hose": "hose to the slave", "master_hose": "hose to the master", "feed_hose": "feed hose"}
ENDS = {"slave_hose": 50, "master_hose": 50, "feed_hose": 40}
"""What both ends of each hose of the van add to its cut, mm, as the spec has it."""


@pytest.fixture(scope="module")
def van() -> Prepared:
    return prepare(SPECS / "wrenfield_van.toml")


@pytest.fixture(scope="module")
def told(van: Prepared) -> dict[str, tuple[int, int, int]]:
    """Cut, least and most of each hose of the van in its own step, mm."""
    steps = [(step.do, step.how) for step in job_guide(van, "r").steps]
    out = {}
    for name, words in HOSES.items():
        (how,) = [how for do, how in steps if do.startswith(f"Fit the {words}")]
        (found,) = WINDOW.findall(how)
        out[name] = int(found[0]), int(found[1]), int(found[2])
    return out


def judged(which: int, by_mm: int, told: dict[str, tuple[int, int, int]]) -> dict[str, set[str]]:
    """What the rules say of the van's hoses, each made up as long as its step says, and ``by_mm`` more."""
    text = (SPECS / "wrenfield_van.toml").read_text()
    for name, ends in ENDS.items():
        made = told[name][which] + ends + by_mm
        text = text.replace(
            f'[[hose]]\nname = "{name}"\n', f'[[hose]]\nname = "{name}"\nmade_up = "{made} mm"\n'
        )
    found: list[Finding] = list(prepare(SPECS / "wrenfield_van.toml", text=text).findings)
    return {name: {f.code for f in found if f.where == f"hose:{name}"} for name in ENDS}


@pytest.mark.parametrize(("which", "beyond"), [(1, -1), (2, 1)])
def test_both_ends_of_a_window_pass_and_a_millimetre_beyond_does_not(
    told: dict[str, tuple[int, int, int]], which: int, beyond: int
) -> None:
    assert judged(which, 0, told) == {name: set() for name in ENDS}
    lengths = {"hose-slack", "hose-too-short", "hose-length-change", "hose-sag", "feed-hose-sag"}
    assert all(codes & lengths for codes in judged(which, beyond, told).values())


def test_what_is_told_of_a_hose_anyhow_leaves_its_window_open() -> None:
    """With the reservoir's bracket to the right of the column the hose comes to lie on the steering box: a warning.

    At every other length, too, and it took the whole window: a cut of 435.00 mm, which nobody can make.
    """
    text = (SPECS / "wrenfield_van.toml").read_text()
    there = 'at = { from = "column_bore", u = "-120 mm", v = "125 mm" }'
    assert there in text
    job = prepare(SPECS / "wrenfield_van.toml", text=text.replace(there, there.replace('"-120', '"120')))
    assert "hose-sag" in {f.code for f in job.findings if f.where == "hose:master_hose"}
    window = cut_windows(job.lines, job.file.job)["master_hose"]
    (hose,) = (hose for hose in job.lines.hoses if hose.spec.name == "master_hose")
    assert hose.length is not None
    path = hose.length.path_mm
    # 5 to 8 % of slack, and 25 mm of fitting at each end
    assert window.least_mm == pytest.approx(1.05 * path - 50)
    assert hose.length.cut_mm + 8 < window.most_mm <= hose.length.cut_mm + 0.03 * path


def test_what_is_cut_is_no_shorter_than_the_layout_asks(
    van: Prepared, told: dict[str, tuple[int, int, int]]
) -> None:
    for hose in van.lines.hoses:
        if hose.spec.name in told:
            assert hose.length is not None
            cut, least, most = told[hose.spec.name]
            assert least < most
            assert hose.length.cut_mm <= cut < hose.length.cut_mm + 1


@pytest.mark.parametrize("demo", ["wrenfield_van", "tarn_special", "dray_tractor", "ferrow_bus"])
@pytest.mark.parametrize("units", ["metric", "inch"])
def test_a_rule_shows_every_length_that_is_cut(demo: str, units: UnitSystem) -> None:
    job = prepare(SPECS / f"{demo}.toml")
    step = 0.5 if units == "metric" else 25.4 / 32
    windows = cut_windows(job.lines, job.file.job)
    assert windows
    for hose in lines_sheet(job.lines, job.file.job, units).hoses:
        if hose.spec.name not in windows:
            continue
        cut, window = cut_at_bench(hose, units), windows[hose.spec.name]
        for mm in (cut.least_mm, cut.cut_mm, cut.most_mm):
            assert abs(mm / step - round(mm / step)) < 1e-6
            assert window.least_mm - 1e-6 <= mm <= window.most_mm + 1e-6
        if hose.spec.kind == "rigid" and hose.length is not None and "frame" in hose.spec.name:
            # half of the 20 mm over is left to trim by the shortest
            assert cut.least_mm >= hose.length.cut_mm + 10 - 1e-6


# 500 mm of path, 50 mm of fittings: 1.05 x 500 - 50 = 475; 0.96 x cut + 50 >= 500 + 5 from 473.96 on;
# the room above the least is 3 % of the path, 15 mm
PIECE = Piece(line="hose", path_mm=500, ends_mm=50, laid_mm=475, slack=(0.05, 0.08), moves_mm=5)
TUBE = Piece(line="hose", path_mm=300, ends_mm=-1, laid_mm=301, trimmed=2)


def problems(said: str, piece: Piece = PIECE, more: str = "") -> list[str]:
    page = f"\u274f 1. Fit the hose, from a to b. Cut {said}: with 25 mm of fitting.{more}"
    return list(cut_problems(steps_of([page]), [piece]))


@pytest.mark.parametrize(
    ("said", "right"),
    [
        ("the hose 480 mm (least 475 mm, most 490 mm)", True),
        ("the hose 480 mm (least 474 mm, most 490 mm)", False),
        ("the hose 480 mm (least 475 mm, most 491 mm)", False),
        ("the hose 474 mm (least 475 mm, most 490 mm)", False),
        ("the hose 18 3/4 in (least 18 3/4 in, most 19 1/4 in)", True),
        ("the hose 18 3/4 in (least 18 11/16 in, most 19 1/4 in)", False),
        ("the hose 480 mm", False),
    ],
)
def test_a_window_wider_than_the_rules_is_found(said: str, *, right: bool) -> None:
    assert (problems(said) == []) is right


@pytest.mark.parametrize(("laid", "one"), [(475.4, True), (475.9, True), (476.6, False)])
def test_where_no_rule_has_two_lines_one_length_will_do(laid: float, *, one: bool) -> None:
    """From 475 mm on: 475 and 475.5 are lines of a rule in mm, 475.46 and 476.25 of one in inches (18 23/32, 3/4)."""
    piece = Piece(line="hose", path_mm=500, ends_mm=50, laid_mm=laid, slack=(0.05, 0.05))
    assert (problems(f"the hose {laid:.2f} mm", piece) == []) is one
    # none at all will not, nor one that is another
    assert problems("it to length", piece)
    assert problems("the hose 474.90 mm", piece)
    assert problems(f"the hose {laid + 0.1:.2f} mm", piece)


@pytest.mark.parametrize(("least", "most", "right"), [(331, 361, True), (330, 361, False), (331, 362, False)])
def test_a_tube_keeps_half_of_what_is_over_to_trim(least: int, most: int, *, right: bool) -> None:
    assert (problems(f"it 341 mm (least {least} mm, most {most} mm) long", TUBE) == []) is right


def test_a_hose_longer_than_its_slack_for_what_moves() -> None:
    """0.96 x cut + 50 >= 500 + 25: from 494.8 mm on, and the same 15 mm of room above."""
    moved = Piece(line="hose", path_mm=500, ends_mm=50, laid_mm=495, slack=(0.05, 0.08), moves_mm=25)
    assert problems("the hose 495 mm (least 495 mm, most 509 mm)", moved) == []
    assert problems("the hose 495 mm (least 494 mm, most 509 mm)", moved)


def test_a_window_is_read_over_the_end_of_a_page() -> None:
    page = "\u274f 1. Fit the hose, from a to b. Cut the hose 480 mm (least"
    assert list(cut_problems(steps_of([f"{page} foot 3", "head 9 475 mm, most 490 mm)."]), [PIECE])) == []
    assert TURN in "".join(steps_of([page, "head"]))


def test_every_piece_of_a_job_is_asked_for(van: Prepared) -> None:
    assert {piece.line for piece in asked_of(van).pieces} == {
        "hose to the slave",
        "line inside the cab",
        "hose to the master",
        "feed hose from the reservoir",
    }
