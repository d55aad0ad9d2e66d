"""Report and install sheet of every kind of pedal: they say the answer, and nothing lies on anything."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from made_once import solved
from pedal_specs import VARIANTS
from sheet_pages import off_page, overlaps, page_texts, prepared, write_sheets

from generators.drawing.paper.pdf_pen import PdfPen
from generators.issue.stamp import PLACEHOLDER
from generators.sheets.install.pedal_steps import cautions, pedal_steps
from generators.sheets.pedal.words import sheet_words, verdict
from generators.solve.job import Prepared
from generators.verify.pdf.sheet import read_sheet_pdf

SPECS = Path(__file__).parents[2] / "specs"

Sheets = dict[str, tuple[Prepared, dict[str, Path]]]


@pytest.fixture(scope="module")
def sheets(tmp_path_factory: pytest.TempPathFactory) -> Sheets:
    made = {}
    for variant in VARIANTS:
        folder = tmp_path_factory.mktemp("sheets")
        job = prepared(folder, variant)
        made[variant] = (job, write_sheets(folder, job))
    return made


@pytest.mark.parametrize("kind", ["report", "install_sheet"])
@pytest.mark.parametrize("variant", VARIANTS)
def test_no_word_lies_on_another_or_leaves_the_page(variant: str, kind: str, sheets: Sheets) -> None:
    path = sheets[variant][1][kind]
    assert list(overlaps(path)) == []
    assert list(off_page(path)) == []


def test_words_on_each_other_would_be_found(tmp_path: Path) -> None:
    path = tmp_path / "clash.pdf"
    pen = PdfPen(path, title="clash", subject="clash")
    pen.page(100, 50)
    pen.text(20, 20, "first", 3.0)
    pen.text(24, 20.5, "second", 3.0)
    pen.text(20, 30, "apart", 3.0)
    pen.text(95, 40, "edge", 3.0)
    pen.close()
    found = list(overlaps(path))
    assert found
    assert all(page == 1 and "second" in words and "apart" not in words for page, words in found)
    assert {char for _page, char in off_page(path)} == set("edge")


@pytest.mark.parametrize("paper", ["A4", "letter"])
def test_the_demo_fits_its_papers(paper: str, demo_spec: Path, tmp_path: Path) -> None:
    path = write_sheets(tmp_path, solved("wrenfield_van"), paper, ["report"])["report"]
    texts = page_texts(path)
    first = next(i for i, text in enumerate(texts) if "Pedal: Clutch pedal" in text)
    # verdict, curves, waterfall and linkage share the page; the numbers begin on the next
    for words in (
        "Stop window (shaded)",
        "Where the stroke goes",
        "The linkage from the side",
        "pad at rest",
    ):
        assert words in texts[first]
    assert "Clutch pedal: the numbers" in texts[first + 1]
    assert list(overlaps(path, (first + 1, first + 2))) == []


@pytest.mark.parametrize(
    "name", sorted(p.stem for p in SPECS.glob("*.toml") if not p.stem.endswith(("shop", "readings", "shelf")))
)
def test_no_word_lies_on_another_on_the_pedal_pages_of_a_demo(name: str, tmp_path: Path) -> None:
    path = write_sheets(tmp_path, solved(name), kinds=["report"])["report"]
    pages = {i for i, text in enumerate(page_texts(path), 1) if "Pedal: " in text or "the numbers" in text}
    assert pages
    assert list(overlaps(path, pages)) == []


@pytest.mark.parametrize("variant", VARIANTS)
def test_the_report_says_verdict_limits_and_waterfall(variant: str, sheets: Sheets) -> None:
    job, paths = sheets[variant]
    told = " ".join(page_texts(paths["report"]))
    for answer in job.pedals:
        assert verdict(answer.sheet()) in told
        if answer.clutch is None:
            continue
        for limit in answer.clutch.window.limits:
            assert f"{limit.label} at {limit.pad_mm:.1f} mm" in told
        for step in answer.clutch.budget:
            assert step.label in told
            assert f"{round(step.mm, 2) + 0.0:.2f}" in told
        assert "-0.00" not in told


@pytest.mark.parametrize("variant", VARIANTS)
def test_steps_are_numbered_through_and_in_order(variant: str, sheets: Sheets) -> None:
    job, paths = sheets[variant]
    told = " ".join(page_texts(paths["install_sheet"]))
    steps = [step.do for answer in job.pedals for step in pedal_steps(answer.sheet())]
    places = [0]
    for bold in steps:
        # a clutch and a brake share some steps, so each is looked for behind the one before
        assert bold in told[places[-1] :], bold
        places.append(told.index(bold, places[-1]) + 1)
    places = places[1:]
    assert told.index("Fit the master cylinder") < places[0]
    assert places[-1] < told.index("Prove before driving")
    numbers = [int(n) for n in re.findall(r"(?<![0-9.])([0-9]{1,2})\. [A-Z]", told)]
    # the battery comes off; each pedal is fitted; then hoses are measured, all is checked by hand; at the end
    # all is cleared up, the battery comes on and the work is proven; a clutch is run on stands, and at last the
    # vehicle is rolled, unless no stop is right
    driven = [s for s in ("Run the engine and try the gears", "Only when it has been inspected") if s in told]
    drives = "no stop is right" not in told
    assert bool(driven) == drives
    run = sum(answer.clutch is not None for answer in job.pedals) + 1 if drives else 0
    assert numbers == list(range(1, len(steps) + len(job.pedals) + run + 7))


def test_a_clutch_is_bled_before_rod_and_stop_and_proven_on_stands(sheets: Sheets) -> None:
    steps = list(pedal_steps(sheets["right"][0].pedals[0].sheet()))
    order = [step.do for step in steps]
    # without the rod on the pedal nobody can bleed, and nothing but the block keeps it from going too far
    wanted = (
        "Set the pushrod: rod 116.5 mm. Connect it",
        "Put a block under the pedal that stops it at 163.7 mm",
        # a rod that is too long lets the fingers over-travel, one too short the piston leave its bore
        "Set the rod from slave to fork to begin with",
        "Fill the reservoir",
        "Bleed",
        "Set the free play",
        "Then set the stop",
    )
    assert all(step.startswith(words) for step, words in zip(order, wanted, strict=False)), order
    assert order[7:] == [
        "Press and hold for a full minute.",
        "Check the release by hand.",
        "Check that fluid comes back.",
        "Measure again.",
    ]
    told = {step.do: step.how for step in steps}
    assert "on stands" in told["Check the release by hand."]
    assert "drive wheels raised" in told["Check the release by hand."]
    # the fingers are not to be pushed past their limit while there is no stop yet
    block = told["Put a block under the pedal that stops it at 163.7 mm of pad travel."]
    assert "at 163.7 mm the release fingers over-travel" in block
    assert "down to the block" in told["Bleed with the full stroke, before any stop is set."]
    assert told[order[6]].startswith("Take the block out.")


def test_an_empty_window_gives_no_stop_to_set(sheets: Sheets) -> None:
    told = " ".join(page_texts(sheets["bore too small"][1]["install_sheet"]))
    assert "Do not set the stop: no stop is right" in told
    assert "Then set the stop" not in told
    assert "WAIVED stop-window-empty" in told


def test_cautions_come_first_and_defer_to_licensed_practice(sheets: Sheets) -> None:
    for variant in ("right", "brake"):
        job = sheets[variant][0]
        said = " ".join(cautions(job.pedals[0].sheet(), job.findings))
        for words in ("chocked", "stands", "licensed mechanic", "luid"):
            assert words in said


@pytest.mark.parametrize("kind", ["report", "install_sheet"])
def test_a_sheet_with_another_rod_or_stop_does_not_read_back(kind: str, sheets: Sheets) -> None:
    job, paths = sheets["right"]
    sheet = job.pedals[0].sheet()
    known: dict[str, Any] = {"title": job.file.job.job.title, "revision": PLACEHOLDER, "rel": f"{kind}.pdf"}
    good = read_sheet_pdf(paths[kind], **known, words=sheet_words(sheet))
    assert good.good, good.problems
    assert any("rod 116.5 mm" in fact for fact in good.facts)
    assert sheet.clutch is not None
    other = replace(
        sheet,
        clutch=replace(
            sheet.clutch,
            rod_length_mm=sheet.clutch.rod_length_mm + 0.1,
            window=replace(sheet.clutch.window, recommended_mm=149.1, stop_mm=149.1),
        ),
    )
    bad = read_sheet_pdf(paths[kind], **known, words=sheet_words(other))
    assert len(bad.problems) == 2
    assert "rod 116.6 mm" in bad.problems[0]
    assert "149.1 mm" in bad.problems[1]


def test_a_sheet_is_the_same_bytes_again(sheets: Sheets, tmp_path: Path) -> None:
    job, paths = sheets["clutch and brake"]
    again = write_sheets(tmp_path, job)
    for kind, path in paths.items():
        assert again[kind].read_bytes() == path.read_bytes()
