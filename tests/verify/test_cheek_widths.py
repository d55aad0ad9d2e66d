"""How far apart cheeks may stand at their pivots: by hand, the same on drawing and sheet, and what is changed shows."""

from __future__ import annotations

import re
import sys
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

sys.path.insert(0, str(Path(__file__).parents[1]))
from drawing.part_cases import JOB, REVISION, make
from sheetmetal.test_bosses import bossed, made

from generators.drawing.inspection import sheet
from generators.drawing.inspection.item import Item
from generators.drawing.inspection.items import inspected
from generators.drawing.inspection.sheet import write_inspection_sheet
from generators.drawing.part import drawing
from generators.drawing.part.drawing import write_part_drawing
from generators.geometry.frames import apply
from generators.model.plan import PartPlan
from generators.sheetmetal.folding import folded_frames
from generators.verify.pdf.content import read_pdf
from generators.verify.pdf.drawing import read_part_drawing
from generators.verify.pdf.inspecting.rows import read_rows
from generators.verify.pdf.inspection import read_inspection_sheet

FLANGED = {"pivot_bore_mm": 18.0, "pivot_bush_mm": 16.0, "pivot_bush_flange_mm": 24.0}


def sheet_problems(path: Path, plan: PartPlan) -> tuple[str, ...]:
    write_inspection_sheet(plan, path, job_title=JOB, revision=REVISION)
    return read_inspection_sheet(path, plan, job_title=JOB, revision=REVISION, rel="x").problems


def drawing_problems(path: Path, plan: PartPlan, other: PartPlan | None = None) -> list[str]:
    write_part_drawing(plan, path, job_title=JOB, revision=REVISION)
    read = read_part_drawing(path, other or plan, job_title=JOB, revision=REVISION, rel="x")
    return [p for p in read.problems if "cheeks" in p.lower()]


def words(path: Path) -> str:
    return " ".join(" ".join(page.text for page in read_pdf(path).pages).split())


CASES: dict[str, tuple[Callable[[], PartPlan], float, str, str, str]] = {
    # 90 inside of the hanger, as its key says; bosses of 10 on each side; ISO 3547 flanges of 1.005
    "plain": (made, 90.0, "bent", "", "hub and spacers are faced to it"),
    "tube": (lambda: made(pivot_spacer_mm=24.0), 90.0, "bent", "", "the spacer tube is faced to it"),
    "boss outside": (bossed, 90.0, "welded and cool", "", "hub and spacers are faced to it"),
    "boss inside": (
        lambda: bossed(welded_boss_side="inside"),
        70.0,
        "welded and cool",
        ", between their bosses",
        "hub and spacers are faced to it",
    ),
    "flanged bushes": (
        lambda: made(**FLANGED),
        87.99,
        "bent",
        ", bushes in",
        "hub and spacers are faced to it",
    ),
}


@pytest.mark.parametrize("name", CASES)
def test_drawing_and_sheet_give_one_width(name: str, tmp_path: Path) -> None:
    """Good by the drawing is good by the sheet: one nominal, ±0.5 as any bent length, where both say it is read."""
    build, free, done, state, faced = CASES[name]
    plan = build()
    drawn, path = tmp_path / "d.pdf", tmp_path / "i.pdf"
    assert drawing_problems(drawn, plan) == []
    said = re.findall(
        r"CHEEKS (.+?): ([\d.]+) ±([\d.]+) mm free between them once (.+?), all round pivot", words(drawn)
    )
    assert {(float(mm), float(off), when) for _, mm, off, when in said} == {(free, 0.5, done)}
    assert sheet_problems(path, plan) == ()
    rows, _ = read_rows(read_pdf(path))
    (row,) = [r for r in rows if r.key.startswith("U")]
    assert (float(row.nominal), float(row.least), float(row.most)) == pytest.approx(
        (free, free - 0.5, free + 0.5)
    )
    assert row.what == (
        f"free width between right cheek and left cheek, all round pivot bores 8 and 9{state}: {faced}"
    )
    assert row.stage == ((True, True) if "welded" in done else (False, False))
    assert row.using == "caliper"


def test_the_width_is_between_the_inner_faces_at_the_bores() -> None:
    """Of a hanger whose cheeks hang on a web between two feet: the folded part's own points, sheet off both."""
    for kind in ("pedal_hanger", "carried_hanger", "pedal_box", "twin_pedal_hanger"):
        plan = make(kind)
        frames = folded_frames(plan)
        number = 0
        faces = {}
        for flange in plan.flanges:
            for hole in flange.holes:
                number += 1
                if hole.name.startswith("pivot"):
                    both = np.array([(hole.u_mm, hole.v_mm, w) for w in (0.0, plan.thickness_mm)])
                    faces[number] = apply(frames[flange.name], both)
        (one, a), (other, b) = faces.items()
        (item,) = [i for i in inspected(plan) if i.key.startswith("U")]
        assert item.nominal == pytest.approx(min(np.linalg.norm(p - q) for p in a for q in b))
        assert f"bores {one} and {other}:" in item.what


def test_a_part_without_pivots_has_no_such_row(tmp_path: Path) -> None:
    plan = make("slave_bracket")
    assert not [i for i in inspected(plan) if i.key.startswith("U")]
    assert drawing_problems(tmp_path / "d.pdf", plan) == []


CHANGES: dict[str, Callable[[Item], Item]] = {
    "wider": lambda i: replace(i, most=i.nominal + 0.6),
    "narrower": lambda i: replace(i, least=i.nominal - 0.6),
    "over the sheet": lambda i: replace(
        i, nominal=i.nominal + 6.0, least=i.nominal + 5.5, most=i.nominal + 6.5
    ),
    "other bores": lambda i: replace(i, what=i.what.replace("8 and 9", "7 and 9")),
    "tube": lambda i: replace(i, what=i.what.replace("hub and spacers are", "the spacer tube is")),
    "too early": lambda i: replace(i, bent=False),
}


@pytest.mark.parametrize("name", CHANGES)
def test_a_row_that_is_wrong_shows(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, name: str) -> None:
    wrong = tuple(CHANGES[name](i) if i.key == "U1" else i for i in inspected(made()))
    monkeypatch.setattr(sheet, "inspected", lambda *_: wrong)
    assert any("item U1" in p for p in sheet_problems(tmp_path / "i.pdf", made()))


def test_a_row_left_out_shows(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    less = tuple(i for i in inspected(made()) if i.key != "U1")
    monkeypatch.setattr(sheet, "inspected", lambda *_: less)
    assert any("no item U1" in p for p in sheet_problems(tmp_path / "i.pdf", made()))


@pytest.mark.parametrize(
    "said",
    [
        (),
        (
            "CHEEKS right cheek, left cheek: 90.00 ±1 mm free between them once bent, all round pivot bores 8 and 9; set them to it.",
        ),
        (
            "CHEEKS right cheek, left cheek: 96.00 ±0.5 mm free between them once bent, all round pivot bores 8 and 9; set them to it.",
        ),
        (
            "CHEEKS right cheek, left cheek: 90.00 ±0.5 mm free between them once welded and cool, all round pivot bores 8 and 9; set them to it.",
        ),
        (
            "CHEEKS right cheek, left cheek: 90.00 ±0.5 mm free between them once bent, all round pivot bores 6 and 9; set them to it.",
        ),
    ],
)
def test_a_drawing_that_says_another_width_shows(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, said: tuple[str, ...]
) -> None:
    monkeypatch.setattr(drawing, "cheek_lines", lambda _: said)
    assert drawing_problems(tmp_path / "d.pdf", made())
