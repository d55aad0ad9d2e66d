"""Feet of a part that stand on one panel: a common plane, on the drawing and the inspection sheet, by hand."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parents[1]))
from drawing.part_cases import JOB, REVISION, make
from parts.plans_in_space import plan_of

from generators.drawing.inspection import items
from generators.drawing.inspection.items import inspected
from generators.drawing.inspection.sheet import write_inspection_sheet
from generators.drawing.part import drawing
from generators.drawing.part.drawing import write_part_drawing
from generators.drawing.part.tables.feet import feet_limit
from generators.parts.carried_hanger import CarriedHanger
from generators.verify.pdf.content import read_pdf
from generators.verify.pdf.inspecting.feet import feet_of, feet_problems
from generators.verify.pdf.inspection import read_inspection_sheet

PLAN = make("carried_hanger")


def test_the_feet_of_a_carried_hanger_have_a_plane_in_common(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Two ears, over 100 and under 300 from end to end: 0.8 by ISO 2768-2 class L (from memory)."""
    row = next(item for item in inspected(PLAN) if item.key == "Y1")
    assert (row.least, row.most, row.using, row.bent) == (0.0, 0.8, "straightedge and feelers", True)
    path = tmp_path / "i.pdf"

    def problems() -> str:
        write_inspection_sheet(PLAN, path, job_title=JOB, revision=REVISION)
        return " ".join(read_inspection_sheet(path, PLAN, job_title=JOB, revision=REVISION, rel="x").problems)

    assert problems() == ""
    for lie, said in (
        (None, "no item Y1"),
        ((("right top", "left top"), 0.4), "item Y1: most 0.40"),
        ((("right top", "web"), 0.8), "item Y1: 'lower sides of right top and web"),
    ):
        monkeypatch.setattr(items, "feet_limit", lambda _, w=lie: w)
        assert said in problems()


def test_the_drawing_says_so_too(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "d.pdf"

    def problems() -> str:
        write_part_drawing(PLAN, path, job_title=JOB, revision=REVISION)
        return " ".join(feet_problems(" ".join(page.text for page in read_pdf(path).pages), PLAN))

    assert problems() == ""
    honest = drawing.feet_lines
    for was, now, said in (
        ("FEET", "LEGS", "does not say"),
        ("0.8 mm", "0.9 mm", "within 0.9 mm"),
        ("right top", "web", "on one plane"),
    ):
        monkeypatch.setattr(
            drawing, "feet_lines", lambda p, a=was, b=now: (line.replace(a, b) for line in honest(p))
        )
        assert said in problems()


@pytest.mark.parametrize(("long", "within"), [(299.99, 0.8), (300.0, 0.8), (300.01, 1.2)])
def test_a_step_of_the_table_ends_at_its_length(long: float, within: float) -> None:
    """Feet that are so long end to end: past 300 comes the next step of ISO 2768-2 class L (from memory)."""
    wider, usual = long - 200.0, CarriedHanger()
    plan = plan_of(
        "carried_hanger",
        inside_width_mm=usual.inside_width_mm + wider,
        mount_spacing_mm=usual.mount_spacing_mm + wider,
    )
    for found in (feet_limit(plan), feet_of(plan)):
        assert found is not None
        assert found[1] == within


@pytest.mark.parametrize("kind", ["pedal_hanger", "reservoir_bracket", "slave_bracket"])
def test_what_stands_on_one_flange_has_no_such_row(kind: str) -> None:
    assert feet_limit(make(kind)) is None
    assert not [item for item in inspected(make(kind)) if "on one plane" in item.what]
    text = "FEET a, b: lower sides on one plane within 0.8 mm once bent (ISO 2768-2 L)"
    assert list(feet_problems(text, make(kind))) == [
        "the drawing wants a, b on one plane, and the part stands on one flange"
    ]
