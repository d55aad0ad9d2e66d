"""Drawings whose tables lie: a writer is made to print wrong rows, and read-back must say which."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from generators.drawing.part import drawing as part_drawing
from generators.drawing.part import tables as part_tables
from generators.model.plan import PartPlan
from generators.model.spec.job import PartSpec
from generators.model.spec.shop import Shop
from generators.parts import KINDS
from generators.sheetmetal.allowance import bend_rule
from generators.verify.pdf.drawing import read_part_drawing


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
    honest = getattr(part_tables, table)

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
