"""Odd jobs are printed, panels of any size, outline and lie, and demos changed: no sheet is refused."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable
from itertools import count
from pathlib import Path

import pypdfium2
import pytest
from jobs.moved_demos import moved_demo
from jobs.odd_panels import odd_panels
from jobs.paper_jobs import Drawn, refusals, released, small_job

from generators.errors import SpecError
from generators.solve.job import prepare

NIGHTLY = 300
LEAST_REDUCED = 1.5
COVER = """
[job]
name = "toy"
title = "Plate over the old cable hole, invented"

[[panel]]
name = "firewall"
title = "Firewall"
material = "1008 steel"
thickness = "1.2 mm"
origin = ["0 mm", "0 mm", "0 mm"]
outline = [["0 mm", "0 mm"], ["82 mm", "0 mm"], ["82 mm", "82 mm"], ["0 mm", "82 mm"]]
existing = [
  { name = "cable", at = ["41 mm", "41 mm"], diameter = "38 mm", action = "blank", what = "old cable" },
]

[[part]]
name = "cover"
kind = "blanking_plate"
material = "1008 steel"
thickness = "2 mm"
mount = { panel = "firewall", face = "engine", at = { u = "0 mm", v = "0 mm", from = "cable" } }
"""
LARGER = """
[[panel]]
name = "shelf"
title = "Shelf behind it"
material = "1008 steel"
thickness = "1.2 mm"
origin = ["300 mm", "0 mm", "0 mm"]
outline = [["0 mm", "0 mm"], ["600 mm", "0 mm"], ["600 mm", "320 mm"], ["0 mm", "320 mm"]]
existing = [
  { name = "loom", at = ["441 mm", "41 mm"], diameter = "20 mm", action = "keep", what = "loom" },
  { name = "strap", at = ["141 mm", "241 mm"], diameter = "9 mm", action = "keep", what = "strap" },
]
datum = [{ name = "middle", at = ["441 mm", "41 mm"], what = "middle of the loom's hole" }]
"""
"""The mark of a datum in a hole was taken for the hole's label."""


def drawn(text: str, paper: str) -> Drawn:
    return Drawn(text=text, paper=paper, type_scale=1.0, reason="trial part, never fitted")


@pytest.mark.parametrize(
    ("more", "paper"),
    [("", "A4"), ("", "roll:610 mm"), (LARGER, "letter")],
    ids=["alone", "alone off a roll", "beside a larger one"],
)
def test_a_plate_of_a_hands_width_is_not_refused(more: str, paper: str, tmp_path: Path) -> None:
    prepared = released(drawn(COVER + more, paper), tmp_path)
    assert prepared is not None
    assert list(refusals(prepared, paper, tmp_path)) == []
    (pack,) = tmp_path.rglob("print_me*.pdf")
    with pypdfium2.PdfDocument(pack) as pdf:
        said = "".join(page.get_textpage().get_text_range() for page in pdf)
    scales = [
        float(scale) for scale in re.findall(r"scale 1 : ([\d.]+)", said.partition("Install sheet: tick")[0])
    ]
    assert len(scales) == 1 + bool(more)
    assert min(scales) >= LEAST_REDUCED


@pytest.mark.parametrize(("draw", "first", "many"), [(small_job, 0, 2), (odd_panels, 17, 1)])
def test_some_odd_jobs_are_not_refused(
    draw: Callable[[int], Drawn], first: int, many: int, tmp_path: Path
) -> None:
    assert refused(draw, first, many, tmp_path) == []


@pytest.mark.nightly
@pytest.mark.parametrize("draw", [small_job, odd_panels, moved_demo])
def test_many_odd_jobs_are_not_refused(draw: Callable[[int], Drawn], tmp_path: Path) -> None:
    assert refused(draw, 1_000_000, NIGHTLY, tmp_path) == []


def refused(draw: Callable[[int], Drawn], first: int, many: int, folder: Path) -> list[str]:
    """What is refused of so many jobs that pass or are waived, seeds from ``first`` on."""
    papers: Counter[str] = Counter()
    out: list[str] = []
    for seed in count(first):
        job = draw(seed)
        place = folder / str(seed)
        place.mkdir()
        prepared = released(job, place)
        if prepared is not None:
            papers[job.paper] += 1
            out += [f"seed {seed}, {job.paper}: {said}" for said in refusals(prepared, job.paper, place)]
        if papers.total() == many:
            return out
    raise AssertionError


HOLE = 'diameter = "38 mm", action = "blank"'


@pytest.mark.parametrize(
    ("diameter", "action", "gone"), [(116.1, "keep", True), (115.8, "keep", False), (116.1, "blank", False)]
)
def test_a_hole_that_takes_all_of_its_panel_is_a_fault(
    diameter: float, action: str, gone: bool, tmp_path: Path
) -> None:
    """A square of 82 mm is 82 √2 = 115.97 mm from corner to corner; what is closed takes nothing."""
    assert HOLE in COVER
    text = COVER.partition("[[part]]")[0].replace(HOLE, f'diameter = "{diameter} mm", action = "{action}"')
    spec = tmp_path / "toy.toml"
    spec.write_text(text, encoding="utf-8")
    if not gone:
        assert list(refusals(prepare(spec), "A4", tmp_path)) == []
        return
    with pytest.raises(SpecError) as caught:
        prepare(spec)
    (fault,) = caught.value.faults
    assert fault.path == "panel[0].outline"
    assert "cable is 116.1 mm wide" in fault.found
    assert text.splitlines()[fault.line - 1].startswith("outline")
