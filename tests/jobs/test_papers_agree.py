"""Every finished paper says the same of every hole: when it is made, through what, after which step."""

from __future__ import annotations

import csv
import shutil
from collections.abc import Callable
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest
from jobs.hole_papers import csv_rows, labels
from jobs.paper_agreement import disagreements, waits_wrongly
from jobs.paper_jobs import said_of_random_jobs
from jobs.step_papers import install_says
from made_once import solved
from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas

from generators.issue.work import Order, carry_out
from generators.jobs.make.run import artefacts
from generators.solve.job import Prepared, prepare
from generators.solve.reach import with_reach
from generators.verify.pdf.content import read_pdf

DEMOS = ("tarn_special", "dray_tractor", "ferrow_bus")
"""The van's are read where its folder is made, in ``test_make``."""

KINDS = ("template_pdf", "patches_pdf", "template_dxf", "install_sheet", "holes_csv")
PAPERS = ("template_cab.pdf", "template_engine.pdf", "patches_cab.pdf", "patches_engine.pdf", "template.dxf")
FEW, MANY = 2, 200


def written(prepared: Prepared, paper: str, folder: Path) -> None:
    """The papers of a job, as they are issued; here they are read by other means than their own readers."""
    for k, sheet in enumerate(artefacts(prepared, paper)):
        if sheet.entry.kind in KINDS:
            done = carry_out(sheet, Order(index=k, folder=folder, revision="0000000", found=None))
            assert (folder / done.path).is_file()


@pytest.fixture(scope="module")
def demo_papers(tmp_path_factory: pytest.TempPathFactory) -> Callable[[str], Path]:
    """The papers of a demo, written once."""

    @cache
    def made(demo: str) -> Path:
        folder = tmp_path_factory.mktemp(demo)
        written(with_reach(solved(demo)), "A4", folder)
        return folder

    return made


@pytest.mark.parametrize("demo", DEMOS)
def test_papers_of_a_demo_say_one_thing(demo: str, demo_papers: Callable[[str], Path]) -> None:
    assert disagreements(demo_papers(demo)) == []


def test_a_hole_told_otherwise_is_seen_in_every_paper(
    demo_papers: Callable[[str], Path], tmp_path: Path
) -> None:
    """One hole that is drilled through its part, put down as one to punch now: nothing else agrees."""
    folder = tmp_path / "copy"
    shutil.copytree(demo_papers("ferrow_bus"), folder)
    table = folder / "holes.csv"
    lines = list(csv.reader(table.read_text(encoding="utf-8").splitlines()))
    head = lines[0]
    line = next(x for x in lines if x[head.index("how")] == "part" and not x[head.index("pilot_from")])
    for key, word in (
        ("when", "now"),
        ("how", "paper"),
        ("after_step", ""),
        ("face", "cab"),
        ("through", ""),
    ):
        line[head.index(key)] = word
    with table.open("w", encoding="utf-8", newline="") as out:
        csv.writer(out).writerows(lines)
    bad = disagreements(folder)
    panel, number = line[0], line[1]
    papers = {"install sheet", *(f"panels/{panel}/{name}" for name in PAPERS)}
    assert papers <= {text.partition(":")[0] for text in bad}
    assert all(f"hole {number}" in text for text in bad)


@pytest.mark.parametrize("demo", ["tarn_special", "dray_tractor"])
def test_a_late_hole_that_waits_for_any_other_step_is_seen(
    demo: str, demo_papers: Callable[[str], Path]
) -> None:
    """Through a part and where a hose puts a thing, first ones and those after them: each has one step to wait for."""
    rows = csv_rows(demo_papers(demo) / "holes.csv")
    sheet = install_says(demo_papers(demo) / "install_sheet.pdf")
    late = {number: row for number, row in rows.items() if row.said.when == "last"}
    assert {row.said.how for row in late.values()} >= (
        {"part", "hose"} if demo == "tarn_special" else {"part"}
    )
    for number, row in late.items():
        fits = []
        for step in sheet.steps:
            waits = {**rows, number: replace(row, said=replace(row.said, step=step))}
            if not waits_wrongly(number, waits, sheet):
                fits.append(step)
        assert fits == [row.said.step], number


def test_papers_say_where_a_made_up_hose_decides(hose_van: Path, tmp_path: Path) -> None:
    written(with_reach(prepare(hose_van)), "A4", tmp_path)
    assert {row.said.how for row in csv_rows(tmp_path / "holes.csv").values()} >= {
        "paper",
        "part",
        "hose",
        "there",
    }
    assert disagreements(tmp_path) == []


@pytest.mark.parametrize(("begins_mm", "led"), [(34.9, []), (35.5, ["5"])])
def test_a_line_of_a_hatch_is_no_leader(begins_mm: float, led: list[str], tmp_path: Path) -> None:
    """A box of the map of pages at the end of a line within a large ring that runs off its page names no hole.

    So it stood on a sheet of job 9710013: page 5 of the map was taken for hole 5.
    """
    pen = Canvas(str(tmp_path / "page.pdf"), pagesize=(200 * mm, 200 * mm))
    pen.setLineWidth(0.35 * mm)
    pen.circle(100 * mm, 100 * mm, 35 * mm)
    pen.setLineWidth(0.18 * mm)
    pen.line(100 * mm, (100 - begins_mm) * mm, 100 * mm, 135 * mm)
    pen.setFillGray(1)
    pen.rect(95 * mm, (95 - begins_mm) * mm, 10 * mm, 5 * mm, stroke=1, fill=1)
    pen.setFillGray(0)
    pen.setFont("Helvetica", 8)
    pen.drawString(99 * mm, (96 - begins_mm) * mm, "5")
    pen.save()
    (page,) = read_pdf(tmp_path / "page.pdf").pages
    assert [label.number for label in labels(page)] == led


def told_otherwise(prepared: Prepared, paper: str, folder: Path) -> list[str]:
    written(prepared, paper, folder)
    return list(disagreements(folder))


def test_papers_of_some_random_jobs_say_one_thing(tmp_path: Path) -> None:
    assert said_of_random_jobs(7_000, FEW, tmp_path, told_otherwise) == []


@pytest.mark.nightly
def test_papers_of_many_random_jobs_say_one_thing(tmp_path: Path) -> None:
    assert said_of_random_jobs(2_000_000, MANY, tmp_path, told_otherwise) == []
