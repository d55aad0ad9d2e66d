"""A picture that stands in several files is drawn once, and another for whatever else it is built with."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from drawing.sample import firewall
from issue.small import small_spec
from issue.ways import silent

from generators.drawing.pieces import laid_out
from generators.issue.digest import Digests
from generators.issue.shelf import Shelf
from generators.issue.work import CORES
from generators.jobs.make.run import make
from generators.sheets.document import HeldCanvas, Picture
from generators.sheets.panel_view import PanelView
from generators.solve.job import prepare

BUILT: dict[str, Any] = {
    "width_mm": 80.0,
    "face": "cab",
    "lit": ("1",),
    "name_all": True,
    "tallest_mm": 60.0,
    "sheets": (),
    "headed": True,
}
OTHERWISE: dict[str, Any] = {
    "width_mm": 90.0,
    "face": "engine",
    "lit": ("2",),
    "name_all": False,
    "tallest_mm": 20.0,
    "sheets": (("1", (0, 0, 200, 200)),),
    "headed": False,
}


def page(view: Picture, path: Path, shelf: Shelf | None) -> bytes:
    """A page with that picture."""
    canvas = HeldCanvas(path)
    canvas.setPageSize((600, 600))
    if shelf is None:
        view.drawOn(canvas, 10, 10)
    else:
        with laid_out(shelf):
            view.drawOn(canvas, 10, 10)
    canvas.showPage()
    canvas.write()
    return path.read_bytes()


@pytest.fixture
def painted(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """What is painted from here on: what from, and with which fonts in the file."""
    told: list[str] = []
    straight = Picture._painted

    def counted(self: Picture, pen: Any) -> tuple[str, ...]:
        told.append(Digests().of((self.made_of, pen.fonts)))
        return straight(self, pen)

    monkeypatch.setattr(Picture, "_painted", counted)
    return told


def test_no_picture_of_a_job_is_drawn_twice(
    tmp_path: Path, painted: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv(CORES, "1")
    drawn: list[Picture] = []
    straight = Picture.draw

    def counted(self: Picture) -> None:
        if not getattr(self.canv, "counted", False):
            drawn.append(self)
        straight(self)

    monkeypatch.setattr(Picture, "draw", counted)
    make(prepare(small_spec(tmp_path)), tmp_path, paper="A4", progress=silent)
    assert painted
    assert len(painted) == len(set(painted))
    # the install sheet stands in the pack as well
    assert len(drawn) >= len(painted) + 2


def test_a_picture_built_with_the_same_is_drawn_once_and_looks_alike(
    tmp_path: Path, painted: list[str]
) -> None:
    shelf = Shelf()
    first = page(PanelView(firewall(), **BUILT), tmp_path / "a.pdf", shelf)
    # its layout is another object with the same content
    again = page(PanelView(firewall(), **BUILT), tmp_path / "b.pdf", shelf)
    assert len(painted) == 1
    assert first == again == page(PanelView(firewall(), **BUILT), tmp_path / "c.pdf", None)


@pytest.mark.parametrize("name", list(BUILT))
def test_another_picture_is_drawn_for_anything_else_it_is_built_with(
    name: str, tmp_path: Path, painted: list[str]
) -> None:
    shelf = Shelf()
    other = {**BUILT, name: OTHERWISE[name]}
    first = page(PanelView(firewall(), **BUILT), tmp_path / "a.pdf", shelf)
    second = page(PanelView(firewall(), **other), tmp_path / "b.pdf", shelf)
    assert len(painted) == 2
    assert second == page(PanelView(firewall(), **other), tmp_path / "c.pdf", None)
    assert second != first


def test_another_picture_is_drawn_where_a_hole_has_moved(tmp_path: Path, painted: list[str]) -> None:
    layout = firewall()
    hole, *others = layout.holes
    moved = replace(layout, holes=(replace(hole, u_mm=hole.u_mm + 1), *others))
    shelf = Shelf()
    first = page(PanelView(layout, **BUILT), tmp_path / "a.pdf", shelf)
    second = page(PanelView(moved, **BUILT), tmp_path / "b.pdf", shelf)
    assert len(painted) == 2
    assert second != first
