"""The blank's picture on a setup sheet: a bend's name stands on its line and covers no hole. Read from the page."""

from __future__ import annotations

from pathlib import Path

import pytest
from made_once import solved
from shapely.geometry import Point, box

from generators.bending.setting import machines_of, sequence_of
from generators.drawing.bending import blank
from generators.drawing.bending.sheet import write_setup_sheet
from generators.parts import KINDS
from generators.reading import read_job
from generators.verify.pdf.content import as_circle, read_pdf

SPECS = Path(__file__).parents[2] / "specs"


def covered(path: Path, demo: str, name: str) -> list[str]:
    """Bends whose name lies on a hole of the blank, by the first picture of the finished sheet."""
    file = read_job(SPECS / f"{demo}.toml", {k.name: k.parameters for k in KINDS})
    plan = next(p.plan for p in solved(demo).parts if p.spec.name == name)
    bends, _ = sequence_of(plan, file.shop)
    machines = machines_of(plan, file.shop)
    write_setup_sheet(plan, path, bends=bends, machines=machines, job_title="Toy", revision="abc1234")
    page = read_pdf(path).pages[0]
    title = next(w for w in page.words if w.text.strip() == blank.TITLE)
    first = next(w for w in page.words if w.text.strip().startswith("1 Bend "))
    circles = [c for shape in page.shapes if (c := as_circle(shape, 0.05)) is not None]
    rims = [Point(c.x, c.y).buffer(c.diameter / 2) for c in circles if first.box[3] < c.y]
    assert len(rims) == sum(len(f.holes) for f in plan.flanges)
    names = {bend.name.replace("_", " ") for bend in plan.bends}
    found = [
        w
        for w in page.words
        if w.text.strip() in names and first.box[3] < w.box[1] < title.box[3] and w.box[2] < title.box[0]
    ]
    assert {w.text.strip() for w in found} == names
    return [w.text.strip() for w in found if any(rim.intersects(box(*w.box)) for rim in rims)]


def test_no_name_of_a_bend_lies_on_a_hole(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    assert covered(tmp_path / "a.pdf", "ferrow_bus", "clutch_hanger") == []
    # all in the middle of their lines, one of them lay on the pivot's bore
    monkeypatch.setattr(blank, "STEPS", 2)
    assert covered(tmp_path / "b.pdf", "ferrow_bus", "clutch_hanger")
