"""Drawings whose tables lie: a writer is made to print wrong rows, and read-back must say which."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
from drawing.part_cases import cases

from generators.drawing.part import drawing as part_drawing
from generators.geometry.contours import rectangle
from generators.model.plan import Fitting, Flange, Hole, PartPlan, Peg
from generators.model.spec.job import PartSpec
from generators.model.spec.shop import Shop
from generators.parts import KINDS
from generators.sheetmetal.allowance import bend_rule
from generators.sheetmetal.folding import flat_pattern
from generators.verify.pdf.content import Content, PdfFile, Word
from generators.verify.pdf.drawing import read_part_drawing
from generators.verify.pdf.drawing_tables import hole_table_problems, peg_table_problems


def plan_of(index: int = 2) -> PartPlan:
    kind = KINDS[index]
    spec = PartSpec(
        name="p", kind=kind.name, material="1008 steel", thickness_mm=3.0, parameters=kind.parameters()
    )
    return kind.plan(spec, bend_rule(Shop(), "1008 steel", 3.0, None))


def problems(tmp_path: Path, plan: PartPlan) -> str:
    path = tmp_path / "d.pdf"
    part_drawing.write_part_drawing(plan, path, job_title="job", revision="a1b2c3d")
    return "; ".join(read_part_drawing(path, plan, job_title="job", revision="a1b2c3d", rel="d.pdf").problems)


def lying(monkeypatch: pytest.MonkeyPatch, table: str, change: Callable[[list[str]], None]) -> None:
    """Let ``change`` alter each row of a table before it is drawn."""
    honest = getattr(part_drawing, table)

    def lie(*arguments: object) -> object:
        told = honest(*arguments)
        rows = [list(row) for row in told.rows]
        for row in rows:
            change(row)
        return replace(told, rows=tuple(tuple(row) for row in rows))

    monkeypatch.setattr(part_drawing, table, lie)


@pytest.mark.parametrize("index", range(len(KINDS)), ids=[f.name for f in KINDS])
def test_honest_tables_agree(tmp_path: Path, index: int) -> None:
    assert problems(tmp_path, plan_of(index)) == ""


def test_x_and_y_exchanged(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def change(row: list[str]) -> None:
        row[3], row[4] = row[4], row[3]

    lying(monkeypatch, "hole_table", change)
    assert "the hole table puts opening" in problems(tmp_path, plan_of())


def test_two_diameters_exchanged(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    plan = plan_of()
    first, other = plan.flanges[0].holes[0], plan.flanges[0].holes[1]
    assert first.diameter_mm != other.diameter_mm
    size = {f"{first.diameter_mm:.2f}": f"{other.diameter_mm:.2f}"}

    def change(row: list[str]) -> None:
        row[1] = size.get(row[1], row[1])

    lying(monkeypatch, "hole_table", change)
    assert "no row 1 with" in problems(tmp_path, plan)


@pytest.mark.parametrize(
    ("column", "text", "words"),
    [
        (1, "DOWN", "says DOWN"),
        (2, "80°", "angle 80°"),
        (4, "9.99", "inside radius 9.99"),
        (5, "0.500", "K 0.500"),
        (7, "1.00", "allowance 1.00"),
        (8, "0.00", "deduction 0.00"),
    ],
)
def test_a_wrong_bend_row(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, column: int, text: str, words: str
) -> None:
    def change(row: list[str]) -> None:
        row[column] = text

    lying(monkeypatch, "bend_table", change)
    assert words in problems(tmp_path, plan_of())


@pytest.mark.parametrize(
    ("column", "change", "words"),
    [
        (5, lambda c: c if c == "–" else f"{float(c) + 0.02:.2f}", "above the root once bent"),
        (5, lambda c: "–", "above the root once bent"),
        (5, lambda c: "12.00" if c == "–" else c, "above the root once bent"),
        (-1, lambda c: f"{c} or not", "does not say that opening"),
    ],
    ids=["higher", "no height", "a height in the root", "use"],
)
def test_another_height_or_use(
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    column: int,
    change: Callable[[str], str],
    words: str,
) -> None:
    """The hanger's pivots drawn 0.02 mm higher, and what its holes are for: every wrong row is told."""
    wrong = []

    def lie(row: list[str]) -> None:
        if change(row[column]) != row[column]:
            wrong.append(row[0])
        row[column] = change(row[column])

    lying(monkeypatch, "hole_table", lie)
    said = problems(tmp_path, cases()["hanger"])
    assert wrong
    assert said.count(words) == len(set(wrong))


def paged(*rows: tuple[float, list[str]]) -> PdfFile:
    """A page with rows of words at those heights, 20 mm apart."""
    words = tuple(
        Word(text=text, box=(20.0 * k, high, 20.0 * k + 10, high + 3))
        for high, row in rows
        for k, text in enumerate(row)
    )
    page = Content(
        width=297, height=210, rotation=0, cropped=False, annotations=0, others=0, shapes=(), words=words
    )
    return PdfFile(pages=(page,), version=17, print_scaling=True, one_sided=True, user_unit=False)


def test_a_pegs_label_in_the_view_is_not_its_row() -> None:
    """On the level of the label stood the head of another table: a good drawing was refused."""
    peg = Peg(
        name="peg_A",
        purpose="hole A",
        u_mm=10.0,
        v_mm=5.0,
        diameter_mm=5.7,
        height_mm=4.0,
        chamfer_mm=1.0,
        hole_mm=6.0,
    )
    block = Flange(name="block", contour=rectangle(-40.0, -20.0, 40.0, 20.0, 4.0), pegs=(peg,))
    plan = replace(plan_of(), flanges=(block,), bends=())
    label = (
        100.0,
        [
            "P1",
            "this side to the metal",
            "No.",
            "\u00d8 mm",
            "\u00d8 in",
            "X mm",
            "Y mm",
            "for",
            "takes",
            "1",
        ],
    )
    row = ["P1", "5.70", "0.224", "10.00", "5.00", "4.00", "1.00 \u00d7 45\u00b0", "6.00", "panel hole A"]
    flat = flat_pattern(plan)
    assert list(peg_table_problems(paged(label, (20.0, row)), plan, flat)) == []
    wrong = [*row[:5], "4.10", *row[6:]]
    (said,) = peg_table_problems(paged(label, (20.0, wrong)), plan, flat)
    assert "a height of 4.10, the plan 4.00" in said
    assert list(peg_table_problems(paged(label), plan, flat))


def test_a_holes_label_in_the_view_is_not_its_row() -> None:
    """On the level of the label of hole 2 stood the row of hole 1, of the same size."""
    two = tuple(
        Hole(
            name=f"h{k}",
            u_mm=u,
            v_mm=v,
            diameter_mm=5.5,
            purpose="test",
            fitting=Fitting(kind="plain", label="test"),
        )
        for k, (u, v) in enumerate([(10.0, 5.0), (30.0, 8.0)])
    )
    flat = replace(flat_pattern(plan_of()), holes=two, slots=())
    first = ["1", "5.50", "0.217", "12.00", "6.00"]
    second = ["2", "5.50", "0.217", "32.00", "9.00"]
    label = (40.0, ["2", *first[1:]])
    assert list(hole_table_problems(paged(label, (100.0, first), (80.0, second)), flat)) == []
    wrong = [*second[:4], "9.10"]
    (said,) = hole_table_problems(paged((100.0, first), (80.0, wrong)), flat)
    assert "puts opening 2 at X 32.00, Y 9.10" in said
    (said,) = hole_table_problems(paged((100.0, first)), flat)
    assert "no row 2" in said
