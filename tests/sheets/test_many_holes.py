"""A panel with hundreds of holes, a vented bulkhead: its sheets are printed, and no number is left out."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from jobs.paper_jobs import refusals
from sheet_pages import page_texts
from spec_pieces import existing, panel, wire_hole

from generators.drawing.paper.svg_pen import SvgPen
from generators.drawing.template.callouts import Placed, Placer
from generators.model.plan import PanelLayout
from generators.sheets.install.drill import HOLES_A_ROW, size_table
from generators.sheets.panel_view import PAST_ORDER, PanelView
from generators.solve.job import Prepared, prepare

ACROSS, UP, PITCH_MM = 20, 14, 40
MANY = ACROSS * UP


def holes() -> Iterator[str]:
    for k in range(MANY):
        yield wire_hole(f"vent_{k + 1}", 80 + k % ACROSS * PITCH_MM, 60 + k // ACROSS * PITCH_MM, 6)


@pytest.fixture(scope="module")
def vented(tmp_path_factory: pytest.TempPathFactory) -> Prepared:
    spec = tmp_path_factory.mktemp("vented") / "vented.toml"
    wall = panel("wall", 920, 680) + existing("bore", 30, 340, 30, "old bore") + "".join(holes())
    spec.write_text(f'job = {{ name = "vented", title = "Vented wall, invented" }}\n{wall}', encoding="utf-8")
    return prepare(spec)


@pytest.fixture(scope="module")
def layout(vented: Prepared) -> PanelLayout:
    (one,) = vented.layouts
    return one


def test_holes_made_alike_are_told_in_rows_that_fit_a_page(vented: Prepared, tmp_path: Path) -> None:
    """One row named them all, and was higher than a page."""
    assert list(refusals(vented, "letter", tmp_path, "install_sheet")) == []


def test_each_hole_is_told_once_and_in_order(layout: PanelLayout) -> None:
    new = [h for h in layout.holes if h.owners == ("panel",)]
    assert len(new) == MANY
    rows = size_table(new, layout.units).rows
    told = [row[2].split(", ") for row in rows]
    assert [number for row in told for number in row] == [h.number for h in new]
    assert [len(row) for row in told] == [HOLES_A_ROW] * (MANY // HOLES_A_ROW) + [MANY % HOLES_A_ROW]
    # each row says by itself what makes it
    assert len({(row[0], row[1], row[3]) for row in rows}) == 1


def test_every_lit_hole_of_a_crowd_has_its_number_and_no_order_is_tried_in_vain(
    layout: PanelLayout, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """In a picture of the width of a page they cannot all stand free: each is led out all the same."""
    new = [h.number for h in layout.holes if h.owners == ("panel",)]
    asked: list[bool] = []
    before = Placer.callout

    def callout(*args: Any, **how: Any) -> Placed | None:
        placed = before(*args, **how)
        asked.append(placed is None)
        return placed

    monkeypatch.setattr(Placer, "callout", callout)
    view = PanelView(layout, width_mm=180, lit=new, name_all=False)
    pen = SvgPen(tmp_path / "crowd.svg", *view.size, title="crowd", subject="crowd")
    assert view.lettered(pen) >= MANY
    assert len(asked) == len(layout.holes)
    assert sum(asked) > PAST_ORDER


def test_what_is_bought_for_many_uses_goes_on_over_the_page(tmp_path: Path) -> None:
    """The bill names every use of one rivet nut: with thirty of their own the row was higher than a page."""
    spec = tmp_path / "lined.toml"
    own = "".join(
        f"""\
  [[panel.hole]]
  name = "nut_{k + 1}"
  kind = "insert"
  diameter = "9 mm"
  thread = "M6"
  grip = ["0.5 mm", "3 mm"]
  purpose = "lining of the wall, strip number {k + 1} counted from the left"
  at = {{ u = "{60 + k % 10 * 60} mm", v = "{60 + k // 10 * 60} mm" }}
"""
        for k in range(30)
    )
    wall = panel("wall", 700, 300) + existing("bore", 30, 250, 30, "old bore") + own
    spec.write_text(f'job = {{ name = "lined", title = "Lined wall, invented" }}\n{wall}', encoding="utf-8")
    prepared = prepare(spec)
    assert [f.code for f in prepared.findings if f.blocks] == []
    assert list(refusals(prepared, "letter", tmp_path, "report")) == []
    told = " ".join(" ".join(page_texts(tmp_path / "report.pdf")).split())
    assert all(f"strip number {k + 1} counted" in told for k in range(30))
