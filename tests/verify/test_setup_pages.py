"""Steps of a setup sheet are shared among its pages so_that none is left nearly empty."""

from __future__ import annotations

import re
import sys
from dataclasses import replace
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "bending"))
from bent_parts import MACHINES, TWO, hat, order

from generators.drawing.bending.sheet import evenly, write_setup_sheet
from generators.verify.pdf.content import read_pdf


def test_steps_are_shared_so_that_no_page_is_left_nearly_empty() -> None:
    # 150 mm free under facts and blank, 250 on other pages
    assert evenly([70.0, 70.0, 70.0], 150.0, 250.0) == (1, 2)
    assert evenly([70.0, 70.0], 150.0, 250.0) == (2,)
    assert evenly([70.0, 70.0, 70.0, 70.0, 70.0], 150.0, 250.0) == (2, 3)
    assert evenly([80.0] * 6, 60.0, 250.0) == (0, 3, 3)
    assert evenly([300.0, 70.0], 150.0, 250.0) == (0, 1, 1)
    assert evenly([], 150.0, 250.0) == (0,)


def test_no_page_of_a_finished_sheet_has_a_lone_step_under_nothing(tmp_path: Path) -> None:
    """Heads of steps, counted on each finished page: four bends are two and two, or stand together."""
    plan = replace(hat(90.0, 40.0, 30.0), name="hat", title="Hat, invented")
    path = tmp_path / "s.pdf"
    bends = order(plan, TWO)
    assert len(bends.steps) == 4
    write_setup_sheet(plan, path, bends=bends, machines=MACHINES, job_title="Toy", revision="abc1234")
    counts = [len(re.findall(r"\d\s+Bend [a-z]+", page.text)) for page in read_pdf(path).pages]
    assert sum(counts) == 4
    assert all(count > 1 for count in counts[1:])
