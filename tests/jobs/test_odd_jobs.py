"""Odd jobs are printed, panels of any size, outline and lie, and demos changed: no sheet is refused."""

from __future__ import annotations

import re
import shutil
from collections.abc import Callable
from itertools import count
from pathlib import Path

import pypdfium2
import pytest
from jobs.long_words import in_the_longest_words
from jobs.moved_demos import moved_demo
from jobs.odd_panels import odd_panels
from jobs.paper_jobs import Drawn, refusals, released, small_job
from made_once import SPECS
from spec_pieces import existing, panel

from generators.errors import SpecError
from generators.sheets.pack import overview
from generators.solve.job import prepare

NIGHTLY = 300
LEAST_REDUCED = 1.5
COVER = (
    """
[job]
name = "toy"
title = "Plate over the old cable hole, invented"

"""
    + panel("firewall", 82, 82, material="1008 steel")
    + existing("cable", 41, 41, 38, "old cable")
    + """  action = "blank"

[[part]]
name = "cover"
kind = "blanking_plate"
material = "1008 steel"
thickness = "2 mm"
mount = { panel = "firewall", face = "engine", at = { u = "0 mm", v = "0 mm", from = "cable" } }

"""
)
LARGER = (
    panel("shelf", 600, 320, material="1008 steel", at=(300, 0, 0))
    + existing("loom", 441, 41, 20, "loom")
    + existing("strap", 141, 241, 9, "strap")
    + """  [[panel.datum]]
  name = "middle"
  at = ["441 mm", "41 mm"]
  what = "middle of the loom's hole"
"""
)
"""The mark of a datum in a hole was taken for the hole's label."""

HOLE = 'diameter = "38 mm"\n  what = "old cable"\n  action = "blank"'


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
    out: list[str] = []
    done = 0
    for seed in count(first):
        job = draw(seed)
        place = folder / str(seed)
        place.mkdir()
        prepared = released(job, place)
        if prepared is not None:
            done += 1
            out += [f"seed {seed}, {job.paper}: {said}" for said in refusals(prepared, job.paper, place)]
        if done == many:
            break
    return out


def test_a_picture_nearly_as_large_as_its_panel_is_refused(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    """At 1 : 1.3 somebody might lay it on the metal."""
    monkeypatch.setattr(overview, "LEAST_REDUCED", 1.3)
    prepared = released(drawn(COVER, "A4"), tmp_path)
    assert prepared is not None
    (said,) = refusals(prepared, "A4", tmp_path)
    assert "shows the holes of 'Firewall' elsewhere than they are" in said


@pytest.mark.parametrize(
    ("diameter", "action", "gone"), [(116.1, "keep", True), (115.8, "keep", False), (116.1, "blank", False)]
)
def test_a_hole_that_takes_all_of_its_panel_is_a_fault(
    diameter: float, action: str, gone: bool, tmp_path: Path
) -> None:
    """A square of 82 mm is 82 √2 = 115.97 mm from corner to corner; what is closed takes nothing."""
    assert HOLE in COVER
    text = COVER.partition("[[part]]")[0].replace(
        HOLE, HOLE.replace("38", f"{diameter}").replace("blank", action)
    )
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


@pytest.mark.parametrize(("high", "gone"), [("19.9", True), ("20.1", False)])
def test_a_fold_that_takes_all_of_a_panel_is_a_fault(high: str, *, gone: bool, tmp_path: Path) -> None:
    """A fold of 90 degrees and 20 mm inside begins 20 mm before the line in which the cab faces would meet."""
    spec = tmp_path / "toy.toml"
    spec.write_text(
        '[job]\nname = "toy"\ntitle = "A narrow lip, invented"\n'
        + panel("firewall", 600, 400, at=(0, 0, 600))
        + existing("bore", 300, 200, 30, "old bore")
        + f'[[panel]]\nname = "lip"\ntitle = "Lip"\nmaterial = "mild steel"\nthickness = "1.2 mm"\n'
        f'origin = ["0 mm", "0 mm", "600 mm"]\ntilt = "90 deg"\noutline = [["0 mm", "-{high} mm"], '
        f'["600 mm", "-{high} mm"], ["600 mm", "0 mm"], ["0 mm", "0 mm"]]\n'
        '[[fold]]\npanels = ["firewall", "lip"]\ninside_radius = "20 mm"\n',
        encoding="utf-8",
    )
    if gone:
        with pytest.raises(SpecError, match="no flat metal is left"):
            prepare(spec)
    else:
        assert [layout.panel for layout in prepare(spec).layouts] == ["firewall", "lip"]


@pytest.mark.nightly
@pytest.mark.parametrize("paper", ["A4", "letter"])
@pytest.mark.parametrize("demo", ["wrenfield_van", "tarn_special", "dray_tractor", "ferrow_bus"])
def test_a_demo_in_the_longest_words_is_made(demo: str, paper: str, tmp_path: Path) -> None:
    """No column, no picture and no row is laid out for short titles alone."""
    shutil.copytree(SPECS, tmp_path / "specs")
    spec = tmp_path / "specs" / f"{demo}.toml"
    before = len(spec.read_text(encoding="utf-8"))
    in_the_longest_words(spec)
    assert len(spec.read_text(encoding="utf-8")) > before + 500
    prepared = prepare(spec)
    assert [f.code for f in prepared.findings if f.blocks] == []
    assert list(refusals(prepared, paper, tmp_path)) == []
